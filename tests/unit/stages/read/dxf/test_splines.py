"""SPLINE and HELIX records, whole, closed and broken."""

from __future__ import annotations

import numpy as np
import pytest

from tests.dxf_text import Entity, drawing, entity, line, read_text


def spline(
    points: list[tuple[float, float]],
    knots: list[float] = (),  # type: ignore[assignment]
    weights: list[float] = (),  # type: ignore[assignment]
    degree: int = 3,
    kind: str = "SPLINE",
    more: Entity = (),  # type: ignore[assignment]
) -> Entity:
    return entity(
        kind,
        (8, "cut"),
        (100, "AcDbSpline"),
        (70, 8),
        (71, degree),
        *((40, k) for k in knots),
        *((41, w) for w in weights),
        *(pair for x, y in points for pair in ((10, x), (20, y), (30, 0))),
        *more,
    )


CUBIC = [(0.0, 0.0), (10.0, 20.0), (25.0, -10.0), (40.0, 15.0)]
KNOTS = [0.0, 0, 0, 0, 1, 1, 1, 1]


def test_ends_are_the_outer_control_points() -> None:
    lines = read_text(drawing(spline(CUBIC, KNOTS))).lines
    assert lines.points(0)[0].tolist() == [0, 0]
    assert lines.points(0)[-1].tolist() == [40, 15]
    assert lines.curves(0)[1:-1].all()


def test_a_quarter_circle_is_exact() -> None:
    # Piegl and Tiller, The NURBS Book, 1997, section 7.3: three points, weights 1, 1/sqrt 2, 1.
    shape = spline([(10, 0), (10, 10), (0, 10)], [0, 0, 0, 1, 1, 1], [1, 0.5**0.5, 1], degree=2)
    points = read_text(drawing(shape)).lines.points(0)
    assert np.allclose(np.hypot(*points.T), 10, atol=1e-12)
    middles = np.hypot(*((points[1:] + points[:-1]) / 2).T)
    assert 10 - middles.min() <= 0.02


def test_missing_knots_are_evenly_spaced() -> None:
    with_knots = read_text(drawing(spline(CUBIC, KNOTS))).lines
    without = read_text(drawing(spline(CUBIC))).lines
    assert np.array_equal(with_knots.xy, without.xy)


def test_degree_one_is_straight() -> None:
    lines = read_text(drawing(spline(CUBIC, [0, 0, 1, 2, 3, 3], degree=1))).lines
    assert lines.points(0).tolist() == [list(p) for p in CUBIC]
    assert not lines.curves(0).any()


def test_a_closed_spline_is_closed_bit_for_bit_and_smooth() -> None:
    ring = [(0.0, 0.0), (20.0, 0.0), (25.0, 15.0), (10.0, 25.0), (-5.0, 12.0)]
    lines = read_text(drawing(spline(ring + ring[:3], [float(i) for i in range(12)]))).lines
    assert lines.closed[0]
    assert lines.curves(0).all()


def test_a_kink_stays_a_corner() -> None:
    points = [(0, 0), (5, 10), (10, 10), (15, 0), (20, 10), (25, 10), (30, 0)]
    lines = read_text(drawing(spline(points, [0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 2]))).lines  # type: ignore[arg-type]
    assert lines.points(0)[~lines.curves(0)].tolist() == [[0, 0], [15, 0], [30, 0]]


def test_fit_points_alone() -> None:
    fit = [(11, 0), (21, 0), (31, 0), (11, 10), (21, 20), (31, 0), (11, 25), (21, -10), (31, 0)]
    lines = read_text(drawing(spline([], more=fit))).lines
    points = lines.points(0)
    for x, y in ((0, 0), (10, 20), (25, -10)):
        assert np.hypot(*(points - (x, y)).T).min() < 0.02


def test_two_fit_points_are_a_straight_line() -> None:
    fit = [(11, 0), (21, 0), (31, 0), (11, 0), (21, 0), (31, 0), (11, 10), (21, 20), (31, 0)]
    assert read_text(drawing(spline([], more=fit))).lines.points(0).tolist() == [[0, 0], [10, 20]]


def test_end_tangents_of_fit_points() -> None:
    fit = [(11, 0), (21, 0), (31, 0), (11, 10), (21, 20), (31, 0)]
    fit += [(12, 1), (22, 0), (32, 0), (13, 1), (23, 0), (33, 0)]
    points = read_text(drawing(spline([], more=fit))).lines.points(0)
    first = points[1] - points[0]
    assert abs(first[1]) < 0.2 * first[0]


@pytest.mark.parametrize(
    "shape",
    [
        spline(CUBIC[:3], KNOTS),
        spline(CUBIC, KNOTS[:-1]),
        spline(CUBIC, [0, 0, 0, 0, 1, 1, 0, 1]),
        spline(CUBIC, [0.0] * 8),
        spline(CUBIC, KNOTS, [1, 1, 0, 1]),
        spline(CUBIC, KNOTS, [1, 1]),
        spline(CUBIC, KNOTS, degree=0),
        spline(CUBIC, KNOTS, degree=99),
        spline([]),
        spline([], more=[(11, 0), (21, 0), (31, 0)]),
        spline([], more=[(11, 0), (21, 0), (11, 0), (21, 0)]),
        spline([], more=[(11, 0), (21, 0), (11, 1e-200), (21, 0), (11, 5), (21, 5)]),
        spline(CUBIC, KNOTS, more=[(10, 5)]),
    ],
)
def test_what_contradicts_itself_is_left_out_with_a_warning(shape: Entity) -> None:
    found = read_text(drawing(shape, line(0, 0, 9, 0)))
    assert len(found.lines) == 1
    assert [n.code for n in found.notes] == ["broken-left-out"]


def test_a_helix_is_its_spline_and_nothing_behind_it() -> None:
    axis = [(100, "AcDbHelix"), (10, 99), (20, 99), (30, 0), (11, 98), (21, 98), (31, 0), (40, 3), (41, 2)]
    helix = read_text(drawing(spline(CUBIC, KNOTS, kind="HELIX", more=axis))).lines  # type: ignore[arg-type]
    assert np.array_equal(helix.xy, read_text(drawing(spline(CUBIC, KNOTS))).lines.xy)


def test_splines_of_several_degrees_keep_their_order() -> None:
    flat = spline([(0, 0), (5, 9), (10, 0)], degree=2)
    found = read_text(drawing(spline(CUBIC, KNOTS), flat, spline(CUBIC, KNOTS)))
    assert [len(x.points) > 20 for x in found.lines] == [True, False, True]


def test_knots_that_fall_by_rounding_only_are_taken() -> None:
    points = [*CUBIC, (50.0, 0.0), (60.0, 20.0)]
    shape = spline(points, [0, 0, 0, 0, 0.3333334, 0.3333333, 1, 1, 1, 1])
    assert len(read_text(drawing(shape)).lines) == 1
