"""Turning the blade where it spoils nothing."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from cutprep.blade.first_turn import find_spot, hook
from cutprep.blade.tip import headings
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from tests.moving import ring

AREA = (300.0, 300.0)


def box(x: float, y: float, wide: float, high: float) -> np.ndarray:
    return ring([(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)])


def spot_for(lines: Lines, *, at_edge: bool = False, area=AREA, near=(20.0, 20.0)):
    path = hook(0.25, 0.3)
    move = find_spot(lines, path, 0.25, area, np.array(near), at_edge=at_edge)
    return None if move is None else path + move


@pytest.mark.parametrize("way", [0.0, 1.0, -2.5])
@pytest.mark.parametrize("offset", [0.1, 0.25, 0.9])
def test_the_hook_turns_a_blade_from_anywhere(way: float, offset: float) -> None:
    """Wherever it looks, but for two degrees in which a straight pull can't turn it."""
    path = hook(offset, way)
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
    found = headings(hook(0.25, 0.0), 0.25, math.pi + backwards)[-1]
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
    for near in ((0.0, 0.0), (100.0, 95.0)):
        path = spot_for(lines, near=near)
        assert path is not None
        assert np.hypot(*(path.mean(axis=0) - near)) < 6
