"""Places that are left out: never more than is allowed, never a way back, never an end."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.model.moves import Moves
from cutprep.stages.blade.thin import thinned
from cutprep.stages.readback.compare.runs import strokes_of
from tests.plans import circle, plan

NEAR = 0.02


def ways(moves: Moves) -> list[np.ndarray]:
    return [stroke.points for stroke in strokes_of(moves)]


@st.composite
def walks(draw: st.DrawFn) -> np.ndarray:
    """Fine steps, most of them nearly straight, some back."""
    steps = draw(
        st.lists(
            st.tuples(st.sampled_from([0.0, 0.05, 0.3, -0.05, -0.3]), st.floats(-0.03, 0.03)),
            min_size=2,
            max_size=60,
        )
    )
    return np.cumsum([(50.0, 50.0), (0.3, 0.0), *steps], axis=0)


@settings(max_examples=200, deadline=None)
@given(walks(), st.sampled_from([0.005, NEAR, 0.1]))
def test_both_ways_can_be_walked_at_once(points: np.ndarray, near: float) -> None:
    """The discrete Fréchet distance of GEOS, both ways sampled finely, is at most that, but for the sampling."""
    whole = plan([(1, points)])
    thin = thinned(whole, near)
    (one,), (other,) = ways(whole), ways(thin)
    assert one[0].tolist() == other[0].tolist()
    assert one[-1].tolist() == other[-1].tolist()
    apart = shapely.frechet_distance(
        *(shapely.segmentize(shapely.linestrings(way), 0.01) for way in (one, other))
    )
    assert apart <= near + 0.011
    assert {tuple(spot) for spot in other.tolist()} <= {tuple(spot) for spot in one.tolist()}


def test_a_line_that_is_worked_to_and_fro_is_worked_to_and_fro() -> None:
    there, back = (10.0, 10.0), (60.0, 10.0)
    whole = plan([(1, np.array([there, back, there, back]))])
    assert ways(thinned(whole, NEAR))[0].tolist() == [list(spot) for spot in (there, back, there, back)]
    ring = circle(50, 50, 20)
    twice = plan([(1, np.vstack((ring, ring[1:], ring[1:9])))])
    assert shapely.LineString(ways(thinned(twice, NEAR))[0]).length > 2.1 * np.pi * 40


def test_places_on_a_straight_line_go() -> None:
    line = np.column_stack((np.linspace(10, 60, 101), np.full(101, 30.0)))
    assert ways(thinned(plan([(1, line)]), NEAR))[0].tolist() == [[10, 30], [60, 30]]


def test_what_speed_or_force_change_at_stays() -> None:
    line = np.column_stack((np.linspace(10, 60, 11), np.full(11, 30.0)))
    moves = plan([(1, line)])
    speed = np.where(np.cumsum(moves.down) > 5, moves.speed, 10.0)
    thin = thinned(replace(moves, speed=speed), NEAR)
    assert ways(thin)[0].tolist() == [[10, 30], [35, 30], [60, 30]]
    assert thin.speed[thin.down].tolist() == [10.0, moves.speed[moves.down][-1]]


@pytest.mark.parametrize("radius", [3.0, 40.0])
def test_places_on_arcs_stay_where_the_file_says_arcs(radius: float) -> None:
    ring = circle(100, 100, radius, sagitta=0.003)
    moves = plan([(1, ring)])
    assert len(thinned(moves, NEAR)) < 0.7 * len(moves)
    assert len(thinned(moves, NEAR, arcs=True)) == len(moves)


def test_strokes_that_are_named_keep_all_their_places() -> None:
    line = np.column_stack((np.linspace(10, 60, 11), np.full(11, 30.0)))
    moves = plan([(1, line), (1, line + np.array((0, 20)))])
    assert list(map(len, ways(thinned(moves, NEAR, whole=[1])))) == [2, 11]
