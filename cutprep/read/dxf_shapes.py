"""Line work as drawn: straight runs, arcs and spline spans in space, before any flattening.

A block is drawn once and inserted many times, each time under another matrix; so its curves
must stay curves until the last matrix is known. `Shapes` keeps them as columns, all entities
of a file in one value, and `flatten` lays any choice of lines under any matrices onto the
plane in one go.

Terms: a *node* is a vertex where pieces meet or end; a piece belongs to the node at its end,
and is straight unless an arc or a span says otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.errors import DrawingError
from cutprep.geometry.bsplines import chords_of, flatten_spans
from cutprep.geometry.flatten import arcs, half_axis
from cutprep.model.lines import Flags, Index, Points
from cutprep.read.limits import Limits


@dataclass(frozen=True, slots=True, eq=False)
class Shapes:
    """Lines in space.

    Attributes
    ----------
    node
        (n, 3) ndarray of float: nodes, drawing units.
    smooth
        (n,) ndarray of bool: the node lies inside a curve.
    start
        (m + 1,) ndarray of int: line i has the nodes start[i] to start[i + 1].
    record
        (m,) ndarray of int: record that each line comes from.
    arc_end
        (a,) ndarray of int, rising: node at which each arc ends.
    arc
        (a, 3, 3) ndarray of float: centre and two conjugate half diameters of each arc.
    sweep
        (a, 2) ndarray of float: first parameter and signed span, radians.
    spans
        By degree: (b,) nodes at which spans end, rising, and their (b, degree + 1, 4) homogeneous
        control points.
    """

    node: Points
    smooth: Flags
    start: Index
    record: Index
    arc_end: Index
    arc: Points
    sweep: Points
    spans: tuple[tuple[Index, Points], ...] = ()

    def __len__(self) -> int:
        return len(self.record)

    def take(self, index: Index) -> Shapes:
        """Pick lines by number, as often as wanted."""
        counts = np.diff(self.start)[index]
        start = _offsets(counts)
        shift = start[:-1] - self.start[index]
        nodes = np.arange(start[-1]) - np.repeat(shift, counts)

        def pick(ends: Index) -> tuple[Index, Index]:
            low = np.searchsorted(ends, self.start[index])
            held = np.searchsorted(ends, self.start[index + 1]) - low
            offsets = _offsets(held)
            rows = np.arange(offsets[-1]) - np.repeat(offsets[:-1] - low, held)
            return rows, ends[rows] + np.repeat(shift, held)

        rows, arc_end = pick(self.arc_end)
        spans = []
        for ends, control in self.spans:
            picked, span_end = pick(ends)
            if len(picked):
                spans.append((span_end, control[picked]))
        return Shapes(
            node=self.node[nodes],
            smooth=self.smooth[nodes],
            start=start,
            record=self.record[index],
            arc_end=arc_end,
            arc=self.arc[rows],
            sweep=self.sweep[rows],
            spans=tuple(spans),
        )


def straight(node: Points, counts: Index, record: Index, *, smooth: Flags | None = None) -> Shapes:
    """Lines of straight pieces: counts[i] nodes for line i."""
    return Shapes(
        node=node,
        smooth=np.zeros(len(node), bool) if smooth is None else smooth,
        start=_offsets(counts),
        record=record,
        arc_end=np.zeros(0, np.int64),
        arc=np.zeros((0, 3, 3)),
        sweep=np.zeros((0, 2)),
    )


def gather(parts: Sequence[Shapes]) -> Shapes:
    """Join shapes, in the order of their records."""
    parts = [p for p in parts if len(p)]
    if not parts:
        return straight(np.zeros((0, 3)), np.zeros(0, np.int64), np.zeros(0, np.int64))
    shifts = np.cumsum([0] + [len(p.node) for p in parts])[:-1].tolist()
    pairs = list(zip(parts, shifts, strict=True))
    degrees = sorted({control.shape[1] for p in parts for _, control in p.spans})
    joined = Shapes(
        node=np.concatenate([p.node for p in parts]),
        smooth=np.concatenate([p.smooth for p in parts]),
        start=np.concatenate([p.start[:-1] + s for p, s in pairs] + [[sum(len(p.node) for p in parts)]]),
        record=np.concatenate([p.record for p in parts]),
        arc_end=np.concatenate([p.arc_end + s for p, s in pairs]),
        arc=np.concatenate([p.arc for p in parts]),
        sweep=np.concatenate([p.sweep for p in parts]),
        spans=tuple(_join_spans(pairs, degree) for degree in degrees),
    )
    return joined.take(np.argsort(joined.record, kind="stable"))


def _join_spans(pairs: Sequence[tuple[Shapes, int]], width: int) -> tuple[Index, Points]:
    chosen = [(e + s, c) for p, s in pairs for e, c in p.spans if c.shape[1] == width]
    return np.concatenate([e for e, _ in chosen]), np.concatenate([c for _, c in chosen])


@dataclass(frozen=True, slots=True, eq=False)
class Flat:
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


def flatten(shapes: Shapes, matrices: Points, which: Index, *, sagitta: float, limits: Limits) -> Flat:
    """Lay lines under their matrices onto the plane.

    Parameters
    ----------
    shapes
        Lines, drawing units.
    matrices
        (k, 3, 4) ndarray of float: affine matrices that give mm.
    which
        (m,) ndarray of int: matrix of each line.
    sagitta
        Largest chord error, mm.

    Raises
    ------
    DrawingError
        When curves ask for more points than the limits allow.
    """
    counts = np.diff(shapes.start)
    of_node = np.repeat(which, counts)
    placed = _apply(matrices, of_node, shapes.node)
    extra = np.zeros(len(placed), np.int64)
    inner: list[tuple[Index, Index, Points]] = []
    if len(shapes.arc_end):
        inner.append(_flatten_arcs(shapes, matrices, of_node, sagitta, limits))
    for ends, control in shapes.spans:
        inner.append(_flatten_spans(ends, control, matrices[of_node[ends]], sagitta, limits))
    for ends, held, _ in inner:
        extra[ends] = held
    if len(placed) + int(extra.sum()) > limits.points:
        raise DrawingError(
            f"the drawing asks for {len(placed) + int(extra.sum()):,} points; the limit is {limits.points:,}",
            fix="Simplify it, or check its unit.",
        )
    offsets = _offsets(extra + 1)
    xy = np.empty((int(offsets[-1]), 2))
    curved = np.ones(len(xy), bool)
    at = offsets[1:] - 1
    xy[at] = placed[:, :2]
    curved[at] = shapes.smooth
    for ends, held, points in inner:
        own = _offsets(held)
        xy[np.arange(own[-1]) + np.repeat(offsets[ends] - own[:-1], held)] = points
    tilt, height = _rise(shapes, placed[:, 2], matrices, of_node)
    return _without_repeats(xy, curved, offsets[shapes.start], tilt, height)


def _apply(matrices: Points, which: Index, xyz: Points, *, linear: bool = False) -> Points:
    """Apply matrices[which[i]] to point i; only its linear part when asked."""
    x, y, z = xyz.T
    columns = []
    for row in range(3):
        m = matrices[:, row]
        value = x * m[which, 0] + y * m[which, 1] + z * m[which, 2]
        columns.append(value if linear else value + m[which, 3])
    return np.column_stack(columns)


def _flatten_arcs(
    shapes: Shapes, matrices: Points, of_node: Index, sagitta: float, limits: Limits
) -> tuple[Index, Index, Points]:
    which = of_node[shapes.arc_end]
    centre = _apply(matrices, which, shapes.arc[:, 0])[:, :2]
    u = _apply(matrices, which, shapes.arc[:, 1], linear=True)[:, :2]
    v = _apply(matrices, which, shapes.arc[:, 2], linear=True)[:, :2]
    # A chord over the angle h has the sagitta r h^2 / 8 nearly: enough to refuse before allocating.
    refuse_bombs(np.abs(shapes.sweep[:, 1]) * np.sqrt(half_axis(u, v) / (8 * sagitta)), limits)
    points, held = arcs(centre, u, v, shapes.sweep[:, 0], shapes.sweep[:, 1], sagitta)
    return shapes.arc_end, held, points


def _flatten_spans(
    ends: Index, control: Points, matrix: Points, sagitta: float, limits: Limits
) -> tuple[Index, Index, Points]:
    plane = np.empty((*control.shape[:2], 3))
    for row in (0, 1):
        # Homogeneous, so the shift is multiplied by the weight.
        plane[:, :, row] = (control * matrix[:, None, row]).sum(axis=2)
    plane[:, :, 2] = control[:, :, 3]
    chords = chords_of(plane, sagitta)
    refuse_bombs(chords, limits)
    return ends, chords - 1, flatten_spans(plane, chords)


def refuse_bombs(chords: Points | Index, limits: Limits) -> None:
    """Stop before curves are flattened that ask for absurdly many points.

    Raises
    ------
    DrawingError
        When one curve, or all together, need more than the limits allow.
    """
    if not len(chords):
        return
    largest, total = float(chords.max()), float(chords.sum())
    if largest > limits.curve_points:
        raise DrawingError(
            f"one curve asks for {largest:,.0f} points; the limit is {limits.curve_points:,}",
            fix="Check the drawing's unit, and the bulge or radius of its largest arc.",
        )
    if total > limits.points:
        raise DrawingError(
            f"the curves ask for {total:,.0f} points; the limit is {limits.points:,}",
            fix="Simplify the drawing, or check its unit.",
        )


def _rise(shapes: Shapes, z: Points, matrices: Points, of_node: Index) -> tuple[Points, Points]:
    """How far each line leaves a level plane, and the height of its first node."""
    if not len(shapes):
        return np.zeros(0), np.zeros(0)
    first = shapes.start[:-1]
    tilt = np.maximum.reduceat(z, first) - np.minimum.reduceat(z, first)
    if len(shapes.arc_end):
        which = of_node[shapes.arc_end]
        rise = [_apply(matrices, which, shapes.arc[:, k], linear=True)[:, 2] for k in (1, 2)]
        line = np.searchsorted(shapes.start, shapes.arc_end, side="right") - 1
        np.maximum.at(tilt, line, np.hypot(*rise))
    return tilt, z[first]


def _without_repeats(xy: Points, curved: Flags, start: Index, tilt: Points, height: Points) -> Flat:
    """Drop a vertex that lies where the one before lies, and lines of which one vertex is left."""
    keep = np.ones(len(xy), bool)
    keep[1:] = (xy[1:] != xy[:-1]).any(axis=1)
    keep[start[:-1]] = True
    kept = _offsets(keep)
    counts = np.diff(kept[start])
    lines = np.flatnonzero(counts >= 2)
    if not keep.all() or len(lines) < len(counts):
        keep &= np.repeat(counts >= 2, np.diff(start))
        xy, curved = xy[keep], curved[keep]
    return Flat(xy, curved, _offsets(counts[lines]), lines, tilt[lines], height[lines])


def _offsets(counts: Index | Flags) -> Index:
    return np.concatenate(([0], np.cumsum(counts))).astype(np.int64)
