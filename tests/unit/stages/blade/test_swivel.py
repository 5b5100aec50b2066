"""Leading the tip."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.geometry.curves import flatten
from cutprep.model.lines import Lines
from cutprep.stages.blade.swivel import pivot_path, refine_curves
from cutprep.stages.blade.track import HeadedPath, track
from cutprep.tolerance import Tolerance

TOLERANCE = Tolerance()


def led(points, offset: float, curved=None, blade: float = 0.05) -> np.ndarray:
    tips = track(Lines.of([points], curved=None if curved is None else [curved]), TOLERANCE)
    path, start = pivot_path(tips, np.array([offset]), blade)
    assert start.tolist() == [0, len(path)]
    return path


def test_without_an_offset_the_pivot_is_the_tip() -> None:
    points = [(0, 0), (10, 0), (10, 10), (3, 3)]
    assert led(points, 0.0).tolist() == [list(map(float, p)) for p in points]


def test_a_straight_line_is_shifted_ahead() -> None:
    assert led([(0, 0), (0, 10)], 0.3) == pytest.approx(np.array([(0, 0.3), (0, 10.3)]))


@pytest.mark.parametrize("turn", [30, 90, 150, 180, -90])
def test_swivels_go_round_the_corner(turn: int) -> None:
    a = math.radians(turn)
    path = led([(0, 0), (10, 0), (10 + 8 * math.cos(a), 8 * math.sin(a))], 0.5)
    arc = path[1:-1] - (10, 0)
    assert np.hypot(*arc.T) == pytest.approx(0.5, rel=0.01)
    assert np.hypot(*arc[[0, -1]].T) == pytest.approx(0.5, abs=1e-12), "its ends are on the lines"
    way = np.unwrap(np.arctan2(arc[:, 1], arc[:, 0]))
    side = way[-1] - way[0]
    assert side == pytest.approx(a) or turn == 180, "the shorter way round; for a reversal either"
    assert (np.diff(way) * side > 0).all()
    assert abs(way[-1] - way[0]) == pytest.approx(abs(a))


@pytest.mark.parametrize("turn", [40, 90, 180])
def test_a_swivel_is_as_long_as_its_arc(turn: int) -> None:
    a = math.radians(turn)
    path = led([(0, 0), (10, 0), (10 + 8 * math.cos(a), 8 * math.sin(a))], 0.5)
    assert np.hypot(*np.diff(path[1:-1], axis=0).T).sum() == pytest.approx(0.5 * a, rel=1e-3)


def test_a_turn_that_misses_by_nothing_is_made_in_one_point() -> None:
    """One degree with 0.25 mm of offset: 0.002 mm beside, far below the tolerance."""
    a = math.radians(1)
    assert len(led([(0, 0), (10, 0), (10 + 8 * math.cos(a), 8 * math.sin(a))], 0.25)) == 3


def test_a_tighter_tolerance_asks_for_more_points() -> None:
    corner = [(0, 0), (10, 0), (10, 10)]
    assert len(led(corner, 0.5, blade=0.01)) > len(led(corner, 0.5, blade=0.05))


def test_a_curve_is_led_on_its_tangents() -> None:
    points = flatten.arc((0, 0), 8, 0, 2, 0.02)
    curved = np.ones(len(points), bool)
    curved[[0, -1]] = False
    path = led(points, 0.25, curved)
    assert len(path) == len(points)
    assert np.hypot(*path.T) == pytest.approx(math.hypot(8, 0.25), abs=1e-9)


def test_a_tight_curve_gets_more_points() -> None:
    points = flatten.arc((0, 0), 0.4, 0, 3, 0.02)
    curved = np.ones(len(points), bool)
    curved[[0, -1]] = False
    tips = track(Lines.of([points], curved=[curved]), TOLERANCE)
    fine = refine_curves(tips, np.array([0.9]), 0.005)
    assert len(fine.xy) > len(tips.xy)
    assert np.hypot(*fine.xy.T) == pytest.approx(0.4, abs=1e-4), "on the arc, not on its chords"
    assert refine_curves(tips, np.array([0.0]), 0.005) is tips


def test_lines_of_different_tools_are_led_together() -> None:
    lines = Lines.of([[(0, 0), (10, 0)], [(0, 5), (10, 5), (10, 9)]])
    path, start = pivot_path(track(lines, TOLERANCE), np.array([0.0, 0.5]), 0.05)
    assert path[: start[1]].tolist() == [[0, 0], [10, 0]]
    assert path[start[1]].tolist() == [0.5, 5]


def test_no_lines_no_path() -> None:
    path, start = pivot_path(track(Lines.empty(), TOLERANCE), np.empty(0), 0.05)
    assert len(path) == 0
    assert start.tolist() == [0]


@pytest.mark.parametrize("degrees", [1.0, 2.0, 3.0])
def test_where_swivels_begin(degrees: float) -> None:
    """In one point the pivot is off both lines by e sin(turn / 2); a tenth of the tolerance is allowed."""
    a = math.radians(degrees)
    blade = 0.05
    needed = 0.1 * blade / math.sin(a / 2)
    points = [(0, 0), (10, 0), (10 + 8 * math.cos(a), 8 * math.sin(a))]
    assert len(led(points, needed * 0.99, blade=blade)) == 3
    one = led(points, needed * 0.99, blade=blade)[1] - (10, 0)
    assert one == pytest.approx(needed * 0.99 * np.array([math.cos(a / 2), math.sin(a / 2)])), "halfway"
    assert len(led(points, needed * 1.01, blade=blade)) == 4


def test_chords_of_a_swivel_span_no_more_than_25_degrees() -> None:
    """A tiny offset drags by nothing: then the widest angle decides; 180 degrees make 8 chords of 22.5."""
    path = led([(0, 0), (10, 0), (0, 0)], 0.01, blade=0.05)
    assert len(path) == 2 + 9
    quarter = led([(0, 0), (10, 0), (10, 10)], 0.01, blade=0.05)
    assert len(quarter) == 2 + 5


@pytest.mark.parametrize("offset", [0.25, 0.5, 1.0])
@pytest.mark.parametrize("turn", [60, 120, 170])
def test_a_wide_swivel_has_as_many_chords_as_the_drag_asks_for(offset: float, turn: float) -> None:
    """The chord's angle w keeps e turn w^2 / 8 within twice a tenth of the tolerance, and no finer
    than needed: one chord fewer would not."""
    a, blade = math.radians(turn), 0.01
    path = led([(0, 0), (10, 0), (10 + 8 * math.cos(a), 8 * math.sin(a))], offset, blade=blade)
    n = len(path) - 3
    limit = 2 * 0.1 * blade
    assert offset * a * (a / n) ** 2 / 8 <= limit
    assert offset * a * (a / (n - 1)) ** 2 / 8 > limit or a / (n - 1) > math.radians(25)


@pytest.mark.parametrize(
    ("length", "turn", "e", "pieces"),
    [(1.0, 1.0, 0.6, 3), (1.45, 1.0, 0.6, 3), (1.0, -1.0, 0.6, 3), (2.0, 1.0, 0.6, 2), (1.0, 0.5, 0.6, 1), (1.0, 1.0, 1.2, 5), (1.0, 0.0, 9.0, 1)],
)  # fmt: skip
def test_how_finely_tight_curves_are_cut_up(length: float, turn: float, e: float, pieces: int) -> None:
    """A piece of length L that turns by w adds e^2 w^3 / (12 L): by its root over the slack of 0.005 mm."""
    way = np.array([-turn / 2, turn / 2])
    tips = HeadedPath(np.array([[0.0, 0], [length, 0]]), way, way, np.array([0, 2]))
    fine = refine_curves(tips, np.array([e]), 0.005)
    assert len(fine.xy) == pieces + 1
    assert math.sqrt(e * e * abs(turn) ** 3 / (12 * length * 0.005)) <= pieces
    assert (fine.arrive[0], fine.leave[-1]) == (way[0], way[1])
    assert fine.arrive[1:-1].tolist() == fine.leave[1:-1].tolist()
    if pieces % 2 == 0:
        assert fine.leave[pieces // 2] == pytest.approx(0, abs=1e-9), "halfway it has turned by half"
    assert fine.start.tolist() == [0, pieces + 1]
