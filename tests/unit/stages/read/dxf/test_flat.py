"""Shapes onto the plane: caps on points, exact ends, no repeated vertices."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.errors import DrawingError
from cutprep.limits import Limits
from cutprep.stages.read.dxf.shapes.flat import flatten
from cutprep.stages.read.dxf.shapes.shape import SpatialLines, straight
from cutprep.tolerance import Tolerance

FLAT = np.eye(3, 4)[None]


def half_circles(count: int, radius: float = 10.0) -> SpatialLines:
    """Open arcs of 180 degrees, one beside the other."""
    centre = np.column_stack((np.arange(count) * 3.0, np.zeros((count, 2))))
    u = np.tile([radius, 0.0, 0.0], (count, 1))
    v = np.tile([0.0, radius, 0.0], (count, 1))
    node = np.stack((centre + u, centre - u), axis=1).reshape(-1, 3)
    return SpatialLines(
        node=node,
        smooth=np.zeros(2 * count, bool),
        start=np.arange(count + 1) * 2,
        record=np.arange(count),
        arc_end=np.arange(count) * 2 + 1,
        arc=np.stack((centre, u, v), axis=1),
        sweep=np.tile([0.0, np.pi], (count, 1)),
    )


def test_ends_stay_bit_for_bit_and_inner_points_lie_on_the_arc() -> None:
    shapes = half_circles(3)
    flat = flatten(shapes, FLAT, np.zeros(3, int), Tolerance(), Limits())
    for i in range(3):
        points = flat.xy[flat.start[i] : flat.start[i + 1]]
        assert np.array_equal(points[[0, -1]], shapes.node[[2 * i, 2 * i + 1], :2])
        assert np.allclose(np.hypot(*(points - (3 * i, 0)).T), 10)


def test_each_line_goes_under_its_own_matrix() -> None:
    matrices = np.array([np.eye(3, 4), [[0, -1, 0, 7], [1, 0, 0, 8], [0, 0, 1, 9]]])
    shapes = straight(np.array([[0.0, 0, 0], [2, 0, 0]] * 2), np.array([2, 2]), np.arange(2))
    flat = flatten(shapes, matrices, np.array([0, 1]), Tolerance(), Limits())
    assert flat.xy.tolist() == [[0, 0], [2, 0], [7, 8], [7, 10]]
    assert flat.height.tolist() == [0, 9]


def test_a_larger_copy_has_more_chords() -> None:
    matrices = np.array([np.eye(3, 4), 9 * np.eye(3, 4)])
    flat = flatten(half_circles(2), matrices, np.array([0, 1]), Tolerance(), Limits())
    few, many = np.diff(flat.start) - 1
    assert many == pytest.approx(3 * few, abs=2)


def test_points_are_limited_one_curve_and_all() -> None:
    with pytest.raises(DrawingError, match="one curve asks for"):
        flatten(half_circles(1, 1e6), FLAT, np.zeros(1, int), Tolerance(), Limits(curve_points=100))
    with pytest.raises(DrawingError, match="the drawing asks for"):
        flatten(half_circles(30), FLAT, np.zeros(30, int), Tolerance(), Limits(points=500))
    lines = straight(np.arange(60.0).reshape(-1, 3), np.full(10, 2), np.arange(10))
    with pytest.raises(DrawingError, match="asks for 20 points; the limit is 19"):
        flatten(lines, FLAT, np.zeros(10, int), Tolerance(), Limits(points=19))


def test_nothing_gives_nothing() -> None:
    empty = straight(np.zeros((0, 3)), np.zeros(0, int), np.zeros(0, int))
    flat = flatten(empty, FLAT, np.zeros(0, int), Tolerance(), Limits())
    assert flat.xy.shape == (0, 2)
    assert flat.start.tolist() == [0]


def test_repeats_go_and_the_last_vertex_stays() -> None:
    node = np.array(
        [[0.0, 0, 0], [0, 0, 0], [5, 0, 0], [5, 5, 0], [1e-12, 0, 0], [0, 0, 0], [3, 3, 0], [3, 3, 0]]
    )
    shapes = straight(node, np.array([6, 2]), np.array([4, 9]))
    flat = flatten(shapes, FLAT, np.zeros(2, int), Tolerance(), Limits())
    assert flat.xy.tolist() == [[0, 0], [5, 0], [5, 5], [0, 0]]
    assert flat.line.tolist() == [0]


def test_a_tilted_arc_is_seen_although_its_ends_are_level() -> None:
    tilted = np.array([[[1.0, 0, 0, 0], [0, 0.6, 0, 0], [0, 0.8, 0, 0]]])
    flat = flatten(half_circles(1), tilted, np.zeros(1, int), Tolerance(), Limits())
    assert flat.tilt[0] == pytest.approx(8)
