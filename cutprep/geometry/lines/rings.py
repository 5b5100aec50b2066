"""Closed lines as rings: signed area, orientation, and which lies inside which."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from cutprep.errors import DrawingError
from cutprep.model.lines import Lines, Points

#: Pairs of a ring and one around it that are held at a time, and looked at in all.
_AT_A_TIME = 500_000
_MOST = 10_000_000


def signed_area(ring: Points) -> float:
    """Area of a closed line, positive when it runs counter-clockwise; mm2; (n, 2) mm.

    The vertices are taken relative to the first, so that a ring far from the origin loses no
    digits (shoelace formula).
    """
    x, y = (ring - ring[0]).T
    return float(0.5 * np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]))


def signed_areas(lines: Lines) -> Points:
    """`signed_area` of many lines at once, (m,) mm2."""
    x, y = (lines.xy - np.repeat(lines.xy[lines.start[:-1]], lines.counts, axis=0)).T
    swept = np.zeros(len(x))
    swept[:-1] = x[:-1] * y[1:] - x[1:] * y[:-1]
    swept[lines.start[1:] - 1] = 0.0  # from the last vertex of a line to the first of the next
    return np.asarray(np.add.reduceat(swept, lines.start[:-1]) / 2 if len(lines) else swept)


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
        Index of the enclosing ring, -1 for an outer one. Of equal rings the first lies around the others.

    Raises
    ------
    DrawingError
        When more rings lie around each other than can be told apart.
    """
    count = len(rings)
    if not count:
        return []
    polygons = shapely.make_valid([shapely.Polygon(ring) for ring in rings])
    areas = shapely.area(polygons)
    probes = shapely.point_on_surface(polygons)
    tree = shapely.STRtree(polygons)
    order = np.lexsort((np.arange(count), areas))
    place = np.empty(count, np.int64)
    place[order] = np.arange(count)
    found = np.full(count, count)  # as places, so that the smallest is the least
    low, rows, seen = 0, int(np.clip(_AT_A_TIME // count, 1, 256)), 0
    while low < count:
        inner, outer = tree.query(probes[low : low + rows], predicate="intersects")
        inner = inner + low
        seen += len(inner)
        if seen > _MOST:
            raise DrawingError(
                f"too many outlines lie within each other: more than {_MOST:,} pairs of them",
                fix="Delete outlines that are drawn many times, or make the job in pieces.",
            )
        larger = (areas[outer] > areas[inner]) | ((areas[outer] == areas[inner]) & (outer < inner))
        np.minimum.at(found, inner[larger], place[outer[larger]])
        low += rows
        rows = int(np.clip(_AT_A_TIME * low / max(seen, 1), 1, 8 * rows))
    return [-1 if k == count else int(order[k]) for k in found.tolist()]


def depths(parent: Sequence[int]) -> list[int]:
    """How many rings lie around each ring; 0 for an outer one."""
    result = [-1] * len(parent)
    for start in range(len(parent)):
        way, at = [], start
        while at >= 0 and result[at] < 0:
            way.append(at)
            at = parent[at]
        depth = result[at] if at >= 0 else -1
        for step, ring in enumerate(reversed(way), 1):
            result[ring] = depth + step
    return result
