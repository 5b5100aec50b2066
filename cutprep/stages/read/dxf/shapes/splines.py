"""SPLINE and HELIX entities to shapes.

A helix carries its spline approximation in its own record; that is what is drawn. A spline that
has only fit points gets its control points from the library, which reproduces what drawing
programs do with them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.errors import DrawingError, Place
from cutprep.geometry.curves.bsplines import cut_spans
from cutprep.limits import Limits, more
from cutprep.model.lines import Flags, Index, Points
from cutprep.stages.read.dxf.library import fit
from cutprep.stages.read.dxf.records import Records
from cutprep.stages.read.dxf.shapes.entities import Remarks, flags_of
from cutprep.stages.read.dxf.shapes.shape import SpatialLines, gather

#: One spline may take this part of all fit points.
_FIT_SHARE = 50
#: Degrees beyond this occur in no drawing program; the DXF reference allows any.
_HIGHEST_DEGREE = 11
#: Ends closer than this part of the spline's size are one point.
_SAME_END = 1e-9  # not a tolerance: rounding of evaluated ends


#: A knot that lies this little below the one before is the same one, rounded.
_SAME_KNOT = 1e-6  # not a tolerance: parameter values in text


@dataclass(frozen=True, slots=True, eq=False)
class Spline:
    """One B-spline: homogeneous control points (n, 4) and knots (n + degree + 1,)."""

    record: int
    degree: int
    control: Points
    knots: Points


def shape_splines(records: Records, chosen: Index, remarks: Remarks, limits: Limits) -> SpatialLines:
    """Shape SPLINE and HELIX entities.

    Parameters
    ----------
    records
        Of the file.
    chosen
        (k,) ndarray of int: which of them.
    remarks
        Takes what can't be drawn.
    limits
        Upper bounds on fit points.

    Raises
    ------
    DrawingError
        When they run through more fit points than the limits allow.
    """
    splines = _read_splines(records, chosen, remarks, limits)
    degrees = sorted({s.degree for s in splines})
    return gather([_shape_degree([s for s in splines if s.degree == degree]) for degree in degrees])


def _read_splines(records: Records, chosen: Index, remarks: Remarks, limits: Limits) -> list[Spline]:
    flags = flags_of(records, chosen)
    ends = _ends_of_spline_data(records, chosen)
    degree = records.column(71, flags, 3.0)[chosen].astype(int).tolist()
    knots = _ragged(records, 40, flags, ends, chosen)
    weights = _ragged(records, 41, flags, ends, chosen)
    control = [_ragged(records, code, flags, ends, chosen) for code in (10, 20, 30)]
    fitted = [_ragged(records, code, flags, ends, chosen) for code in (11, 21, 31)]
    found: list[Spline] = []
    left = limits.fit_points
    for i, record in enumerate(chosen.tolist()):
        xyz = _stack([column[i] for column in control])
        if xyz is not None and len(xyz):
            spline = _from_control(record, degree[i], xyz, weights[i], knots[i])
        else:
            points = _stack([column[i] for column in fitted])
            most = min(left, limits.fit_points // _FIT_SHARE)
            count = 0 if points is None else len(points)
            left -= count
            if count > most:
                raise _too_many(records, record, count, most)
            spline = _from_fit(record, points, _tangents(records, record))
        if spline is None:
            remarks.broken.append(record)
        else:
            found.append(spline)
    return found


def _too_many(records: Records, record: int, count: int, most: int) -> DrawingError:
    return DrawingError(
        f"a spline runs through {count:,} fit points where {most:,} are left to read",
        fix=more("Save it with control points, or as a polyline.", "fit_points"),
        place=Place(line=records.line(record), element=records.name(record)),
    )


def _ends_of_spline_data(records: Records, chosen: Index) -> Index:
    """Where the spline's own data end in each record: a helix goes on with other points."""
    ends = records.first[1:].copy()
    for record in chosen.tolist():
        if records.kind[record] == "HELIX":
            for tag in range(int(records.first[record]), int(records.first[record + 1])):
                if records.tags.code[tag] == 100 and records.tags.text(tag) == "AcDbHelix":
                    ends[record] = tag
    return ends


