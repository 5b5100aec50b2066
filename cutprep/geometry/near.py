"""Which things may touch: an index over boxes, points in cells, and what hangs together.

The tree over boxes is GEOS' (shapely); points, of which there are many and which are asked
for tiny distances only, go by a sorted grid, which costs a tenth of the tree.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely

from cutprep.errors import DrawingError
from cutprep.model.lines import Index, Points

#: Half of the eight neighbours of a cell, and the cell itself: each pair is met once.
_NEXT = ((0, 0), (1, 0), (-1, 1), (0, 1), (1, 1))
#: Pairs of boxes held at a time, and in all; they bound the memory of a query.
_AT_A_TIME = 4_000_000
_MOST = 60_000_000
#: A segment that crosses its own box is indexed in so many pieces at most.
_PIECES = 64


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
        (k,) ndarray of int each, first < second.

    Raises
    ------
    DrawingError
        When there are more pairs than memory should hold.
    """
    if len(boxes) < 2:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    # A diagonal has the same box as its frame and costs half as much to make.
    half = np.array([-within / 2, -within / 2, within / 2, within / 2])
    frames = shapely.linestrings((boxes + half).reshape(-1, 2, 2))
    tree = shapely.STRtree(frames)
    found: list[Index] = []
    low, rows, held = 0, 256, 0
    while low < len(frames):
        pair = tree.query(frames[low : low + rows])
        pair[0] += low
        low += rows
        density = max(pair.shape[1] / min(rows, len(frames)), 1.0)
        rows = int(np.clip(_AT_A_TIME / density, 1, len(frames)))
        pair = pair[:, pair[0] < pair[1]]
        held += pair.shape[1]
        if held > _MOST:
            raise DrawingError(
                f"the lines lie too densely: more than {_MOST} pairs of their segments come within {within:g} mm",
                fix="Delete lines that lie on each other, or check the drawing in pieces.",
            )
        found.append(pair)
    first, second = np.hstack(found)
    return first, second


def boxes_between(few: Points, many: Points) -> tuple[Index, Index]:
    """Pairs of a box of one set and a box of another that touch, (k,) ndarray of int each.

    Parameters
    ----------
    few, many
        (n, 4) ndarray of float: left, bottom, right, top, mm; the index is built over the few.
    """
    none = np.zeros(0, np.int64)
    if not len(few) or not len(many):
        return none, none
    low, high = few[:, :2].min(axis=0), few[:, 2:].max(axis=0)
    rows = np.flatnonzero((many[:, :2] <= high).all(axis=1) & (many[:, 2:] >= low).all(axis=1))
    tree = shapely.STRtree(np.asarray(shapely.linestrings(few.reshape(-1, 2, 2))))
    found, index = tree.query(shapely.linestrings(many[rows].reshape(-1, 2, 2)))
    return index, rows[found]


def segment_pairs(begin: Points, end: Points, within: float) -> tuple[Index, Index]:
    """Pairs of segments whose boxes come within a distance of each other.

    Long segments at an angle are indexed in pieces, so that their boxes stay slim.

    Parameters
    ----------
    begin, end
        (n, 2) ndarray of float, mm.
    within
        Distance, mm.

    Returns
    -------
    first, second
        (k,) ndarray of int each, first < second, without repeats.
    """
    n = len(begin)
    if n < 2:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    sides = np.abs(end - begin)
    slim = max(4 * within, 4 * float(np.median(sides.max(axis=1))))
    count = np.clip(np.ceil(sides.min(axis=1) / slim), 1, _PIECES).astype(np.int64)
    if (count == 1).all():
        return box_pairs(np.hstack((np.minimum(begin, end), np.maximum(begin, end))), within)
    owner = np.repeat(np.arange(n), count)
    step = ((end - begin) / count[:, None])[owner]
    number = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    low = begin[owner] + step * number[:, None]
    first, second = box_pairs(np.hstack((np.minimum(low, low + step), np.maximum(low, low + step))), within)
    key = np.unique(owner[first] * n + owner[second])
    one, two = np.divmod(key, n)
    return one[one != two], two[one != two]


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
    cells = np.floor(points / within).astype(np.int64)
    cells -= cells.min(axis=0)
    width = int(cells[:, 1].max()) + 3
    key = cells[:, 0] * width + cells[:, 1]
    order = np.lexsort((points[:, 1], points[:, 0], key))
    ranked = points[order]
    fresh = np.concatenate(([True], (ranked[1:] != ranked[:-1]).any(axis=1)))
    heads = order[fresh]
    head = heads[np.cumsum(fresh) - 1]
    first, second = [head[~fresh]], [order[~fresh]]
    key = key[heads]
    for dx, dy in _NEXT:
        wanted = key + dx * width + dy
        low = np.arange(1, len(key) + 1) if (dx, dy) == (0, 0) else np.searchsorted(key, wanted, "left")
        i, j = _ranges(low, np.searchsorted(key, wanted, "right"))
        off = points[heads[i]] - points[heads[j]]
        close = np.hypot(off[:, 0], off[:, 1]) <= within
        first.append(heads[i[close]])
        second.append(heads[j[close]])
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


def spans(*columns: Index) -> list[tuple[int, int]]:
    """Where each group of equal rows begins and ends, in columns sorted by group."""
    n = len(columns[0])
    if not n:
        return []
    new = np.ones(n, bool)
    new[1:] = np.any([np.diff(column) != 0 for column in columns], axis=0)
    head = np.append(np.flatnonzero(new), n).tolist()
    return list(pairwise(head))
