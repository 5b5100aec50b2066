"""Motion times against mechanics and the junction-deviation formula, worked by hand.

Sources: uniformly accelerated motion; S. K. Jeon, cornering algorithm (24 September 2011), for the
speed through a corner; HP, 7470A Interfacing and Programming Manual, p. 3-3, for a pen plotter's
38.1 cm/s and nominal 2 g. The figures were computed from these formulas outside the project.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.stages.motion.duration import duration, end_speeds_squared, move_times
from cutprep.stages.motion.junction import corner_speed_squared
from cutprep.stages.motion.ramp import ramp_times
from tests.moving import machine_of, moves_along
from tests.oracles import time_at_rest, time_with_jerk

SQUARE = [(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)]
ZIG = [(0, 0), (10, 0), (12, 0), (12, 2), (0, 2)]


@pytest.mark.parametrize(("length", "seconds"), [(100, 2.1), (5, 0.2), (4, 0.178885), (1, 0.089443)])
def test_from_rest_to_rest(length: float, seconds: float) -> None:
    """v 50, a 500; the speed is just reached at 5 mm."""
    assert time_at_rest(length, 50, 500) == pytest.approx(seconds, abs=1e-6)
    ours = move_times(moves_along([(0, 0), (length, 0)], 50), machine_of())
    assert ours[0] == pytest.approx(seconds, abs=1e-6)


def test_between_two_speeds() -> None:
    """d 20, v 100, a 500, from 10 to 30 mm/s: 0.33 s."""
    d, v, a, enter, leave = (np.array([x], float) for x in (20, 100, 500, 100, 900))
    assert ramp_times(d, v, a, enter, leave)[0] == pytest.approx(0.33, abs=1e-12)


@pytest.mark.parametrize(
    ("length", "jerk", "seconds"), [(100, 5e3, 2.2), (4, 5e3, 0.294723), (1, 5e3, 0.185664), (100, 5e4, 2.11)]
)
def test_with_limited_jerk(length: float, jerk: float, seconds: float) -> None:
    """v 50, a 500."""
    assert time_with_jerk(length, 50, 500, jerk) == pytest.approx(seconds, abs=1e-6)


@pytest.mark.parametrize(("jerk", "inches"), [(4000, 0.5), (8000, 0.375)])
def test_a_ramp_with_limited_jerk(jerk: float, inches: float) -> None:
    """From 0 to 10 in/s with 200 in/s2: the ramp is 0.5 and 0.375 in long (a controller maker's test rows)."""
    # Two such ramps and nothing between: the time is that of a move twice as long.
    assert time_with_jerk(2 * inches, 10, 200, jerk) == pytest.approx(2 * (10 / 200 + 200 / jerk))
    assert (10 / 2) * (10 / 200 + 200 / jerk) == pytest.approx(inches)


CORNERS = {
    30: 1.32136, 45: 1.76056, 60: 2.23607, 90: 3.47434, 120: 5.68511, 135: 7.79008, 150: 11.90541,
    165: 24.07164, 175: 72.44531,
}  # fmt: skip


@pytest.mark.parametrize("interior", CORNERS)
def test_speed_through_a_corner(interior: int) -> None:
    """a 500, deviation 0.01 mm."""
    squared = corner_speed_squared(math.cos(math.radians(interior)), 500.0, 0.01)
    assert math.sqrt(squared) == pytest.approx(CORNERS[interior], abs=5e-6)


@pytest.mark.parametrize(("interior", "speed"), [(90, 10.98684), (120, 17.97791), (150, 37.64820)])
def test_speed_through_a_wider_corner(interior: int, speed: float) -> None:
    """a 1000, deviation 0.05 mm."""
    squared = corner_speed_squared(math.cos(math.radians(interior)), 1000.0, 0.05)
    assert math.sqrt(squared) == pytest.approx(speed, abs=5e-6)


def test_a_corner_is_as_fast_as_by_corner_jerk() -> None:
    """A deviation of (sqrt 2 - 1) J^2 / a gives a right angle the speed J."""
    deviation = (math.sqrt(2) - 1) * 10**2 / 1000
    assert math.sqrt(corner_speed_squared(0.0, 1000.0, deviation)) == pytest.approx(10)


def test_the_square() -> None:
    """100 mm, v 50, a 500, deviation 0.01 mm: 8.359756 s; stopping at each corner, 8.4 s."""
    seconds = move_times(moves_along(SQUARE, 50), machine_of())
    assert seconds == pytest.approx([2.093293, 2.086585, 2.086585, 2.093293], abs=1e-6)
    assert duration(moves_along(SQUARE, 50), machine_of()).total == pytest.approx(8.359756, abs=1e-6)
    assert duration(moves_along(SQUARE, 50), machine_of(junction=0.0)).total == pytest.approx(8.4, abs=1e-9)


def test_the_zig() -> None:
    """v 100: 0.719446 s; the short second side holds the first back to 44.85612 mm/s at its end."""
    assert duration(moves_along(ZIG, 100), machine_of()).total == pytest.approx(0.719446, abs=1e-6)
    d, limit, along = np.array([10.0, 2, 2, 12]), np.full(4, 100.0), np.full(4, 500.0)
    corner = np.array([np.inf, 3.47434**2, 3.47434**2])
    ends = np.sqrt(end_speeds_squared(d, limit, along, corner, 16))
    assert ends == pytest.approx([0, 44.85612, 3.47434, 3.47434, 0], abs=1e-5)


@pytest.mark.parametrize(("sides", "seconds"), [(12, 3.22319), (72, 2.61248), (24, 3.22460)])
def test_polygons(sides: int, seconds: float) -> None:
    """Round a polygon of radius 20 mm at 50 mm/s, with one acceleration of 500 whatever the direction."""
    a = np.linspace(0, 2 * math.pi, sides + 1)
    moves = moves_along(20 * np.column_stack((np.cos(a), np.sin(a))), 50)
    machine = machine_of(path_acceleration=500.0, blocks=1000)
    assert duration(moves, machine).total == pytest.approx(seconds, abs=6e-6)


def test_a_pen_plotter() -> None:
    """HP 7470A: 38.1 cm/s, 2 g; a stroke of 250 mm takes 0.67559 s."""
    machine = machine_of(acceleration=(19613.3, 19613.3))
    seconds = move_times(moves_along([(0, 0), (250, 0)], 381), machine)
    assert seconds[0] == pytest.approx(0.67559, abs=5e-6)


def test_a_diagonal_is_faster_than_an_axis() -> None:
    """min over axes of limit / |component|: along 45 degrees both limits rise by sqrt 2."""
    straight = move_times(moves_along([(0, 0), (100, 0)], 1e6), machine_of(top_speed=(50.0, 50.0)))[0]
    diagonal = move_times(moves_along([(0, 0), (100, 100)], 1e6), machine_of(top_speed=(50.0, 50.0)))[0]
    assert straight == pytest.approx(2.1)
    assert diagonal == pytest.approx(2.1), "each axis does just what it did alone"
