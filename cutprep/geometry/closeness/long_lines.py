"""The greatest distance of very many points to a line of very many chords.

Points and chords are taken in runs; only runs whose boxes lie near each other are looked at.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely

from cutprep.geometry.closeness.chords import bounds, squared
from cutprep.model.lines import Index, Points

#: Points and chords of a run (measured: half as many or twice as many take a tenth longer).
_POINTS, _CHORDS = 64, 32
#: Boxes of runs of points are widened by this, mm; what lies further from its line is sought by an index.
_MARGIN = 0.25
#: Pairs of runs that are worked out together, and points that are worked out before the rest is looked at again.
_AT_ONCE, _FIRST = 128, 64


def farthest_from_long(points: Points, chords: Points) -> float:
    """Greatest distance of points (n, 2) to chords (k, 4), in the order of their lines, mm."""
    spots, ways = _in_runs(points, _POINTS), _in_runs(chords, _CHORDS)
    one, other = _near(spots, ways)
    bound = np.full(spots.shape[:2], np.inf)
    heads = np.flatnonzero(np.append(True, np.diff(one) > 0)) if len(one) else one
    for pick in _blocks(heads, len(one)):
        runs = one[pick]
        own = np.flatnonzero(np.append(True, np.diff(runs) > 0))
        bound[runs[own]] = np.minimum.reduceat(bounds(spots[runs], ways[other[pick]]), own)
    return float(np.sqrt(_largest(points, chords, bound.ravel()[: len(points)], (ways, one, other))))


def _in_runs(rows: Points, size: int) -> Points:
    """Rows in runs of a size, (r, size, c); the last row fills up the last run."""
    count = -(-len(rows) // size)
    filled = np.concatenate((rows, np.repeat(rows[-1:], count * size - len(rows), axis=0)))
    return filled.reshape(count, size, rows.shape[1])


def _near(spots: Points, ways: Points) -> tuple[Index, Index]:
    """Runs of points and of chords whose boxes lie near each other, by the number of the former."""
    low = np.minimum(ways[..., :2], ways[..., 2:]).min(axis=1)
    high = np.maximum(ways[..., :2], ways[..., 2:]).max(axis=1)
    tree = shapely.STRtree(np.asarray(shapely.box(*low.T, *high.T)))
    boxes = shapely.box(*(spots.min(axis=1) - _MARGIN).T, *(spots.max(axis=1) + _MARGIN).T)
    one, other = tree.query(np.asarray(boxes))
    order = np.lexsort((other, one))
    return one[order], other[order]


def _blocks(heads: Index, count: int) -> list[slice]:
    """Parts of a table of pairs that hold whole runs, the first pairs of which are `heads`."""
    if not count:
        return []
    cuts = heads[np.unique(np.searchsorted(heads, np.arange(0, count, _AT_ONCE)).clip(max=len(heads) - 1))]
    edges = np.unique(np.concatenate(([0], cuts, [count]))).tolist()
    return [slice(a, b) for a, b in pairwise(edges)]


def _largest(points: Points, chords: Points, bound: Points, near: tuple[Points, Index, Index]) -> float:
    """Greatest of the squared distances, which are worked out from the greatest bound on down."""
    ways, one, other = near
    rising = np.argsort(bound)
    most, worked = 0.0, len(points)
    while worked and bound[rising[worked - 1]] > most:
        begin = max(worked - _FIRST, 0)
        pick = rising[begin:worked]
        pick, worked = pick[bound[pick] > most], begin
        run = pick // _POINTS
        first, last = np.searchsorted(one, run), np.searchsorted(one, run, side="right")
        count = last - first
        row = np.repeat(np.arange(len(pick)), count)
        pair = np.arange(len(row)) - np.repeat(np.cumsum(count) - count - first, count)
        found = np.full(len(pick), np.inf)
        if len(row):
            np.minimum.at(found, row, squared(points[pick[row], None], ways[other[pair]]).min(axis=1))
        far = found > _MARGIN * _MARGIN
        if far.any():
            found[far] = _by_index(points[pick[far]], chords)
        most = max(most, float(found.max()))
    return most


def _by_index(points: Points, chords: Points) -> Points:
    """Squared distance of each point, over an index of the chords."""
    tree = shapely.STRtree(np.asarray(shapely.linestrings(chords.reshape(-1, 2, 2))))
    _, distance = tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)
    return np.asarray(distance) ** 2
