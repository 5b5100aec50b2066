"""What docs/TRIALS.md says of a wrong blade offset, against the equations of a trailing wheel.

Source: d(phi)/ds = sin(alpha - phi)/e, the generalised tractrix (Perrault 1670, Huygens 1692), integrated here by the
classical Runge-Kutta rule, independently of the package.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest


def tip_path(tried: float, true: float, turn: float) -> np.ndarray:
    """Tip of a blade of offset `true` along a pivot path that was planned for `tried`; corner at the origin."""
    step = 0.002
    swing = np.arange(0.0, tried * turn, step) / tried
    away = np.array([math.cos(turn), math.sin(turn)])
    pivot = np.vstack(
        [
            np.arange(tried - 5.0, tried, step)[:, None] * [1.0, 0.0],
            tried * np.column_stack((np.cos(swing), np.sin(swing))),
            tried * away + np.arange(0.0, 5.0, step)[:, None] * away,
        ]
    )
    phi, tips = 0.0, []
    for a, b in pairwise(pivot):
        alpha, s = math.atan2(b[1] - a[1], b[0] - a[0]), math.dist(a, b)

        def slope(at: float, alpha: float = alpha) -> float:
            return math.sin(alpha - at) / true

        k1 = slope(phi)
        k2 = slope(phi + s / 2 * k1)
        k3 = slope(phi + s / 2 * k2)
        k4 = slope(phi + s * k3)
        phi += s / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
        tips.append(b - true * np.array([math.cos(phi), math.sin(phi)]))
    return np.array(tips)


def beside(tips: np.ndarray, turn: float) -> float:
    """How far the tip comes off the two sides of the corner, mm."""
    way = np.array([math.cos(turn), math.sin(turn)])
    before = np.clip(tips[:, 0], None, 0.0)[:, None] * [1.0, 0.0]
    after = np.clip(tips @ way, 0.0, None)[:, None] * way
    return float(np.minimum(np.hypot(*(tips - before).T), np.hypot(*(tips - after).T)).max())


@pytest.mark.parametrize("turn", [90.0, 120.0])
def test_too_small_an_offset_misses_the_corner_by_its_error(turn: float) -> None:
    tips = tip_path(0.2, 0.3, math.radians(turn))
    assert np.hypot(*tips.T).min() == pytest.approx(0.1, abs=0.004)
    assert beside(tips, math.radians(turn)) > 0.08


@pytest.mark.parametrize("turn", [90.0, 120.0])
def test_too_large_an_offset_runs_past_the_corner(turn: float) -> None:
    tips = tip_path(0.4, 0.3, math.radians(turn))
    straight = tips[np.abs(tips[:, 1]) < 1e-9, 0]
    assert straight.max() == pytest.approx(0.1, abs=0.004)
    about = 2 * 0.1 * math.sin(math.radians(turn) / 2)
    assert beside(tips, math.radians(turn)) == pytest.approx(about, rel=0.1)
