"""What several checks share."""

from __future__ import annotations

from cutprep.stages.check.survey import Survey
from tests.drawn import LIMITS, Pen, box


def survey(pen: Pen) -> Survey:
    """The survey of a drawing."""
    return Survey(pen.drawing, LIMITS, 1.5)


def test_lines_drawn_twice_are_spare() -> None:
    """The copy is, a line of another operation is not."""
    found = survey(Pen().cut(box(0, 0, 20, 20), [(0, 0), (20, 0)]).score([(0, 0), (20, 0)]))
    assert found.spare.tolist() == [False, True, False]
    assert found.chain.tolist()[:2] == [0, 0]
    assert found.in_ring.tolist() == [True, False, False]


def test_each_thing_is_worked_out_once() -> None:
    """And only for worked lines."""
    found = survey(Pen().cut(box(0, 0, 20, 20), [(5, -5), (5, 5)]))
    assert found.nearby is found.nearby
    assert found.cut_crossings.xy.tolist() == [[5, 0]]
    assert found.lengths.tolist() == [80, 10]
    assert len(found.outlines) == 1
