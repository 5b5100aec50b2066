"""Exposure that no order avoids: holes of a regular lace, all orders and directions tried.

Where three hexagonal holes meet, the one that is cut second turns from the web towards the third into
the web towards the first, or the other way round: of its two junctions of that kind one narrows,
whichever way it runs. So every order of whole holes has the same exposure (docs/ORDER.md). The widths here
are distances by shapely (GEOS), sampled from the definition; they share nothing with cutprep.order.
"""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest
import shapely

from cutprep.model.operation import Operation
from tests.order_sheets import plan, sheet_of

_STEP = 0.05


def holes(cells: list[tuple[int, int]], web: float = 2.0, side: float = 4.0) -> list[np.ndarray]:
    """Hexagons round the given cells of a triangular lattice."""
    around = np.radians(30 + 60 * np.arange(7))
    hexagon = side * np.column_stack((np.cos(around), np.sin(around)))
    hexagon[-1] = hexagon[0]
    pitch = side * 3**0.5 + web
    middles = [(50 + pitch * (i + 0.5 * j), 50 + pitch * 0.75**0.5 * j) for i, j in cells]
    return [hexagon + np.array(middle) for middle in middles]


def sampled(rings: list[np.ndarray]) -> np.ndarray:
    """Distance of points along each ring to every other ring: (ring, ring, point)."""
    lines = [shapely.LinearRing(ring) for ring in rings]
    steps = round(lines[0].length / _STEP)
    along = np.linspace(0, lines[0].length, steps + 1)
    points = [shapely.line_interpolate_point(line, along) for line in lines]
    return np.array([[shapely.distance(p, other) for other in lines] for p in points])


def exposure(widths: np.ndarray, order: tuple[int, ...], step: float) -> float:
    """Each ring in its better direction, weighted as the definition says."""
    total = 0.0
    for k, ring in enumerate(order):
        if not k:
            continue
        width = np.minimum(widths[ring, list(order[:k])].min(axis=0), 3.0)
        middle = (width[1:] + width[:-1]) / 2
        fall = width[:-1] - width[1:]
        weight = step * (1 - middle / 3.0)
        total += min(weight[fall > 1e-5].sum(), weight[fall < -1e-5].sum())
    return float(total)


@pytest.mark.parametrize(
    "cells",
    [
        [(0, 0), (1, 0), (0, 1)],
        [(0, 0), (1, 0), (0, 1), (-1, 1), (-1, 0)],
        [(0, 0), (1, 0), (0, 1), (-1, 0), (0, -1), (1, -1)],
    ],
    ids=["three", "five", "six"],
)
def test_all_orders_of_whole_holes_cost_the_same(cells: list[tuple[int, int]]) -> None:
    rings = holes(cells)
    widths = sampled(rings)
    step = shapely.LinearRing(rings[0]).length / (widths.shape[2] - 1)
    all_orders = [exposure(widths, order, step) for order in permutations(range(len(rings)))]
    assert max(all_orders) - min(all_orders) < 0.01 * min(all_orders)
    _, report = plan(sheet_of(rings, Operation.CUT), effort="quick")
    assert report.planned.running == pytest.approx(min(all_orders), rel=0.03)
    # Nothing was to be spared, and nothing is claimed.
    assert report.nearest.running == pytest.approx(report.planned.running, rel=0.01)
