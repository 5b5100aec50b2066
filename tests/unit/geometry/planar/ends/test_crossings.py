"""Where lines cross, told apart from where they touch."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.closeness.neighbours import neighbours
from cutprep.geometry.planar.ends.chains import JoinedChains, trace
from cutprep.geometry.planar.ends.crossings import Crossings, find_crossings
from cutprep.model.lines import Lines
from tests.drawn import box, circle


def crossings(*points: object) -> Crossings:
    """All crossings among lines."""
    lines = Lines.of([np.asarray(p, float) for p in points])
    every = np.ones(len(lines), bool)
    near = neighbours(lines, 0.5, spot=0.1)
    return find_crossings(near, every, every, JoinedChains(lines, trace(lines, 0.05)), touch=0.1)


def test_two_lines_cross_once() -> None:
    """With the place on both of them."""
    found = crossings([(0, 0), (10, 0)], [(4, -3), (4, 6)])
    assert len(found) == 1
    assert found.xy.tolist() == [[4, 0]]
    assert (found.at[0], found.at_other[0]) == pytest.approx((4, 3))


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("an end on a line", ([(0, 0), (10, 0)], [(4, 0), (4, 6)])),
        ("an end just over a line", ([(0, 0), (10, 0)], [(4, -0.08), (4, 6)])),
        ("a corner on a line", ([(0, 0), (10, 0)], [(2, 5), (4, 0), (6, 5)])),
        ("two corners", ([(0, 5), (4, 0), (8, 5)], [(0, -5), (4, 0), (8, -5)])),
        ("a shared side", (box(0, 0, 9, 9), box(9, 0, 9, 9))),
        ("boxes at a corner", (box(0, 0, 9, 9), box(9, 9, 9, 9))),
        ("one inside the other, touching", (box(0, 0, 9, 9), box(0, 3, 5, 3))),
        ("parallel", ([(0, 0), (9, 0)], [(0, 0.2), (9, 0.2)])),
        ("a closed line at its seam", (box(0, 0, 9, 9),)),
        ("a circle", (circle((0, 0), 3),)),
    ],
)
def test_touching_is_not_crossing(name: str, lines: tuple) -> None:
    """Corners, ends and shared sides."""
    assert len(crossings(*lines)) == 0, name


@pytest.mark.parametrize(
    ("name", "lines", "count"),
    [
        ("through a vertex", ([(0, 0), (4, 0), (10, 0)], [(4, -3), (4, 6)]), 1),
        ("through two vertices", ([(0, 0), (4, 0), (10, 0)], [(4, -3), (4, 0), (4, 6)]), 1),
        ("through a joint of two lines", ([(0, 0), (4, 0)], [(4, 0), (10, 0)], [(4, -3), (4, 6)]), 1),
        ("boxes over each other", (box(0, 0, 9, 9), box(5, 5, 9, 9)), 2),
        ("a bow", ([(0, 0), (9, 9), (9, 0), (0, 9), (0, 0)],), 1),
        ("a bow at its seam", ([(5, 5), (9, 9), (9, 1), (1, 9), (1, 1), (5, 5)],), 1),
        ("two circles", (circle((0, 0), 5), circle((4, 0), 5)), 2),
    ],
)
def test_crossings_are_counted_once(name: str, lines: tuple, count: int) -> None:
    """Wherever vertices, joints and seams lie."""
    assert len(crossings(*lines)) == count, name
