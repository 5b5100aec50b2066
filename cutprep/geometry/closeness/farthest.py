"""How far groups of points lie from lines of their own, many small groups at once.

Objects of a geometry library for each point and line take longer to make than to measure, and ten times the memory
of their coordinates; here the chords of many lines are laid side by side as columns, and only long lines get an index.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
import shapely

from cutprep.model.lines import Index, Points

#: With more pairs of a point and a chord than this, chords are searched by an index (measured: the break-even).
_MANY = 20_000
#: Pairs of a point and a chord that are worked out together: columns that a processor's cache holds.
_AT_ONCE = 100_000
_Row: TypeAlias = tuple[Points, Points]


def farthest(points: Sequence[Points], lines: Sequence[Sequence[Points]]) -> Points:
    """Greatest distance of each group of points to the lines of the same number.

    Parameters
    ----------
    points
        Groups of (n, 2) points, mm.
    lines
        For each group lines of (k, 2) vertices, mm.

    Returns
    -------
    (m,) ndarray of float
        mm; infinite for a group without lines, 0 for one without points.
    """
    result = np.array([math.inf if len(group) else 0.0 for group in points])
    alike: dict[int, list[tuple[int, _Row]]] = {}
    for i, (group, near) in enumerate(zip(points, lines, strict=True)):
        if not len(group) or not near:
            continue
        chords = _chords(near[0]) if len(near) == 1 else np.concatenate(list(map(_chords, near)))
        if len(group) * len(chords) > _MANY:
            result[i] = _farthest_from_long(group, chords)
        else:
            alike.setdefault(_padded(len(chords)), []).append((i, (group, chords)))
    for width, rows in alike.items():
        _measure_alike(width, rows, result)
    return result


def _chords(line: Points) -> Points:
    """Both ends of each chord, (k, 4)."""
    chords = np.empty((len(line) - 1, 4))
    chords[:, :2], chords[:, 2:] = line[:-1], line[1:]
    return chords


def _padded(count: int) -> int:
    """The next of a few sizes, at most a quarter larger: lines of nearly as many chords are worked out together."""
    step = 1 << max(0, count.bit_length() - 3)
    return -(-count // step) * step


def _measure_alike(width: int, rows: Sequence[tuple[int, _Row]], result: Points) -> None:
    """Measure groups whose lines are told by so many chords each; the last chord stands in for those that miss."""
    most = max(1, _AT_ONCE // width)
    first = 0
    while first < len(rows):
        last, held = first + 1, len(rows[first][1][0])
        while last < len(rows) and held + len(rows[last][1][0]) <= most:
            held += len(rows[last][1][0])
            last += 1
        some = rows[first:last]
        chords = np.empty((len(some), width, 4))
        for k, (_, (_, own)) in enumerate(some):
            chords[k, : len(own)], chords[k, len(own) :] = own, own[-1]
        counts = np.array([len(group) for _, (group, _) in some])
        distance = _distances(
            np.concatenate([group for _, (group, _) in some]), np.repeat(np.arange(len(some)), counts), chords
        )
        result[[i for i, _ in some]] = np.maximum.reduceat(distance, np.cumsum(counts) - counts)
        first = last


def _distances(points: Points, owner: Index, chords: Points) -> Points:
    """Distance of each point to the nearest chord of its owner's row; a large group comes in pieces."""
    ax, ay = chords[..., 0], chords[..., 1]
    dx, dy = chords[..., 2] - ax, chords[..., 3] - ay
    square = dx * dx + dy * dy
    inverse = np.divide(1.0, square, out=np.zeros_like(square), where=square > 0)
    nearest = np.empty(len(points))
    step = max(1, _AT_ONCE // chords.shape[1])
    for begin in range(0, len(points), step):
        part = slice(begin, begin + step)
        row = owner[part]
        ex, ey = points[part, :1] - ax[row], points[part, 1:] - ay[row]
        vx, vy = dx[row], dy[row]
        share = np.clip((ex * vx + ey * vy) * inverse[row], 0.0, 1.0)
        ex -= share * vx
        ey -= share * vy
        nearest[part] = (ex * ex + ey * ey).min(axis=1)
    return np.sqrt(nearest)


def _farthest_from_long(points: Points, chords: Points) -> float:
    """Greatest distance of points to very many chords, by way of an index over these."""
    tree = shapely.STRtree(np.asarray(shapely.linestrings(chords.reshape(-1, 2, 2))))
    _, distance = tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)
    return float(distance.max())
