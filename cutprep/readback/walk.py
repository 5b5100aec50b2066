"""Walk along two polylines at once and find where they part.

The decision that underlies the Fréchet distance (Alt and Godau 1995), made greedily: every vertex
of the second line gets the earliest place on the first that is within reach and not before the
last one; what the first line does in between must stay near the straight way of the second. Both
lines are almost the same, so each step looks no further than the next few chords.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Flags, Points

#: An arc's bulge over a chord, beyond which it is no longer the arc of the chord (mm).
_MOST_BULGE = 0.03
#: A spare part of the bulge that rounding and unequal chords take.
_BULGE_SPARE = 1.25


@dataclass(frozen=True, slots=True, eq=False)
class Apart:
    """Where two lines are too far from each other.

    Attributes
    ----------
    wanted, got
        Positions on the first and on the second line, mm.
    distance
        Between them, mm.
    """

    wanted: Points
    got: Points
    distance: float


def walk_apart(wanted: Points, got: Points, curved: Flags, within: float) -> Apart | None:
    """Find the first place where two lines are further apart than allowed.

    Parameters
    ----------
    wanted, got
        (n, 2) and (m, 2) vertices, mm.
    curved
        (m,) the step to a vertex of `got` is a chord of an arc.
    within
        Largest distance, mm.

    Returns
    -------
    Apart or None
        None when the lines agree.
    """
    for k in (0, -1):
        gap = float(math.dist(wanted[k], got[k]))
        if gap > within:
            return Apart(wanted[k], got[k], gap)
    if len(wanted) == len(got) and not curved.any():
        gaps = np.hypot(*(wanted - got).T)
        worst = int(gaps.argmax())
        # Vertex by vertex within reach: so is every point between (a distance of lines is convex).
        if gaps[worst] <= within:
            return None
    return _walk(wanted, got, curved, within)


def _walk(wanted: Points, got: Points, curved: Flags, within: float) -> Apart | None:
    bulge = _bulges(wanted)
    p, q = wanted.tolist(), got.tolist()
    arcs = curved.tolist()
    at, t = 0, 0.0  # the place on `wanted`: on chord `at`, a part t of it
    for j in range(1, len(q)):
        spot = (q[j][0], q[j][1])
        place = _earliest(p, spot, at, t, within, bulge if arcs[j] else None)
        if place is None:
            return _nearest(wanted, got[j], at)
        # What the planned line does on the way must lie along this step.
        last = -1.0
        for k in range(at + 1, place[0] + 1):
            room = within + (bulge[min(k, len(bulge) - 1)] if arcs[j] else 0.0)
            gap, along = _to_step(p[k], q[j - 1], spot)
            if gap > room or along < last - 2 * within:
                return Apart(wanted[k], np.array(_on_step(q[j - 1], spot, along)), gap)
            last = max(last, along)
        at, t = place
    for k in range(at + 1, len(p)):
        gap = math.dist(p[k], q[-1])
        if gap > within:
            return Apart(wanted[k], got[-1], gap)
    return None


def _bulges(points: Points) -> list[float]:
    """How far an arc through the neighbouring vertices stands off from each chord, mm."""
    steps = np.diff(points, axis=0)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    turn = np.zeros(len(steps) + 1)
    if len(steps) > 1:
        cross = steps[:-1, 0] * steps[1:, 1] - steps[:-1, 1] * steps[1:, 0]
        turn[1:-1] = np.abs(np.arctan2(cross, (steps[:-1] * steps[1:]).sum(axis=1)))
    sagitta = lengths * np.maximum(turn[:-1], turn[1:]) / 8
    return [float(s) for s in np.minimum(sagitta * _BULGE_SPARE, _MOST_BULGE)]


def _earliest(
    p: list[list[float]],
    spot: tuple[float, float],
    at: int,
    t: float,
    within: float,
    bulge: list[float] | None,
) -> tuple[int, float] | None:
    """First place on the chords from (at, t) on that is within reach of a spot."""
    for k in range(at, len(p) - 1):
        reach = within + (bulge[k] if bulge is not None else 0.0)
        (ax, ay), (bx, by) = p[k], p[k + 1]
        dx, dy = bx - ax, by - ay
        length2 = dx * dx + dy * dy
        low = t if k == at else 0.0
        if length2 == 0:
            if math.hypot(spot[0] - ax, spot[1] - ay) <= reach:
                return k, low
            continue
        foot = ((spot[0] - ax) * dx + (spot[1] - ay) * dy) / length2
        off2 = (spot[0] - ax - foot * dx) ** 2 + (spot[1] - ay - foot * dy) ** 2
        if off2 > reach * reach:
            continue
        half = math.sqrt((reach * reach - off2) / length2)
        enter, leave = max(foot - half, low), min(foot + half, 1.0)
        if enter <= leave:
            return k, enter
    return None


def _to_step(spot: list[float], a: list[float], b: tuple[float, float]) -> tuple[float, float]:
    """Distance of a spot from a step, and how far along it (mm) its foot lies."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dy)
    if length == 0:
        return math.dist(spot, a), 0.0
    along = ((spot[0] - a[0]) * dx + (spot[1] - a[1]) * dy) / length
    along = min(max(along, 0.0), length)
    return math.hypot(spot[0] - a[0] - dx * along / length, spot[1] - a[1] - dy * along / length), along


def _on_step(a: list[float], b: tuple[float, float], along: float) -> tuple[float, float]:
    length = math.hypot(b[0] - a[0], b[1] - a[1])
    part = along / length if length else 0.0
    return (a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part)


def _nearest(wanted: Points, spot: Points, at: int) -> Apart:
    """The nearest place on the rest of a line, for the message."""
    a, b = wanted[at:-1], wanted[at + 1 :]
    step = b - a
    length2 = np.maximum((step * step).sum(axis=1), np.finfo(float).tiny)
    part = np.clip(((spot - a) * step).sum(axis=1) / length2, 0.0, 1.0)
    feet = a + step * part[:, None]
    gaps = np.hypot(*(feet - spot).T)
    k = int(gaps.argmin())
    return Apart(feet[k], spot, float(gaps[k]))
