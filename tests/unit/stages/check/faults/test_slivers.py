"""Slivers and repeated points, told to the maker."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from cutprep.model.findings.finding import Mend
from cutprep.stages.check.inspect import check
from tests.drawn import LIMITS, Pen, box, circle, faults


@pytest.mark.parametrize("length", [0.0, 0.02, 0.29])
def test_a_sliver(length: float) -> None:
    """With its length; mending drops it."""
    found = faults(Pen().cut(box(0, 0, 30, 20), [(9, 9), (9 + length, 9)]))
    assert [(f.code, f.mend) for f in found] == [("crumb", Mend.SAFE)]
    assert found[0].measure == pytest.approx(length)


def test_an_outline_of_tiny_lines_has_no_slivers() -> None:
    """An exploded curve."""
    ring = circle((20, 20), 5, sagitta=0.0005)
    assert np.hypot(*(ring[1] - ring[0])) < 0.3
    assert faults(Pen().cut(*pairwise(ring))) == []


def test_repeated_points_are_counted_once_for_all() -> None:
    """A note with the first place on each line."""
    pen = Pen().cut([(0, 0), (9, 0), (9, 0), (9, 9), (9, 9), (0, 0)], [(50, 0), (50, 0), (90, 0)])
    note = next(f for f in check(pen.drawing, LIMITS) if f.code == "repeated-point")
    assert note.measure == 3
    assert len(note.places) == 2
    assert note.places[0].xy == pytest.approx((9, 0))
    assert [place.line for place in note.places] == [1, 2]


def test_one_repeated_point_is_told_in_the_singular() -> None:
    (note,) = (
        f
        for f in check(Pen().cut([(0, 0), (9, 0), (9, 0), (9, 9)]).drawing, LIMITS)
        if f.code == "repeated-point"
    )
    assert note.problem.startswith("1 point on 1 line lies on the point before it: ")
