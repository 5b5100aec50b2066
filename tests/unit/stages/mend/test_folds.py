"""Folds are trimmed and carried on."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.planar.folds import Ending, Endings
from cutprep.stages.mend.folds import fit_folds
from tests.drawn import Pen


def endings(*rows: tuple[int, Ending, int, float, tuple[float, float]]) -> Endings:
    """Endings from rows of line, kind, end, distance and target."""
    return Endings(
        line=np.array([r[0] for r in rows]),
        kind=np.array([int(r[1]) for r in rows]),
        end=np.array([r[2] for r in rows]),
        distance=np.array([r[3] for r in rows]),
        xy=np.zeros((len(rows), 2)),
        target=np.array([r[4] for r in rows], float),
    )


LINES = Pen().score([(0, 0), (10, 0), (20, 0)], [(0, 5), (20, 5)]).lines


def test_both_ends_of_one_line() -> None:
    """Trimmed at one, carried on at the other; a vertex beyond the cut goes."""
    made, found = fit_folds(
        LINES, endings((0, Ending.OVERSHOOT, 0, 11.0, (11, 0)), (0, Ending.UNDERSHOOT, 1, 2.0, (22, 0))), 12.0
    )
    assert made.points(0).tolist() == [[11, 0], [22, 0]]
    assert made.points(1).tolist() == [[0, 5], [20, 5]]
    assert [f.code for f in found] == ["trimmed-score", "extended-score"]
    assert [f.measure for f in found] == [11, 2]


@pytest.mark.parametrize(
    "row",
    [
        (0, Ending.OVERSHOOT, 0, 4.0, (4, 0)),
        (0, Ending.PANEL, 0, np.nan, (np.nan, np.nan)),
        (0, Ending.HOLE, -1, 1.0, (1, 0)),
        (0, Ending.OVERSHOOT, 0, 1.0, (np.nan, np.nan)),
    ],
)
def test_what_is_left(row: tuple) -> None:
    """Too far, in a panel, in between, or nobody knows where to."""
    assert fit_folds(LINES, endings(row), 3.0) == (LINES, ())


def test_a_line_is_not_trimmed_away() -> None:
    """What would leave nothing is left."""
    made, found = fit_folds(LINES, endings((1, Ending.OVERSHOOT, 0, 25.0, (25, 5))), 30.0)
    assert found == ()
    assert made is LINES
