"""What hides what."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.space.depth_order import paint_order, plane_of


def square(x: float, y: float, z: float, size: float = 10.0) -> np.ndarray:
    return np.array([[x, y, z], [x + size, y, z], [x + size, y + size, z], [x, y + size, z]], float)


def test_the_nearer_is_painted_later() -> None:
    polygons = [square(0, 0, 5), square(5, 5, 0), square(2, 2, 9)]
    assert paint_order(polygons, [0] * 3) == [1, 0, 2]


def test_a_slanted_one_behind_though_its_middle_is_nearer() -> None:
    """A long slanted polygon whose near end lies beside, not before, the other."""
    slanted = np.array([[0, 0, -20], [40, 0, 40], [40, 10, 40], [0, 10, -20]], float)
    small = square(0, 0, -5)  # over the far end of the slanted one
    assert paint_order([slanted, small], [0, 0]) == [0, 1]


def test_in_one_plane_the_word_of_the_caller_counts() -> None:
    polygons = [square(0, 0, 0), square(2, 2, 0, 3)]
    assert paint_order(polygons, [0, 1]) == [0, 1]
    assert paint_order(polygons, [0, -1]) == [1, 0]


def test_touching_edges_need_no_order() -> None:
    assert sorted(paint_order([square(0, 0, 0), square(10, 0, 50)], [0, 0])) == [0, 1]


def test_edge_on_polygons_are_painted_too() -> None:
    edge = np.array([[0, 0, 0], [10, 0, 0], [10, 0, 10], [0, 0, 10]], float)
    assert sorted(paint_order([edge, square(0, -5, 20)], [0, 0])) == [0, 1]


def test_three_that_hide_one_another_in_turn_are_all_painted_once() -> None:
    bars = []
    for k in range(3):
        a = 2 * np.pi * k / 3
        c, s = np.cos(a), np.sin(a)
        flat = np.array([[-30, 8, -10], [30, 8, 10], [30, 16, 10], [-30, 16, -10]], float)
        bars.append(flat @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]]))
    assert sorted(paint_order(bars, [0] * 3)) == [0, 1, 2]


def test_plane_of_a_polygon_with_a_notch() -> None:
    notched = np.array([[0, 0, 4], [10, 0, 4], [10, 10, 4], [5, 2, 4], [0, 10, 4]], float)
    assert plane_of(notched) == pytest.approx((0, 0, 1, 4))
