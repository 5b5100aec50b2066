"""Arcs are found again in what was flattened from them, and nowhere else."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.geometry.curves.arcs import BULGE, WITHIN, FittedSpan, fit_arc, recover_arcs
from tests.plans import circle


def arc(radius: float, start: float, sweep: float, sagitta: float = 0.02) -> np.ndarray:
    """Points on an arc about (100, 50); the angle of a chord follows from its sagitta."""
    widest = 2 * math.acos(max(1 - sagitta / radius, 0.0))
    count = max(1, math.ceil(abs(sweep) / widest))
    angle = start + sweep * np.arange(count + 1) / count
    return np.column_stack((100 + radius * np.cos(angle), 50 + radius * np.sin(angle)))


def assert_pieces_cover(pieces: list[FittedSpan], points: np.ndarray) -> None:
    assert pieces[0].first == 0
    assert pieces[-1].last == len(points) - 1
    assert [p.last for p in pieces[:-1]] == [p.first for p in pieces[1:]]


@settings(max_examples=200, deadline=None)
@given(st.floats(0.3, 400), st.floats(0, 6.3), st.floats(0.3, 2 * math.pi), st.sampled_from([1, -1]))
def test_an_arc_is_found_within_a_hundredth(radius: float, start: float, sweep: float, way: int) -> None:
    """Centre and radius of the arc that was flattened, not just points near it."""
    points = np.round(arc(radius, start, way * sweep), 4)
    if len(points) < 5:
        return
    pieces = recover_arcs(points)
    assert_pieces_cover(pieces, points)
    arcs = [p for p in pieces if p.centre is not None]
    assert arcs
    assert sum(p.sweep for p in arcs) == pytest.approx(way * sweep, rel=0.35)
    for piece in arcs:
        spokes = points[piece.first : piece.last + 1] - piece.centre
        assert np.ptp(np.hypot(*spokes.T)) <= 2 * WITHIN
        # The true arc and the found one, compared over the found one's length.
        middle = points[(piece.first + piece.last) // 2]
        true_distance = abs(math.dist(middle, (100, 50)) - radius)
        assert true_distance <= 0.01


@pytest.mark.parametrize("radius", [0.5, 3.0, 25.0, 150.0])
def test_a_circle_takes_two_arcs(radius: float) -> None:
    """None longer than three quarters, so that both ends of an arc hold its centre."""
    points = circle(40, 30, radius)
    pieces = recover_arcs(points)
    assert len(pieces) == 2
    for piece in pieces:
        assert piece.centre == pytest.approx((40, 30), abs=1e-6)
        assert abs(piece.sweep) <= 1.5 * math.pi + 1e-9
    assert sum(p.sweep for p in pieces) == pytest.approx(2 * math.pi)


def test_a_mirrored_arc_turns_the_other_way() -> None:
    points = arc(10, 0, math.pi)
    (piece,) = recover_arcs(points)
    (mirrored,) = recover_arcs(points * (-1, 1))
    assert mirrored.sweep == pytest.approx(-piece.sweep)


@pytest.mark.parametrize("corners", [3, 4, 5, 6, 8, 12, 24])
def test_a_polygon_is_no_circle(corners: int) -> None:
    """Its corners lie on a circle, and its sides bulge far beyond any flattening."""
    angle = 2 * math.pi * np.arange(corners + 1) / corners
    points = 20 * np.column_stack((np.cos(angle), np.sin(angle)))
    assert 20 * (1 - math.cos(math.pi / corners)) > BULGE
    assert recover_arcs(points) == [FittedSpan(0, corners)]


def test_straight_lines_and_single_steps_stay() -> None:
    assert recover_arcs(np.array([[0.0, 0], [1, 0], [2, 0], [3, 0], [9, 0]])) == [FittedSpan(0, 4)]
    assert recover_arcs(np.array([[0.0, 0], [1, 0]])) == [FittedSpan(0, 1)]


def test_fillets_of_a_rounded_box_are_found_between_its_sides() -> None:
    """Four arcs of 90 degrees and four straight runs, in order."""
    points = [np.array([[10.0, 0.0]])]
    for k, (cx, cy) in enumerate([(50, 5), (50, 25), (5, 25), (5, 5)]):
        angle = np.linspace(-math.pi / 2, 0, 9) + k * math.pi / 2
        points.append(np.column_stack((cx + 5 * np.cos(angle), cy + 5 * np.sin(angle))))
    line = np.vstack((*points, [[10.0, 0.0]]))
    pieces = recover_arcs(line)
    assert_pieces_cover(pieces, line)
    arcs = [p for p in pieces if p.centre is not None]
    np.testing.assert_allclose([p.centre for p in arcs], [(50, 5), (50, 25), (5, 25), (5, 5)], atol=1e-9)
    np.testing.assert_allclose([p.sweep for p in arcs], math.pi / 2)


def test_an_s_bend_is_cut_where_it_turns_over() -> None:
    angle = np.linspace(math.pi, 0, 30)
    first = np.column_stack((10 + 10 * np.cos(angle), 10 * np.sin(angle)))
    second = np.column_stack((30 + 10 * np.cos(-angle), -10 * np.sin(angle)))
    line = np.vstack((first, second[1:]))
    arcs = [p for p in recover_arcs(line) if p.centre is not None]
    assert [round(math.copysign(1, p.sweep)) for p in arcs] == [-1, 1]
    np.testing.assert_allclose([p.centre for p in arcs], [(10, 0), (30, 0)], atol=1e-3)


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_pieces_cover_any_line_and_keep_to_its_vertices(seed: int) -> None:
    """Chains of arcs that turn either way, with corners between, at four digits as in a file."""
    rng = np.random.default_rng(seed)
    heading, line = rng.uniform(0, 6), [np.zeros((1, 2))]
    for _ in range(rng.integers(1, 8)):
        radius, sweep = rng.uniform(0.5, 60), rng.choice([-1, 1]) * rng.uniform(0.05, 4)
        chords = max(1, math.ceil(abs(sweep) / (2 * math.acos(1 - 0.02 / radius))))
        side = np.sign(sweep) * np.array([-math.sin(heading), math.cos(heading)])
        centre = line[-1][-1] + radius * side
        angle = math.atan2(*-side[::-1]) + sweep * np.arange(1, chords + 1) / chords
        line.append(centre + radius * np.column_stack((np.cos(angle), np.sin(angle))))
        heading += sweep + rng.choice([0.0, rng.uniform(-2, 2)])
    points = np.round(np.vstack(line), 4)
    pieces = recover_arcs(points)
    assert_pieces_cover(pieces, points)
    for piece in pieces:
        if piece.centre is not None:
            spokes = np.hypot(*(points[piece.first : piece.last + 1] - piece.centre).T)
            assert np.abs(spokes - spokes[0]).max() <= WITHIN + 1e-9


def test_every_vertex_of_an_ellipse_stays_within_the_limit() -> None:
    """An ellipse is no arc: several arcs follow it, each within the limit of its vertices."""
    angle = np.linspace(0, 2 * math.pi, 200)
    points = np.column_stack((40 * np.cos(angle), 25 * np.sin(angle)))
    pieces = recover_arcs(points)
    assert_pieces_cover(pieces, points)
    for piece in pieces:
        if piece.centre is not None:
            spokes = np.hypot(*(points[piece.first : piece.last + 1] - piece.centre).T)
            assert np.abs(spokes - spokes[0]).max() <= WITHIN + 1e-12


def test_uneven_chords_are_not_taken_for_an_arc() -> None:
    """Four points near a tiny circle, one chord spanning far more of it than its neighbours do."""
    points = np.array([[0.0, 1.0], [0.0039, 0.9961], [0.0059, 0.9961], [0.0215, 1.0156]])
    assert recover_arcs(points) == [FittedSpan(0, 3)]


def test_fit_needs_three_points_off_the_chord() -> None:
    assert fit_arc(np.array([[0.0, 0], [1, 0], [2, 0]]), WITHIN, BULGE) is None
    assert fit_arc(np.array([[0.0, 0], [1, 1], [0, 0]]), WITHIN, BULGE) is None
