"""Order, direction and splits of lines say nothing."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.stages.fold.net.net_lines import pick_net_lines
from cutprep.stages.fold.net.steady import goes_straight_on, steady
from tests.nets import Sketch


def _lines(sketch: Sketch) -> list[list[list[float]]]:
    drawn = steady(pick_net_lines(sketch.drawing()))
    return [drawn.lines.points(k).tolist() for k in range(len(drawn.lines))]


def test_order_and_direction_say_nothing() -> None:
    one = Sketch().cut((0, 0), (10, 0)).cut((10, 0), (10, 5)).score((0, 0), (10, 5))
    two = Sketch().cut((10, 5), (10, 0)).cut((10, 0), (0, 0)).score((10, 5), (0, 0))
    assert _lines(one) == _lines(two)


def test_a_closed_line_runs_counter_clockwise() -> None:
    one = Sketch().cut((0, 0), (10, 0), (10, 5), (0, 0))
    two = Sketch().cut((0, 0), (10, 5), (10, 0), (0, 0))
    assert _lines(one) == _lines(two)


def test_what_was_split_is_joined() -> None:
    split = Sketch().cut((4, 3), (0, 0)).cut((12, 9), (4, 3)).cut((12, 9), (16, 12))
    assert _lines(split) == [[[0, 0], [16, 12]]]


def test_a_ring_of_pieces_keeps_its_corners() -> None:
    ring = Sketch().cut((5, 0), (10, 0), (10, 10), (0, 10)).cut((0, 10), (0, 0), (5, 0))
    drawn = steady(pick_net_lines(ring.drawing()))
    assert [len(drawn.lines.points(k)) - 1 for k in range(len(drawn.lines))] == [4]


@pytest.mark.parametrize(
    "other",
    [
        Sketch().cut((0, 0), (10, 0)).cut((10, 0), (20, 0.01)),  # a bend
        Sketch().cut((0, 0), (10, 0)).score((10, 0), (20, 0)),  # another sort
        Sketch().cut((0, 0), (10, 0)).cut((10, 0), (20, 0)).cut((10, 0), (10, 5)),  # a third ends there
        Sketch().cut((0, 0), (10, 0)).cut((10, 0), (4, 0)),  # back on itself
    ],
)
def test_what_is_not_split_stays(other: Sketch) -> None:
    assert len(_lines(other)) == len(other.cuts) + len(other.scores)


def test_straight_on() -> None:
    a, b, c = np.array([[0.0, 0.0], [4.0, 3.0], [8.0, 6.0]])
    assert goes_straight_on(a, b, c)
    assert not goes_straight_on(a, c, b)
    assert not goes_straight_on(a, b + np.array([0.0, 1e-4]), c)
