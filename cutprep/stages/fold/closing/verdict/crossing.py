"""Panels that pass through one another when folded."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.model.lines import Points

#: Panels are made smaller all round by this before they are tested, mm: card gives way.
_SHRINK = 0.4
#: Crossings shorter than this are let pass, mm.
_LEAST = 1.0

#: A panel in space: its flat shape made smaller, that shape's corners in space, its turn and shift.
Posed = tuple[BaseGeometry, Points, Points, Points]


def shrunk(shape: shapely.Polygon) -> BaseGeometry:
    """A panel without its rim, that may touch others."""
    return shape.buffer(-_SHRINK)


def crossing_of(a: Posed, b: Posed, *, slack: float = 0.0) -> float:
    """How long the line is along which two panels in different planes cross, mm; 0 when they don't.

    Parameters
    ----------
    slack
        A panel has to reach this far through the plane of the other, mm.
    """
    shape_a, points_a, turn_a, shift_a = a
    shape_b, points_b, turn_b, shift_b = b
    if not len(points_a) or not len(points_b):
        return 0.0
    normal_a, normal_b = turn_a[:, 2], turn_b[:, 2]
    out_b, out_a = (points_b - shift_a) @ normal_a, (points_a - shift_b) @ normal_b
    if min(-out_b.min(), out_b.max(), -out_a.min(), out_a.max()) <= slack:
        return 0.0
    along = np.cross(normal_a, normal_b)
    size = float(np.linalg.norm(along))
    if size < 1e-2:
        return 0.0
    along = along / size
    rows = np.array([normal_a, normal_b, along])
    middle = (points_a.mean(axis=0) + points_b.mean(axis=0)) / 2
    start = np.linalg.solve(rows, np.array([normal_a @ shift_a, normal_b @ shift_b, along @ middle]))
    found = _shared(
        _runs(shape_a, turn_a, shift_a, start, along), _runs(shape_b, turn_b, shift_b, start, along)
    )
    return found if found > _LEAST else 0.0


def _runs(
    shape: BaseGeometry, turn: Points, shift: Points, start: Points, along: Points
) -> list[tuple[float, float]]:
    """Stretches of a line in a panel's plane that lie within the panel."""
    origin = ((start - shift) @ turn)[:2]
    direction = (along @ turn)[:2]
    corners = shapely.get_coordinates(shape)
    reach = float(np.hypot(*(corners - origin).T).max()) + 1.0
    line = shapely.LineString([origin - reach * direction, origin + reach * direction])
    pieces = shapely.get_parts(line.intersection(shape))
    spans = [(shapely.get_coordinates(p) - origin) @ direction for p in pieces if p.length > 0]
    return [(float(s.min()), float(s.max())) for s in spans]


def _shared(one: list[tuple[float, float]], two: list[tuple[float, float]]) -> float:
    return sum(max(0.0, min(b, d) - max(a, c)) for a, b in one for c, d in two)
