"""Lines taken apart, and positions along them."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.lines.segments import (
    between,
    distance_to,
    explode,
    length_of,
    point_at,
    points_at,
    positions,
)
from cutprep.model.lines import Lines

LINES = Lines.of([[(0, 0), (3, 0), (3, 4)], [(10, 10), (10, 10), (10, 12)]])


def test_segments_know_their_line_and_position() -> None:
    """Positions start anew on each line."""
    s = explode(LINES)
    assert s.line.tolist() == [0, 0, 1]
    assert s.at.tolist() == [0, 3, 0]
    assert s.lengths.tolist() == [3, 4, 2]
    assert s.boxes[1].tolist() == [3, 0, 3, 4]
    assert positions(LINES).tolist() == [0, 3, 7, 0, 0, 2]


def test_only_picked_lines_are_taken_apart() -> None:
    """Segments without length are left out unless they are asked for."""
    assert explode(LINES, np.array([False, True])).line.tolist() == [1]
    assert len(explode(LINES, shortest=-1.0)) == 4
    assert len(explode(Lines.empty())) == 0


@pytest.mark.parametrize(("at", "want"), [(0, (0, 0)), (3, (3, 0)), (5, (3, 2)), (9, (3, 4)), (-1, (0, 0))])
def test_points_lie_at_their_positions(at: float, want: tuple[float, float]) -> None:
    """One by one and in batches, and at the ends beyond them."""
    assert point_at(LINES.points(0), at).tolist() == list(want)
    assert points_at(LINES, np.array([0]), np.array([at])).tolist() == [list(want)]


def test_points_on_lines_with_repeated_vertices() -> None:
    """A step without length swallows nothing."""
    spots = points_at(LINES, np.array([1, 1, 1, 0]), np.array([0.0, 1.0, 2.0, 7.0]))
    assert spots.tolist() == [[10, 10], [10, 11], [10, 12], [3, 4]]
    assert points_at(LINES, np.zeros(0, int), np.zeros(0)).shape == (0, 2)


def test_a_part_of_a_line() -> None:
    """Between two positions, with the vertices in between."""
    assert between(LINES.points(0), 1, 5).tolist() == [[1, 0], [3, 0], [3, 2]]
    assert length_of(between(LINES.points(0), 1, 5)) == 4


def test_distances_from_segments() -> None:
    """Beside it, beyond its end, and from a segment without length."""
    point = np.array([(1.0, 2.0), (5.0, 4.0), (3.0, 4.0)])
    begin = np.zeros((3, 2))
    end = np.array([(2.0, 0.0), (2.0, 0.0), (0.0, 0.0)])
    distance, share = distance_to(point, begin, end)
    assert distance.tolist() == [2, 5, 5]
    assert share.tolist() == [0.5, 1, 0]
