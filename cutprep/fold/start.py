"""Fold angles to start from: corners of a convex body tell the folds of the hinges that end there.

Three panels round a corner fix its folds (spherical trigonometry). With more, the corner is
taken for one that fits into a round cone, which regular corners do exactly and others nearly:
the panels cut a polygon out of a sphere round the corner whose vertices lie on one circle.
Starting near the convex solution also keeps the search away from dented ones.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from cutprep.fold.outline import Fan
from cutprep.model.lines import Points

#: A corner with a panel wider than this says nothing about folds, degrees.
_WIDEST = 175.0
#: What an exact corner counts for against a guessed one.
_EXACT = 100.0


def corner_folds(angles: tuple[float, ...]) -> list[float] | None:
    """Fold angles between the panels round one convex corner.

    Parameters
    ----------
    angles
        Panel angles at the corner in turn, degrees.

    Returns
    -------
    list of float or None
        Fold angle after each panel, degrees; None when the corner can't be convex.

    References
    ----------
    Todhunter, Spherical Trigonometry (1886), articles 62 and 89 (isosceles and circumscribed
    triangles).
    """
    if len(angles) < 3 or max(angles) > _WIDEST or min(angles) <= 0 or sum(angles) >= 360.0:
        return None
    half = np.radians(np.array(angles)) / 2
    largest = int(half.argmax())
    if 2 * half[largest] >= half.sum() * 2 - 2 * half[largest]:
        return None
    sign = np.ones(len(half))
    if _round(half, sign, float(half[largest])) < 2 * math.pi:
        sign[largest] = -1.0  # the circle's centre lies beyond the largest panel
    radius = _radius(half, sign, float(half[largest]))
    base = sign * np.arccos(np.clip(np.tan(half) / math.tan(radius), -1.0, 1.0))
    inner = np.degrees(base + np.roll(base, -1))
    return [float(180.0 - a) for a in inner]


def _round(half: Points, sign: Points, radius: float) -> float:
    """Angle that the sides take round the centre of a circle, radians."""
    return float((sign * 2 * np.arcsin(np.clip(np.sin(half) / math.sin(radius), 0.0, 1.0))).sum())


def _radius(half: Points, sign: Points, least: float) -> float:
    """Radius of the circle through all vertices, radians, by halving."""
    wanted = 2 * math.pi if sign.min() > 0 else 0.0
    low, high = least, math.pi / 2
    for _ in range(60):
        middle = (low + high) / 2
        value = _round(half, sign, middle)
        too_small = value > wanted if sign.min() > 0 else value < wanted
        low, high = (middle, high) if too_small else (low, middle)
    return (low + high) / 2


def start_folds(cycles: Iterable[Fan]) -> dict[int, float]:
    """Estimate the fold of every hinge that ends at a closed corner.

    Returns
    -------
    dict
        Hinge number to fold angle, degrees, 0 to 180.
    """
    total: dict[int, tuple[float, float]] = {}
    for fan in cycles:
        folds = corner_folds(fan.angles)
        if folds is None:
            continue
        weight = _EXACT if len(folds) == 3 else 1.0
        for seam, fold in zip(fan.seams, folds, strict=True):
            value, sum_of = total.get(seam, (0.0, 0.0))
            total[seam] = (value + weight * fold, sum_of + weight)
    return {seam: value / weight for seam, (value, weight) in total.items() if seam >= 0}
