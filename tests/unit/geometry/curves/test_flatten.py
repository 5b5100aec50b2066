"""Curves to chords: within the sagitta, on the curve, ends left to the caller."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely

from cutprep.geometry.curves.flatten import TooManyPointsError, arc, arcs, circle, cubics, quadratics, smooth
from cutprep.model.lines import Points

RNG = np.random.default_rng(7)


def bernstein(control: Points, count: int = 2000) -> Points:
    """Points of one Bezier curve by de Casteljau's construction, which the code does not use."""
    t = np.linspace(0, 1, count)[:, None]
    rows = [np.broadcast_to(p, (count, 2)) for p in control]
    while len(rows) > 1:
        rows = [(1 - t) * a + t * b for a, b in pairwise(rows)]
    return rows[0]


def chord_error(curve: Points, line: Points) -> float:
    """How far the curve strays from the line."""
    return float(shapely.distance(shapely.points(curve), shapely.LineString(line)).max())


@pytest.mark.parametrize("sagitta", [0.5, 0.02, 0.001])
@pytest.mark.parametrize(("degree", "flatten"), [(3, cubics), (2, quadratics)])
def test_bezier_curves_stay_within_the_sagitta(degree: int, flatten: object, sagitta: float) -> None:
    control = RNG.uniform(-30, 30, (12, degree + 1, 2))
    inner, counts = flatten(control, sagitta)  # type: ignore[operator]
    assert len(inner) == counts.sum()
    for points, ends in zip(np.split(inner, np.cumsum(counts)[:-1]), control, strict=True):
        line = np.vstack((ends[:1], points, ends[-1:]))
        assert chord_error(bernstein(ends), line) <= sagitta
        assert (
            shapely.distance(shapely.points(points), shapely.LineString(bernstein(ends, 20_000))).max() < 1e-4
        )


def test_many_curves_at_once_are_the_same_as_one_by_one() -> None:
    control = RNG.uniform(-30, 30, (9, 4, 2))
    together, counts = cubics(control, 0.02)
    alone = [cubics(one, 0.02)[0] for one in control]
    assert [len(points) for points in alone] == counts.tolist()
    assert np.array_equal(together, np.concatenate(alone))


def test_a_straight_curve_needs_no_inner_points() -> None:
    inner, counts = cubics([[[0, 0], [1, 1], [2, 2], [3, 3]]], 0.02)
    assert counts.tolist() == [0]
    assert inner.shape == (0, 2)


def test_no_curves_at_all() -> None:
    assert cubics(np.empty((0, 4, 2)), 0.02)[0].shape == (0, 2)
    assert quadratics(np.empty((0, 3, 2)), 0.02)[0].shape == (0, 2)
    none = np.empty((0, 2))
    assert arcs(none, none, none, [], [], 0.02)[0].shape == (0, 2)


@pytest.mark.parametrize("radius", [0.005, 0.3, 1.0, 25.0, 400.0])
def test_a_circle_is_closed_bit_for_bit_and_on_the_circle(radius: float) -> None:
    ring = circle((3.0, -2.0), radius, 0.02)
    assert (ring[0] == ring[-1]).all()
    assert len(ring) >= 5
    assert np.abs(np.hypot(*(ring - (3.0, -2.0)).T) - radius).max() < 1e-12 * max(radius, 1)
    widest = np.hypot(*np.diff(ring, axis=0).T).max()
    sagitta = radius - math.sqrt(max(radius**2 - widest**2 / 4, 0))
    assert sagitta <= 0.02 * (1 + 1e-9)
    assert {(3.0 + radius, -2.0), (3.0 - radius, -2.0)} <= {tuple(p) for p in ring.tolist()}


def test_a_circle_takes_no_more_points_than_the_sagitta_asks_for() -> None:
    """r (1 - cos(h / 2)) = 0.02 gives h; the quarters round up at most three chords in all."""
    step = 2 * math.acos(1 - 0.02 / 25)
    assert len(circle((0, 0), 25.0, 0.02)) - 1 <= 2 * math.pi / step + 4


def test_an_arc_keeps_its_ends() -> None:
    line = arc((1.0, 1.0), 2.0, 0.0, math.pi / 2, 0.02)
    assert line[0] == pytest.approx((3.0, 1.0))
    assert line[-1] == pytest.approx((1.0, 3.0))
    assert (np.diff(line[:, 1]) > 0).all()


def test_a_whole_turn_closes_whatever_its_direction() -> None:
    for sweep in (2 * math.pi, -2 * math.pi):
        line = arc((1.0, 1.0), 2.0, 0.7, sweep, 0.02)
        assert (line[0] == line[-1]).all()
        assert shapely.Polygon(line).exterior.is_ccw == (sweep > 0)


def test_skewed_arcs_stay_within_the_sagitta_and_on_the_ellipse() -> None:
    skew = np.array([[1.0, 3.0], [0.0, 1.0]])
    u, v = skew @ (10.0, 0.0), skew @ (0.0, 10.0)
    inner, _ = arcs([(5.0, 5.0)], [u], [v], [0.3], [4.0], 0.02)
    back = np.linalg.solve(skew, (inner - 5.0).T).T
    assert np.abs(np.hypot(*back.T) - 10).max() < 1e-9
    t = 0.3 + np.linspace(0, 4.0, 5000)[:, None]
    curve = 5.0 + np.cos(t) * u + np.sin(t) * v
    assert chord_error(curve, np.vstack((curve[:1], inner, curve[-1:]))) <= 0.02


def test_too_many_points_are_refused_before_they_are_made() -> None:
    with pytest.raises(TooManyPointsError) as caught:
        arcs([(0.0, 0.0)], [(1e9, 0.0)], [(0.0, 1e9)], [0.0], [6.0], 0.001, most=1000)
    assert caught.value.needed > 1000
    with pytest.raises(TooManyPointsError):
        cubics([[[0, 0], [1e12, 0], [0, 1e12], [1, 1]]], 0.001, most=1000)


def test_joins_are_smooth_when_directions_agree() -> None:
    before = np.array([[1.0, 0], [1, 0], [1, 0], [0, 0], [2, 0]])
    after = np.array([[3.0, 0], [1, 0.05], [1, 0.2], [1, 0], [-1, 0]])
    assert smooth(before, after).tolist() == [True, True, False, False, False]
