"""Self-crossing outlines against the validity of polygons in GEOS (shapely 2.x `is_valid`, `is_simple`).

GEOS calls a polygon invalid when its ring crosses or touches itself; cutprep tells of crossings only. So
rings are drawn at random, and those that touch themselves without crossing are left out by their
distance: the least distance of vertices from other sides.
"""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cutprep.model.drawing import Drawing
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.check.inspect import check
from tests.drawn import LIMITS


def _clearance(ring: np.ndarray) -> float:
    """Least distance of a vertex from a side that it doesn't end, mm."""
    n = len(ring) - 1
    least = np.inf
    for k in range(n):
        side = shapely.LineString(ring[k : k + 2])
        others = [j for j in range(n) if j not in {k, (k + 1) % n}]
        least = min(least, *(side.distance(shapely.Point(ring[j])) for j in others))
    return float(least)


@settings(max_examples=150, deadline=None)
@given(seed=st.integers(0, 10**9), corners=st.integers(4, 9))
def test_rings_that_cross_themselves_are_those_geos_calls_invalid(seed: int, corners: int) -> None:
    """Random rings; touching ones are left to another day."""
    rng = np.random.default_rng(seed)
    points = rng.uniform(0, 100, (corners, 2))
    if rng.random() < 0.5:
        around = np.argsort(np.arctan2(*(points - points.mean(axis=0)).T))
        points = points[around]
    ring = np.vstack((points, points[:1]))
    assume(_clearance(ring) > 1.0)
    valid = shapely.Polygon(ring).is_valid
    found = check(Drawing("x", Lines.of([ring], operation=Operation.CUT)), LIMITS)
    assert any(f.code == "self-crossing" for f in found) == (not valid)


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10**9))
def test_outlines_that_cross_are_those_geos_says_cross(seed: int) -> None:
    """Two random convex parts: told when their boundaries cross, and not when they are clear."""
    rng = np.random.default_rng(seed)
    rings = []
    for _ in range(2):
        hull = shapely.convex_hull(shapely.MultiPoint(rng.uniform(0, 60, (6, 2)) + rng.uniform(0, 40, 2)))
        rings.append(np.asarray(hull.exterior.coords))
    one, two = (shapely.LinearRing(ring) for ring in rings)
    crossing = one.crosses(two)
    assume(crossing or one.distance(two) > 2.0)
    corners = [shapely.Point(p) for ring in rings for p in ring]
    assume(all(max(one.distance(p), two.distance(p)) > 1.0 for p in corners))
    found = check(Drawing("x", Lines.of(rings, operation=Operation.CUT)), LIMITS)
    assert any(f.code == "crossing-cuts" for f in found) == crossing
