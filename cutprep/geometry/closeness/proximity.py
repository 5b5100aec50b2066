"""Which things may touch: an index over boxes, points in cells, and connected components.

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
#: Cells that a point may reach from its own, whose diagonal is as far as it reaches; half of them, nearest first.
_RINGS = (
    *((0, 1), (1, 0), (1, 1), (1, -1), (0, 2), (2, 0)),
    *((1, 2), (1, -2), (2, 1), (2, -1), (2, 2), (2, -2)),
)
#: Pairs of boxes looked at together, columns that a processor's cache holds; and most in all, which bounds memory and all
#: the work that follows.
_AT_A_TIME = 200_000
_MOST = 6_000_000
#: A segment that crosses its own box is indexed in so many pieces at most.
_PIECES = 64
#: Keys of cells beyond this would overflow.
_KEYS = 2.0**60
#: So many points in a cell stand for all of them.
_CROWD = 8


def box_pairs(boxes: Points, within: float | Points) -> tuple[Index, Index]:
    """Pairs of boxes that come within a distance of each other.

    Parameters
    ----------
    boxes
        (n, 4) ndarray of float: left, bottom, right, top, mm.
    within
        Distance, mm, measured along each axis; or one for each box, (n,), of which two go by their mean.

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
    half = np.broadcast_to(np.asarray(within, np.float64) / 2, len(boxes))[:, None]
    corners = np.hstack((boxes[:, :2] - half, boxes[:, 2:] + half)).reshape(-1, 2, 2)
    frames = np.asarray(shapely.linestrings(corners))
    tree = shapely.STRtree(frames)
    found: list[Index] = []
    low, rows, held = 0, int(np.clip(_AT_A_TIME // len(frames), 1, 256)), 0
    while low < len(frames):
        pair = tree.query(frames[low : low + rows])
        pair[0] += low
        low += rows
        density = max(pair.shape[1] / min(rows, len(frames)), 1.0)
        rows = int(np.clip(_AT_A_TIME / density, 1, 8 * rows))  # the next ones may lie eight times as densely
        pair = pair[:, pair[0] < pair[1]]
        held += pair.shape[1]
        if held > _MOST:
            raise _too_dense("segments", float(np.max(within)))
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


def segment_pairs(begin: Points, end: Points, within: float | Points) -> tuple[Index, Index]:
    """Pairs of segments whose boxes come within a distance of each other.

    Long segments at an angle are indexed in pieces, so that their boxes stay slim.

    Parameters
    ----------
    begin, end
        (n, 2) ndarray of float, mm.
    within
        As for `box_pairs`.

    Returns
    -------
    first, second
        (k,) ndarray of int each, first < second, without repeats.
    """
    n = len(begin)
    if n < 2:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    sides = np.abs(end - begin)
    slim = 4 * max(float(np.max(within)), float(np.median(sides.max(axis=1))))
    count = np.clip(np.ceil(sides.min(axis=1) / slim), 1, _PIECES).astype(np.int64)
    if (count == 1).all():
        return box_pairs(np.hstack((np.minimum(begin, end), np.maximum(begin, end))), within)
    owner = np.repeat(np.arange(n), count)
    step = ((end - begin) / count[:, None])[owner]
    number = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    low = begin[owner] + step * number[:, None]
    boxes = np.hstack((np.minimum(low, low + step), np.maximum(low, low + step)))
    first, second = box_pairs(boxes, within[owner] if isinstance(within, np.ndarray) else within)
    key = np.unique(owner[first] * n + owner[second])
    one, two = np.divmod(key, n)
    return one[one != two], two[one != two]


def clusters(points: Points, within: float, kind: Index | None = None) -> Index:
    """Number points that are connected by steps no longer than a distance.

    Parameters
    ----------
    points
        (n, 2) ndarray of float, mm.
    within
        Distance, mm.
    kind
        (n,) ndarray of int, not negative: only points of one kind are connected; all when None.

    Returns
    -------
    (n,) ndarray of int
        For each point the lowest number in its cluster.

    Notes
    -----
    Points in one cell of a grid whose diagonal is the distance are one cluster as they stand, so
    that a million points on one spot cost no more than a million elsewhere. Of a cell with more
    than eight points the outermost eight stand for the rest.
    """
    n = len(points)
    if n < 2:
        return np.arange(n)
    grid = _Grid(points, within / np.sqrt(2), np.zeros(n, np.int64) if kind is None else kind)
    few = grid.representatives()
    key, owner = np.unique(grid.key[few], return_inverse=True)
    label = _joined_cells(points[few], key, owner.ravel(), grid.height, within)
    # The first point of a cell is its lowest, and so is the first cell of a cluster, but not in it the first point.
    lowest = np.full(len(key), n)
    np.minimum.at(lowest, label, grid.order[grid.begin])
    found = np.empty(n, np.int64)
    found[grid.order] = np.repeat(lowest[label], grid.count)
    return found


def _joined_cells(spots: Points, key: Index, owner: Index, height: int, within: float) -> Index:
    """Label cells that are connected by their points; nearer cells first, so that few points are compared.

    Parameters
    ----------
    spots
        (k, 2) points, sorted by cell, mm.
    key, owner
        (c,) rising keys of cells, and (k,) the cell of each point.
    """
    cells = np.arange(len(key))
    begin = np.searchsorted(owner, cells)
    count = np.diff(np.append(begin, len(owner)))
    label = cells
    for dx, dy in _RINGS:
        wanted = key + dx * height + dy
        at = np.minimum(np.searchsorted(key, wanted), len(key) - 1)
        one = np.flatnonzero((key[at] == wanted) & (label != label[at]))
        two = at[one]
        # Every point of the one cell with every point of the other.
        row, i = _ranges(begin[one], begin[one] + count[one])
        more, j = _ranges(begin[two][row], (begin[two] + count[two])[row])
        off = spots[i[more]] - spots[j]
        close = row[more][np.hypot(off[:, 0], off[:, 1]) <= within]
        label = components(len(key), label[one[close]], label[two[close]])[label]
    return label


class _Grid:
    """Points in square cells; cells of different kinds are different cells."""

    def __init__(self, points: Points, side: float, kind: Index) -> None:
        cells = np.floor(points / side)
        cells -= cells.min(axis=0)
        if (cells.max(axis=0) + 5).prod() * (kind.max() + 1) > _KEYS:
            cells = np.column_stack([_drawn_together(column) for column in cells.T])
        cells = cells.astype(np.int64)
        self.height = int(cells[:, 1].max()) + 5
        span = (int(cells[:, 0].max()) + 5) * self.height
        self.points = points
        self.key = kind * span + cells[:, 0] * self.height + cells[:, 1]
        self.order = np.argsort(self.key, kind="stable")
        ranked = self.key[self.order]
        self.begin = np.flatnonzero(np.diff(ranked, prepend=ranked[0] - 1))
        self.count = np.diff(np.append(self.begin, len(ranked)))

    def representatives(self) -> Index:
        """Points that stand for their cells, sorted by cell."""
        crowded = np.repeat(self.count > _CROWD, self.count)
        chosen = [self.order[~crowded]]
        many = self.order[crowded]
        if len(many):
            begin = np.flatnonzero(np.diff(self.key[many], prepend=self.key[many[0]] - 1))
            for turn in np.arange(_CROWD) * (2 * np.pi / _CROWD):
                along = self.points[many] @ np.array([np.cos(turn), np.sin(turn)])
                chosen.append(many[np.lexsort((along, self.key[many]))[begin]])
        few = np.unique(np.concatenate(chosen))
        return few[np.argsort(self.key[few], kind="stable")]


def _drawn_together(cells: Points) -> Points:
    """Number cells anew so that wide empty stretches between them are three cells wide."""
    known, where = np.unique(cells, return_inverse=True)
    return np.asarray(np.cumsum(np.minimum(np.diff(known, prepend=known[0]), 3.0))[where.ravel()])


def point_pairs(points: Points, within: float) -> tuple[Index, Index]:
    """All pairs of points within a distance of each other.

    Parameters
    ----------
    points
        (n, 2) ndarray of float, mm.

    Returns
    -------
    first, second
        (k,) ndarray of int each, first < second.

    Raises
    ------
    DrawingError
        When there are more pairs than memory should hold.
    """
    n = len(points)
    if n < 2:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    grid = _Grid(points, within, np.zeros(n, np.int64))
    key = grid.key[grid.order]
    first, second = [], []
    for dx, dy in _NEXT:
        wanted = key + dx * grid.height + dy
        low = np.arange(1, n + 1) if (dx, dy) == (0, 0) else np.searchsorted(key, wanted, "left")
        high = np.searchsorted(key, wanted, "right")
        if (high - low).sum() > _MOST:
            raise _too_dense("ends", within)
        i, j = _ranges(low, high)
        off = points[grid.order[i]] - points[grid.order[j]]
        close = np.hypot(off[:, 0], off[:, 1]) <= within
        first.append(grid.order[i[close]])
        second.append(grid.order[j[close]])
    one, two = np.concatenate(first), np.concatenate(second)
    return np.minimum(one, two), np.maximum(one, two)


def _too_dense(what: str, within: float) -> DrawingError:
    return DrawingError(
        f"the lines lie too densely: too many pairs of {what} come within {within:g} mm of each other",
        fix="Delete lines that lie on or close beside each other, make guides of those that are not for the"
        " machine, or take the drawing in pieces.",
    )


def _ranges(low: Index, high: Index) -> tuple[Index, Index]:
    """Row i paired with every number from low[i] to high[i]."""
    count = high - low
    row = np.repeat(np.arange(len(low)), count)
    within = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    return row, low[row] + within


def components(count: int, first: Index, second: Index) -> Index:
    """Label the connected components of a graph.

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
