"""Which things may touch: an index over boxes, points in cells, and what hangs together.

The tree over boxes is GEOS' (shapely); points, of which there are many and which are asked
for tiny distances only, go by a sorted grid, which costs a tenth of the tree.
"""

from __future__ import annotations

import numpy as np
import shapely

from cutprep.model.lines import Index, Points

#: Half of the eight neighbours of a cell, and the cell itself: each pair is met once.
_NEXT = ((0, 0), (1, 0), (-1, 1), (0, 1), (1, 1))
#: Rows asked for in one go; bounds the memory of a query.
_CHUNK = 50_000


def box_pairs(boxes: Points, within: float) -> tuple[Index, Index]:
    """Pairs of boxes that come within a distance of each other.

    Parameters
    ----------
    boxes
        (n, 4) ndarray of float: left, bottom, right, top, mm.
    within
        Distance, mm, measured along each axis.

    Returns
    -------
    first, second
        (k,) ndarray of int each, first < second, sorted.
    """
    if len(boxes) < 2:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    left, bottom, right, top = boxes.T
    half = within / 2
    frames = shapely.box(left - half, bottom - half, right + half, top + half)
    tree = shapely.STRtree(frames)
    found: list[Index] = []
    for low in range(0, len(frames), _CHUNK):
        pair = tree.query(frames[low : low + _CHUNK]).astype(np.int64)
        pair[0] += low
        found.append(pair[:, pair[0] < pair[1]])
    first, second = np.hstack(found)
    order = np.lexsort((second, first))
    return first[order], second[order]


def point_pairs(points: Points, within: float) -> tuple[Index, Index]:
    """Pairs of points within a distance of each other; equal points are paired with the first of them.

    Parameters
    ----------
    points
        (n, 2) ndarray of float, mm.

    Returns
    -------
    first, second
        (k,) ndarray of int each, first < second.
    """
    n = len(points)
    if n < 2:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    unique, where, back = np.unique(points, axis=0, return_index=True, return_inverse=True)
    head = where[back.ravel()]
    same = np.flatnonzero(head != np.arange(n))
    first, second = [head[same]], [same]
    cells = np.floor(unique / within).astype(np.int64)
    cells -= cells.min(axis=0)
    width = int(cells[:, 1].max()) + 3
    key = cells[:, 0] * width + cells[:, 1]
    order = np.argsort(key, kind="stable")
    ranked = key[order]
    for dx, dy in _NEXT:
        wanted = ranked + dx * width + dy
        low, high = np.searchsorted(ranked, wanted, "left"), np.searchsorted(ranked, wanted, "right")
        i, j = _ranges(low, high)
        if (dx, dy) == (0, 0):
            i, j = i[i < j], j[i < j]
        i, j = order[i], order[j]
        off = unique[i] - unique[j]
        close = np.hypot(off[:, 0], off[:, 1]) <= within
        first.append(where[i[close]])
        second.append(where[j[close]])
    one, two = np.concatenate(first), np.concatenate(second)
    return np.minimum(one, two), np.maximum(one, two)


def _ranges(low: Index, high: Index) -> tuple[Index, Index]:
    """Row i paired with every number from low[i] to high[i]."""
    count = high - low
    row = np.repeat(np.arange(len(low)), count)
    within = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    return row, low[row] + within


def components(count: int, first: Index, second: Index) -> Index:
    """Number what hangs together.

    Parameters
    ----------
    count
        How many things there are.
    first, second
        (k,) ndarray of int: pairs that belong together.

    Returns
    -------
    (count,) ndarray of int
        For each thing the lowest number in its group.
    """
    label = np.arange(count)
    first, second = np.asarray(first, np.int64), np.asarray(second, np.int64)
    while len(first):
        one, two = label[first], label[second]
        low, high = np.minimum(one, two), np.maximum(one, two)
        apart = low < high
        if not apart.any():
            break
        first, second, low, high = first[apart], second[apart], low[apart], high[apart]
        np.minimum.at(label, high, low)
        while True:
            shorter = label[label]
            if (shorter == label).all():
                break
            label = shorter
    return label
