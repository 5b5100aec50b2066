"""Entities of a DXF file to shapes: LINE, ARC, CIRCLE, ELLIPSE and the polylines.

Whole columns are worked at once: all lines of the file, then all arcs, and so on; the order of
the file is restored at the end. Coordinates of flat entities lie in their own plane, given by
its normal alone ("object coordinate system" of the DXF reference, arbitrary axis algorithm).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from cutprep.model.lines import Flags, Index, Points
from cutprep.stages.read.dxf.records import Records
from cutprep.stages.read.dxf.shapes.shape import SpatialLines, straight

_TURN = 2 * math.pi
#: A sweep this close to a whole turn is one; files state angles with some ten digits.
_WHOLE = 1e-9  # not a tolerance: rounding of angles in text, radians
#: The DXF reference's own limit in the arbitrary axis algorithm.
_NEAR_Z = 1 / 64

#: Bits of group 70 of a POLYLINE, and of a VERTEX (DXF reference).
_CLOSED, _IN_SPACE, _MESH, _POLYFACE = 1, 8, 16, 64
_SPLINE_VERTEX, _FRAME_VERTEX = 8, 16


@dataclass(slots=True)
class Remarks:
    """What was noticed while shaping: record numbers by what is remarkable."""

    broken: list[int] = field(default_factory=list)
    empty: list[int] = field(default_factory=list)
    wide: list[int] = field(default_factory=list)
    thick: list[int] = field(default_factory=list)


@dataclass(frozen=True, slots=True, eq=False)
class Frames:
    """The planes of flat entities: unit axes in space, each (m, 3)."""

    x: Points
    y: Points
    z: Points

    def take(self, index: Index) -> Frames:
        """Pick planes; (k,) numbers."""
        return Frames(self.x[index], self.y[index], self.z[index])

    def lift(self, xyz: Points) -> Points:
        """Points of the planes, one each, in space; (k, 3) drawing units."""
        return np.asarray(xyz[:, :1] * self.x + xyz[:, 1:2] * self.y + xyz[:, 2:] * self.z)


def frames(records: Records, chosen: Index) -> Frames:
    """The planes of some records, from their extrusion direction (210, 220, 230).

    References
    ----------
    DXF reference, "Arbitrary Axis Algorithm".
    """
    normal = points(records, chosen, 210, (0.0, 0.0, 1.0))
    m = len(chosen)
    if bool((normal == (0.0, 0.0, 1.0)).all()):
        return Frames(*(np.broadcast_to(axis, (m, 3)) for axis in np.eye(3)))
    length = np.sqrt((normal**2).sum(axis=1))
    normal = np.where((length > 0)[:, None], normal, (0.0, 0.0, 1.0))
    normal = normal / np.where(length > 0, length, 1.0)[:, None]
    near_z = (np.abs(normal[:, 0]) < _NEAR_Z) & (np.abs(normal[:, 1]) < _NEAR_Z)
    helper = np.where(near_z[:, None], (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    x = np.cross(helper, normal)
    x /= np.sqrt((x**2).sum(axis=1))[:, None]
    return Frames(x, np.cross(normal, x), normal)


def points(
    records: Records, chosen: Index, code: int, default: tuple[float, float, float] = (0.0, 0.0, 0.0)
) -> Points:
    """The points with group codes code, code + 10, code + 20 of some records, (m, 3).

    Parameters
    ----------
    records
        Of the file.
    chosen
        (m,) ndarray of int: which of them.
    code
        Group code of x; y and z follow by tens.
    default
        What is taken where a code is missing, drawing units.
    """
    flags = flags_of(records, chosen)
    columns = [records.column(code + 10 * i, flags, default[i])[chosen] for i in range(3)]
    return np.column_stack(columns)


def flags_of(records: Records, chosen: Index) -> Flags:
    """Record numbers as flags, (r,)."""
    flags = np.zeros(len(records), bool)
    flags[chosen] = True
    return flags


def complete(records: Records, chosen: Index, codes: tuple[int, ...], remarks: Remarks) -> Index:
    """Keep the records that have all these group codes, and remark on the others.

    Parameters
    ----------
    records
        Of the file.
    chosen
        (m,) ndarray of int: which of them.
    codes
        Group codes that must be there.
    remarks
        Takes the numbers of the others.
    """
    flags = flags_of(records, chosen)
    whole = np.logical_and.reduce([records.present(code, flags) for code in codes])[chosen]
    remarks.broken += chosen[~whole].tolist()
    return np.asarray(chosen[whole])


def shape_lines(records: Records, chosen: Index, remarks: Remarks) -> SpatialLines:
    """Shape LINE entities, and the 3DLINE of early releases; their points are in space; `chosen` (k,) records."""
    chosen = complete(records, chosen, (10, 20, 11, 21), remarks)
    node = np.empty((2 * len(chosen), 3))
    node[0::2] = points(records, chosen, 10)
    node[1::2] = points(records, chosen, 11)
    return straight(node, np.full(len(chosen), 2), chosen)


def shape_arcs(records: Records, chosen: Index, remarks: Remarks) -> SpatialLines:
    """Shape ARC and CIRCLE entities; `chosen` (k,) records."""
    chosen = complete(records, chosen, (10, 20, 40), remarks)
    flags = flags_of(records, chosen)
    radius = records.column(40, flags, 0.0)[chosen]
    begin = np.radians(records.column(50, flags, 0.0)[chosen])
    end = np.radians(records.column(51, flags, 360.0)[chosen])
    whole = np.array([records.kind[i] == "CIRCLE" for i in chosen.tolist()], bool)
    sweep = np.where(whole, _TURN, _span(begin, end))
    usable = (radius > 0) & (sweep > 0)
    remarks.empty += chosen[~usable].tolist()
    chosen, radius, begin, sweep = chosen[usable], radius[usable], begin[usable], sweep[usable]
    plane = frames(records, chosen)
    centre = plane.lift(points(records, chosen, 10))
    whole = sweep >= _TURN - _WHOLE
    begin = np.where(whole, 0.0, begin)
    axes = np.stack((centre, plane.x * radius[:, None], plane.y * radius[:, None]), axis=1)
    return _shape_conics(chosen, axes, begin, sweep, whole)


def shape_ellipses(records: Records, chosen: Index, remarks: Remarks) -> SpatialLines:
    """Shape ELLIPSE entities; centre and major axis are in space; `chosen` (k,) records."""
    chosen = complete(records, chosen, (10, 20, 11, 21), remarks)
    flags = flags_of(records, chosen)
    ratio = records.column(40, flags, 1.0)[chosen]
    begin = records.column(41, flags, 0.0)[chosen]
    sweep = _span(begin, records.column(42, flags, _TURN)[chosen])
    major = points(records, chosen, 11)
    usable = (np.abs(ratio) > 0) & (sweep > 0) & (major != 0).any(axis=1)
    remarks.empty += chosen[~usable].tolist()
    chosen, ratio, begin, sweep, major = (a[usable] for a in (chosen, ratio, begin, sweep, major))
    minor = np.cross(frames(records, chosen).z, major) * ratio[:, None]
    axes = np.stack((points(records, chosen, 10), major, minor), axis=1)
    whole = sweep >= _TURN - _WHOLE
    return _shape_conics(chosen, axes, np.where(whole, 0.0, begin), sweep, whole)


def _span(begin: Points, end: Points) -> Points:
    """Sweep from one angle counter-clockwise to another: above 0 and up to a whole turn.

    Equal angles are no arc at all; angles a turn apart are the whole circle.
    """
    raw = end - begin
    turns = np.round(raw / _TURN)
    whole = np.abs(raw - turns * _TURN) < _WHOLE
    return np.asarray(np.where(whole, np.where(turns == 0, 0.0, _TURN), raw % _TURN))


def _shape_conics(record: Index, axes: Points, begin: Points, sweep: Points, whole: Flags) -> SpatialLines:
    """Arcs of circles and ellipses; a whole one is four quarters, so its extents are exact."""
    pieces = np.where(whole, 4, 1)
    counts = pieces + 1
    start = np.concatenate(([0], np.cumsum(counts))).astype(np.int64)
    line = np.repeat(np.arange(len(record)), counts)
    rank = np.arange(start[-1]) - start[line]
    angle = begin[line] + np.where(whole[line], rank * (_TURN / 4), rank * sweep[line])
    cos, sin = np.cos(angle), np.sin(angle)
    quarter = whole[line]
    # Quarter points of whole conics are exact, and the last of them is the first.
    cos[quarter] = np.array([1.0, 0.0, -1.0, 0.0])[rank[quarter] % 4]
    sin[quarter] = np.array([0.0, 1.0, 0.0, -1.0])[rank[quarter] % 4]
    node = axes[line, 0] + cos[:, None] * axes[line, 1] + sin[:, None] * axes[line, 2]
    ends = np.flatnonzero(rank > 0)
    of = line[ends]
    spans = np.column_stack((angle[ends - 1], np.where(whole[of], _TURN / 4, sweep[of])))
    return SpatialLines(node, np.zeros(len(node), bool), start, record, ends, axes[of], spans)


def shape_light_polylines(records: Records, chosen: Index, remarks: Remarks) -> SpatialLines:
    """Shape LWPOLYLINE entities; `chosen` (k,) records."""
    flags = flags_of(records, chosen)
    at = records.find(10, flags)
    owner = records.owner[at]
    node = np.zeros((len(at), 3))
    node[:, 0] = records.floats(at)
    node[:, 1], seen = _attached(records, 20, flags, at)
    node[:, 2] = records.column(38, flags, 0.0)[owner]
    bulge, _ = _attached(records, 42, flags, at)
    _remark_widths(records, flags, (40, 41, 43), remarks)
    counts = np.bincount(owner, minlength=len(records))
    lacking = np.bincount(owner[~seen], minlength=len(records)) > 0
    remarks.broken += np.flatnonzero(lacking).tolist()
    remarks.empty += chosen[(counts[chosen] < 2) & ~lacking[chosen]].tolist()
    usable = (counts >= 2) & ~lacking
    chosen, use = chosen[usable[chosen]], usable[owner]
    closed = (records.column(70, flags, 0.0)[chosen].astype(int) & _CLOSED) > 0
    return chain(chosen, counts[chosen], node[use], bulge[use], closed, frames(records, chosen))


def _attached(records: Records, code: int, flags: Flags, at: Index) -> tuple[Points, Flags]:
    """Numbers with a code by the vertex begun last before them in the same record.

    Returns
    -------
    numbers
        (v,) ndarray of float, 0 where a vertex has none.
    seen
        (v,) ndarray of bool: the vertex has one.
    """
    numbers, seen = np.zeros(len(at)), np.zeros(len(at), bool)
    tags = records.find(code, flags)
    vertex = np.searchsorted(at, tags, side="right") - 1
    fits = vertex >= 0
    fits[fits] = records.owner[at[vertex[fits]]] == records.owner[tags[fits]]
    numbers[vertex[fits]] = records.floats(tags[fits])
    seen[vertex[fits]] = True
    return numbers, seen


def _remark_widths(records: Records, flags: Flags, codes: tuple[int, ...], remarks: Remarks) -> None:
    wide: set[int] = set()
    for code in codes:
        at = records.find(code, flags)
        wide |= set(records.owner[at[records.floats(at) > 0]].tolist())
    remarks.wide += sorted(wide)


def shape_polylines(records: Records, chosen: Index, vertices: Index, remarks: Remarks) -> SpatialLines:
    """Shape 2D and 3D POLYLINE entities; `chosen` and `vertices` (k,) records.

    Parameters
    ----------
    chosen
        POLYLINE records that are no meshes.
    vertices
        All VERTEX records of the file; each belongs to the POLYLINE last before it.
    """
    head, vertices = _members(records, chosen, vertices)
    vertex_flags, flags = flags_of(records, vertices), flags_of(records, chosen)
    role = records.column(70, vertex_flags, 0.0)[vertices].astype(int)
    # The frame of a spline-fit polyline is not drawn; the fitted vertices are.
    drawn = (role & _FRAME_VERTEX) == 0
    head, vertices, role = head[drawn], vertices[drawn], role[drawn]
    _remark_widths(records, flags | vertex_flags, (40, 41), remarks)
    node = points(records, vertices, 10)
    whole = records.present(10, vertex_flags) & records.present(20, vertex_flags)
    lacking = np.bincount(head[~whole[vertices]], minlength=len(records)) > 0
    counts = np.bincount(head, minlength=len(records))
    remarks.broken += np.flatnonzero(lacking).tolist()
    remarks.empty += chosen[(counts[chosen] < 2) & ~lacking[chosen]].tolist()
    usable = (counts >= 2) & ~lacking
    chosen, use = chosen[usable[chosen]], usable[head]
    state = records.column(70, flags, 0.0)[chosen].astype(int)
    in_space = (state & _IN_SPACE) > 0
    line = np.repeat(np.arange(len(chosen)), counts[chosen])
    # A flat polyline's height is that of its own point; its vertices repeat it, or leave it out.
    height = records.column(30, flags, 0.0)[chosen][line]
    node = node[use]
    node[:, 2] = np.where(in_space[line], node[:, 2], height)
    bulge = np.where(in_space[line], 0.0, records.column(42, vertex_flags, 0.0)[vertices[use]])
    planes = frames(records, chosen)
    level = [
        np.where(in_space[:, None], axis, own)
        for axis, own in zip(np.eye(3), (planes.x, planes.y, planes.z), strict=True)
    ]
    return chain(
        chosen,
        counts[chosen],
        node,
        bulge,
        (state & _CLOSED) > 0,
        Frames(*level),
        smooth=(role[use] & _SPLINE_VERTEX) > 0,
    )


def _members(records: Records, chosen: Index, vertices: Index) -> tuple[Index, Index]:
    """The POLYLINE of each vertex that follows a chosen one with only vertices between."""
    other = np.array([kind != "VERTEX" for kind in records.kind], bool)
    last = np.maximum.accumulate(np.where(other, np.arange(len(records)), -1))
    head = last[vertices]
    own = np.isin(head, chosen)
    return head[own], vertices[own]


def chain(
    record: Index,
    counts: Index,
    node: Points,
    bulge: Points,
    closed: Flags,
    planes: Frames,
    *,
    smooth: Flags | None = None,
) -> SpatialLines:
    """Chain vertices to lines, with arcs where a vertex has a bulge.

    Parameters
    ----------
    record
        (m,) record of each line.
    counts
        (m,) vertices of each line, at least 2.
    node
        (n, 3) vertices in the line's plane.
    bulge
        (n,) tangent of a quarter of the angle that the arc to the next vertex sweeps,
        counter-clockwise positive (DXF reference, group 42).
    closed
        (m,) the last vertex is joined to the first.
    planes
        The lines' planes, one each.
    smooth
        (n,) the vertex lies inside a curve although straight pieces meet there.
    """
    first = np.cumsum(counts) - counts
    # Closed, but two vertices and no arc: it would run back over itself.
    bent_lines = np.add.reduceat(bulge != 0, first) > 0 if len(first) else np.zeros(0, bool)
    total = counts + (closed & ((counts > 2) | bent_lines))
    start = np.concatenate(([0], np.cumsum(total))).astype(np.int64)
    line = np.repeat(np.arange(len(record)), total)
    rank = np.arange(start[-1]) - start[line]
    vertex = first[line] + rank % counts[line]
    local = node[vertex]
    ends = np.flatnonzero(rank > 0)
    bent = bulge[vertex[ends - 1]]
    ends, bent = ends[bent != 0], bent[bent != 0]
    p, q = local[ends - 1], local[ends]
    half = (q - p) / 2
    reach = ((1 - bent**2) / (2 * bent))[:, None]
    centre = (p + q) / 2 + np.column_stack((-half[:, 1], half[:, 0], 0 * bent)) * reach
    u = p - centre
    u[:, 2] = 0.0
    v = np.column_stack((-u[:, 1], u[:, 0], u[:, 2]))
    own = planes.take(line[ends])
    return SpatialLines(
        node=planes.take(line).lift(local),
        smooth=np.zeros(len(vertex), bool) if smooth is None else smooth[vertex],
        start=start,
        record=record,
        arc_end=ends,
        arc=np.stack((own.lift(centre), own.lift(u), own.lift(v)), axis=1),
        sweep=np.column_stack((0 * bent, 4 * np.arctan(bent))),
    )
