"""Which segments of which lines may lie near each other; one search serves several questions."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cutprep.geometry.closeness.proximity import segment_pairs
from cutprep.geometry.lines.segments import Segments, explode
from cutprep.model.lines import Flags, Index, Lines, Points

#: Segments that differ in direction by more than this don't run along each other.
_PARALLEL = math.cos(math.radians(45))
#: This many segments on the same spot are compared with the first of them only.
_STACK = 8
#: Pairs that are looked at together: columns that a processor's cache holds.
_AT_ONCE = 50_000


@dataclass(frozen=True, slots=True, eq=False)
class Neighbours:
    """Segments of lines, and which of them may lie near each other.

    Attributes
    ----------
    segments
        Of the lines that take part.
    first, second
        (k,) ndarray of int: pairs of segments whose boxes come within the distance, but for those that
        can't matter to anyone.
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


def neighbours(
    lines: Lines,
    within: float,
    *,
    pick: Flags | None = None,
    spot: float,
    gap: float | None = None,
    plain: Flags | None = None,
) -> Neighbours:
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
    gap
        Segments further apart than `spot` only count where they lie beside each other, or to this distance, mm,
        where one of them ends an open line; all count when None.
    plain
        (m,) ndarray of bool: lines of which only that is asked that lies within `spot` of them; none when None.

    Raises
    ------
    DrawingError
        When there are more pairs than memory should hold.
    """
    segments = explode(lines, pick, shortest=spot * 1e-6)
    head = _stacks(lines, segments, spot / 4)
    own = head == np.arange(len(segments))
    alone, stacked = np.flatnonzero(own), np.flatnonzero(~own)
    reach = within if plain is None else np.where(plain[segments.line[alone]], spot, within)
    first, second = segment_pairs(segments.begin[alone], segments.end[alone], reach)
    first, second = alone[first], alone[second]
    if gap is not None:
        keep = _matters(lines, segments, first, second, spot, gap)
        first, second = first[keep], second[keep]
    return Neighbours(segments, first, second, head[stacked], stacked, within)


def _matters(lines: Lines, segments: Segments, p: Index, q: Index, spot: float, gap: float) -> Flags:
    """Which pairs touch, lie beside each other, or are an end of an open line and what lies near it, (k,)."""
    sides = tuple(np.ascontiguousarray(side) for side in segments.boxes.T)
    line = segments.line
    new = line[1:] != line[:-1]
    ending = (np.append(True, new) | np.append(new, True))[: len(line)] & ~lines.closed[line]
    ways = _Ways.of(segments)
    keep = np.zeros(len(p), bool)
    for begin in range(0, len(p), _AT_ONCE):
        part = slice(begin, begin + _AT_ONCE)
        one, other = p[part], q[part]
        apart = _apart(sides, one, other)
        near = (apart <= spot) | ((apart <= gap) & (ending[one] | ending[other]))
        rest = np.flatnonzero(~near)
        near[rest] = ways.beside(one[rest], other[rest])
        keep[part] = near
    return keep


def _apart(sides: tuple[Points, ...], p: Index, q: Index) -> Points:
    """How far boxes are apart along the axis on which they are further, (k,), mm; below 0 where they overlap."""
    left, bottom, right, top = sides
    apart = np.maximum(left[p] - right[q], left[q] - right[p])
    np.maximum(apart, bottom[p] - top[q], out=apart)
    np.maximum(apart, bottom[q] - top[p], out=apart)
    return np.asarray(apart)


@dataclass(frozen=True, slots=True, eq=False)
class _Ways:
    """Directions, lengths and middles of segments, each in a column of its own."""

    ux: Points
    uy: Points
    length: Points
    x: Points
    y: Points

    @classmethod
    def of(cls, segments: Segments) -> _Ways:
        step = segments.end - segments.begin
        length = np.hypot(step[:, 0], step[:, 1])
        middle = (segments.begin + segments.end) / 2
        x, y = np.ascontiguousarray(middle[:, 0]), np.ascontiguousarray(middle[:, 1])
        return cls(step[:, 0] / length, step[:, 1] / length, length, x, y)

    def beside(self, p: Index, q: Index) -> Flags:
        """Which pairs are roughly parallel and overlap when seen across the first, (k,)."""
        cosine = np.abs(self.ux[p] * self.ux[q] + self.uy[p] * self.uy[q])
        keep = cosine > _PARALLEL
        rows = np.flatnonzero(keep)
        p, q = p[rows], q[rows]
        along = np.abs((self.x[q] - self.x[p]) * self.ux[p] + (self.y[q] - self.y[p]) * self.uy[p])
        keep[rows] = along < (self.length[p] + self.length[q] * cosine[rows]) / 2
        return np.asarray(keep)


def beside(segments: Segments, p: Index, q: Index) -> Flags:
    """Which pairs of segments are roughly parallel and overlap when seen across the first, (k,)."""
    return _Ways.of(segments).beside(p, q)


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
