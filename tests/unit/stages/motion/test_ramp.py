"""One move: trapezoid or triangle."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.stages.motion.ramp import peak_squared, ramp_times
from tests.oracles import time_at_rest, time_with_jerk


def one(*values: float):
    return tuple(np.array([float(v)]) for v in values)


def test_a_long_move_reaches_its_speed() -> None:
    assert peak_squared(*one(100, 50, 500, 0, 0))[0] == 2500


def test_a_short_move_does_not() -> None:
    """1 mm at 500 mm/s2: half of it speeding up, v^2 = 2 a d/2."""
    assert peak_squared(*one(1, 50, 500, 0, 0))[0] == 500


def test_a_move_at_its_limit_all_along() -> None:
    assert ramp_times(*one(30, 10, 500, 100, 100))[0] == pytest.approx(3)


def test_a_move_that_only_brakes() -> None:
    """From 20 to 10 mm/s at 100 mm/s2: 1.5 mm in 0.1 s."""
    assert ramp_times(*one(1.5, 20, 100, 400, 100))[0] == pytest.approx(0.1)


def test_the_two_formulas_agree() -> None:
    for length in (0.01, 1, 4.9, 5, 5.1, 300):
        assert ramp_times(*one(length, 50, 500, 0, 0))[0] == pytest.approx(time_at_rest(length, 50, 500))


def test_a_hard_jerk_is_a_trapezoid() -> None:
    for length in (0.5, 4, 100):
        assert time_with_jerk(length, 50, 500, 1e9) == pytest.approx(time_at_rest(length, 50, 500), rel=1e-5)


def test_a_soft_jerk_never_reaches_the_acceleration() -> None:
    """v j < a^2: the ramp is 2 sqrt(v/j) long."""
    assert time_with_jerk(100, 50, 500, 500) == pytest.approx(100 / 50 + 2 * (50 / 500) ** 0.5)
    assert time_with_jerk(1, 50, 500, 500) == pytest.approx(4 * (1 / 1000) ** (1 / 3))
