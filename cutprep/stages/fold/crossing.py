"""Panels that pass through one another when folded."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.model.lines import Points

#: Panels are made smaller all round by this before they are tested, mm: card gives way.
_SHRINK = 0.4
#: Crossings shorter than this, or areas smaller than its square, are let pass, mm.
_LEAST = 1.0
#: Planes nearer than this and as good as parallel count as one, mm.
_COPLANAR = 0.3


def crossings(
    polygons: Mapping[int, shapely.Polygon],
    turn: Points,
    shift: Points,
    friends: frozenset[tuple[int, int]] = frozenset(),
    folded_back: frozenset[int] = frozenset(),
) -> list[tuple[int, int, float]]:
    """Find pairs of panels that cross.

    Parameters
    ----------
    polygons
        Flat panels by number.
    turn, shift
        (p, 3, 3) and (p, 3) ndarray of float: where they lie.
    friends
        Pairs (smaller first) that may lie on one another.
    folded_back
        Panels folded flat on others: in one plane with another they are a layer, no crossing.

    Returns
    -------
    list of (int, int, float)
        Pair and length of the crossing, mm; for panels in one plane the root of the area.
    """
    numbers = [p for p in polygons if not polygons[p].buffer(-_SHRINK).is_empty]
    shrunk = {p: polygons[p].buffer(-_SHRINK) for p in numbers}
    if len(numbers) < 2:
        return []
    points = {p: _lifted(shrunk[p], turn[p], shift[p]) for p in numbers}
    low = np.array([points[p].min(axis=0) for p in numbers])
    high = np.array([points[p].max(axis=0) for p in numbers])
    meet = ((low[:, None] <= high[None] + _COPLANAR) & (high[:, None] + _COPLANAR >= low[None])).all(axis=2)
    found = []
    for i, j in zip(*np.nonzero(np.triu(meet, 1)), strict=True):
        a, b = numbers[int(i)], numbers[int(j)]
        if (min(a, b), max(a, b)) in friends:
            continue
        layers = a in folded_back or b in folded_back
        if layers and np.abs((points[b] - shift[a]) @ turn[a][:, 2]).max() < _COPLANAR:
            continue
        size = _crossing(shrunk[a], shrunk[b], points[a], points[b], (turn[a], shift[a]), (turn[b], shift[b]))
        if size > _LEAST:
            found.append((a, b, size))
    return found


def _lifted(shape: BaseGeometry, turn: Points, shift: Points) -> Points:
    xy = shapely.get_coordinates(shape)
    return np.asarray(xy @ turn[:, :2].T + shift)


def _crossing(
    a: BaseGeometry,
    b: BaseGeometry,
    points_a: Points,
    points_b: Points,
    pose_a: tuple[Points, Points],
    pose_b: tuple[Points, Points],
) -> float:
    (turn_a, shift_a), (turn_b, shift_b) = pose_a, pose_b
    normal_a, normal_b = turn_a[:, 2], turn_b[:, 2]
    out_b, out_a = (points_b - shift_a) @ normal_a, (points_a - shift_b) @ normal_b
    if np.abs(out_b).max() < _COPLANAR:
        flat = shapely.transform(b, lambda xy: ((xy @ turn_b[:, :2].T + shift_b - shift_a) @ turn_a)[:, :2])
        return float(np.sqrt(a.intersection(flat).area))
    if out_b.min() >= 0 or out_b.max() <= 0 or out_a.min() >= 0 or out_a.max() <= 0:
        return 0.0
    along = np.cross(normal_a, normal_b)
    size = float(np.linalg.norm(along))
    if size < 1e-2:
        return 0.0
    along = along / size
    rows = np.array([normal_a, normal_b, along])
    middle = (points_a.mean(axis=0) + points_b.mean(axis=0)) / 2
    start = np.linalg.solve(rows, np.array([normal_a @ shift_a, normal_b @ shift_b, along @ middle]))
    return _shared(_runs(a, turn_a, shift_a, start, along), _runs(b, turn_b, shift_b, start, along))


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
