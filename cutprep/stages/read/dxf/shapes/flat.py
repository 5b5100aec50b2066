"""Shapes laid onto the plane under their last matrix, curves turned into chords.

Terms as in dxf_shapes. All arcs are flattened in one batch and all spline spans of one degree in
another; their points are then put between the nodes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from cutprep.errors import DrawingError
from cutprep.geometry.curves.bsplines import chords_of, flatten_spans
from cutprep.geometry.curves.flatten import arcs, half_axis, smooth
from cutprep.limits import Limits, more
from cutprep.model.lines import Flags, Index, Points
from cutprep.stages.read.dxf.shapes.shape import SpatialLines, offsets_of
from cutprep.tolerance import Tolerance


@dataclass(frozen=True, slots=True, eq=False)
class FlatLines:
    """Lines on the plane.

    Attributes
    ----------
    xy
        (n, 2) ndarray of float: vertices, mm, no two neighbours of a line equal.
    curved
        (n,) ndarray of bool.
    start
        (m + 1,) ndarray of int.
    line
        (m,) ndarray of int: which of the lines handed in each one is; lines without length are
        gone.
    tilt
        (m,) ndarray of float: how far each line rises or falls over its length, mm.
    height
        (m,) ndarray of float: height of its first node, mm.
    """

    xy: Points
    curved: Flags
    start: Index
    line: Index
    tilt: Points
    height: Points


@dataclass(frozen=True, slots=True, eq=False)
class _Curves:
    """Some flattened curves.

    Attributes
    ----------
    end
        (k,) node at which each ends.
    held
        (k,) points strictly between its ends.
    inner
        (n, 2) those points.
    leave, arrive
        (k, 2) directions at its begin and its end, of any length.
    rise
        (k,) how far it may leave the level of its nodes, mm.
    """

    end: Index
    held: Index
    inner: Points
    leave: Points
    arrive: Points
    rise: Points


def flatten(
    shapes: SpatialLines, matrices: Points, which: Index, tolerance: Tolerance, limits: Limits
) -> FlatLines:
    """Lay lines under their matrices onto the plane.

    Parameters
    ----------
    shapes
        Lines, drawing units.
    matrices
        (k, 3, 4) ndarray of float: affine matrices that give mm.
    which
        (m,) ndarray of int: matrix of each line.
    tolerance
        `sagitta` is the largest chord error.

    Raises
    ------
    DrawingError
        When curves ask for more points than the limits allow.
    """
    of_node = np.repeat(which, np.diff(shapes.start))
    node = _apply(matrices, of_node, shapes.node)
    curves = list(_flatten_curves(shapes, matrices, of_node, tolerance.sagitta, limits))
    extra = np.zeros(len(node), np.int64)
    for curve in curves:
        extra[curve.end] = curve.held
    _refuse_many(len(node) + int(extra.sum()), limits)
    offsets = offsets_of(extra + 1)
    xy = np.empty((int(offsets[-1]), 2))
    curved = np.ones(len(xy), bool)
    at = offsets[1:] - 1
    xy[at] = node[:, :2]
    curved[at] = shapes.smooth | _smooth_nodes(node[:, :2], shapes.start, curves)
    for curve in curves:
        own = offsets_of(curve.held)
        rows = np.arange(own[-1]) + np.repeat(offsets[curve.end] - own[:-1], curve.held)
        xy[rows] = curve.inner
    tilt = _tilt(shapes.start, node[:, 2], curves)
    return _without_repeats(
        FlatLines(
            xy, curved, offsets[shapes.start], np.arange(len(shapes)), tilt, node[shapes.start[:-1], 2]
        ),
        tolerance.zero,
    )


def _apply(matrices: Points, which: Index, xyz: Points, *, linear: bool = False) -> Points:
    """Apply matrices[which[i]] to point i; only its linear part when asked."""
    x, y, z = xyz.T
    columns = []
    for row in range(3):
        m = matrices[:, row]
        value = x * m[which, 0] + y * m[which, 1] + z * m[which, 2]
        columns.append(value if linear else value + m[which, 3])
    return np.column_stack(columns)


def _flatten_curves(
    shapes: SpatialLines, matrices: Points, of_node: Index, sagitta: float, limits: Limits
) -> Iterator[_Curves]:
    if len(shapes.arc_end):
        yield _flatten_arcs(shapes, matrices, of_node[shapes.arc_end], sagitta, limits)
    for ends, control in shapes.spans:
        yield _flatten_spans(ends, control, matrices[of_node[ends]], sagitta, limits)


def _flatten_arcs(
    shapes: SpatialLines, matrices: Points, which: Index, sagitta: float, limits: Limits
) -> _Curves:
    centre = _apply(matrices, which, shapes.arc[:, 0])[:, :2]
    u = _apply(matrices, which, shapes.arc[:, 1], linear=True)
    v = _apply(matrices, which, shapes.arc[:, 2], linear=True)
    begin, sweep = shapes.sweep.T
    # A chord over the angle h has the sagitta r h^2 / 8 nearly: enough to refuse before allocating.
    _refuse_bombs(np.abs(sweep) * np.sqrt(half_axis(u[:, :2], v[:, :2]) / (8 * sagitta)), limits)
    inner, held = arcs(centre, u[:, :2], v[:, :2], begin, sweep, sagitta)
    sign = np.sign(sweep)[:, None]
    leave, arrive = (
        sign * (np.cos(t)[:, None] * v[:, :2] - np.sin(t)[:, None] * u[:, :2]) for t in (begin, begin + sweep)
    )
    return _Curves(shapes.arc_end, held, inner, leave, arrive, np.hypot(u[:, 2], v[:, 2]))


def _flatten_spans(ends: Index, control: Points, matrix: Points, sagitta: float, limits: Limits) -> _Curves:
    space = np.empty_like(control)
    for row in range(3):
        # Homogeneous, so the shift is multiplied by the weight.
        space[:, :, row] = (control * matrix[:, None, row]).sum(axis=2)
    space[:, :, 3] = control[:, :, 3]
    plane = space[:, :, [0, 1, 3]]
    chords = chords_of(plane, sagitta)
    _refuse_bombs(chords, limits)
    legs = np.diff(plane[:, :, :2] / plane[:, :, 2:], axis=1)
    moving = (legs != 0).any(axis=2)
    rows = np.arange(len(legs))
    leave = legs[rows, moving.argmax(axis=1)]
    arrive = legs[rows, legs.shape[1] - 1 - moving[:, ::-1].argmax(axis=1)]
    height = space[:, :, 2] / space[:, :, 3]
    rise = height.max(axis=1) - height.min(axis=1)
    return _Curves(ends, chords - 1, flatten_spans(plane, chords), leave, arrive, rise)


def _refuse_bombs(chords: Points | Index, limits: Limits) -> None:
    """Stop before curves are flattened that ask for absurdly many points."""
    if not len(chords):
        return
    largest = float(chords.max())
    if not largest <= limits.curve_points:  # also when it is no number
        raise DrawingError(
            f"one curve asks for {largest:,.0f} points; the limit is {limits.curve_points:,}",
            fix=more("Check the drawing's unit, and the bulge or radius of its largest arc.", "curve_points"),
        )
    _refuse_many(float(chords.sum()), limits)


def _refuse_many(points: float, limits: Limits) -> None:
    if points > limits.points:
        raise DrawingError(
            f"the drawing asks for {points:,.0f} points; the limit is {limits.points:,}",
            fix=more("Simplify it, or check its unit.", "points"),
        )


def _smooth_nodes(xy: Points, start: Index, curves: list[_Curves]) -> Flags:
    """Nodes where a curve goes on smoothly into the next piece, across the closing too."""
    if not len(xy):
        return np.zeros(0, bool)
    leave = np.zeros_like(xy)
    leave[1:] = xy[1:] - xy[:-1]
    arrive = leave.copy()
    bent = np.zeros(len(xy), bool)
    for curve in curves:
        leave[curve.end], arrive[curve.end] = curve.leave, curve.arrive
        bent[curve.end] = True
    first, last = start[:-1], start[1:] - 1
    following = np.minimum(np.arange(len(xy)) + 1, len(xy) - 1)
    closed = (xy[first] == xy[last]).all(axis=1)
    following[last] = np.where(closed, first + 1, last)
    joins = (bent | bent[following]) & smooth(arrive, leave[following])
    joins[first] = False
    joins[last[~closed]] = False
    joins[first[closed]] = joins[last[closed]]
    return joins


def _tilt(start: Index, z: Points, curves: list[_Curves]) -> Points:
    """How far each line leaves a level plane."""
    if len(start) < 2:
        return np.zeros(0)
    tilt = np.maximum.reduceat(z, start[:-1]) - np.minimum.reduceat(z, start[:-1])
    for curve in curves:
        np.maximum.at(tilt, np.searchsorted(start, curve.end, side="right") - 1, curve.rise)
    return np.asarray(tilt)


def _without_repeats(flat: FlatLines, zero: float) -> FlatLines:
    """Drop a vertex that lies where the one before lies, and lines of which one vertex is left.

    The last vertex of a line always stays what it is, so a closed line stays closed.
    """
    xy, start = flat.xy, flat.start
    keep = np.ones(len(xy), bool)
    # What is no number is kept, to be refused with its place.
    keep[1:] = ~(np.abs(xy[1:] - xy[:-1]) <= zero).all(axis=1)
    keep[start[:-1]] = True
    if keep.all():
        return flat
    last = start[1:] - 1
    lost = last[~keep[last]]
    standing = np.maximum.accumulate(np.where(keep, np.arange(len(xy)), 0))
    xy = xy.copy()
    xy[standing[lost]] = xy[lost]
    counts = np.diff(offsets_of(keep)[start])
    whole = counts >= 2
    keep &= np.repeat(whole, np.diff(start))
    return FlatLines(
        xy=xy[keep],
        curved=flat.curved[keep],
        start=offsets_of(counts[whole]),
        line=flat.line[whole],
        tilt=flat.tilt[whole],
        height=flat.height[whole],
    )
