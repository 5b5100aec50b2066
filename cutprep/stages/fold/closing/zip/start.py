"""Fold angles to start from: corners of a convex body tell the folds of the hinges that end there.

Three panels round a corner fix its folds (spherical trigonometry). With more, the corner is
taken for one that fits into a round cone, which regular corners do exactly and others nearly:
the panels cut a polygon out of a sphere round the corner whose vertices lie on one circle.
Starting near the convex solution also keeps the search away from dented ones.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from cutprep.stages.fold.closing.zip.outline import Fan

#: A corner with a panel wider than this says nothing about folds, degrees.
_WIDEST = 179.5
#: Card within this of all round a corner is flat there, degrees.
_AS_GOOD_AS_FLAT = 3.0
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
    if len(angles) < 3 or max(angles) > _WIDEST or min(angles) <= 0:
        return None
    if sum(angles) >= 360.0:
        return [0.0] * len(angles) if sum(angles) < 360.0 + _AS_GOOD_AS_FLAT else None
    half = [math.radians(a) / 2 for a in angles]
    widest = max(half)
    if 2 * widest >= sum(half):
        return None
    largest = half.index(widest)
    beyond = _round(half, widest) < 2 * math.pi  # the circle's centre lies beyond the widest panel
    radius = _radius(half, largest if beyond else None, widest)
    base = [math.acos(min(1.0, math.tan(h) / math.tan(radius))) for h in half]
    if beyond:
        base[largest] = -base[largest]
    return [180.0 - math.degrees(base[k] + base[(k + 1) % len(base)]) for k in range(len(base))]


def _round(half: list[float], radius: float) -> float:
    """Angle that the sides take round the centre of a circle, radians."""
    return sum(2 * math.asin(min(1.0, math.sin(h) / math.sin(radius))) for h in half)


def _radius(half: list[float], beyond: int | None, least: float) -> float:
    """Radius of the circle through all vertices, radians, by halving."""
    low, high = least, math.pi / 2
    for _ in range(50):
        middle = (low + high) / 2
        if beyond is None:
            small = _round(half, middle) > 2 * math.pi
        else:
            widest = 2 * math.asin(min(1.0, math.sin(half[beyond]) / math.sin(middle)))
            small = _round(half, middle) < 2 * widest
        low, high = (middle, high) if small else (low, middle)
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
