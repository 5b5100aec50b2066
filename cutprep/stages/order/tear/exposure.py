"""Tear exposure: how much an order lets the blade drag loose card about.

Terms: the *width* at a point of a line is the distance to the nearest line cut before it; the
line *runs into a point* where that width is below 3 mm and falls in the direction of motion. The
line that is being cut is not one cut before. Common practice, no published source.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from cutprep.geometry.lines.segments import beside
from cutprep.model.lines import Flags, Index, Lines, Points
from cutprep.model.operation import Operation
from cutprep.stages.order.entry.starts import RUN, begins_at_corner, may_begin_at_corner
from cutprep.stages.order.tear.near import NARROW, near_segments
from cutprep.tolerance import ZERO

_STEP = 0.25  # mm between widths along a line
_COARSEST = 64.0  # by then a pair of segments takes a step or two
_MOST_STEPS = 6_000_000
_CHUNK = 50_000  # rows whose columns a processor's cache holds


@dataclass(frozen=True, slots=True, eq=False)
class Strips:
    """Short steps along cut lines with the widths to other cut lines that lie near.

    Attributes
    ----------
    line, other
        (k,) ndarray of int32: the step lies on `line`, the widths are those to `other`.
    step
        (k,) ndarray of int64: number of the step; the same for several others. Rising.
    length, begin, end
        (k,) ndarray of float32: length of the step and widths at its ends, mm.
    """

    line: NDArray[np.int32]
    other: NDArray[np.int32]
    step: Index
    length: NDArray[np.float32]
    begin: NDArray[np.float32]
    end: NDArray[np.float32]


_NONE = np.zeros(0, np.int32)
NO_STRIPS = Strips(_NONE, _NONE, np.zeros(0, np.int64), *(np.zeros(0, np.float32),) * 3)


def find_strips(lines: Lines) -> Strips:
    """Measure the widths between cut lines that come within 3 mm of each other.

    Raises
    ------
    PlanError
        When so many segments cross or lie beside each other that their widths can't be measured.
    """
    cuts = np.flatnonzero(lines.operation == Operation.CUT)
    a, b, owner, length = _segments(lines, cuts)
    pairs = near_segments(a, b, owner)
    if not len(pairs[0]):
        return NO_STRIPS
    steps = _steps(a, b, length, *pairs)
    # Pairs come sorted by segment, so a chunk that ends between segments splits no step.
    chunk = np.cumsum(steps.count) // _CHUNK
    new = np.diff(pairs[0], prepend=-1) != 0
    heads = np.flatnonzero(new)
    chunk = chunk[heads][np.cumsum(new) - 1]
    bounds = [0, *(np.flatnonzero(np.diff(chunk)) + 1).tolist(), len(chunk)]
    blocks = [_widths(a, b, owner, length, steps, slice(*rows)) for rows in pairwise(bounds)]
    return Strips(*(np.concatenate(column) for column in zip(*blocks, strict=True)))


def strips_of_joined(strips: Strips, joined: Index, reverse: Flags) -> Strips:
    """Widths between lines that were made of those that were measured.

    Parameters
    ----------
    joined
        (m,) ndarray of int: for each measured line the line it became part of.
    reverse
        (m,) ndarray of bool: which of them run backwards there.
    """
    if not reverse.any() and np.array_equal(joined, np.arange(len(joined))):
        return strips
    line, other = joined[strips.line], joined[strips.other]
    apart = line != other
    turn = np.lexsort((other[apart], strips.step[apart]))
    rows = np.flatnonzero(apart)[turn]
    step, other = strips.step[rows], other[rows]
    heads = np.flatnonzero((np.diff(step, prepend=-1) != 0) | (np.diff(other, prepend=-1) != 0))
    if not len(heads):
        return NO_STRIPS
    back = reverse[strips.line[rows]]
    ends = np.where(back, (strips.end[rows], strips.begin[rows]), (strips.begin[rows], strips.end[rows]))
    begin, end = (np.minimum.reduceat(widths, heads) for widths in ends)
    return Strips(
        line[rows[heads]].astype(np.int32),
        other[heads].astype(np.int32),
        step[heads],
        strips.length[rows[heads]],
        begin,
        end,
    )


def _segments(lines: Lines, cuts: Index) -> tuple[Points, Points, Index, Points]:
    """Segments of the cut lines: ends, line and length; none of no length."""
    owner = np.repeat(np.arange(len(lines)), lines.counts)
    inner = np.ones(len(lines.xy), bool)
    inner[lines.start[1:] - 1] = False
    inner &= np.isin(owner, cuts)
    rows = np.flatnonzero(inner)
    a, b = lines.xy[rows], lines.xy[rows + 1]
    length = np.hypot(*(b - a).T)
    keep = length > ZERO
    return a[keep], b[keep], owner[rows[keep]], length[keep]


@dataclass(frozen=True, slots=True, eq=False)
class _Steps:
    """Which steps of a segment come near another; a row each pair.

    Attributes
    ----------
    one, two, low, count
        (k,) ndarray of int: segments; the first step of `one` that may be near `two`, and how many.
    pieces, first
        (s,), (s + 1,) ndarray of int: into how many steps each segment is cut, and the number of its first.
    """

    one: Index
    two: Index
    low: Index
    count: Index
    pieces: Index
    first: Index


def _steps(a: Points, b: Points, length: Points, one: Index, two: Index) -> _Steps:
    """Cut segments into short steps, unless that gets out of hand, and keep those near the other one of a pair."""
    begin, end = _beside(a, b, length, one, two)
    step = _STEP
    while True:
        pieces = np.maximum(1, np.ceil(length / step)).astype(np.int64)
        size = (length / pieces)[one]
        low = np.clip((begin / size).astype(np.int64), 0, pieces[one] - 1)
        high = np.clip((end / size).astype(np.int64), low, pieces[one] - 1)
        count = high - low + 1
        if step >= _COARSEST or int(count.sum()) <= _MOST_STEPS:
            return _Steps(one, two, low, count, pieces, np.concatenate(([0], np.cumsum(pieces))))
        step *= 2


def _beside(a: Points, b: Points, length: Points, one: Index, two: Index) -> tuple[Points, Points]:
    """Between which positions on `one` the other may be within 3 mm: inside a rectangle around it, (k,) mm each."""
    way_x, way_y = np.ascontiguousarray(((b - a) / length[:, None]).T)
    x, y = np.ascontiguousarray(a.T)
    spans = []
    for first in range(0, len(one), _CHUNK):
        p, q = one[first : first + _CHUNK], two[first : first + _CHUNK]
        off_x, off_y, run_x, run_y = x[p] - x[q], y[p] - y[q], way_x[p], way_y[p]
        along_x, along_y = way_x[q], way_y[q]
        begin, end = np.zeros(len(p)), length[p]
        for at, slope, least, most in (
            (
                off_x * along_x + off_y * along_y,
                run_x * along_x + run_y * along_y,
                -NARROW,
                length[q] + NARROW,
            ),
            (off_y * along_x - off_x * along_y, run_y * along_x - run_x * along_y, -NARROW, NARROW),
        ):
            level = np.abs(slope) < ZERO
            safe = np.where(level, 1.0, slope)
            ends = (least - at) / safe, (most - at) / safe
            begin = np.where(level, begin, np.maximum(begin, np.minimum(*ends)))
            end = np.where(level, end, np.minimum(end, np.maximum(*ends)))
        spans.append((np.clip(begin, 0.0, length[p]), np.clip(end, 0.0, length[p])))
    begins, ends = zip(*spans, strict=True)
    return np.concatenate(begins), np.concatenate(ends)


def _widths(
    a: Points, b: Points, owner: Index, length: Points, steps: _Steps, rows: slice
) -> tuple[NDArray[np.generic], ...]:
    """Steps of the segments of some pairs with their widths to the other lines."""
    one, two, n = steps.one[rows], steps.two[rows], steps.count[rows]
    number = np.arange(int(n.sum())) - np.repeat(np.cumsum(n) - n - steps.low[rows], n)
    x, y, run_x, run_y = (
        np.repeat(column, n) for column in (*a[one].T, *((b[one] - a[one]) / steps.pieces[one][:, None]).T)
    )
    x, y = x + number * run_x, y + number * run_y
    begin = _width(x, y, a[two], b[two], n)
    end = _width(x + run_x, y + run_y, a[two], b[two], n)
    near = np.flatnonzero(np.minimum(begin, end) < NARROW)
    step, other = (np.repeat(column, n)[near] for column in (steps.first[one], owner[two]))
    step += number[near]
    turn = np.lexsort((other, step))
    step, other = step[turn], other[turn]
    heads = np.flatnonzero((np.diff(step, prepend=-1) != 0) | (np.diff(other, prepend=-1) != 0))
    if not len(heads):
        none = np.zeros(0, np.int32)
        return none, none, step, *(np.zeros(0, np.float32),) * 3
    low, high = (np.minimum.reduceat(w[near[turn]], heads).astype(np.float32) for w in (begin, end))
    source = np.repeat(one, n)[near[turn[heads]]]
    return (
        owner[source].astype(np.int32),
        other[heads].astype(np.int32),
        step[heads],
        (length / steps.pieces)[source].astype(np.float32),
        np.minimum(low, np.float32(NARROW)),
        np.minimum(high, np.float32(NARROW)),
    )


def _width(x: Points, y: Points, a: Points, b: Points, n: Index) -> Points:
    """Distance of points from segments, of which each is that of the next n points, mm."""
    sx, sy = (b - a).T
    to_x, to_y, way_x, way_y, square = (np.repeat(column, n) for column in (*a.T, sx, sy, sx * sx + sy * sy))
    x, y, _ = beside(x - to_x, y - to_y, way_x, way_y, square)
    return np.asarray(np.hypot(x, y))


def _weights(begin: NDArray[np.float32], end: NDArray[np.float32], length: NDArray[np.float32]) -> Points:
    """Length of each step, weighted by how narrow it is."""
    return np.asarray(length * (1.0 - (begin + end) / (2 * NARROW)), np.float64)


# A step narrows when its width falls by more than the rounding of single precision.
_FLAT = np.float32(1e-5)  # not a tolerance: rounding of widths in single precision


def running(strips: Strips, position: Index, back: Flags) -> Points:
    """Weighted length on which each line runs into a point.

    Parameters
    ----------
    position
        (m,) ndarray of int: position of each line in the order.
    back
        (m,) ndarray of bool: which lines run backwards.

    Returns
    -------
    (m,) ndarray of float
        mm.
    """
    m = len(position)
    earlier = position[strips.other] < position[strips.line]
    step = strips.step[earlier]
    if not len(step):
        return np.zeros(m)
    heads = np.flatnonzero(np.diff(step, prepend=-1))
    begin = np.minimum.reduceat(strips.begin[earlier], heads)
    end = np.minimum.reduceat(strips.end[earlier], heads)
    line = strips.line[earlier][heads]
    fall = np.where(back[line], end - begin, begin - end)
    weight = _weights(begin, end, strips.length[earlier][heads])
    return np.asarray(np.bincount(line, np.where(fall > _FLAT, weight, 0.0), minlength=m), np.float64)


def pair_costs(strips: Strips, m: int) -> tuple[Index, Index, Points, Points]:
    """What each line costs after one other line, forwards and backwards.

    Returns
    -------
    (p,) ndarray of int, (p,) ndarray of int, (p,) ndarray of float, (p,) ndarray of float
        Line, other, cost of the line worked forwards after the other, and backwards; mm. Sorted.
    """
    key = strips.line.astype(np.int64) * m + strips.other
    known, where = np.unique(key, return_inverse=True)
    weight = _weights(strips.begin, strips.end, strips.length)
    fall = strips.begin - strips.end
    ahead, behind = (
        np.asarray(np.bincount(where, np.where(sign * fall > _FLAT, weight, 0.0)), np.float64)
        for sign in (1, -1)
    )
    return known // m, known % m, ahead, behind


def loose(lines: Lines, inside: Index, ring: Index, position: Index) -> float:
    """Length cut on pieces that are free already, mm.

    Parameters
    ----------
    inside, ring
        (p,) ndarray of int: the line `inside` lies in the closed cut `ring`.
    position
        (m,) ndarray of int: position of each line in the order.
    """
    late = np.unique(inside[position[ring] < position[inside]])
    return float(lines.lengths[late].sum())


def corner_starts(lines: Lines, outline: Flags) -> float:
    """3 mm for each outline, as marked by (m,) flags, that begins at a corner although it has a run to begin on."""
    closed = np.flatnonzero(outline & may_begin_at_corner(lines)).tolist()
    count = sum(begins_at_corner(lines.points(i), lines.curves(i)) for i in closed)
    return RUN * count
