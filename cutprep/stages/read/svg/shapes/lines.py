"""Segments to lines in mm: the whole drawing in a few passes over arrays.

Shapes arrive as columns of segments, each shape with its matrix into mm. All cubics are flattened
together, then all quadratics, then all arcs; the points are woven back in order, split where a
line begins, and cleared of steps of no length.
"""

from __future__ import annotations

from array import array
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from cutprep.errors import DrawingError
from cutprep.geometry.curves import flatten
from cutprep.limits import more
from cutprep.model.lines import Flags, Index, Points
from cutprep.stages.read.svg.shapes.curves import centre_arcs, directions, tangents
from cutprep.stages.read.svg.shapes.path import ARC, CLOSE, CUBIC, LINE, MOVE, QUAD, SPAN, WIDTH, Trace
from cutprep.stages.read.svg.shapes.transform import IDENTITY, Matrix
from cutprep.tolerance import Tolerance

_WIDTH = np.array(WIDTH, dtype=np.int64)
#: Share of an arc's size below which a radius counts as 0.
_NO_RADIUS = 1e-50  # not a tolerance: floating point
#: Arcs of a radius so many times the largest coordinate are straight: over a metre they bulge by 0.0001 mm.
_STRAIGHT = 1e4
_MOST_FOR_BOUNDS = 1_000_000
Bytes = NDArray[np.uint8]


class Shapes:
    """Shapes as they are met, in columns that only grow."""

    def __init__(self) -> None:
        self.kinds = bytearray()
        self.args = array("d")
        self.counts: list[int] = []
        self.matrices: list[Matrix] = []

    def __len__(self) -> int:
        return len(self.counts)

    def add(self, trace: Trace, matrix: Matrix) -> None:
        """Add one shape with its matrix into mm."""
        self.kinds += trace.kinds
        self.args.extend(trace.args)
        self.counts.append(len(trace.kinds))
        self.matrices.append(matrix)


class FlatShapes(NamedTuple):
    """Lines as columns.

    Attributes
    ----------
    xy
        (n, 2) ndarray of float, mm.
    start
        (m + 1,) ndarray of int: line i is xy[start[i]:start[i + 1]].
    shape
        (m,) ndarray of int: shape that line i came from.
    curved
        (n,) ndarray of bool: the vertex lies in a curve or a smooth join.
    lost
        (k,) ndarray of int: shapes left out because a coordinate is beyond the limit.
    slivers
        (j,) ndarray of int: shapes with a line of no length, one entry a line.
    """

    xy: Points
    start: Index
    shape: Index
    curved: Flags
    lost: Index
    slivers: Index

    def points(self, i: int) -> Points:
        """Vertices of line i; (n, 2) mm."""
        return self.xy[self.start[i] : self.start[i + 1]]


class _Segments(NamedTuple):
    """Segments in mm: kind, shape, first point, last point, place of the arguments."""

    kind: Bytes
    shape: Index
    begin: Points
    end: Points
    at: Index
    args: Points
    matrix: Points

    def pick(self, kind: int) -> tuple[Index, Points]:
        """Indices of the segments of a kind, and their numbers, (k, WIDTH)."""
        index = np.flatnonzero(self.kind == kind)
        return index, self.args[self.at[index, None] + np.arange(WIDTH[kind])]

    def to_mm(self, index: Index, points: Points) -> Points:
        """Bring (k, j, 2) points of segments into mm."""
        m = self.matrix[self.shape[index]][:, None, :]
        return np.asarray(_apply(m, points))


def flatten_shapes(
    shapes: Shapes, tolerance: Tolerance, *, coordinate: float, most_points: int
) -> FlatShapes:
    """Turn shapes into lines.

    Parameters
    ----------
    shapes
        Segments and matrices.
    tolerance
        Its `sagitta` is the chord error, mm; steps shorter than `zero` are no steps.
    coordinate
        Largest coordinate, mm; a shape beyond it is left out.
    most_points
        Largest number of vertices.

    Raises
    ------
    DrawingError
        When the lines would have more vertices than that.
    """
    segments, lost = _place(shapes, coordinate)
    if not len(segments.kind):
        none = np.zeros(0, dtype=np.int64)
        return FlatShapes(
            np.empty((0, 2)), np.zeros(1, dtype=np.int64), none, np.zeros(0, dtype=bool), lost, none
        )
    segments = _drop_still(segments, tolerance.zero)
    return _weave(segments, _chords(segments, tolerance.sagitta, most_points), tolerance.zero, lost)


