"""Speeds through corners, and limits along directions."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.stages.motion.junction import corner_speed_squared, junction_squared, limit_along

X, Y = np.array([1.0, 0.0]), np.array([0.0, 1.0])


def at(degrees: float) -> np.ndarray:
    return np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])


def test_limits_along_axes_and_diagonals() -> None:
    found = limit_along(np.array([X, Y, at(45), -X]), (100.0, 50.0))
    assert found == pytest.approx([100, 50, 50 * math.sqrt(2), 100])


def test_an_overall_limit_holds_everywhere() -> None:
    assert limit_along(np.array([X, at(45)]), (100.0, 100.0), 80.0) == pytest.approx([80, 80])


def test_no_directions_no_limits() -> None:
    assert len(limit_along(np.empty((0, 2)), (1.0, 1.0))) == 0


def test_straight_on_is_free_and_back_is_a_stop() -> None:
    assert corner_speed_squared([-1.0, 1.0], 500.0, 0.01).tolist() == [math.inf, 0]


def test_without_a_deviation_every_corner_is_a_stop() -> None:
    assert corner_speed_squared(np.cos(np.radians([30, 90, 170])), 500.0, 0.0).tolist() == [0, 0, 0]


def squared(u: np.ndarray, w: np.ndarray, per_axis=(500.0, 500.0)) -> float:
    direction = np.array([u, w])
    return float(junction_squared(direction, limit_along(direction, per_axis), per_axis, np.inf, 0.01)[0])


def test_a_right_angle_along_the_axes() -> None:
    assert math.sqrt(squared(X, Y)) == pytest.approx(3.47434, abs=1e-5)


def test_no_axis_is_asked_for_more_than_it_can_give() -> None:
    """Turned by 45 degrees the change of velocity lies along one axis: not sqrt 2 faster."""
    assert squared(at(45), at(135)) == pytest.approx(squared(X, Y))


def test_the_slower_axis_decides() -> None:
    assert squared(X, Y, (500.0, 100.0)) == pytest.approx(squared(X, Y) / 5)


def test_cosines_beyond_one_by_their_last_digit() -> None:
    """Sums of products are that inexact; no warning, and the same answers."""
    beyond = np.nextafter(1.0, 2.0)
    assert corner_speed_squared([-beyond, beyond], 500.0, 0.01).tolist() == [math.inf, 0]
