"""Any dimensions between their limits are drawn without an error, or refused in one sentence that says what would do."""

from __future__ import annotations

import zlib

import numpy as np
import pytest

from cutprep.errors import JobError
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Severity
from cutprep.stages.check.inspect import check
from cutprep.template.kind import KindOfTemplate
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance


def anything(kind: KindOfTemplate, rng: np.random.Generator) -> dict[str, float]:
    """Each length between its limits on a scale of ratios, half of them left as they come."""
    given = {}
    for d in kind.all_dimensions:
        if d.text or rng.random() < 0.5:
            continue
        if d.choices:
            given[d.name] = float(rng.integers(len(d.choices)))
            continue
        value = float(np.exp(rng.uniform(*np.log([max(d.least, 0.1), max(d.most, 0.2)]))))
        given[d.name] = min(d.most, max(d.least, float(round(value)) if d.count else value))
    return given


def drawn(kind: KindOfTemplate, given: dict[str, float]) -> tuple[Drawing | None, JobError | None]:
    """The drawing, or why there is none."""
    try:
        return kind.from_values(**given), None
    except JobError as fault:
        return None, fault


@pytest.mark.parametrize("name", KINDS)
def test_nonsense_is_refused_with_what_would_do(name: str) -> None:
    kind, rng = KINDS[name], np.random.default_rng(zlib.crc32(name.encode()))
    for _ in range(8):
        given = anything(kind, rng)
        drawing, refused = drawn(kind, given)
        if refused is not None:
            assert refused.problem, given
            assert refused.fix, given
            assert "\n" not in refused.problem, given
        if drawing is not None:
            assert [f for f in check(drawing, Tolerance()) if f.severity is Severity.ERROR] == [], given
