"""Which segments of which lines may lie near each other; one search serves several questions."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.geometry.closeness.proximity import segment_pairs
from cutprep.geometry.lines.segments import Segments, explode
from cutprep.model.lines import Flags, Index, Lines

#: This many segments on the same spot are compared with the first of them only.
_STACK = 8


@dataclass(frozen=True, slots=True, eq=False)
class Neighbours:
    """Segments of lines, and which of them may lie near each other.

    Attributes
    ----------
    segments
        Of the lines that take part.
    first, second
        (k,) ndarray of int: pairs of segments whose boxes come within the distance.
    head, stacked
        (s,) ndarray of int: segments that lie on the same spot as many others, each with the
        first of them; they stand in no other pair.
    within
        The distance, mm.
    """

    segments: Segments
    first: Index
    second: Index
    head: Index
    stacked: Index
    within: float


def neighbours(lines: Lines, within: float, *, pick: Flags | None = None, spot: float) -> Neighbours:
    """Find which segments may lie near each other; one search serves several kinds of runs.

    Parameters
    ----------
    within
        Largest distance that will be asked for, mm.
    pick
        (m,) ndarray of bool: lines that take part; all when None.
    spot
        Where more than eight segments agree to a quarter of this, mm, each of the others is paired
        with the first of them only. A million copies of one line make a million pairs then.

    Raises
    ------
    DrawingError
        When there are more pairs than memory should hold.
    """
    segments = explode(lines, pick, shortest=spot * 1e-6)
    head = _stacks(lines, segments, spot / 4)
    own = head == np.arange(len(segments))
    alone, stacked = np.flatnonzero(own), np.flatnonzero(~own)
    first, second = segment_pairs(segments.begin[alone], segments.end[alone], within)
    return Neighbours(segments, alone[first], alone[second], head[stacked], stacked, within)


def rank(lines: Lines, strength: Index | None = None) -> Index:
    """Which line stays where several lie on each other: the lowest rank wins, (m,).

    The stronger line, then the closed one, then the longer one, then the one drawn first.

    Parameters
    ----------
    strength
        (m,) ndarray of int; the operation when None.
    """
    strength = lines.operation.astype(np.int64) if strength is None else strength
    order = np.lexsort((np.arange(len(lines)), -np.round(lines.lengths, 6), ~lines.closed, -strength))
    ranks = np.empty(len(lines), np.int64)
    ranks[order] = np.arange(len(lines))
    return ranks


def _stacks(lines: Lines, segments: Segments, step: float) -> Index:
    """For each segment the one that stays when many of its operation are on the same spot, else itself."""
    head = np.arange(len(segments))
    if len(segments) <= _STACK:
        return head
    cells = np.round(np.hstack((segments.begin, segments.end)) / step).astype(np.int64)
    turned = (cells[:, 0] > cells[:, 2]) | ((cells[:, 0] == cells[:, 2]) & (cells[:, 1] > cells[:, 3]))
    cells[turned] = cells[turned][:, [2, 3, 0, 1]]
    # One number a spot; that two spots share it is as good as impossible, and is ruled out below.
    cells = np.column_stack((cells, lines.operation[segments.line]))
    mixed = cells @ np.array([1, 1_000_003, 998_244_353, 754_974_721, 433_494_437])
    order = np.argsort(mixed, kind="stable")
    begin = np.flatnonzero(np.diff(mixed[order], prepend=mixed[order[0]] - 1))
    size = np.diff(np.append(begin, len(order)))
    rows = order[np.repeat(size > _STACK, size)]
    if not len(rows):
        return head
    rows = rows[np.lexsort((rank(lines)[segments.line[rows]], mixed[rows]))]
    begin = np.flatnonzero(np.diff(mixed[rows], prepend=mixed[rows[0]] - 1))
    first = np.repeat(rows[begin], np.diff(np.append(begin, len(rows))))
    same = (cells[rows] == cells[first]).all(axis=1)
    head[rows[same]] = first[same]
    return head
