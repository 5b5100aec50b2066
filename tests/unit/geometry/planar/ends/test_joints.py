"""What the ends of lines do."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.closeness.neighbours import neighbours
from cutprep.geometry.planar.ends.joints import Joints, find_joints, find_reach
from cutprep.model.lines import Lines
from tests.drawn import LIMITS, box


def joints(*points: object) -> Joints:
    """Joints of cut lines."""
    lines = Lines.of([np.asarray(p, float) for p in points])
    near = neighbours(lines, LIMITS.gap, spot=LIMITS.doubled)
    return find_joints(lines, np.ones(len(lines), bool), near, LIMITS)


def test_ends_that_meet_are_neither_free_nor_touching() -> None:
    """Two sides of a corner."""
    found = joints([(0, 0), (10, 0)], [(10, 0), (10, 10)])
    assert found.free.tolist() == [True, False, False, True]
    assert not len(found.link)
    assert not len(found.tee)


def test_a_slit_touches_the_outline_it_begins_at() -> None:
    """Also where it runs over by less than lines on each other may be apart."""
    for y in (0, 0.05, -0.05):
        found = joints(box(0, 0, 30, 30), [(10, y), (10, 9)])
        assert found.touch_line.tolist()[2:] == [0, -1]
        assert found.free.tolist()[2:] == [False, True]


@pytest.mark.parametrize(
    ("name", "lines", "width"),
    [
        ("straight on", ([(0, 0), (10, 0)], [(10.3, 0), (20, 0)]), 0.3),
        ("at a corner", ([(0, 0), (10, 0)], [(10, 0.4), (10, 10)]), 0.4),
        ("of one line", ([(0, 0.5), (0, 20), (20, 20), (20, 0), (0, 0)],), 0.5),
    ],
)
def test_gaps_between_ends(name: str, lines: tuple, width: float) -> None:
    """The two ends face each other."""
    found = joints(*lines)
    assert found.link_gap.tolist() == pytest.approx([width]), name
    assert found.chains.closed.any() == (name == "of one line")


def test_a_gap_is_paired_with_its_nearest_end() -> None:
    """Narrow gaps first; an end is used once."""
    found = joints([(0, 0), (10, 0)], [(10.2, 0), (20, 0)], [(10.2, 0.5), (10.2, 20)])
    assert found.link.tolist() == [[1, 2]]


def test_ends_that_nearly_met_are_not_led_across_a_slot() -> None:
    """Hand-drawn: the slot's side ends on the line beside it, 0.09 mm from that line's end."""
    found = joints(
        [(-20.0, 0.0), (-0.6, 0.0)],
        [(-0.6, 0.0), (-0.6, -20.0)],
        [(-0.08, -0.03), (25.0, 0.0)],
        [(0.0, 0.0), (0.0, -20.0)],
    )
    assert not len(found.tee)
    assert not found.free[4]
    assert not found.free[6]


def test_a_tee_gap_stops_short_of_the_inside_of_a_line() -> None:
    """It points at the line; a line that runs beside another doesn't."""
    found = joints(box(0, 0, 30, 30), [(10, 0.4), (10, 9)])
    assert found.tee_gap.tolist() == pytest.approx([0.4])
    assert found.tee_position.tolist() == pytest.approx([10])
    assert not len(joints(box(0, 0, 30, 30), [(10, 0.4), (20, 0.4)]).tee)


def test_a_stub_is_no_gap() -> None:
    """Its two ends are near each other because it is short."""
    assert not len(joints([(0, 0), (0.5, 0)]).link)


def test_dashes_are_meant() -> None:
    """Four in a row or more; two with a gap are a fault."""
    dashes = [[(0, 3.5 * k), (0, 3.5 * k + 3)] for k in range(6)]
    found = joints(*dashes)
    assert found.dashed.all()
    assert not len(found.link)
    assert len(joints(*dashes[:2]).link) == 1


def test_reach_names_every_line_near_an_end() -> None:
    """With where on it and how far."""
    lines = Lines.of([[(0, 0), (9, 0)], [(3, 0.2), (3, 5)], [(2.9, 0.3), (-5, 3)]])
    near = neighbours(lines, 0.5, spot=0.1)
    reach = find_reach(lines, np.array([2]), np.ones(3, bool), near, 0.5)
    by_line = dict(zip(reach.line.tolist(), reach.gap.tolist(), strict=True))
    assert by_line == pytest.approx({0: 0.2, 2: np.hypot(0.1, 0.1)})
    assert reach.nearest().line.tolist() == [2]
    assert not len(find_reach(lines, np.zeros(0, int), np.ones(3, bool), near, 0.5).end)
