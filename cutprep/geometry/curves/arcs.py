"""Arcs found again in polylines that were flattened from them.

A flattened circle has its vertices on the circle and its chords inside it. `recover_arcs` finds
the longest runs of vertices that one arc passes within a tolerance, through both of the run's
end points, and that bulge no further from their chords than flattening ever leaves them: so the
corners of a square are not taken for a circle. Terms: a *piece* is such an arc, or the straight
chords between two arcs; its *sweep* is positive counter-clockwise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Points

#: Largest distance of a vertex from its arc, mm. The promise is 0.01 mm; half of the read-back
#: limit of 0.005 mm leaves the other half to the digits of the file.
WITHIN = 0.0025
#: Largest distance of a chord from its arc, mm: the flattening limit 0.02 and what rounding adds.
BULGE = 0.025
#: Fewer chords than this are cheaper said as they are, and any three points lie on some circle.
FEWEST_CHORDS = 3
#: Arcs flatter than this radius (mm) are lines to every machine that fits on a table.
LARGEST_RADIUS = 2000.0
#: Largest turn at one vertex, radians: 60 degrees; at 0.02 mm it is reached at a radius of 0.15 mm.
SHARPEST = math.pi / 3
#: A chord that spans so much more of an arc than both its neighbours was not flattened from that arc.
_UNEVEN = 5 / 3
#: Longest sweep of one piece, radians: three quarters of a circle. Beyond, the two ends come so
#: close together that the centre hangs on their rounding.
WIDEST = 1.5 * math.pi


@dataclass(frozen=True, slots=True)
class FittedSpan:
    """A part of a polyline, from vertex `first` to vertex `last`.

    Attributes
    ----------
    first, last
        Indices of its end vertices; the next piece starts at `last`.
    centre
        Centre of the arc, mm, equally far from both ends; None for straight chords.
    sweep
        Radians, counter-clockwise positive; 0 for straight chords.
    """

    first: int
    last: int
    centre: tuple[float, float] | None = None
    sweep: float = 0.0


def recover_arcs(points: Points, *, within: float = WITHIN, bulge: float = BULGE) -> list[FittedSpan]:
    """Cut a polyline into arcs and runs of straight chords.

    Parameters
    ----------
    points
        (n, 2) vertices, mm, no two neighbours equal.
    within
        Largest distance of a vertex from its arc, mm.
    bulge
        Largest distance of a chord from its arc, mm.

    Returns
    -------
    list of FittedSpan
        In order, covering all vertices; straight runs and arcs alternate freely.
    """
    if len(points) < FEWEST_CHORDS + 1:
        return [FittedSpan(0, len(points) - 1)] if len(points) > 1 else []
    pieces: list[FittedSpan] = []
    at = 0
    turn = _turns(points)
    turned = np.cumsum(np.abs(turn))
    for bend, last in _bends(points, turn, bulge):
        first = max(bend, at)  # two bends share the chord between them
        while last - first >= FEWEST_CHORDS:
            # The sweep of an arc is the turns at its inner vertices, and half a turn at each end.
            widest = int(np.searchsorted(turned, turned[first] + WIDEST)) - 1
            end, arc = _longest_arc(points, first, min(last, widest), within, bulge)
            if arc is None:
                first += 1
                continue
            if first > at:
                pieces.append(FittedSpan(at, first))
            pieces.append(arc)
            at = first = end
    if at < len(points) - 1:
        pieces.append(FittedSpan(at, len(points) - 1))
    return pieces


def _turns(points: Points) -> Points:
    """Turn at each vertex, radians, 0 at both ends; faster than in degrees with the ends joined."""
    steps = np.diff(points, axis=0)
    turn = np.zeros(len(points))
    cross = steps[:-1, 0] * steps[1:, 1] - steps[:-1, 1] * steps[1:, 0]
    turn[1:-1] = np.arctan2(cross, (steps[:-1] * steps[1:]).sum(axis=1))
    return turn


def _bends(points: Points, turn: Points, bulge: float) -> list[tuple[int, int]]:
    """Runs of vertices (first, last) that keep turning one way, by little enough to be a curve."""
    lengths = np.hypot(*np.diff(points, axis=0).T)
    # A chord of length c under an arc that turns by t at its ends bulges by about c t / 8.
    gentle = np.minimum(lengths[:-1], lengths[1:]) * np.abs(turn[1:-1]) / 8 <= bulge
    sign = np.zeros(len(points), int)
    sign[1:-1] = np.where((np.abs(turn[1:-1]) <= SHARPEST) & gentle, np.sign(turn[1:-1]), 0)
    edges = np.flatnonzero(np.diff(sign)) + 1
    starts, ends = np.append(0, edges).tolist(), np.append(edges, len(sign)).tolist()
    return [(s - 1, e) for s, e in zip(starts, ends, strict=True) if sign[s] and e - (s - 1) >= FEWEST_CHORDS]


def _longest_arc(
    points: Points, first: int, last: int, within: float, bulge: float
) -> tuple[int, FittedSpan | None]:
    """Try all the way, else double the reach while it fits; then halve the doubt: the longest arc."""
    good = first + FEWEST_CHORDS
    best = fit_arc(points[first : good + 1], within, bulge)
    if best is None:
        return first, None
    whole = fit_arc(points[first : last + 1], within, bulge) if last > good else None
    if whole is not None:
        good, best = last, whole
    bad, reach = max(last, good + 1), FEWEST_CHORDS
    while bad - good > 1:
        reach *= 2
        end = min(first + reach, (good + bad) // 2)
        fitted = fit_arc(points[first : end + 1], within, bulge) if end > good else None
        if fitted is not None:
            good, best = end, fitted
        elif end > good:
            bad = end
    centre, sweep = best
    return good, FittedSpan(first, good, centre, sweep)


def fit_arc(points: Points, within: float, bulge: float) -> tuple[tuple[float, float], float] | None:
    """Fit an arc through both end points of a polyline that turns one way.

    The centre lies on the perpendicular bisector of the ends, at the distance that leaves the
    least squares of radial error at the other vertices.

    Parameters
    ----------
    points
        (n, 2) vertices, mm, n >= 3.
    within, bulge
        Limits for vertices and chords, mm.

    Returns
    -------
    tuple or None
        Centre and sweep (radians), or None when no arc keeps to the limits.
    """
    a, b = points[0], points[-1]
    chord = b - a
    length = math.hypot(chord[0], chord[1])
    if length == 0:
        return None
    along, across = chord / length, np.array([-chord[1], chord[0]]) / length
    rest = points[1:-1] - (a + b) / 2
    u, v = rest @ along, rest @ across
    # |p - c|^2 - |a - c|^2 = u^2 + v^2 - length^2/4 - 2 v t, for the centre at t along the bisector.
    excess = u * u + v * v - length * length / 4
    weight = float(v @ v)
    if weight == 0:
        return None
    t = float(excess @ v) / (2 * weight)
    centre = (a + b) / 2 + t * across
    radius = math.hypot(length / 2, t)
    if radius > LARGEST_RADIUS:
        return None
    spokes = points - centre
    if float(np.abs(np.hypot(spokes[:, 0], spokes[:, 1]) - radius).max()) > within:
        return None
    cross = spokes[:-1, 0] * spokes[1:, 1] - spokes[:-1, 1] * spokes[1:, 0]
    angles = np.arctan2(cross, (spokes[:-1] * spokes[1:]).sum(axis=1))
    sweep = float(angles.sum())
    one_way = bool((angles > 0).all() or (angles < 0).all())
    if not one_way or abs(sweep) > WIDEST:
        return None
    spread = np.abs(angles)
    off = radius * (1 - np.cos(spread / 2))  # of each chord from the arc
    beside = np.maximum(np.append(spread[1:], 0.0), np.append(0.0, spread[:-1]))
    if float(off.max()) > bulge or bool(((off > within) & (spread > _UNEVEN * beside)).any()):
        return None
    return (float(centre[0]), float(centre[1])), sweep
