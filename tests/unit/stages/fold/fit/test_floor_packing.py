"""Footprints on a floor, with shapely as the judge of what overlaps."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
import shapely

from cutprep.stages.fold.fit.floor_packing import no_fit_polygon, place_footprints

#: What a folded carton stands on, mm: rounding has left its third corner twice.
CARTON = np.array([
    [21.11369976301981, -8.253892680443187e-05], [10.556921887038069, 18.284941823976418],
    [-10.556762657742969, 18.28502907042936], [-10.556762657742972, 18.28502907042936],
    [-21.11369976301981, 3.9237356091348374e-05], [-10.556997258977999, -18.285029070429356],
    [10.556787658137425, -18.28502907042936],
])  # fmt: skip


@pytest.mark.parametrize(("wide", "deep", "least"), [(101.33, 75.93, 4), (132, 78, 6), (150, 100, 8)])
def test_no_two_footprints_share_a_place(wide: float, deep: float, least: int) -> None:
    """Where the corner stands twice every place looked free: eleven cartons were said to fit into a tray of six."""
    floor = shapely.box(0.0, 0.0, wide, deep)
    shapes = {0.0: CARTON, 90.0: CARTON @ np.array([[0.0, 1.0], [-1.0, 0.0]])}
    for ways in (shapes, {0.0: shapes[0.0]}, {90.0: shapes[90.0]}):
        put = place_footprints(floor, ways)
        standing = [shapely.Polygon(ways[t] + [x, y]) for x, y, t in put]
        assert max(a.intersection(b).area for a, b in combinations(standing, 2)) < 1e-3
        assert all(floor.buffer(1e-5).covers(one) for one in standing)
    assert least <= len(place_footprints(floor, shapes)) <= wide * deep / shapely.Polygon(CARTON).area


def test_a_no_fit_polygon_has_no_side_of_no_length() -> None:
    """Of a hexagon and itself turned by half it is the hexagon twice as large."""
    ring = no_fit_polygon(CARTON, -CARTON)
    assert np.hypot(*(ring - np.roll(ring, 1, axis=0)).T).min() > 1e-6
    assert shapely.Polygon(ring).area == pytest.approx(4 * shapely.Polygon(CARTON).area)
