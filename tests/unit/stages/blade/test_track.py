"""Headings along lines."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.geometry.curves import flatten
from cutprep.model.lines import Lines
from cutprep.stages.blade.track import HeadedPath, along_curve, spread, track, unit, wrap
from cutprep.tolerance import Tolerance
from tests.moving import ring

TOLERANCE = Tolerance()


def tracked(points, curved=None) -> HeadedPath:
    return track(Lines.of([points], curved=None if curved is None else [curved]), TOLERANCE)


def arc(radius: float, sweep: float = 2.0):
    points = flatten.arc((0, 0), radius, 0.3, sweep, 0.02)
    curved = np.ones(len(points), bool)
    curved[[0, -1]] = False
    return points, curved


def test_a_corner_arrives_and_leaves_along_its_chords() -> None:
    tips = tracked([(0, 0), (10, 0), (10, 5)])
    assert np.degrees(tips.arrive).tolist() == pytest.approx([0, 0, 90])
    assert np.degrees(tips.leave).tolist() == pytest.approx([0, 90, 90])


def test_a_closed_line_knows_its_corner_where_it_closes() -> None:
    tips = tracked(ring([(0, 0), (10, 0), (10, 10), (0, 10)]))
    for row in (0, -1):
        assert math.degrees(wrap(tips.leave[row] - tips.arrive[row])) == pytest.approx(90)


def test_an_open_line_has_no_turn_at_its_ends() -> None:
    tips = tracked([(0, 0), (1, 1), (3, 0), (0, 0.5)])
    assert tips.arrive[0] == tips.leave[0]
    assert tips.arrive[-1] == tips.leave[-1]


@pytest.mark.parametrize("radius", [0.5, 2, 30])
@pytest.mark.parametrize("sweep", [2.0, -2.0])
def test_on_an_arc_the_heading_is_the_tangent(radius: float, sweep: float) -> None:
    points, curved = arc(radius, sweep)
    tips = tracked(points, curved)
    tangent = np.arctan2(points[:, 1], points[:, 0]) + math.copysign(math.pi / 2, sweep)
    assert wrap(tips.arrive - tangent) == pytest.approx(0, abs=1e-9)
    assert wrap(tips.leave - tangent) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("called_curved", [True, False])
def test_a_line_into_an_arc_has_no_corner_there(called_curved: bool) -> None:
    """Whether or not the drawing counts the place where they meet as part of the curve."""
    points, curved = arc(5)
    curved[0] = called_curved
    back = np.array([math.sin(0.3), -math.cos(0.3)])
    tips = tracked(np.vstack((points[0] + 10 * back, points)), np.append(False, curved))
    assert wrap(tips.leave[1] - tips.arrive[1]) == pytest.approx(0, abs=1e-9)


def test_a_cusp_is_a_corner_though_it_calls_itself_curved() -> None:
    tips = tracked([(0, 0), (5, 0), (0, 0.2)], [False, True, False])
    assert abs(math.degrees(wrap(tips.leave[1] - tips.arrive[1]))) > 170


def test_a_coarse_chord_is_a_corner() -> None:
    """A polygon of 20 mm radius and 12 sides bulges 0.7 mm: no flattening leaves that."""
    a = np.linspace(0, 2 * math.pi, 13)
    tips = tracked(20 * np.column_stack((np.cos(a), np.sin(a))), np.ones(13, bool))
    assert np.degrees(wrap(tips.leave - tips.arrive))[1:-1] == pytest.approx(30)


def swivels(tips: HeadedPath) -> list[int]:
    """Turn at each vertex that is left to the swivel, whole degrees."""
    return np.degrees(wrap(tips.leave - tips.arrive)).round().astype(int).tolist()


def test_what_bends_like_a_curve_is_one() -> None:
    """Chords of an arc that nobody called curved: a drawing of straight pieces."""
    points, _ = arc(5)
    inside = swivels(tracked(points))[1:-1]
    assert inside == [0] * len(inside)


def test_where_two_arcs_meet_is_a_corner() -> None:
    """To the left, then to the right: the vertex between bends like one of its neighbours only."""
    a = np.radians(np.arange(0, 91, 10))
    left = 2 * np.column_stack((np.sin(a), 1 - np.cos(a)))
    right = left[-1] + 2 * np.column_stack((np.cos(a) - 1, np.sin(a)))[:, ::-1] * (1, 1)
    tips = tracked(np.vstack((left, right[1:])))
    assert sum(abs(k) > 5 for k in swivels(tips)) == 1


def test_polygons_keep_their_corners() -> None:
    for sides in (4, 6, 8, 12):
        a = np.linspace(0, 2 * math.pi, sides + 1)
        points = 10 * np.column_stack((np.cos(a), np.sin(a)))
        points[-1] = points[0]
        assert swivels(tracked(points)) == [360 // sides] * (sides + 1)


def test_repeated_points_are_left_out() -> None:
    tips = tracked([(0, 0), (0, 0), (4, 0), (4, 0), (4, 4), (4, 4)])
    assert tips.xy.tolist() == [[0, 0], [4, 0], [4, 4]]


def test_a_line_of_no_length_keeps_a_point() -> None:
    lines = Lines.of([[(1, 1), (1, 1)], [(0, 0), (1, 0)]])
    tips = track(lines, TOLERANCE)
    assert np.diff(tips.start).tolist() == [1, 2]


def test_nothing_gives_nothing() -> None:
    assert len(track(Lines.empty(), TOLERANCE)) == 0


def test_parts_lie_behind_each_other() -> None:
    lines = Lines.of([[(0, 0), (1, 0)], [(5, 5), (5, 6), (7, 6)]])
    tips = track(lines, TOLERANCE)
    again = HeadedPath.concat([tips.part(0), tips.part(1)])
    assert again.xy.tolist() == tips.xy.tolist()
    assert again.start.tolist() == tips.start.tolist()


@pytest.mark.parametrize("sweep", [0.1, 0.6, -0.6])
def test_pieces_are_followed_as_arcs(sweep: float) -> None:
    """Halfway along, the point lies on the arc and the heading is its tangent."""
    start, end = np.array([[0.0, 0.0]]), np.array([[math.sin(sweep), 1 - math.cos(sweep)]])
    if sweep < 0:
        end = np.array([[math.sin(-sweep), -(1 - math.cos(sweep))]])
    points, way = along_curve(start, end - start, np.zeros(1), np.array([sweep]), np.array([0.5]))
    half = abs(sweep) / 2
    want = (math.sin(half), math.copysign(1 - math.cos(half), sweep))
    assert points[0] == pytest.approx(want, abs=1e-5)
    assert way[0] == pytest.approx(sweep / 2, abs=1e-5)


def test_small_things() -> None:
    assert wrap(np.array([3 * math.pi, -0.1])) == pytest.approx([math.pi, -0.1])
    assert unit(np.array([math.pi / 2]))[0] == pytest.approx([0, 1])
    row, within = spread(np.array([2, 0, 3]))
    assert (row.tolist(), within.tolist()) == ([0, 0, 2, 2, 2], [0, 1, 0, 1, 2])


def polyline(turns: list[float], lengths: list[float]) -> np.ndarray:
    """Chords of the given lengths that turn by so many degrees one after the other."""
    way = np.radians(np.cumsum([0.0, *turns]))
    steps = np.array(lengths)[:, None] * np.column_stack((np.cos(way), np.sin(way)))
    return np.vstack(([0, 0], np.cumsum(steps, axis=0)))


def is_corner(points: np.ndarray, row: int, curved: bool = True) -> bool:
    return abs(swivels(tracked(points, np.full(len(points), curved)))[row]) > 0


def test_how_far_a_curve_may_stand_off_its_chords() -> None:
    """A circle that turns by w over each of two chords of c bulges c/2 tan(w/4); 1.25 of 0.02 mm are allowed."""
    for degrees in (5.0, 20.0, 44.0):
        w = math.radians(degrees)
        limit = 2 * 0.025 / math.tan(w / 4)
        for share, corner in ((0.98, False), (1.02, True)):
            assert is_corner(polyline([degrees], [limit * share] * 2), 1) is corner
    # The longer of two chords decides.
    w = math.radians(20.0)
    limit = 2 * 0.025 / math.tan(w / 4)
    assert is_corner(polyline([20.0], [limit * 0.9, limit * 1.4]), 1)
    assert is_corner(polyline([20.0], [limit * 1.4, limit * 0.9]), 1)


def test_the_tolerance_of_the_blade_bounds_the_bulge_too() -> None:
    """Half of it, where that is less than what flattening leaves."""
    points = polyline([20.0], [0.3, 0.3])
    strict = Tolerance(blade=2 * 0.012)
    fine = track(Lines.of([points], curved=[np.ones(3, bool)]), TOLERANCE)
    coarse = track(Lines.of([points], curved=[np.ones(3, bool)]), strict)
    assert 0.3 / 2 * math.tan(math.radians(20) / 4) == pytest.approx(0.0131, abs=1e-4)
    assert wrap(fine.leave - fine.arrive)[1] == pytest.approx(0, abs=1e-12)
    assert math.degrees(wrap(coarse.leave - coarse.arrive)[1]) == pytest.approx(20)


def test_sharper_than_45_degrees_is_a_corner() -> None:
    for degrees, corner in ((44.5, False), (-44.5, False), (45.5, True), (-45.5, True)):
        assert is_corner(polyline([degrees], [0.05, 0.05]), 1) is corner


def test_uneven_chords_share_the_turn_as_their_circle_does() -> None:
    """Through three points of a circle of 2 mm radius: the tangent in the middle, and at both ends."""
    a = np.array([0.0, 0.1, 0.35])
    points = 2 * np.column_stack((np.cos(a), np.sin(a)))
    for order, sign in ((points, 1), (points * (1, -1), -1)):
        tips = tracked(order, np.array([False, True, False]))
        assert tips.leave == pytest.approx(sign * (a + math.pi / 2), abs=1e-9)
        assert tips.arrive == pytest.approx(tips.leave)


def test_curvatures_alike_to_a_factor_of_two() -> None:
    """Nobody called it curved: five chords of 0.4 mm with turns of 6, 6, x, 6, 6 degrees."""
    for x, smooth in ((11.5, True), (12.5, False), (3.1, True), (2.9, False), (-6.0, False)):
        points = polyline([6.0, 6.0, x, x, 6.0, 6.0], [0.4] * 7)
        kept = [row for row, turn in enumerate(np.degrees(wrap_at(points))) if abs(turn) > 0.5]
        assert (3 not in kept) is smooth, x


def wrap_at(points: np.ndarray) -> np.ndarray:
    tips = tracked(points)
    return wrap(tips.leave - tips.arrive)


def test_a_closed_curve_has_no_corner_where_it_closes() -> None:
    """A flattened circle, called curved all round or not at all: the same tangents everywhere."""
    a = np.linspace(0, 2 * math.pi, 41)
    points = 3 * np.column_stack((np.cos(a), np.sin(a)))
    points[-1] = points[0]
    for curved in (None, np.ones(41, bool)):
        tips = tracked(points, curved)
        assert wrap(tips.leave - tips.arrive) == pytest.approx(0, abs=1e-9)
        assert wrap(tips.leave - (a + math.pi / 2)) == pytest.approx(0, abs=1e-9)


def test_a_hairpin_is_not_closed_by_lying_on_itself() -> None:
    """Out and back is two chords: no triangle, so its ends have no neighbours."""
    tips = tracked([(0, 0), (10, 0), (0, 0)])
    assert np.degrees(tips.arrive).tolist() == pytest.approx([0, 0, 180])
    assert abs(np.degrees(tips.leave)).tolist() == pytest.approx([0, 180, 180])
    triangle = tracked(ring([(0, 0), (10, 0), (0, 10)]))
    assert abs(math.degrees(wrap(triangle.leave - triangle.arrive)[0])) == pytest.approx(90)


def test_steps_of_no_length_by_the_tolerance() -> None:
    zero = TOLERANCE.zero
    assert len(tracked([(0, 0), (zero * 0.9, 0), (5, 0)]).xy) == 2
    assert len(tracked([(0, 0), (zero * 1.1, 0), (5, 0)]).xy) == 3


def test_lines_do_not_mind_their_neighbours() -> None:
    """Each line of a sheet has the headings that it has alone."""
    curve, curved = arc(5)
    shapes = [np.array([(0, 0), (10, 0), (10, 5)], float), curve, ring([(0, 0), (4, 0), (4, 4)]), curve[::-1]]
    flags = [np.zeros(3, bool), curved, np.zeros(4, bool), curved[::-1]]
    together = track(Lines.of(shapes, curved=flags), TOLERANCE)
    for i, (shape, flag) in enumerate(zip(shapes, flags, strict=True)):
        alone, part = tracked(shape, flag), together.part(i)
        assert part.arrive.tolist() == alone.arrive.tolist()
        assert part.leave.tolist() == alone.leave.tolist()
        assert part.xy.tolist() == alone.xy.tolist()


def test_along_a_curve_from_end_to_end() -> None:
    """At its ends the given points and headings; a straight piece is walked evenly."""
    start, chord = np.array([[1.0, 2.0]]), np.array([[3.0, 1.0]])
    leave, turn = np.array([0.1]), np.array([0.4])
    for t, place, way in ((0.0, start, 0.1), (1.0, start + chord, 0.5)):
        points, found = along_curve(start, chord, leave, turn, np.array([t]))
        assert points == pytest.approx(place)
        assert found == pytest.approx([way])
    way = math.atan2(1, 3)
    points, found = along_curve(start, chord, np.array([way]), np.zeros(1), np.array([0.25]))
    assert points[0] == pytest.approx((1.75, 2.25))
    assert found.tolist() == [way]


def test_nothing_behind_nothing() -> None:
    none = HeadedPath.concat([])
    assert (len(none), len(none.xy), none.start.tolist()) == (0, 0, [0])


@pytest.mark.parametrize("off", [0.0, 4e-16, -4e-16, 1e-12, -1e-12])
def test_the_blade_turns_back_the_same_way_round_on_each_processor(off: float) -> None:
    """Turned by half a turn either way is short: the last digit chose, and with it where the card was cut into."""
    assert wrap(np.array([math.pi + off, -math.pi + off])) == pytest.approx([math.pi, math.pi])
    assert wrap(np.array([math.pi - 1e-6, 1e-6 - math.pi])) == pytest.approx([math.pi - 1e-6, 1e-6 - math.pi])
