"""What says nothing is taken out."""

from __future__ import annotations

import numpy as np

from cutprep.stages.mend.drop import drop_points, drop_slivers
from tests.drawn import LIMITS, Pen, box


def test_repeated_points_go_and_closed_lines_stay_closed() -> None:
    """Wherever they stand."""
    ring = [(0, 0), (0, 0), (9, 0), (9, 0), (9, 9), (0, 0), (0, 0)]
    lines = Pen().cut(ring, [(1, 1), (2, 2), (2, 2)]).lines
    made, findings = drop_points(lines, np.ones(2, bool), LIMITS)
    assert made.points(0).tolist() == [[0, 0], [9, 0], [9, 9], [0, 0]]
    assert made.points(1).tolist() == [[1, 1], [2, 2]]
    assert made.closed.tolist() == [True, False]
    assert findings[0].measure == 4


def test_lines_without_length_are_slivers_not_points() -> None:
    """They stay whole until they go."""
    lines = Pen().cut([(0, 0), (0, 0)], box(0, 0, 9, 9)).lines
    assert drop_points(lines, np.ones(2, bool), LIMITS) == (lines, ())
    made, findings = drop_slivers(lines, np.ones(2, bool), LIMITS)
    assert len(made) == 1
    assert [f.code for f in findings] == ["removed-crumb"]


def test_nothing_to_drop() -> None:
    """The very same lines come back; guides are left alone."""
    lines = Pen().cut(box(0, 0, 9, 9)).lines
    assert drop_slivers(lines, np.ones(1, bool), LIMITS) == (lines, ())
    tiny = Pen().cut([(0, 0), (0.1, 0)]).lines
    assert drop_slivers(tiny, np.zeros(1, bool), LIMITS) == (tiny, ())


def test_one_point_is_told_in_the_singular() -> None:
    _, (told,) = drop_points(Pen().cut([(0, 0), (9, 0), (9, 0), (9, 9)]).lines, np.ones(1, bool), LIMITS)
    assert told.problem == "1 point on 1 line lay on the point before it."
    assert told.fix.startswith("It was taken out")
