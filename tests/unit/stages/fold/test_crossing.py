"""Panels that pass through one another."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cutprep.errors import Place
from cutprep.geometry.hinged import turn_about
from cutprep.stages.fold.crossing import crossings
from cutprep.stages.fold.shape_findings import told_crossings
from tests.folding import folded
from tests.nets import hex_prism

SQUARE = shapely.box(-10, -10, 10, 10)
FLAT = np.eye(3)
UPRIGHT = turn_about(np.array([[1.0, 0.0, 0.0]]), np.array([np.pi / 2]))[0]


def found(
    turn_b: np.ndarray,
    shift_b: tuple[float, float, float],
    a: shapely.Polygon = SQUARE,
    b: shapely.Polygon = SQUARE,
):
    turn, shift = np.array([FLAT, turn_b]), np.array([(0.0, 0.0, 0.0), shift_b])
    return crossings({0: a, 1: b}, turn, shift)


def test_two_squares_through_one_another() -> None:
    """20 mm of crossing, less 0.4 at both ends."""
    ((a, b, size),) = found(UPRIGHT, (0, 0, 0))
    assert (a, b) == (0, 1)
    assert size == pytest.approx(19.2)


def test_an_edge_that_touches_a_face_is_none() -> None:
    assert found(UPRIGHT, (0, 0, 10)) == []


def test_parallel_and_apart_is_none() -> None:
    assert found(FLAT, (0, 0, 0.5)) == []


def test_in_one_plane_the_area_counts() -> None:
    ((_, _, size),) = found(FLAT, (10, 0, 0.2))
    assert size == pytest.approx(np.sqrt(9.2 * 19.2))


def test_side_by_side_is_none() -> None:
    assert found(FLAT, (20, 0, 0)) == []


def test_a_window_lets_another_through() -> None:
    holed = shapely.Polygon(SQUARE.exterior, [shapely.box(-5, -5, 5, 5).exterior])
    narrow = shapely.box(-3, -10, 3, 10)
    assert found(UPRIGHT, (0, 0, 0), a=holed, b=narrow) == []


def test_friends_are_let_pass() -> None:
    turn, shift = np.array([FLAT, UPRIGHT]), np.zeros((2, 3))
    assert crossings({0: SQUARE, 1: SQUARE}, turn, shift, frozenset({(0, 1)})) == []


def test_a_panel_folded_back_is_a_layer_not_a_crossing() -> None:
    turn = np.array([FLAT, FLAT, UPRIGHT])
    shift = np.array([(0.0, 0.0, 0.0), (10.0, 0.0, 0.0), (0.0, 0.0, 0.0)])
    got = crossings({0: SQUARE, 1: SQUARE, 2: SQUARE}, turn, shift, frozenset(), frozenset({1}))
    assert [(a, b) for a, b, _ in got] == [(0, 2), (1, 2)]


def test_a_pair_is_named_once_the_deepest_first_and_five_at_most() -> None:
    report = folded(hex_prism())
    pairs = [(0, k, float(k)) for k in range(1, 10)] + [(9, 0, 30.0), (0, 3, 2.0)]
    told = told_crossings(pairs, report, lambda xy: Place(xy=(float(xy[0]), float(xy[1]))))
    assert [m.measure for m in told] == [30.0, 8.0, 7.0, 6.0, 5.0]
    assert told[0].problem.startswith("panels A and J pass through one another over 30.0 mm")
    assert told[-1].problem.endswith("; so do 4 pairs more")
    assert told_crossings(pairs[:6], report, lambda _: Place())[-1].problem.endswith(
        "; so does one pair more"
    )
    assert len(told_crossings(pairs[:2], report, lambda _: Place())) == 2
