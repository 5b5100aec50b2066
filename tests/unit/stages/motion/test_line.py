"""The line and the motion together, against the closed form of two stages in a row."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.stages.motion.line import time_over_line


def test_with_room_for_everything_it_is_johnsons_sum() -> None:
    """S. M. Johnson, Naval Research Logistics Quarterly 1 (1954): the makespan of a given order on two machines."""
    rng = np.random.default_rng(0)
    for _ in range(20):
        sizes, seconds = rng.integers(5, 80, 40), rng.exponential(0.03, 40)
        line = np.cumsum(sizes) / 960
        motion = seconds[::-1].cumsum()[::-1]
        wanted = float((line + motion).max())
        assert time_over_line(sizes.tolist(), seconds.tolist(), 960.0, 10**9) == pytest.approx(wanted)


def test_a_slow_line_decides_and_so_does_slow_motion() -> None:
    sizes = [20] * 100
    assert time_over_line(sizes, [0.0] * 100, 1000.0, 128) == pytest.approx(2.0)
    assert time_over_line(sizes, [1.0] * 100, 1000.0, 128) == pytest.approx(100.02)


def test_a_small_buffer_never_helps_and_one_instruction_at_a_time_is_the_sum() -> None:
    rng = np.random.default_rng(1)
    sizes, seconds = rng.integers(5, 80, 60).tolist(), rng.exponential(0.03, 60).tolist()
    took = [time_over_line(sizes, seconds, 960.0, buffer) for buffer in (80, 160, 640, 10**6)]
    assert took == sorted(took, reverse=True)
    assert took[0] > took[-1]
    assert time_over_line([40] * 3, [1.0] * 3, 40.0, 40) == pytest.approx(1.0 + 1.0 + 1.0 + 1.0)


def test_no_instructions_take_no_time() -> None:
    assert time_over_line([], [], 960.0, 128) == 0


@pytest.mark.parametrize("rate", [0.0, -960.0, float("nan"), float("inf")])
def test_a_line_without_a_rate_is_refused(rate: float) -> None:
    with pytest.raises(ValueError, match=r"the line's rate is .* bytes a second; it must be above 0"):
        time_over_line([20], [0.1], rate, 128)
