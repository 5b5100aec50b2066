"""One template of every kind folds to what plane and solid geometry say of it.

The kinds, their dimensions by lot and what must come of them stand in `tests.kinds`; the bench
`python -m tests.bench.fold_kinds` draws many of each.
"""

from __future__ import annotations

import pytest

from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.bench.fold_kinds import KINDS, case_of, describe, false_errors, judge
from tests.kinds.makers import MAKERS

#: Kinds that folding doesn't know well yet; the bench counts how often.
OPEN: frozenset[str] = frozenset(
    {
        "bipyramid",
        "pillow pack",
        "star in relief",
    }
)
#: Kinds that others stand for here; the bench folds them.
SPARED = frozenset(
    {
        "gable top, open below",
        "gable box with handle",
        "drawer, rolled, handle holes",
        "drawer, rolled all round",
    }
) | (
    frozenset(MAKERS)
    - {
        "pencil box",
        "popcorn box",
        "carton with a door in a wall",
        "envelope, tongue in a slit",
        "calendar stand",
        "drawer, rolled over a rim of 2 mm",
    }
)


@pytest.mark.parametrize("kind", [k for k in KINDS if k not in OPEN | SPARED])
def test_a_kind(kind: str) -> None:
    case = case_of(kind, 0)
    reports = fold(case.drawing, tolerance=Tolerance())
    assert judge(reports, case.wants, rough=False) == "right", describe(reports, case.wants)
    assert not false_errors(reports)
