"""Stretches of lines."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.geometry.curves import flatten
from cutprep.model.lines import Lines
from cutprep.stages.blade.stretch import lengths, reached, stretches
from cutprep.stages.blade.track import HeadedPath, track
from cutprep.tolerance import Tolerance
from tests.moving import ring

TOLERANCE = Tolerance()
SQUARE = ring([(0, 0), (10, 0), (10, 10), (0, 10)])
LINES = Lines.of([[(0, 0), (3, 0), (3, 4)], SQUARE, [(9, 9), (9, 9)]])


def cut(lines: Lines, line: int, *spans: tuple[float, float]) -> HeadedPath:
    tips = track(lines, TOLERANCE)
    begin, end = np.array(spans, float).T
    return stretches(tips, np.full(len(spans), line), begin, end)


def test_lengths() -> None:
    tips = track(LINES, TOLERANCE)
    assert lengths(tips).tolist() == [7, 40, 0]
    assert reached(tips).tolist() == [0, 3, 7, 0, 10, 20, 30, 40, 0]


def test_the_whole_line_is_the_line() -> None:
    whole = cut(LINES, 0, (0, 7))
    assert whole.xy.tolist() == [[0, 0], [3, 0], [3, 4]]
    assert np.degrees(whole.leave).tolist() == pytest.approx([0, 90, 90])


def test_ends_inside_pieces() -> None:
    parts = cut(LINES, 0, (1, 2), (2, 5), (3, 7))
    assert parts.part(0).xy == pytest.approx(np.array([[1, 0], [2, 0]]))
    assert parts.part(1).xy == pytest.approx(np.array([[2, 0], [3, 0], [3, 2]]))
    assert parts.part(2).xy == pytest.approx(np.array([[3, 0], [3, 4]]))


def test_an_end_at_a_vertex_does_not_turn_there() -> None:
    before, after = (cut(LINES, 0, span) for span in ((1, 3), (3, 5)))
    assert math.degrees(before.leave[-1]) == 0
    assert math.degrees(after.arrive[0]) == pytest.approx(90)


def test_running_on_past_the_closing() -> None:
    over = cut(LINES, 1, (0, 42))
    assert over.xy.tolist() == [[0, 0], [10, 0], [10, 10], [0, 10], [0, 0], [2, 0]]
    assert math.degrees(over.leave[4] - over.arrive[4]) % 360 == pytest.approx(90)


def test_running_round_three_times() -> None:
    around = cut(LINES, 1, (0, 121))
    assert len(around.xy) == 14
    assert np.hypot(*np.diff(around.xy, axis=0).T).sum() == pytest.approx(121)


def test_a_stretch_across_the_closing() -> None:
    across = cut(LINES, 1, (38, 43))
    assert across.xy == pytest.approx(np.array([[0, 2], [0, 0], [3, 0]]))


def test_a_line_of_no_length() -> None:
    point = cut(LINES, 2, (0, 0))
    assert point.xy.tolist() == [[9, 9]]


def test_parts_of_an_arc_stay_on_it() -> None:
    points = flatten.arc((0, 0), 6, 0, 3, 0.02)
    curved = np.ones(len(points), bool)
    curved[[0, -1]] = False
    part = cut(Lines.of([points], curved=[curved]), 0, (1.234, 7.7))
    assert np.hypot(*part.xy.T) == pytest.approx(6, abs=1e-5)
    tangent = np.arctan2(part.xy[:, 1], part.xy[:, 0]) + math.pi / 2
    assert part.leave == pytest.approx(tangent, abs=1e-4)


def test_many_lines_at_once() -> None:
    tips = track(LINES, TOLERANCE)
    found = stretches(tips, np.array([1, 0, 2]), np.array([5.0, 1, 0]), np.array([15.0, 2, 0]))
    assert np.diff(found.start).tolist() == [3, 2, 1]
    assert found.part(0).xy.tolist() == [[5, 0], [10, 0], [10, 5]]


def test_nothing() -> None:
    assert len(stretches(track(LINES, TOLERANCE), np.empty(0, int), np.empty(0), np.empty(0))) == 0


def test_headings_inside_a_stretch_are_those_of_the_line() -> None:
    """At a corner it arrives and leaves as the line does; at its ends it arrives as it leaves."""
    over = cut(LINES, 1, (5, 45))
    assert over.xy == pytest.approx(np.array([(5, 0), (10, 0), (10, 10), (0, 10), (0, 0), (5, 0)]))
    assert (np.degrees(over.arrive) % 360).tolist() == pytest.approx([0, 0, 90, 180, 270, 0])
    assert (np.degrees(over.leave) % 360).tolist() == pytest.approx([0, 90, 180, 270, 0, 0])


def test_stretches_of_later_rounds_lie_where_the_first_round_does() -> None:
    for rounds in (1, 2, 5):
        one = cut(LINES, 1, (40 * rounds + 3, 40 * rounds + 12))
        assert one.xy == pytest.approx(np.array([(3, 0), (10, 0), (10, 2)]))


def test_stretches_from_vertex_to_vertex() -> None:
    """However the sums of chords are rounded, no vertex stands twice."""
    a = np.linspace(0, 2 * math.pi, 8)
    points = 7 * np.column_stack((np.cos(a), np.sin(a)))
    points[-1] = points[0]
    lines = Lines.of([[(0, 0), (1, 1)], points])
    at = reached(track(lines, TOLERANCE))[2:]
    for i in range(7):
        for j in range(i + 1, 8):
            part = cut(lines, 1, (at[i], at[j]))
            assert part.xy == pytest.approx(points[i : j + 1])


def test_a_closed_line_of_no_length_and_its_neighbours() -> None:
    lines = Lines.of([[(5, 5), (5, 5)], [(0, 0), (4, 0)], [(5, 5), (5, 5)], SQUARE])
    tips = track(lines, TOLERANCE)
    found = stretches(tips, np.array([0, 1, 2, 3]), np.zeros(4), np.array([0.0, 4, 0, 41]))
    assert np.diff(found.start).tolist() == [1, 2, 1, 6]
    assert found.part(3).xy[-1] == pytest.approx((1, 0))
    assert found.part(2).xy.tolist() == [[5, 5]]


def test_rounds_of_a_line_shorter_than_a_millimetre() -> None:
    """A ring of 0.8 mm, cut from the second round into the third."""
    lines = Lines.of([SQUARE / 50])
    found = cut(lines, 0, (0.9, 1.7))
    assert found.xy == pytest.approx(np.array([(0.1, 0), (0.2, 0), (0.2, 0.2), (0, 0.2), (0, 0), (0.1, 0)]))
