"""Walk along two polylines at once and find where they part.

Whether two lines can be walked together, never back and never further apart than a limit, is the
decision that underlies the Fréchet distance; this is the free-space diagram of Alt and Godau
(*Computing the Fréchet distance between two polygonal curves*, Int. J. Comput. Geom. Appl. 5, 1995,
section 2), kept to the cells that can be reached. Lines that agree keep to a narrow band of it, so
the work grows with their length. A *cell* pairs a chord of the first line with one of the second.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Flags, Points
from cutprep.tolerance import ZERO

#: An arc's bulge over a chord, beyond which it is no longer the arc of the chord (mm).
_MOST_BULGE = 0.03
#: A spare part of the bulge that rounding and unequal chords take.
_BULGE_SPARE = 1.25

_Spot = tuple[float, float]
_Span = tuple[float, float]


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
    """Find a place where two lines are further apart than allowed.

    Parameters
    ----------
    wanted, got
        (n, 2) and (m, 2) vertices, mm; at least two each.
    curved
        (m,) the step to a vertex of `got` is a chord of an arc; there a chord of `wanted` may lie
        as far off as an arc through its neighbouring vertices bulges. Its vertices may not.
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
        # Vertex by vertex within reach: so is every point between (the distance is convex).
        if float(gaps.max()) <= within:
            return None
    if _keep_step(wanted.tolist(), got.tolist(), within):
        return None
    stuck = _last_reached(wanted, got, curved, within)
    return None if stuck is None else _parting(wanted, got, *stuck)


def _keep_step(wanted: list[list[float]], got: list[list[float]], within: float) -> bool:
    """Whether a walk from vertex to vertex, on one line or on both, keeps within reach; no means nothing.

    The points between keep within reach then, too: the coupling distance bounds that of Fréchet from above (T. Eiter and
    H. Mannila, *Computing discrete Fréchet distance*, TU Wien CD-TR 94/64, 1994). The step that stays nearest is taken.
    """
    (p, *ahead), (q, *beside) = wanted, got
    i = j = 0
    while i < len(ahead) or j < len(beside):
        alone = math.dist(ahead[i], q) if i < len(ahead) else math.inf
        other = math.dist(p, beside[j]) if j < len(beside) else math.inf
        both = math.dist(ahead[i], beside[j]) if i < len(ahead) and j < len(beside) else math.inf
        nearest = min(both, alone, other)
        if nearest > within:
            return False
        if nearest in (both, alone):
            p, i = ahead[i], i + 1
        if nearest == both or nearest != alone:
            q, j = beside[j], j + 1
    return True


def _last_reached(wanted: Points, got: Points, curved: Flags, within: float) -> tuple[int, int] | None:
    """Walk the free space column by column: None at its far corner, else the furthest cell."""
    p: list[_Spot] = [(x, y) for x, y in wanted.tolist()]
    q: list[_Spot] = [(x, y) for x, y in got.tolist()]
    near = within + ZERO
    wide = [near + bulge for bulge in _bulges(wanted)]
    arcs = curved.tolist()
    left = _first_column(p, q[0], near)
    along_start = True  # the walk may still stand at the first line's start
    for j in range(len(q) - 1):
        # A vertex of an arc may bulge off the planned chord, not so one between straight moves.
        bent = arcs[j + 1]
        bottom = _span(p[0], q[j], q[j + 1], near) if along_start else None
        bottom = bottom if bottom is not None and bottom[0] <= 0 else None
        along_start = bottom is not None and bottom[1] >= 1
        right: dict[int, _Span] = {}
        i = 0 if bottom is not None else min(left)
        furthest = i
        while i < len(p) - 1 and (bottom is not None or i <= max(left, default=-1)):
            begin = left.get(i)
            if begin is not None or bottom is not None:
                furthest = i
                exit_right = _span(q[j + 1], p[i], p[i + 1], wide[i] if bent else near)
                exit_top = _span(p[i + 1], q[j], q[j + 1], near)
                reach = _reachable(exit_right, bottom, begin)
                if reach is not None:
                    right[i] = reach
                bottom = _reachable(exit_top, begin, bottom)
            i += 1
        if not right:
            return furthest, j
        left = right
    end = left.get(len(p) - 2)
    return None if end is not None and end[1] >= 1 else (max(left), len(q) - 2)


def _first_column(p: list[_Spot], start: _Spot, near: float) -> dict[int, _Span]:
    """How far the first line can be walked while the second stands at its start."""
    left: dict[int, _Span] = {}
    for i in range(len(p) - 1):
        span = _span(start, p[i], p[i + 1], near)
        if span is None or span[0] > 0:
            break
        left[i] = span
        if span[1] < 1:
            break
    return left


def _reachable(free: _Span | None, across: _Span | None, beside: _Span | None) -> _Span | None:
    """The part of a free edge that can be reached, moving forward only.

    All of it from the edge across the corner; from the edge beside it only what lies ahead.
    """
    if free is None or (across is None and beside is None):
        return None
    if across is not None:
        return free
    assert beside is not None
    low = max(free[0], beside[0])
    return (low, free[1]) if low <= free[1] else None


def _span(spot: _Spot, a: _Spot, b: _Spot, reach: float) -> _Span | None:
    """The part of a chord (as parts of its length) that lies within reach of a spot."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    ex, ey = spot[0] - a[0], spot[1] - a[1]
    length2 = dx * dx + dy * dy
    if length2 < ZERO * ZERO:
        return (0.0, 1.0) if ex * ex + ey * ey <= reach * reach else None
    foot = (ex * dx + ey * dy) / length2
    off = (ex * dy - ey * dx) ** 2 / length2
    room = reach * reach - off
    if room < 0:
        return None
    half = math.sqrt(room / length2)
    low, high = max(foot - half, 0.0), min(foot + half, 1.0)
    return (low, high) if low <= high else None


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


def _parting(wanted: Points, got: Points, i: int, j: int) -> Apart:
    """Show where the walk got stuck: the worse of the two next vertices and its nearest place ahead."""
    ahead, planned = got[j + 1], wanted[i + 1]
    ours = (_nearest(wanted[max(i - 1, 0) :], ahead), ahead)
    theirs = (planned, _nearest(got[max(j - 1, 0) :], planned))
    worst = max(ours, theirs, key=lambda pair: math.dist(*pair))
    return Apart(*worst, math.dist(*worst))


def _nearest(line: Points, spot: Points) -> Points:
    """The place on a few chords that is nearest to a spot."""
    a, step = line[:-1], np.diff(line, axis=0)
    length2 = np.maximum((step * step).sum(axis=1), ZERO * ZERO)
    part = np.clip(((spot - a) * step).sum(axis=1) / length2, 0.0, 1.0)
    feet = a + step * part[:, None]
    return np.asarray(feet[int(np.hypot(*(feet - spot).T).argmin())])