def bounds_of(trace: Trace, tolerance: Tolerance) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of one shape, user units."""
    shapes = Shapes()
    shapes.add(trace, IDENTITY)
    flat = flatten_shapes(shapes, tolerance, coordinate=np.inf, most_points=_MOST_FOR_BOUNDS)
    if not len(flat.xy):
        return (0.0, 0.0, 0.0, 0.0)
    (left, top), (right, bottom) = flat.xy.min(axis=0), flat.xy.max(axis=0)
    return (float(left), float(top), float(right), float(bottom))


def _apply(m: Points, points: Points) -> Points:
    """Apply matrices (..., 6) to points (..., 2)."""
    x, y = points[..., 0], points[..., 1]
    return np.stack(
        (m[..., 0] * x + m[..., 2] * y + m[..., 4], m[..., 1] * x + m[..., 3] * y + m[..., 5]), axis=-1
    )


def _place(shapes: Shapes, coordinate: float) -> tuple[_Segments, Index]:
    kind = np.frombuffer(shapes.kinds, dtype=np.uint8).copy()
    args = np.frombuffer(shapes.args, dtype=np.float64)
    matrix = np.array(shapes.matrices, dtype=np.float64).reshape(-1, 6)
    shape = np.repeat(np.arange(len(shapes)), shapes.counts)
    width = _WIDTH[kind]
    at = np.cumsum(width) - width
    with np.errstate(all="ignore"):  # infinities are sorted out below
        end = _apply(matrix[shape], args[(at + width - 2)[:, None] + np.arange(2)])
        segments = _Segments(kind, shape, np.vstack((end[:1], end[:-1])), end, at, args, matrix)
        far: Flags = np.asarray(~(np.abs(end) <= coordinate).all(axis=1))
        for curve in (QUAD, CUBIC):
            index, numbers = segments.pick(curve)
            control = segments.to_mm(index, numbers.reshape(len(index), WIDTH[curve] // 2, 2))
            far[index] |= ~(np.abs(control) <= coordinate).all(axis=(1, 2))
        for curve, first in ((ARC, 0), (SPAN, 2)):
            index, numbers = segments.pick(curve)
            m = np.abs(matrix[shape[index]])[:, :4].max(axis=1, initial=0.0)
            beyond = ~((np.abs(numbers[:, first : first + 3]).max(axis=1, initial=0.0) * m) <= coordinate)
            if curve == ARC:
                flat, straight = _nearly_straight(numbers, m, coordinate)
                beyond &= ~flat
                kind[index[straight]] = LINE
            far[index] |= beyond
    lost = np.unique(shape[far])
    if len(lost):
        segments = _take(segments, ~np.isin(shape, lost))
    return segments, lost


def _nearly_straight(numbers: Points, scale: Points, coordinate: float) -> tuple[Flags, Flags]:
    """Arcs whose centre lies beyond the limit while the arc itself does not, and those that are straight.

    Parameters
    ----------
    numbers
        (k, 7) ndarray of float: radii, turn, large flag, sweep flag, end; user units.
    scale
        (k,) ndarray of float: mm in a user unit.
    """
    radii = np.abs(numbers[:, :2])
    # The smallest radius of curvature of an ellipse.
    bend = radii.min(axis=1, initial=np.inf) ** 2 / radii.max(axis=1, initial=0.0) * scale
    bend = np.where(np.isinf(radii).any(axis=1), 0.0, bend)
    flat: Flags = (numbers[:, 3] == 0) & (bend > coordinate) & np.isfinite(numbers[:, 2])
    return flat, flat & (bend > _STRAIGHT * coordinate)


def _take(s: _Segments, keep: Flags) -> _Segments:
    return s._replace(
        kind=s.kind[keep], shape=s.shape[keep], begin=s.begin[keep], end=s.end[keep], at=s.at[keep]
    )


def _drop_still(s: _Segments, zero: float) -> _Segments:
    """Drop segments that go nowhere: lines and closes of no length, arcs that end where they begin.

    A cubic may come back to its start. SVG 2, 9.5.1: an arc between equal points is omitted.
    """
    still = np.hypot(*(s.end - s.begin).T) <= zero
    still &= np.isin(s.kind, (MOVE, QUAD, CUBIC, SPAN), invert=True)
    # A close that goes nowhere has nothing to do, but the point before it becomes the very first point.
    closing = np.flatnonzero(still & (s.kind == CLOSE))
    closing = closing[closing > 0]
    before = closing - 1
    move = before[s.kind[before] != MOVE]
    end = s.end.copy()
    end[move] = s.end[move + 1]
    s = _take(s._replace(end=end), ~still)
    # Relative commands that come home add up with rounding; the line is meant to be closed.
    first = np.flatnonzero(s.kind == MOVE)
    last = np.append(first[1:], len(s.kind)) - 1
    home = (last > first + 1) & (np.hypot(*(s.end[last] - s.end[first]).T) <= zero)
    s.end[last[home]] = s.end[first[home]]
    return s


class _Chords(NamedTuple):
    """Segments flattened.

    Attributes
    ----------
    found
        For each kind of curve: segments, points strictly inside them, number of points of each.
    counts
        (k,) ndarray of int: points strictly inside each segment.
    leave, arrive
        (k, 2) ndarray of float: directions at the start and at the end of each segment.
    is_curve
        (k,) ndarray of bool: the segment is a curve.
    """

    found: list[tuple[Index, Points, Index]]
    counts: Index
    leave: Points
    arrive: Points
    is_curve: Flags


def _chords(s: _Segments, sagitta: float, most_points: int) -> _Chords:
    """Flatten every curve."""
    try:
        return _flatten(s, sagitta, most_points)
    except flatten.TooManyPointsError as fault:
        raise DrawingError(
            f"the curves need {fault.needed} points or more; at most {most_points} are read",
            fix=more("Simplify the drawing, or scale it to its real size.", "points"),
        ) from None


def _flatten(s: _Segments, sagitta: float, most: int) -> _Chords:
    most -= len(s.kind)
    counts = np.zeros(len(s.kind), dtype=np.int64)
    leave = s.end - s.begin
    arrive = leave.copy()
    is_curve = np.zeros(len(s.kind), dtype=bool)
    found: list[tuple[Index, Points, Index]] = []
    for kind, curves in ((QUAD, flatten.quadratics), (CUBIC, flatten.cubics)):
        index, numbers = s.pick(kind)
        control = s.to_mm(index, numbers.reshape(len(index), WIDTH[kind] // 2, 2))
        control = np.concatenate((s.begin[index, None], control), axis=1)
        control[:, -1] = s.end[index]
        leave[index], arrive[index] = directions(control)
        is_curve[index] = True
        found.append((index, *curves(control, sagitta, most=most)))
        most -= len(found[-1][1])
    for index, numbers in (_spans(s), _arcs(s)):
        if len(index):
            centre, u, v = np.moveaxis(_ellipses(s, index, numbers), 1, 0)
            begin, sweep = numbers[:, 6], numbers[:, 7]
            leave[index], arrive[index] = tangents(u, v, begin, sweep), tangents(u, v, begin + sweep, sweep)
            is_curve[index] = True
            found.append((index, *flatten.arcs(centre, u, v, begin, sweep, sagitta, most=most)))
            most -= len(found[-1][1])
    for index, _, each in found:
        counts[index] = each
    return _Chords(found, counts, leave, arrive, is_curve)


def _ellipses(s: _Segments, index: Index, numbers: Points) -> Points:
    """Centre and half diameters in mm, (k, 3, 2), of ellipses given as centre, u, v, begin, sweep."""
    linear = s.matrix[s.shape[index]].copy()
    linear[:, 4:] = 0.0
    whole = s.matrix[s.shape[index]]
    return np.stack(
        (_apply(whole, numbers[:, 0:2]), _apply(linear, numbers[:, 2:4]), _apply(linear, numbers[:, 4:6])),
        axis=1,
    )


def _spans(s: _Segments) -> tuple[Index, Points]:
    """Parts of axis-parallel ellipses: index, and (k, 8) centre, u, v, begin, sweep."""
    index, n = s.pick(SPAN)
    zero = np.zeros(len(index))
    return index, np.column_stack((n[:, 0:2], n[:, 2], zero, zero, n[:, 3], n[:, 4:6]))


def _arcs(s: _Segments) -> tuple[Index, Points]:
    """Arcs given by their ends: index, and (k, 8) centre, u, v, begin, sweep in user units."""
    index, n = s.pick(ARC)
    # The start in user units is the end of the segment before; its numbers stand just before.
    begin = s.args[(s.at[index] - 2)[:, None] + np.arange(2)]
    radii, size = np.abs(n[:, :2]), np.abs(n[:, 5:7] - begin).max(axis=1, initial=0.0)
    # B.2.5: a radius of 0 makes a straight line; as good as 0 is one whose ratios would overflow.
    round_ = (radii > _NO_RADIUS * np.maximum(size, radii.max(axis=1, initial=0.0))[:, None]).all(axis=1)
    return index[round_], centre_arcs(begin[round_], n[round_])


def _smooth_ends(s: _Segments, chords: _Chords) -> tuple[Flags, Flags]:
    """Whether each segment ends, and each line begins, in a smooth join with a curve.

    Returns
    -------
    ends
        (k,) the end point of the segment lies in a smooth join.
    begins
        (k,) for a MOVE: the line closes smoothly.
    """
    leave, arrive, is_curve = chords.leave, chords.arrive, chords.is_curve
    k = len(s.kind)
    ends, begins = np.zeros(k, dtype=bool), np.zeros(k, dtype=bool)
    if k < 2:
        return ends, begins
    inside = s.kind[1:] != MOVE
    pair = np.flatnonzero(inside & (s.kind[:-1] != MOVE) & (is_curve[:-1] | is_curve[1:]))
    ends[pair] = flatten.smooth(arrive[pair], leave[pair + 1])
    first = np.flatnonzero(s.kind == MOVE)
    last = np.append(first[1:], k) - 1
    closed = (last > first) & (s.end[first] == s.end[last]).all(axis=1)
    first, last = first[closed], last[closed]
    round_ = (is_curve[last] | is_curve[first + 1]) & flatten.smooth(arrive[last], leave[first + 1])
    ends[last[round_]] = True
    begins[first[round_]] = True
    return ends, begins


def _weave(s: _Segments, chords: _Chords, zero: float, lost: Index) -> FlatShapes:
    """Put the points of all segments in order."""
    ends, begins = _smooth_ends(s, chords)
    counts = chords.counts
    at_end = np.cumsum(counts + 1) - 1
    total = int(at_end[-1]) + 1
    xy = np.empty((total, 2))
    xy[at_end] = s.end
    for index, points, each in chords.found:
        to = np.repeat(at_end[index] - each - (np.cumsum(each) - each), each)
        to += np.arange(len(points))
        xy[to] = points
    curved = np.ones(total, dtype=bool)
    curved[at_end] = ends | begins
    is_first = s.kind == MOVE
    return _split(xy, curved, at_end[is_first], s.shape[is_first], zero, lost)


def _split(xy: Points, curved: Flags, first: Index, shape: Index, zero: float, lost: Index) -> FlatShapes:
    """Split points into lines; drop steps of no length, and lines of no length."""
    still = np.zeros(len(xy), dtype=bool)
    np.less_equal(np.abs(np.diff(xy[:, 0])) + np.abs(np.diff(xy[:, 1])), zero, out=still[1:])
    still[first] = False
    start = np.append(first, len(xy))
    if still.any():
        last = start[1:] - 1
        very_last, last_curved = xy[last], curved[last]
        start = start - np.append(0, np.cumsum(still))[start]
        xy, curved = xy[~still], curved[~still]
        # Where the step to the last point went, the point before it takes its place, so that a line that
        # was closed stays so.
        last = start[1:] - 1
        xy[last], curved[last] = very_last, last_curved
    counts = np.diff(start)
    alone = counts < 2
    if alone.any():
        keep = ~np.repeat(alone, counts)
        xy, curved = xy[keep], curved[keep]
    slivers, shape = shape[alone], shape[~alone]
    start = np.concatenate(([0], np.cumsum(counts[~alone]))).astype(np.int64)
    return FlatShapes(xy, start, shape, curved, lost, slivers)
