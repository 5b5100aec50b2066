"""Motion times against driving along the path tick by tick (tests/oracles.py).

The outside source is Newton's: at every tick of 0.1 ms the machine speeds up by a dt, or brakes when
what lies ahead asks for it. Per-axis limits; corner speeds from the geometry of the circle that keeps
the junction deviation (S. K. Jeon 2011). The look-ahead's window is driven block by block.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.stages.motion.duration import duration, end_speeds_squared
from tests.moving import machine_of, moves_along
from tests.oracles import least_time


def path(seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    steps = rng.normal(size=(25, 2)) * 10 ** rng.uniform(-0.7, 1.3, (25, 1))
    return np.vstack(((0.0, 0.0), np.cumsum(steps, axis=0)))


def rounded(seed: int) -> np.ndarray:
    """Straight runs joined by fine arcs."""
    rng = np.random.default_rng(seed)
    points, way = [np.zeros(2)], 0.0
    for _ in range(6):
        points.append(points[-1] + rng.uniform(2, 30) * np.array([math.cos(way), math.sin(way)]))
        for _ in range(12):
            way += rng.uniform(0.05, 0.2)
            points.append(points[-1] + 0.4 * np.array([math.cos(way), math.sin(way)]))
    return np.array(points)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("make", [path, rounded])
def test_driving_takes_as_long(make, seed: int) -> None:
    """Within half a percent, with different limits on both axes."""
    rng = np.random.default_rng(100 + seed)
    acceleration = tuple(rng.uniform(300, 3000, 2).tolist())
    speed, deviation = rng.uniform(20, 150), rng.uniform(0.005, 0.05)
    points = make(seed)
    machine = machine_of(acceleration=acceleration, top_speed=(1e9, 1e9), junction=deviation, blocks=1000)
    reference = least_time(points, speed, acceleration, deviation)
    assert duration(moves_along(points, speed), machine).total == pytest.approx(reference, rel=0.005)


@pytest.mark.parametrize("blocks", [2, 3, 5, 16])
def test_the_window_is_what_a_queue_of_blocks_gives(blocks: int) -> None:
    """Planned anew whenever a move begins, with only the moves in the queue and rest at its end."""
    rng = np.random.default_rng(blocks)
    k = 60
    d, along = rng.uniform(0.2, 5, k), rng.uniform(300, 900, k)
    limit = rng.uniform(20, 120, k)
    corner = rng.uniform(0, 100, k - 1) ** 2
    enter = [0.0]
    for i in range(k):
        queue = range(i, min(i + blocks, k))
        leave = 0.0
        for j in reversed(queue):
            if j == i:
                break
            allowed = min(corner[j - 1], limit[j] ** 2, limit[j - 1] ** 2)
            leave = min(allowed, leave + 2 * along[j] * d[j])
        enter.append(min(leave, enter[-1] + 2 * along[i] * d[i]))
    assert end_speeds_squared(d, limit, along, corner, blocks) == pytest.approx(enter, abs=1e-9)
