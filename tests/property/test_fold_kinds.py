"""One template of every third kind folds to what plane and solid geometry say of it.

The kinds, their dimensions by lot and what must come of them stand in `tests.kinds`; the bench
`python -m tests.bench.fold_kinds --each 1` folds one of each kind.
"""

from __future__ import annotations

import pytest

from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.bench.fold_kinds import KINDS, case_of, describe, false_errors, judge
from tests.kinds.shapes import SHAPES

#: Kinds that folding doesn't know well yet; the bench counts how often.
OPEN: frozenset[str] = frozenset(
    {
        "bipyramid",
        "bowl of triangles",
        "pillow pack",
        "star in relief",
    }
)
#: One kind in so many is folded here, none of the last twenty; the bench folds all of them.
_ONE_IN = 3


@pytest.mark.parametrize(
    "kind", [k for k in sorted(KINDS.keys() - SHAPES.keys())[::_ONE_IN] if k not in OPEN]
)
def test_a_kind(kind: str) -> None:
    case = case_of(kind, 0)
    reports = fold(case.drawing, tolerance=Tolerance())
    assert judge(reports, case.wants, rough=False) == "right", describe(reports, case.wants)
    assert not false_errors(reports)