def _ragged(records: Records, code: int, flags: Flags, ends: Index, chosen: Index) -> list[Points]:
    """All numbers with a code, one array a record."""
    at = records.find(code, flags)
    at = at[at < ends[records.owner[at]]]
    counts = np.bincount(records.owner[at], minlength=len(records))[chosen]
    return np.split(records.floats(at), np.cumsum(counts)[:-1]) if len(chosen) else []


def _stack(columns: list[Points]) -> Points | None:
    x, y, z = columns
    if len(x) != len(y):
        return None
    return np.column_stack((x, y, z if len(z) == len(x) else np.zeros(len(x))))


def _tangents(records: Records, record: int) -> Points | None:
    sides = [[records.number(record, code + 10 * i, 0.0) for i in range(3)] for code in (12, 13)]
    return np.array(sides) if all(any(side) for side in sides) else None


def _from_control(record: int, degree: int, xyz: Points, weights: Points, knots: Points) -> Spline | None:
    n = len(xyz)
    if not (1 <= degree <= _HIGHEST_DEGREE and n > degree):
        return None
    if not len(knots):
        inner = np.arange(1, n - degree, dtype=np.float64)
        knots = np.concatenate((np.zeros(degree + 1), inner, np.full(degree + 1, float(n - degree))))
    if not len(weights):
        weights = np.ones(n)
    knots = np.where(
        np.abs(np.maximum.accumulate(knots) - knots) <= _SAME_KNOT, np.maximum.accumulate(knots), knots
    )
    valid = len(knots) == n + degree + 1 and len(weights) == n
    if not (valid and bool((weights > 0).all() and (np.diff(knots) >= 0).all() and knots[n] > knots[degree])):
        return None
    return Spline(record, degree, np.column_stack((xyz * weights[:, None], weights)), knots)


def _from_fit(record: int, points: Points | None, tangents: Points | None) -> Spline | None:
    if points is None or len(points) < 2:
        return None
    apart = np.concatenate(([True], (points[1:] != points[:-1]).any(axis=1)))
    points = points[apart]
    if len(points) == 2 and tangents is None:
        return _from_control(record, 1, points, np.zeros(0), np.zeros(0))
    if len(points) < 2:
        return None
    found = fit(points, tangents)
    if found is None:
        return None
    degree, control, knots = found
    return _from_control(record, degree, control, np.zeros(0), knots)


def _shape_degree(splines: list[Spline]) -> SpatialLines:
    spans = cut_spans(
        splines[0].degree,
        np.concatenate([s.control for s in splines]),
        np.array([len(s.control) for s in splines]),
        np.concatenate([s.knots for s in splines]),
    )
    control = spans.control
    held = np.bincount(spans.spline, minlength=len(splines))
    counts = held + 1
    start = np.concatenate(([0], np.cumsum(counts))).astype(np.int64)
    ends = np.delete(np.arange(start[-1]), start[:-1])
    node = np.empty((int(start[-1]), 3))
    begins = np.cumsum(held) - held
    node[start[:-1]] = control[begins, 0, :3] / control[begins, 0, 3:]
    node[ends] = control[:, -1, :3] / control[:, -1, 3:]
    _close(node, start)
    return SpatialLines(
        node=node,
        smooth=np.zeros(len(node), bool),
        start=start,
        record=np.array([s.record for s in splines], np.int64),
        arc_end=np.zeros(0, np.int64),
        arc=np.zeros((0, 3, 3)),
        sweep=np.zeros((0, 2)),
        spans=((ends, control),),
    )


def _close(node: Points, start: Index) -> None:
    """Make the ends of closed splines equal bit for bit."""
    first, last = start[:-1], start[1:] - 1
    low, high = np.minimum.reduceat(node, first), np.maximum.reduceat(node, first)
    size = (high - low).max(axis=1)
    gap = np.abs(node[last] - node[first]).max(axis=1)
    closed = np.flatnonzero((gap <= _SAME_END * size) & (size > 0))
    node[last[closed]] = node[first[closed]]
