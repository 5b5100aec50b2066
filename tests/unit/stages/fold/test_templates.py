"""Every kind of template that can be drawn from dimensions folds up as it is meant to."""

from __future__ import annotations

import pytest

from cutprep.model.findings.finding import Severity
from cutprep.model.folded import Verdict
from cutprep.stages.fold.plan import fold
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance

#: Kind to the verdict of its parts. An envelope is drawn with its angles and has nothing to close.
WANTED = {
    "tray": Verdict.OPEN_BOX,
    "tray-with-lid": Verdict.OPEN_BOX,
    "tuck-carton": Verdict.CLOSED,
    "sleeve": Verdict.OPEN_BOX,
    "prism-carton": Verdict.CLOSED,
    "gathered-box": Verdict.CLOSED,
    "pyramid": Verdict.CLOSED,
    "pillow-box": Verdict.CURVED,
    "envelope": Verdict.LEAF,
    "divider": Verdict.FLAT,
    "swing-tag": Verdict.FLAT,
    "band": Verdict.OPEN_BOX,
    "lace": Verdict.FLAT,
}


@pytest.mark.parametrize("kind", sorted(WANTED))
def test_a_template_folds(kind: str) -> None:
    if kind not in KINDS:
        pytest.skip(f"there is no template '{kind}' any more")
    reports = fold(KINDS[kind].from_values(), tolerance=Tolerance())
    assert reports
    for report in reports:
        assert report.verdict is WANTED[kind]
        assert all(m.severity is Severity.NOTE for m in report.messages), report.messages
        if report.closes is not None:
            assert report.closes
            assert report.gap <= 0.5
