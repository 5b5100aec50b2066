"""B-splines cut into Bezier spans, and spans into chords."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.interpolate import BSpline

from cutprep.geometry.curves.bsplines import chords_of, cut_spans, flatten_spans


def bezier(control: np.ndarray, t: np.ndarray) -> np.ndarray:
    """De Casteljau, one curve."""
    d = [np.broadcast_to(p, (len(t), control.shape[-1])) for p in control]
    while len(d) > 1:
        d = [(1 - t)[:, None] * a + t[:, None] * b for a, b in pairwise(d)]
    return np.asarray(d[0])


@pytest.mark.parametrize("degree", [1, 2, 3, 5])
def test_spans_are_the_spline(degree: int) -> None:
    """Against scipy 1.17.1's B-splines, knots uneven and repeated, three splines at once."""
    rng = np.random.default_rng(degree)
    controls, knots = [], []
    for count in (degree + 1, degree + 4, degree + 9):
        controls.append(rng.uniform(-9, 9, (count, 4)))
        inner = np.sort(rng.uniform(0, 1, count - degree - 1)).round(1)
        knots.append(np.concatenate((np.zeros(degree + 1), inner, np.ones(degree + 1))))
    counts = np.array([len(c) for c in controls])
    spans = cut_spans(degree, np.concatenate(controls), counts, np.concatenate(knots))
    t = np.linspace(0.01, 0.99, 7)  # between the knots: at one so often repeated the curve jumps
    for i in range(3):
        stops = np.unique(knots[i][degree : len(controls[i]) + 1])
        own = spans.control[spans.spline == i]
        assert len(own) == len(stops) - 1
        exact = BSpline(knots[i], controls[i], degree)
        for span, (a, b) in zip(own, pairwise(stops), strict=True):
            assert np.allclose(bezier(span, t), exact(a + (b - a) * t), atol=1e-9)


def test_unclamped_ends_are_left_out() -> None:
    control = np.ones((5, 4))
    control[:, 0] = np.arange(5)
    spans = cut_spans(3, control, np.array([5]), np.arange(9.0))
    assert len(spans.control) == 2
    exact = BSpline(np.arange(9.0), control, 3)
    assert np.allclose(spans.control[0, 0], exact(3.0))
    assert np.allclose(spans.control[-1, -1], exact(5.0))


def rational(seed: int, degree: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    weight = rng.uniform(0.2, 3, (40, degree + 1, 1))
    return np.concatenate((rng.uniform(-30, 30, (40, degree + 1, 2)) * weight, weight), axis=2)


@pytest.mark.parametrize("degree", [2, 3, 4])
@pytest.mark.parametrize("sagitta", [0.2, 0.02])
def test_the_bound_on_chords_holds(degree: int, sagitta: float) -> None:
    """No dense sample of the curve lies further from its chord than the sagitta."""
    control = rational(1, degree)
    chords = chords_of(control, sagitta)
    for curve, count in zip(control, chords, strict=True):
        t = np.linspace(0, 1, count * 8 + 1)
        h = bezier(curve, t)
        points = h[:, :2] / h[:, 2:]
        begin, end = points[:-1:8], points[8::8]
        for k in range(count):
            chord = end[k] - begin[k]
            inner = points[8 * k : 8 * k + 9] - begin[k]
            off = np.abs(inner[:, 0] * chord[1] - inner[:, 1] * chord[0]) / np.hypot(*chord)
            assert off.max() <= sagitta


def test_chords_do_not_depend_on_where_the_curve_lies() -> None:
    control = rational(2, 3)
    far = control.copy()
    far[:, :, :2] += 10_000 * control[:, :, 2:]
    assert np.abs(chords_of(far, 0.02) - chords_of(control, 0.02)).max() <= 1


def test_straight_curves_need_one_chord() -> None:
    control = np.ones((1, 2, 3))
    control[0, 1, :2] = 50
    assert chords_of(control, 0.02).tolist() == [1]
    assert len(flatten_spans(control, np.array([1]))) == 0


def test_points_lie_on_the_curve() -> None:
    control = rational(3, 3)[:2]
    points = flatten_spans(control, np.array([4, 2]))
    assert len(points) == 4
    h = bezier(control[0], np.array([0.25, 0.5, 0.75]))
    assert np.allclose(points[:3], h[:, :2] / h[:, 2:])
