"""In which order flat polygons in space are painted so that the nearer hide the farther.

Two polygons need an order only where they overlap in the picture; there the depth at a common
point decides. Polygons that pass through one another have no right order.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.model.lines import Points

#: Overlaps smaller than this share of the smaller polygon are touching edges.
_TOUCHING = 1e-4
#: Planes seen as good as edge-on hide nothing: cosine of the angle to the line of sight.
_EDGE_ON = 1e-3


def paint_order(polygons: Sequence[Points], before: Sequence[float], *, same: float = 0.05) -> list[int]:
    """Order polygons from the farthest to the nearest.

    Parameters
    ----------
    polygons
        (n, 3) ndarray of float each: corners, x right, y up, z towards the viewer.
    before
        Where two polygons lie in one plane, the one with the smaller value is painted first.
    same
        Depths closer than this are one plane.

    Returns
    -------
    list of int
        Every polygon once.
    """
    count = len(polygons)
    planes = np.array([plane_of(p) for p in polygons]).reshape(-1, 4)
    shapes = np.array([_seen(p, n) for p, n in zip(polygons, planes, strict=True)], dtype=object)
    after: list[set[int]] = [set() for _ in range(count)]
    waiting = [0] * count
    i, j = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    i, j = i[i < j], j[i < j]
    area, common = shapely.area(shapes), shapely.intersection(shapes[i], shapes[j])
    meet = np.flatnonzero(shapely.area(common) > _TOUCHING * np.minimum(area[i], area[j]))
    for k, a, b in zip(meet.tolist(), i[meet].tolist(), j[meet].tolist(), strict=True):
        first = _first(common[k], planes[a], planes[b], same) or before[a] - before[b]
        if first == 0.0:
            continue
        low, high = (a, b) if first < 0 else (b, a)
        after[low].add(high)
        waiting[high] += 1
    # Panels alike are equally far; the last digit of a mean is the processor's.
    depth = [round(float(p[:, 2].mean()), 3) for p in polygons]
    return _sorted(after, waiting, depth)


def plane_of(polygon: Points) -> tuple[float, float, float, float]:
    """Unit normal and distance n.x = d of a polygon's plane (Newell's sum); (n, 3) mm."""
    ring = polygon - polygon[0]
    x, y, z = ring.T
    on_x, on_y, on_z = np.roll(ring, -1, axis=0).T
    cross = np.column_stack((y * on_z - z * on_y, z * on_x - x * on_z, x * on_y - y * on_x))
    normal = cross.sum(axis=0)
    size = float(np.linalg.norm(normal))
    normal = normal / size if size else np.array([0.0, 0.0, 1.0])
    return float(normal[0]), float(normal[1]), float(normal[2]), float(normal @ polygon[0])


def _seen(polygon: Points, plane: Points) -> shapely.Polygon:
    """What is seen of a polygon; empty when it is seen edge-on."""
    if abs(plane[2]) < _EDGE_ON:
        return shapely.Polygon()
    shape = shapely.Polygon(polygon[:, :2])
    if not shape.is_valid:
        shape = shape.buffer(0)
    return shape if isinstance(shape, shapely.Polygon) else shapely.Polygon()


def _first(common: BaseGeometry, plane_a: Points, plane_b: Points, same: float) -> float:
    """Depth of the first less that of the second where they overlap; 0 in one plane."""
    parts = [p for p in shapely.get_parts(common) if p.area > 0]
    point = max(parts, key=lambda p: p.area).representative_point()
    depths = [(n[3] - n[0] * point.x - n[1] * point.y) / n[2] for n in (plane_a, plane_b)]
    off = float(depths[0] - depths[1])
    return 0.0 if abs(off) < same else off


def _sorted(after: list[set[int]], waiting: list[int], depth: list[float]) -> list[int]:
    """Topological order, the farthest first among equals; a ring is opened at its farthest."""
    ready = [(d, k) for k, d in enumerate(depth) if not waiting[k]]
    heapq.heapify(ready)
    left, order = set(range(len(depth))), []
    while left:
        if ready:
            _, k = heapq.heappop(ready)
        else:
            k = min(left, key=lambda n: (depth[n], n))
        if k not in left:
            continue
        left.discard(k)
        order.append(k)
        for n in after[k]:
            waiting[n] -= 1
            if not waiting[n] and n in left:
                heapq.heappush(ready, (depth[n], n))
    return order
