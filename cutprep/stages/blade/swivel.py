"""The pivot's path for a wanted tip path.

A drag knife's tip trails its pivot by the offset. Where the tip runs straight, the pivot runs
on the same line, ahead by the offset. At a corner the tip waits while the pivot goes round it
on an arc, the swivel. On a curve of radius R the pivot's radius is sqrt(R^2 + e^2), which is
what "ahead along the tangent" gives.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cutprep.model.lines import Index, Points
from cutprep.stages.blade.track import Angles, HeadedPath, along_curve, spread, unit, wrap

#: Share of the blade tolerance that each single approximation may use up.
_SHARE = 0.1
#: Twice the 8 in e turn w^2 / 8: the drag may use twice the share, before it is made up for.
_DRAG = 16.0
#: Widest angle of one chord of a swivel, radians.
_WIDEST = np.radians(25.0)


def pivot_path(tips: HeadedPath, offset: NDArray[np.float64], blade: float) -> tuple[Points, Index]:
    """Lead the tip along tracks.

    Parameters
    ----------
    tips
        Where the tip should run, one line for each time the tool is down. At a line's first
        vertex `arrive` is the blade's heading when it comes down.
    offset
        (m,) distance from pivot to tip on each line, mm.
    blade
        Largest blade error, mm.

    Returns
    -------
    points
        (k, 2) ndarray of float: the pivot's path, mm; at the first point of a line the tool
        comes down.
    start
        (m + 1,) ndarray of int: where each line starts.

    References
    ----------
    Trailing-wheel kinematics, d(phi)/ds = sin(alpha - phi)/e: a tip that moves along its own
    heading only is led by the pivot at tip + e (cos phi, sin phi).
    """
    slack = _SHARE * blade
    fine = refine_curves(tips, offset, slack)
    e = np.repeat(offset, np.diff(fine.start))
    turn = wrap(fine.leave - fine.arrive)
    chords = _swivel_chords(turn, e, slack)
    vertex, j = spread(chords + 1)
    # A turn too small to swivel is made in one point, at the mean of both headings.
    share = np.where(chords[vertex] > 0, j / np.maximum(chords[vertex], 1), 0.5)
    heading = fine.arrive[vertex] + turn[vertex] * share
    inner = (j > 0) & (j < chords[vertex])
    reach = e[vertex] * np.where(inner, _outset(turn, chords)[vertex], 1.0)
    points = fine.xy[vertex] + reach[:, None] * unit(heading)
    before = np.concatenate(([0], np.cumsum(chords + 1)))
    return points, before[fine.start]


def _swivel_chords(turn: Angles, e: Points, slack: float) -> Index:
    """How many chords each swivel arc gets; 0 where one point will do.

    With one point the pivot is off both lines by e sin(turn/2). Chords that span w each are
    shorter than the arc by w^2/24 of its length: the blade lags by that share of the turn, and
    the tip is dragged by up to about e turn w^2/8 (found by integration). `_outset` makes up for
    most of that.
    """
    size = np.abs(turn)
    needed = e * np.sin(size / 2.0) > slack
    widest = np.sqrt(_DRAG * slack / np.maximum(e * size, slack))
    count = np.ceil(size / np.minimum(widest, _WIDEST))
    return np.where(needed, count, 0).astype(np.int64)


def _outset(turn: Angles, chords: Index) -> Points:
    """Radius of a swivel's inner points over the offset, so that its chords are as long as the arc.

    With n chords of angle w and inner points at (1 + c) e, the length is about
    2 e sin(w/2) (n + (n - 1) c).
    """
    n = np.maximum(chords, 1)
    half = np.abs(turn) / n / 2.0
    excess = half / np.where(half > 0, np.sin(half), 1.0) - 1.0
    return np.where(n > 1, 1.0 + excess * n / np.maximum(n - 1, 1), 1.0)


def refine_curves(tips: HeadedPath, offset: NDArray[np.float64], slack: float) -> HeadedPath:
    """Put more points on curves that are tight for the offset; `offset` (m,) mm, slack mm.

    The pivot's radius exceeds the tip's, so its chords stand further off their arc than the
    tip's do, and the tip shrinks by R'/R of that. A piece of length L that turns by w with the
    offset e adds about e^2 w^3 / (12 L).
    """
    chord, turn = tips.pieces()
    length = np.hypot(*chord.T)
    e = np.repeat(offset, np.diff(tips.start))
    excess = e * e * np.abs(turn) ** 3 / np.where(length > 0, 12.0 * length * slack, np.inf)
    pieces = np.maximum(np.ceil(np.sqrt(excess)), 1).astype(np.int64)
    if bool((pieces == 1).all()):
        return tips
    vertex, j = spread(pieces)
    xy, heading = along_curve(
        tips.xy[vertex], chord[vertex], tips.leave[vertex], turn[vertex], j / pieces[vertex]
    )
    before = np.concatenate(([0], np.cumsum(pieces)))
    return HeadedPath(
        xy,
        np.where(j == 0, tips.arrive[vertex], heading),
        np.where(j == 0, tips.leave[vertex], heading),
        before[tips.start],
    )
