"""Motion times against pyGCodeDecode 1.5.1 (KIT, MIT; Journal of Open Source Software, 10.21105/joss.06465).

It simulates G-code on firmware with junction deviation. Used where it can serve: every move written
as G1 (it knows no rapid rate), one acceleration whatever the direction, turns of 20 degrees and more
or 5 and less (it passes turns below 18 degrees at full speed), no lifting (M words cost it nothing).
Its corner speed is given as jerk = sqrt(deviation x acceleration / 0.414).

What it found stands here as figures, since it brings half a gigabyte of libraries for drawing in space;
`python -m tests.bench.motion` asks it anew, with `pip install "cutprep[bench]"`.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.stages.motion.duration import duration
from tests.moving import machine_of, moves_along

WITHIN = 0.005


def polygon(sides: int, radius: float) -> np.ndarray:
    a = np.linspace(0, 2 * math.pi, sides + 1)
    return radius * np.column_stack((np.cos(a), np.sin(a)))


def stairs(count: int, step: float) -> np.ndarray:
    k = np.arange(count + 1)
    return np.vstack(((-50.0, 0.0), np.column_stack(((k + 1) // 2 * step, k // 2 * step))))


def wander(seed: int) -> np.ndarray:
    """Moves of 0.5 to 30 mm that turn by 20 to 150 degrees each."""
    rng = np.random.default_rng(seed)
    turn = np.radians(rng.uniform(20, 150, 40)) * rng.choice([-1, 1], 40)
    way = np.cumsum(turn)
    steps = (10 ** rng.uniform(-0.3, 1.5, 40))[:, None] * np.column_stack((np.cos(way), np.sin(way)))
    return np.vstack(((0.0, 0.0), np.cumsum(steps, axis=0)))


PATHS = {
    "square of 100 mm": (np.array([(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)], float), 50, 500, 0.01),
    "zig": (np.array([(0, 0), (10, 0), (12, 0), (12, 2), (0, 2)], float), 100, 500, 0.01),
    "12 sides, radius 20": (polygon(12, 20), 50, 500, 0.01),
    "72 sides, radius 20": (polygon(72, 20), 50, 500, 0.01),
    "20 stairs of 0.5 mm": (stairs(20, 0.5), 50, 500, 0.01),
    "there and back": (np.array([(0, 0), (20, 0), (0, 0)], float), 50, 500, 0.01),
    "wander 1": (wander(1), 60, 1500, 0.01),
    "wander 2": (wander(2), 120, 3000, 0.02),
    "wander 3": (wander(3), 30, 500, 0.05),
}
#: Seconds from rest to rest that pyGCodeDecode 1.5.1 gives (28 November 2026).
SECONDS = {
    "square of 100 mm": 8.359756,
    "zig": 0.719446,
    "12 sides, radius 20": 3.223190,
    "72 sides, radius 20": 2.612477,
    "20 stairs of 0.5 mm": 2.075776,
    "there and back": 1.0,
    "wander 1": 5.855986,
    "wander 2": 3.025313,
    "wander 3": 11.527364,
}


@pytest.mark.parametrize("name", PATHS)
def test_time_agrees(name: str) -> None:
    """Within half a percent; the whole path lies within the look-ahead."""
    points, speed, acceleration, deviation = PATHS[name]
    machine = machine_of(
        acceleration=(1e9, 1e9), top_speed=(1e9, 1e9), path_acceleration=float(acceleration),
        junction=deviation, blocks=1000,
    )  # fmt: skip
    ours = duration(moves_along(points, speed), machine).total
    assert ours == pytest.approx(SECONDS[name], rel=WITHIN)
