"""Which segments of different cuts lie so near each other that a strip between them may tear."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from cutprep.errors import PlanError
from cutprep.geometry.lines.segments import apart_squared
from cutprep.model.lines import Flags, Index, Points

NARROW = 3.0  # mm, the width below which a strip counts
_MOST_PAIRS = 6_000_000
_AT_A_TIME = 100_000  # pairs of boxes: columns that a processor's cache holds
_SAMPLE, _MOST_NEAR, _NEAREST = 1000, 20, 0.1  # segments; neighbours of each; mm


def near_segments(a: Points, b: Points, owner: Index) -> tuple[Index, Index]:
    """Pairs of segments of different lines within 3 mm, each both ways, sorted.

    Parameters
    ----------
    a, b
        (n, 2) ends, mm.
    owner
        (n,) the line of each, rising.

    Returns
    -------
    one, two
        (k,) ndarray of int each.

    Raises
    ------
    PlanError
        When there are more pairs than can be measured.
    """
    none = np.zeros(0, np.int64)
    if not len(a):
        return none, none
    tree = _index(a, b)
    reach = _reach(tree, a, b)
    rows = np.flatnonzero(_by_others(a, b, owner, reach))
    found, held = [none], 0
    for pair in _meeting(tree, a, b, rows, reach):
        one, two = pair[:, (pair[0] < pair[1]) & (owner[pair[0]] != owner[pair[1]])]
        close = apart_squared(a[one], b[one], a[two], b[two]) <= reach * reach
        found.append(one[close] * len(a) + two[close])
        held += 2 * len(found[-1])
        if held > _MOST_PAIRS:
            raise PlanError(
                f"the cuts lie too densely to be put in order: more than {_MOST_PAIRS:,} pairs of their segments"
                f" come within {reach:.2g} mm of each other",
                fix="Delete lines that are not for the machine, such as hatching, or make the job in pieces.",
            )
    one, two = np.divmod(np.concatenate(found), len(a))
    return np.divmod(np.sort(np.concatenate((one * len(a) + two, two * len(a) + one))), len(a))


def _index(a: Points, b: Points) -> shapely.STRtree:
    return shapely.STRtree(np.asarray(shapely.linestrings(np.stack((a, b), axis=1)), dtype=object))


def _meeting(tree: shapely.STRtree, a: Points, b: Points, rows: Index, reach: float) -> Iterator[Index]:
    """Pairs, (2, k), of some of the segments and any whose boxes come within reach, a hundred thousand or so at a time."""
    low, count = 0, 64
    while low < len(rows):
        some = rows[low : low + count]
        low += count
        box = np.hstack((np.minimum(a[some], b[some]) - reach, np.maximum(a[some], b[some]) + reach))
        # A diagonal has the same box as its frame and costs half as much to make.
        one, two = tree.query(shapely.linestrings(box.reshape(-1, 2, 2)))
        count = int(np.clip(_AT_A_TIME * len(some) / max(len(one), 1), 1, 8 * count))
        yield np.array((some[one], two))


def _by_others(a: Points, b: Points, owner: Index, reach: float) -> Flags:
    """Which segments have the box of another line within reach: a coast has none, though its own bays are many."""
    heads = np.flatnonzero(np.diff(owner, prepend=-1))
    low = np.minimum.reduceat(np.minimum(a, b), heads)
    high = np.maximum.reduceat(np.maximum(a, b), heads)
    frames = shapely.linestrings(np.hstack((low, high)).reshape(-1, 2, 2))
    wide = shapely.linestrings(np.hstack((low - reach, high + reach)).reshape(-1, 2, 2))
    one, two = shapely.STRtree(np.asarray(frames)).query(wide)
    alone = np.ones(len(heads), bool)
    alone[one[one != two]] = False
    return ~np.repeat(alone, np.diff(heads, append=len(owner)))


def _reach(tree: shapely.STRtree, a: Points, b: Points) -> float:
    """How far neighbours are looked for, mm: up to 3, and in dense lace no further than some of them lie.

    The narrowest strips tear, and those are with the nearest; without this the pairs would grow with the square of
    the lines on a sheet. Counted on a thousand segments.
    """
    sample = np.arange(0, len(a), -(-len(a) // _SAMPLE))
    enough = min(_MOST_NEAR, 0.8 * _MOST_PAIRS / len(a))
    off = np.concatenate(
        [apart_squared(a[one], b[one], a[two], b[two]) for one, two in _meeting(tree, a, b, sample, NARROW)]
    )
    reach = NARROW
    while np.count_nonzero(off <= reach * reach) > enough * len(sample) and reach > _NEAREST:
        reach /= 2
    return reach
