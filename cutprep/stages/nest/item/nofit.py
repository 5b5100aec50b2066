"""No-fit polygons: where the origin of a second copy must not lie, so that it clears a first one.

The no-fit polygon of A and B is the Minkowski sum of A with B mirrored at the origin, widened by
the gap. Both are cut into convex pieces (constrained Delaunay triangles, merged while they stay
convex); the sum of two convex pieces is the hull of the sums of their corners, and the region
is the union of all of them.

Why not a library: the one at hand that knows these regions packs a strip and keeps them to
itself; shapely has the pieces but not the sum.

References
----------
M. de Berg et al., *Computational Geometry*, 3rd ed., Springer 2008, chapter 13 (Minkowski sums).
S. Hertel, K. Mehlhorn, "Fast triangulation of simple polygons", FCT 1983, LNCS 158, 207-218
(merging triangles into convex pieces).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.geometry.affine import apply
from cutprep.model.lines import Points
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.meter import PIECES, Meter
from cutprep.stages.nest.item.shape import Shape, matrix_of, transformed

#: Where GEOS trips over its own rounding, regions are worked out on a grid of this step, so that slivers one step wide
#: survive, mm.
GRID = 1e-10  # not a tolerance: rounding of coordinates
#: Each region is drawn in by this much, so that a place which fits exactly is still a place, mm.
EASE = 1e-9  # not a tolerance: times an edge of a metre it is the overlap that the proof lets pass
#: Outlines with more vertices than this are simplified (outwards) before regions are made.
_MOST_VERTICES = 90
_QUADRANT = 12
#: Outlines with more vertices than this are thinned out before they are widened.
MANY = 2000


class NoFit:
    """No-fit polygons of a set of shapes, made when first asked for and kept.

    Parameters
    ----------
    shapes
        One for each demand.
    gap
        Least distance between parts, mm.
    windows
        Whether parts may lie in the waste windows of others.
    meter
        Counts the work.
    """

    def __init__(
        self, shapes: Sequence[Shape], gap: float, *, windows: bool = False, meter: Meter | None = None
    ) -> None:
        self.gap = gap
        self.windows = windows
        self.meter = meter or Meter()
        self._shapes = shapes
        self._simple: dict[int, BaseGeometry] = {}
        self._pieces: dict[int, list[Points]] = {}
        self._polygons: dict[tuple[int, int, float, bool], BaseGeometry] = {}
        self._posed: dict[tuple[int, Pose, int, Pose], BaseGeometry] = {}

    def simple(self, demand: int) -> BaseGeometry:
        """What a demand takes up, drawn with few vertices and never smaller than it is."""
        if demand not in self._simple:
            shape = self._shapes[demand]
            self._simple[demand] = simpler(shape.body if self.windows else shape.solid)
        return self._simple[demand]

    def pieces(self, demand: int) -> list[Points]:
        """The convex pieces of a demand, each (n, 2), mm."""
        if demand not in self._pieces:
            self._pieces[demand] = convex_pieces(self.simple(demand))
        return self._pieces[demand]

    def polygon(self, first: int, pose: Pose, second: int, other: Pose) -> BaseGeometry:
        """Where the origin of `second` must not lie while `first` lies at the origin.

        Parameters
        ----------
        first, second
            Numbers of the two demands.
        pose, other
            How each of them lies.

        Returns
        -------
        Polygon or MultiPolygon
            Its inside is forbidden; on its edge the two are a gap apart.
        """
        key = (first, pose, second, other)
        if key not in self._posed:
            turn = (other.turn - pose.turn) % 360.0
            if pose.mirror:
                turn = -turn % 360.0
            base = self._base(first, second, turn, mirrored=pose.mirror != other.mirror)
            self._posed[key] = transformed(base, matrix_of(pose))
        return self._posed[key]

    def _base(self, first: int, second: int, turn: float, *, mirrored: bool) -> BaseGeometry:
        """The region with `first` as drawn and `second` turned against it."""
        key = (first, second, turn, mirrored)
        if key not in self._polygons:
            matrix = matrix_of(Pose(turn, mirrored))
            pieces, moved = self.pieces(first), [-apply(matrix, piece) for piece in self.pieces(second)]
            self.meter.spend(PIECES * len(pieces) * len(moved))
            self._polygons[key] = widened(minkowski(pieces, moved), self.gap)
        return self._polygons[key]


def minkowski(first: Sequence[Points], second: Sequence[Points]) -> BaseGeometry:
    """Minkowski sum of two unions of convex pieces, each (n, 2)."""
    sums = [(a[:, None, :] + b[None, :, :]).reshape(-1, 2) for a in first for b in second]
    counts = np.array([len(s) for s in sums])
    index = np.repeat(np.arange(len(sums)), counts)
    hulls = shapely.convex_hull(shapely.multipoints(np.concatenate(sums), indices=index))
    whole: BaseGeometry = shapely.union_all(hulls)
    return whole


def widened(region: BaseGeometry, gap: float) -> BaseGeometry:
    """Widen a region by the gap, never by less, and along straight edges by no more; then ease it.

    Mitred corners reach too far, arcs drawn round the true ones lie too far out along the edges;
    what both enclose is right on the edges and nearly so round the corners.
    """
    sharp: BaseGeometry = region.buffer(gap - EASE, join_style="mitre")
    if not gap:
        return sharp
    # A chord of an arc spans up to one and a half steps (GEOS rounds the number of steps).
    reach = gap / math.cos(1.5 * math.pi / (4 * _QUADRANT)) - EASE
    wide: BaseGeometry = sharp.intersection(region.buffer(reach, quad_segs=_QUADRANT))
    return wide


def simpler(geometry: BaseGeometry, most: int = _MOST_VERTICES) -> BaseGeometry:
    """Draw a shape with fewer vertices, never smaller than it is."""
    slack = 0.02
    result = geometry
    # Of very many vertices most are dropped before the widening, which is slow for them.
    first = shapely.get_num_coordinates(geometry) > MANY
    while shapely.get_num_coordinates(result) > most and slack < 5.0:
        rough = geometry.simplify(slack) if first else geometry
        wide = 2 * slack if first else slack
        result = rough.buffer(wide, join_style="mitre", mitre_limit=2.0).simplify(slack)
        slack *= 1.6
    return result


def convex_pieces(geometry: BaseGeometry) -> list[Points]:
    """Cut a shape into convex pieces, each (n, 2), counter-clockwise, without a closing point."""
    pieces: list[Points] = []
    for polygon in shapely.get_parts(geometry):
        if shapely.get_dimensions(polygon) != 2 or polygon.area == 0:
            continue
        if polygon.convex_hull.area - polygon.area <= GRID:
            pieces.append(_corners(polygon.convex_hull))
            continue
        triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
        pieces += _merged([_corners(t) for t in triangles if t.area > 0])
    return pieces


def _corners(polygon: BaseGeometry) -> Points:
    return np.asarray(shapely.get_coordinates(shapely.orient_polygons(polygon))[:-1])


def _merged(triangles: list[Points]) -> list[Points]:
    """Merge pieces over shared edges while they stay convex, longest shared edge first."""
    rings: dict[int, list[tuple[float, float]]] = {
        i: [(float(x), float(y)) for x, y in piece] for i, piece in enumerate(triangles)
    }
    owner: dict[tuple[tuple[float, float], tuple[float, float]], int] = {}
    for i, ring in rings.items():
        for k, a in enumerate(ring):
            owner[a, ring[(k + 1) % len(ring)]] = i
    shared = [(math.dist(a, b), a, b) for a, b in owner if a < b and (b, a) in owner]
    for _, a, b in sorted(shared, reverse=True):
        i, j = owner[a, b], owner[b, a]
        if i == j:
            continue
        ring = _joined(rings[i], rings[j], a, b)
        if not _is_convex(ring):
            continue
        rings[i] = ring
        del rings[j]
        for k, p in enumerate(ring):
            owner[p, ring[(k + 1) % len(ring)]] = i
    return [np.array(ring) for ring in rings.values()]


def _joined(
    first: list[tuple[float, float]],
    second: list[tuple[float, float]],
    a: tuple[float, float],
    b: tuple[float, float],
) -> list[tuple[float, float]]:
    """Join two rings over the edge a-b of the first, which is b-a of the second."""
    i, j = first.index(b), second.index(a)
    head = first[i:] + first[:i]
    tail = second[j:] + second[:j]
    return head + tail[1:-1]


def _is_convex(ring: list[tuple[float, float]]) -> bool:
    points = np.array(ring)
    step = np.roll(points, -1, axis=0) - points
    ahead = np.roll(step, -1, axis=0)
    cross = step[:, 0] * ahead[:, 1] - step[:, 1] * ahead[:, 0]
    return bool((cross >= -GRID * np.hypot(*step.T).max()).all())
