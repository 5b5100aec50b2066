"""Closed lines as rings: signed area, orientation, and which lies inside which."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from cutprep.model.lines import Points


def signed_area(ring: Points) -> float:
    """Area of a closed line, positive when it runs counter-clockwise; mm2; (n, 2) mm.

    The vertices are taken relative to the first, so that a ring far from the origin loses no
    digits (shoelace formula).
    """
    x, y = (ring - ring[0]).T
    return float(0.5 * np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]))


def parents(rings: Sequence[Points]) -> list[int]:
    """Find the smallest ring around each ring.

    Parameters
    ----------
    rings
        Closed (n, 2) vertices each. Rings may touch; where they cross, the answer goes by a
        point that lies inside the ring.

    Returns
    -------
    list of int
        Index of the enclosing ring, -1 for an outer one.
    """
    polygons = shapely.make_valid([shapely.Polygon(ring) for ring in rings])
    areas = shapely.area(polygons)
    probes = shapely.point_on_surface(polygons)
    inner, outer = shapely.STRtree(polygons).query(probes, predicate="intersects")
    found = [-1] * len(polygons)
    for i, j in zip(inner.tolist(), outer.tolist(), strict=True):
        larger = areas[j] > areas[i] or (areas[j] == areas[i] and j < i)
        if i != j and larger and (found[i] < 0 or areas[j] < areas[found[i]]):
            found[i] = j
    return found


def depths(parent: Sequence[int]) -> list[int]:
    """How many rings lie around each ring; 0 for an outer one."""
    result = []
    for i in range(len(parent)):
        depth, at = 0, parent[i]
        while at >= 0:
            depth, at = depth + 1, parent[at]
        result.append(depth)
    return result
