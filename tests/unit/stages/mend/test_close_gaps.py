"""Gaps are closed and chains joined."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.closeness.neighbours import neighbours
from cutprep.geometry.planar.ends.joints import find_joints
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.mend.close_gaps import close_gaps, join_lines
from tests.drawn import LIMITS, Pen, arc, box


def closed(*points: object, gap: float = 0.8) -> tuple[Lines, list[float]]:
    """Cut lines after closing gaps, and the gaps' widths."""
    lines = Pen().cut(*points).lines
    near = neighbours(lines, gap, spot=LIMITS.doubled)
    joints = find_joints(lines, np.ones(len(lines), bool), near, LIMITS, gap)
    made, findings = close_gaps(lines, joints, gap)
    return made, [f.measure or 0.0 for f in findings]


def test_a_corner_is_carried_on_to_where_its_sides_meet() -> None:
    """Short by 0.4 mm on one side and 0.3 mm on the other, or too long."""
    for a, b in ((-0.4, 0.3), (0.4, -0.3), (0.5, 0.2)):
        made, widths = closed([(0, 0), (10 + a, 0)], [(10, b), (10, 9)])
        assert made.points(0)[-1] == pytest.approx((10, 0), abs=1e-9)
        assert made.points(1)[0] == pytest.approx((10, 0), abs=1e-9)
        assert widths == pytest.approx([np.hypot(a, b)])


def test_ends_in_line_meet_halfway() -> None:
    """And those of curves."""
    made, _ = closed([(0, 0), (10, 0)], [(10.6, 0), (20, 0)])
    assert made.points(0)[-1].tolist() == made.points(1)[0].tolist() == [10.3, 0]
    ring = arc((0, 0), 10, 0, 357)
    made, widths = closed(ring)
    assert made.closed.tolist() == [True]
    assert widths == pytest.approx([np.hypot(*(ring[0] - ring[-1]))])


def test_a_slit_is_carried_on_to_the_outline() -> None:
    """Straight on where it points, so that a slanted slit stays straight."""
    made, _ = closed(box(0, 0, 30, 30), [(10.2, 0.4), (15, 10)])
    assert made.points(1)[0] == pytest.approx((10, 0), abs=1e-9)


def test_no_end_moves_further_than_the_gap() -> None:
    """Sides that meet far off are brought together halfway instead."""
    made, _ = closed([(0, 0), (10, 0)], [(10.7, 0.1), (20, 2.2)])
    for line, end, was in ((0, -1, (10, 0)), (1, 0, (10.7, 0.1))):
        assert np.hypot(*(made.points(line)[end] - was)) <= 0.8
    assert made.points(0)[-1].tolist() == made.points(1)[0].tolist()


def test_the_limit_can_be_lowered() -> None:
    """What is wider stays."""
    assert closed([(0, 0), (10, 0)], [(10.6, 0), (20, 0)], gap=0.5)[1] == []


def test_strokes_become_one_line() -> None:
    """A square; the report says how many there were."""
    pen = Pen().cut([(0, 0), (9, 0)], [(9, 0), (9, 9)], [(0, 9), (9, 9)], [(0, 9), (0, 0.03)])
    made, findings = join_lines(pen.lines, np.ones(4, bool), LIMITS)
    assert made.closed.tolist() == [True]
    assert [(f.code, f.measure) for f in findings] == [("joined-lines", 4)]


def test_what_stays_apart() -> None:
    """Operations, layers, folds round a corner, and lines left out."""
    pen = Pen().cut([(0, 0), (9, 0)]).score([(9, 0), (9, 9)], [(9, 9), (20, 9)], [(20, 9), (30, 9)])
    made, _ = join_lines(pen.lines, np.ones(4, bool), LIMITS)
    assert made.operation.tolist() == [Operation.CUT, Operation.SCORE, Operation.SCORE]
    assert made.lengths.tolist() == pytest.approx([9, 9, 21])
    alone = pen.lines
    assert join_lines(alone, np.zeros(4, bool), LIMITS) == (alone, ())


def test_a_line_that_nearly_closes_closes() -> None:
    """Its ends become one point."""
    made, findings = join_lines(
        Pen().cut([(0, 0), (9, 0), (9, 9), (0, 9), (0.02, 0)]).lines, np.ones(1, bool), LIMITS
    )
    assert made.closed.tolist() == [True]
    assert len(findings) == 1


def turned(points: list[tuple[float, float]], degrees: float) -> np.ndarray:
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return np.array(points, float) @ np.array([[c, s], [-s, c]])


@pytest.mark.parametrize("degrees", [0, 20, 45, 110, 200])
@pytest.mark.parametrize("between", [90, 60, 30, 14])
def test_a_corner_meets_where_its_sides_point_however_it_lies(degrees: float, between: float) -> None:
    """Both sides stop 0.3 mm short of it; no card changes its shape by being turned on the page."""
    away = turned([(0.3, 0), (10, 0)], 180 - between)
    made, widths = closed(turned([(-10, 0), (-0.3, 0)], degrees), away @ turned([(1, 0), (0, 1)], degrees))
    assert made.points(0)[-1] == pytest.approx((0, 0), abs=1e-9)
    assert made.points(1)[0] == pytest.approx((0, 0), abs=1e-9)
    assert widths == pytest.approx([0.6 * np.sin(np.radians(between / 2))])


@pytest.mark.parametrize(("bend", "carried"), [(10, False), (14, True)])
def test_sides_within_twelve_degrees_of_straight_meet_halfway(bend: float, carried: bool) -> None:
    """They have no corner that a maker would see: each end moves by half the gap, and none runs on."""
    made, _ = closed([(-10, 0), (-0.3, 0)], turned([(0.1, 0), (10, 0)], bend))
    halfway = (np.array([-0.3, 0]) + turned([(0.1, 0)], bend)[0]) / 2
    assert made.points(0)[-1] == pytest.approx((0, 0) if carried else halfway, abs=1e-9)
    assert made.points(1)[0] == pytest.approx(made.points(0)[-1])


@pytest.mark.parametrize(("bend", "lines"), [(11, 1), (13, 2)])
def test_a_fold_line_goes_straight_on_within_twelve_degrees(bend: float, lines: int) -> None:
    """Beyond that it is two hinges, which the card needs apart."""
    pen = Pen().score([(-10, 0), (0, 0)], turned([(0, 0), (10, 0)], bend).tolist())
    made, _ = join_lines(pen.lines, np.ones(2, bool), LIMITS)
    assert len(made) == lines
