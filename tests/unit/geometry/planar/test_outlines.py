"""Outlines of parts and holes, whatever pieces they are drawn in."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.closeness.neighbours import neighbours
from cutprep.geometry.planar.ends.joints import find_joints
from cutprep.geometry.planar.outlines import Outlines, open_chains, ring_polygons
from cutprep.geometry.planar.plane import Plane
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from tests.drawn import LIMITS, box, circle


def outlines(*points: object) -> Outlines:
    """Outlines of cut lines."""
    lines = Lines.of([np.asarray(p, float) for p in points], operation=Operation.CUT)
    return Plane(lines, LIMITS).outlines


SIDES = [[(0, 0), (20, 0)], [(20, 0), (20, 20)], [(20, 20), (0, 20)], [(0, 20), (0, 0)]]


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("one line", [box(0, 0, 20, 20)]),
        ("four sides", SIDES),
        ("four sides with a gap", [[(0.5, 0), (20, 0)], *SIDES[1:]]),
        ("a slit from a corner", [*SIDES, [(0, 0), (5, 5)]]),
        ("a slit from a side", [*SIDES, [(9, 0), (9, 5)]]),
        ("a slit that runs over", [*SIDES, [(9, -3), (9, 5)]]),
        ("a wall through the middle", [*SIDES, [(10, 0), (10, 20)]]),
        ("a wall in the way of two halves", [[(0, 0), (10, 0), (10, 20), (0, 20), (0, 0)], [(10, 0), (20, 0), (20, 20), (10, 20)]]),
        ("a side missing in part", [[(7, 0), (20, 0), (20, 20), (0, 20), (0, 0)]]),
        ("turned", [np.array(side) @ np.array([[0.8, 0.6], [-0.6, 0.8]]) for side in [*SIDES, [(9, 0), (9, 5)]]]),
    ],
)  # fmt: skip
def test_a_part_is_recognised(name: str, lines: list) -> None:
    """One outline, with its inside inside."""
    found = outlines(*lines)
    assert len(found) == 1, name
    turned = np.array([[0.8, 0.6], [-0.6, 0.8]]) if name == "turned" else np.eye(2)
    points = np.array([(3, 10), (17, 10), (30, 10), (-3, 10)]) @ turned
    assert found.depth(points).tolist() == [1, 1, 0, 0]
    assert found.closed.all() == (name != "a side missing in part")
    assert found.depth(points, closed_only=True)[0] == int(name != "a side missing in part")
    assert found.edge(np.array([(20, 10.0), (10, 10.0)]) @ turned, 0.1).tolist() == [True, False]


def test_holes_lie_deeper() -> None:
    """Odd is card, even is waste or outside."""
    found = outlines(box(0, 0, 40, 40), circle((20, 20), 8), circle((20, 20), 2))
    assert found.depth(np.array([(5, 5), (20, 15), (20, 20.5), (60, 60)])).tolist() == [1, 2, 3, 0]


def test_a_lattice_has_one_outline() -> None:
    """Cells with shared sides are one part."""
    lines = [[(5 * i, 5 * j), (5 * i + 5, 5 * j)] for i in range(3) for j in range(4)]
    lines += [[(5 * i, 5 * j), (5 * i, 5 * j + 5)] for i in range(4) for j in range(3)]
    found = outlines(*lines)
    assert [round(p.area, 3) for p in found.polygons] == [225]


def test_nothing_to_find() -> None:
    """No lines, or none that bounds anything."""
    assert len(outlines()) == 0
    found = outlines([(0, 0), (9, 0)])
    assert len(found) == 0
    assert found.depth(np.array([(1.0, 1.0)])).tolist() == [0]
    assert found.edge(np.array([(1.0, 1.0)]), 0.1).tolist() == [False]
    assert len(ring_polygons(Lines.empty())) == 0


def test_open_chains_bound_something_or_nothing() -> None:
    """A bent line whose ends come near each other does; a straight or folded one doesn't."""
    drawn = ([(9, 0), (20, 0), (20, 20), (0, 20), (0, 0)], [(50, 0), (80, 0)], [(0, 50), (30, 50), (1, 50.1)])
    lines = Lines.of(drawn)
    near = neighbours(lines, LIMITS.gap, spot=LIMITS.doubled)
    found = open_chains(lines, find_joints(lines, np.ones(3, bool), near, LIMITS))
    assert found.bounding.tolist() == [True, False, False]
    assert found.apart[:2].tolist() == pytest.approx([9, 30])
    assert found.length[0] == pytest.approx(71)
