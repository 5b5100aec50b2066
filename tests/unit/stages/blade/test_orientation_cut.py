"""Turning the blade where it spoils nothing."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.blade.orientation_cut import find_spot, orientation_cut
from cutprep.stages.blade.tip import headings
from tests.moving import ring

AREA = (300.0, 300.0)


def box(x: float, y: float, wide: float, high: float) -> np.ndarray:
    return ring([(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)])


def spot_for(lines: Lines, *, at_edge: bool = False, area=AREA, toward=(20.0, 20.0)):
    path = orientation_cut(0.25, 0.3)
    move = find_spot(lines, path, 0.25, area, np.array(toward), at_edge=at_edge)
    return None if move is None else path + move


@pytest.mark.parametrize("way", [0.0, 1.0, -2.5])
@pytest.mark.parametrize("offset", [0.1, 0.25, 0.9])
def test_the_orientation_cut_turns_a_blade_from_anywhere(way: float, offset: float) -> None:
    """Wherever it looks, but for two degrees in which a straight pull can't turn it."""
    path = orientation_cut(offset, way)
    off = [
        abs(math.remainder(headings(path, offset, start)[-1] - way, math.tau))
        for start in np.radians(np.arange(0, 360, 1.0))
    ]
    off.sort()
    assert math.degrees(off[-3]) < 1.0
    assert offset * off[-3] < 0.05


@pytest.mark.parametrize("backwards", [0.0, math.pi / 2])
def test_looking_exactly_backwards_is_no_trap(backwards: float) -> None:
    """Against the first direction, and against the leg across: both common after a job before."""
    found = headings(orientation_cut(0.25, 0.0), 0.25, math.pi + backwards)[-1]
    assert math.remainder(found, math.tau) == pytest.approx(0, abs=0.01)


def test_waste_below_the_part_is_found() -> None:
    lines = Lines.of([box(10, 10, 50, 50)], operation=Operation.CUT)
    path = spot_for(lines)
    assert path is not None
    assert (path >= 0).all()
    shape = shapely.LineString(path)
    assert shape.distance(shapely.LineString(lines.points(0))) >= 0.25 + 0.6
    assert not shapely.Polygon(lines.points(0)).contains(shape)


def test_a_hole_is_waste_too() -> None:
    """No margin at all, but a window inside the part."""
    lines = Lines.of([box(0, 0, 60, 60), box(20, 20, 20, 20)], operation=Operation.CUT)
    path = spot_for(lines, area=(60.0, 60.0))
    assert path is not None
    assert shapely.Polygon(lines.points(1)).contains(shapely.LineString(path))


def test_no_waste_no_spot() -> None:
    lines = Lines.of([box(0, 0, 60, 60)], operation=Operation.CUT)
    assert spot_for(lines) is None


def test_the_edge_lies_against_the_area() -> None:
    lines = Lines.of([box(0, 0, 60, 60)], operation=Operation.CUT)
    path = spot_for(lines, at_edge=True)
    assert path is not None
    low, high = path.min(axis=0), path.max(axis=0)
    assert min(*low, *(np.array(AREA) - high)) == pytest.approx(0, abs=1e-9)
    assert (low >= 0).all()
    assert (high <= AREA).all()


def test_no_room_at_all() -> None:
    lines = Lines.of([box(0, 0, 1, 1)], operation=Operation.CUT)
    assert spot_for(lines, at_edge=True, area=(1.0, 1.0)) is None
    assert spot_for(lines, area=(1.0, 1.0)) is None


def test_the_nearest_spot_is_taken() -> None:
    lines = Lines.of([box(100, 100, 50, 50)], operation=Operation.CUT)
    for toward in ((0.0, 0.0), (100.0, 95.0)):
        path = spot_for(lines, toward=toward)
        assert path is not None
        assert np.hypot(*(path.mean(axis=0) - toward)) < 6


def test_a_mat_smaller_than_the_orientation_cut_has_no_edge() -> None:
    """Though no line is in the way."""
    lines = Lines.of([box(100, 100, 5, 5)], operation=Operation.CUT)
    assert spot_for(lines, at_edge=True, area=(1.5, 300.0)) is None
    assert spot_for(lines, at_edge=True, area=(300.0, 1.5)) is None
    assert spot_for(lines, area=(1.5, 300.0)) is None
    assert spot_for(lines, area=(300.0, 1.5)) is None


def test_the_legs_of_the_orientation_cut() -> None:
    """Four offsets across to the left, eight along."""
    path = orientation_cut(0.5, 0.0)
    assert path == pytest.approx(np.array([(0, 0), (0, 2), (4, 2)]))
    turned = orientation_cut(0.5, math.pi / 2)
    assert turned == pytest.approx(np.array([(0, 0), (-2, 0), (-2, 4)]))


def test_no_line_is_nearer_than_the_blade_reaches() -> None:
    """0.6 mm clear of everything, the blade's offset on top, lines inside a window included."""
    window, score = box(20, 20, 20, 20), np.array([(22.0, 30.0), (38.0, 30.0)])
    lines = Lines.of(
        [box(0, 0, 60, 60), window, score], operation=[Operation.CUT, Operation.CUT, Operation.SCORE]
    )
    path = spot_for(lines, area=(60.0, 60.0))
    assert path is not None
    distance = min(shapely.LineString(path).distance(shapely.LineString(lines.points(i))) for i in range(3))
    assert distance >= 0.85


def test_all_four_edges_are_tried() -> None:
    """Near each corner of an empty mat the edge beside it is taken."""
    lines = Lines.of([box(140, 140, 5, 5)], operation=Operation.CUT)
    for toward, axis, value in (
        ((150, 0), 1, 0),
        ((150, 300), 1, 300),
        ((0, 150), 0, 0),
        ((300, 150), 0, 300),
    ):
        path = spot_for(lines, at_edge=True, toward=toward)
        assert path is not None
        assert np.abs(path[:, axis] - value).min() == pytest.approx(0, abs=1e-9)
        assert np.hypot(*(path.mean(axis=0) - toward)) < 6


def test_the_edges_of_a_long_mat() -> None:
    """Wide and high are not mixed up: far along each edge, and never beyond it."""
    lines = Lines.of([box(40, 40, 5, 5)], operation=Operation.CUT)
    for area in ((200.0, 90.0), (90.0, 200.0)):
        for toward in ((area[0], 0.0), (0.0, area[1]), area):
            path = spot_for(lines, at_edge=True, area=area, toward=toward)
            assert path is not None
            assert (path >= -1e-9).all()
            assert (path <= np.array(area) + 1e-9).all()
            assert np.hypot(*(path.mean(axis=0) - toward)) < 4


def test_waste_lies_left_of_below_or_between() -> None:
    """Right of everything and above it there may be no card any more."""
    lines = Lines.of([box(100, 100, 50, 50)], operation=Operation.CUT)
    path = spot_for(lines, toward=(300.0, 300.0))
    assert path is not None
    assert (path.max(axis=0) <= 150 + 1e-9).all()


def test_a_score_makes_no_part_and_no_hole() -> None:
    """Only closed cuts bound card: a scored ring inside a part is still inside of it."""
    part, ring_in_it = box(0, 0, 60, 60), box(20, 20, 20, 20)
    scored = Lines.of([part, ring_in_it], operation=[Operation.CUT, Operation.SCORE])
    assert spot_for(scored, area=(60.0, 60.0)) is None
    opened = Lines.of([part, ring_in_it[:-1]], operation=Operation.CUT)
    assert spot_for(opened, area=(60.0, 60.0)) is None
