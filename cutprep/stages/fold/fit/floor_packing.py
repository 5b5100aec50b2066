"""Convex footprints packed on a convex floor, as many as go.

Packing is greedy, the left-most free place first, over the exact places where footprints touch
(no-fit polygons), besides plain rows.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.model.lines import Points

#: Things that touch within this fit, mm.
TOUCH = 1e-6  # not a tolerance: floating point at exact fits
#: More than this are not counted one by one.
MOST = 2000
#: Floors that hold more than this by area are filled in rows only.
_MOST_GREEDY = 30


def packed(
    floor: shapely.Polygon, along: float, across: float, clearance: float
) -> list[tuple[float, float, float]]:
    """Find positions for equal rectangles on a convex floor.

    Parameters
    ----------
    floor
        Convex, mm.
    along, across
        Length and width of each rectangle, mm.
    clearance
        Between two of them, mm; half of it to the walls.

    Returns
    -------
    list of (float, float, float)
        Middle of each rectangle, mm, and its turn, degrees.
    """
    sizes = {0.0: (along + clearance, across + clearance)}
    if abs(along - across) > TOUCH:
        sizes[90.0] = (across + clearance, along + clearance)
    ways = [in_rows(floor, *size, turn) for turn, size in sizes.items()]
    if floor.area < _MOST_GREEDY * (along + clearance) * (across + clearance):
        shapes = {turn: _rectangle(*size) for turn, size in sizes.items()}
        ways += [
            place_footprints(floor, shapes),
            *(place_footprints(floor, {turn: s}) for turn, s in shapes.items()),
        ]
    return max(ways, key=len)


def in_rows(
    floor: shapely.Polygon, width: float, height: float, turn: float
) -> list[tuple[float, float, float]]:
    """Fill a convex floor with rows of equal rectangles, from the lowest up.

    Parameters
    ----------
    floor
        Convex, mm.
    width, height
        Of each rectangle along x and y, mm.
    turn
        Said of each rectangle in the answer, degrees.

    Returns
    -------
    list of (float, float, float)
        Middle of each rectangle, mm, and its turn.
    """
    if floor.is_empty:
        return []
    ring = counter_clockwise(floor)
    y, top = float(ring[:, 1].min()), float(ring[:, 1].max())
    put: list[tuple[float, float, float]] = []
    while y + height <= top + TOUCH and len(put) < MOST:
        left, right = -np.inf, np.inf
        for level in (y, y + height):
            a, b = _span(ring, level)
            left, right = max(left, a), min(right, b)
        count = int((right - left + TOUCH) // width) if right > left else 0
        put += [(left + width * (k + 0.5), y + height / 2, turn) for k in range(count)]
        y += height if count else height / 10
    return put


def _span(ring: Points, y: float) -> tuple[float, float]:
    """Where a convex polygon lies on a level: from x to x."""
    after = np.roll(ring, -1, axis=0)
    low, high = np.minimum(ring[:, 1], after[:, 1]), np.maximum(ring[:, 1], after[:, 1])
    on = (low <= y + TOUCH) & (high >= y - TOUCH)
    a, b = ring[on], after[on]
    rise = b[:, 1] - a[:, 1]
    steep = np.abs(rise) > TOUCH
    share = np.clip((y - a[steep, 1]) / rise[steep], 0.0, 1.0)
    x = np.concatenate((a[steep, 0] + share * (b - a)[steep, 0], a[~steep, 0], b[~steep, 0]))
    return float(x.min()), float(x.max())


def _rectangle(width: float, height: float) -> Points:
    return np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * (width / 2, height / 2)


def place_footprints(floor: shapely.Polygon, shapes: dict[float, Points]) -> list[tuple[float, float, float]]:
    """Put convex footprints on a convex floor, always at the left-most, lowest free place.

    Parameters
    ----------
    shapes
        Turn to footprint, (n, 2) counter-clockwise round its own middle, mm.

    Returns
    -------
    list of (float, float, float)
        x, y of each middle, and its turn.
    """
    rooms = {turn: _inner_fit(floor, shape) for turn, shape in shapes.items()}
    put: list[tuple[float, float, float]] = []
    blocked: dict[float, list[Points]] = {turn: [] for turn in shapes}
    while len(put) < MOST:
        best: tuple[float, float, float] | None = None
        for turn in shapes:
            for x, y in _candidates(rooms[turn], blocked[turn]):
                if (best is None or (x, y) < best[:2]) and _free(rooms[turn], blocked[turn], x, y):
                    best = (x, y, turn)
        if best is None:
            break
        put.append(best)
        for turn, shape in shapes.items():
            blocked[turn].append(no_fit_polygon(shapes[best[2]], shape) + best[:2])
    return put


def no_fit_polygon(standing: Points, coming: Points) -> Points:
    """Where the middle of one convex footprint, (n, 2), may not be because of another, (m, 2), at the origin; mm."""
    sums = (standing[:, None] - coming[None]).reshape(-1, 2)
    ring = counter_clockwise(shapely.MultiPoint(sums).convex_hull)
    # Sums that are one corner but for rounding leave a side of no length, on which every place would seem to lie.
    return np.asarray(ring[np.hypot(*(ring - np.roll(ring, 1, axis=0)).T) > TOUCH])


def counter_clockwise(shape: BaseGeometry) -> Points:
    """Corners of a polygon counter-clockwise, the first not repeated, (n, 2)."""
    assert isinstance(shape, shapely.Polygon)
    ring = shapely.get_coordinates(shape.exterior)[:-1]
    return np.asarray(ring if shape.exterior.is_ccw else ring[::-1])


def _inner_fit(floor: shapely.Polygon, shape: Points) -> Points:
    """Half-planes (nx, ny, d) of where the middle of a footprint may be."""
    if floor.is_empty:
        return np.empty((0, 3))
    ring = counter_clockwise(floor)
    step = np.roll(ring, -1, axis=0) - ring
    keep = np.hypot(*step.T) > TOUCH
    step, start = step[keep], ring[keep]
    normal = np.column_stack((step[:, 1], -step[:, 0])) / np.hypot(*step.T)[:, None]
    far = (normal * start).sum(axis=1) - (shape @ normal.T).max(axis=0)
    return np.column_stack((normal, far))


def _candidates(half_planes: Points, blocked: list[Points]) -> list[tuple[float, float]]:
    """Corners of the free region: where its borders cross."""
    if not len(half_planes):
        return []
    lines = [half_planes]
    for ring in blocked:
        step = np.roll(ring, -1, axis=0) - ring
        normal = np.column_stack((step[:, 1], -step[:, 0])) / np.maximum(np.hypot(*step.T), TOUCH)[:, None]
        lines.append(np.column_stack((normal, (normal * ring).sum(axis=1))))
    table = np.unique(np.concatenate(lines).round(9), axis=0)
    i, j = np.triu_indices(len(table), 1)
    n, m = table[i], table[j]
    bottom = n[:, 0] * m[:, 1] - n[:, 1] * m[:, 0]
    good = np.abs(bottom) > 1e-9  # not a tolerance: parallel lines don't cross
    n, m, bottom = n[good], m[good], bottom[good]
    x = (n[:, 2] * m[:, 1] - n[:, 1] * m[:, 2]) / bottom
    y = (n[:, 0] * m[:, 2] - n[:, 2] * m[:, 0]) / bottom
    inside = (np.column_stack((x, y)) @ half_planes[:, :2].T <= half_planes[:, 2] + TOUCH).all(axis=1)
    spots = np.unique(np.column_stack((x, y))[inside].round(9), axis=0)
    return [(float(p), float(q)) for p, q in spots]


def _free(half_planes: Points, blocked: list[Points], x: float, y: float) -> bool:
    """Whether a middle is on the floor and in no forbidden region."""
    spot = np.array([x, y])
    if not bool((half_planes[:, :2] @ spot <= half_planes[:, 2] + TOUCH).all()):
        return False
    for ring in blocked:
        step = np.roll(ring, -1, axis=0) - ring
        away = spot - ring
        depth = (step[:, 0] * away[:, 1] - step[:, 1] * away[:, 0]) / np.maximum(np.hypot(*step.T), TOUCH)
        if depth.min() > TOUCH:
            return False
    return True
