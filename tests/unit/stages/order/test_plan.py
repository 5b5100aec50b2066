"""Ordering a sheet: what goes first, what it costs, and odd input."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.errors import PlanError
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.model.part import Part, Template
from cutprep.model.sheet import Placement, Sheet
from tests.order_sheets import assert_order_holds, order, plan, sheet_of, square, tags

CUT, SCORE, DRAW = Operation.CUT, Operation.SCORE, Operation.DRAW


def test_stages_follow_each_other_over_the_sheet() -> None:
    sheet = tags(6)
    strokes = order(sheet)
    assert_order_holds(strokes, sheet)
    assert strokes.stage.tolist() == [0] * 6 + [1] * 6 + [4] * 6 + [5] * 6


def test_each_copy_is_finished_before_the_next_when_asked() -> None:
    sheet = tags(6)
    strokes = order(sheet, finish="copy")
    assert_order_holds(strokes, sheet)
    parts = strokes.part.tolist()
    assert all(len(set(parts[i : i + 4])) == 1 for i in range(0, 24, 4))
    assert (strokes.stage % 6).tolist() == [0, 1, 4, 5] * 6


def test_more_copies_than_a_byte_counts_stages_can_be_finished_one_by_one() -> None:
    assert_order_holds(order(tags(30), finish="copy", effort="quick"), tags(30))


def test_a_part_nested_in_a_hole_goes_before_the_hole() -> None:
    lines = Lines.of(
        [square(0, 0, 100), square(10, 10, 60)[::-1], square(20, 20, 30), square(30, 30, 5)[::-1]],
        operation=CUT,
    )
    template = Template("nested", lines, (Part(0, (1,)), Part(2, (3,))))
    sheet = Sheet(1, 300.0, 300.0, "card", (template,), (Placement(0, 5, 5),))
    strokes, report = plan(sheet)
    sides = [float(np.ptp(strokes.lines.points(i)[:, 0])) for i in range(4)]
    assert np.allclose(sides, [5, 30, 60, 100])
    assert report.planned.loose == 0
    assert report.drawn.loose == pytest.approx(240 + 120 + 20)


def test_guides_are_never_worked() -> None:
    assert len(order(sheet_of([[[0, 0], [9, 9]]], Operation.GUIDE))) == 0


@pytest.mark.parametrize(
    ("lines", "operation"),
    [
        ([], []),
        ([[[0, 0], [5, 5]]], [CUT]),
        ([[[1, 1], [1, 1]]] * 3, [CUT] * 3),
        ([[[1, 1], [1, 1]]] * 1000, [DRAW] * 1000),
        ([square(5, 5, 2)] * 40, [CUT] * 40),
        ([[[1, 1], [9, 1]], square(3, 3, 1), [[4, 4], [4, 4]]], [DRAW, CUT, SCORE]),
    ],
)
def test_odd_input_is_ordered(lines: list[object], operation: list[int]) -> None:
    strokes, report = plan(sheet_of(lines, operation), effort="quick", explain=True)
    assert len(strokes) == len(lines) == len(strokes.reasons)
    assert math.isfinite(report.planned.travel)


def test_open_lines_are_worked_in_either_direction() -> None:
    strokes = order(sheet_of([[[10, 0], [0, 0]], [[20, 0], [10.5, 0]], [[21, 0], [40, 0]]], DRAW))
    assert strokes.travel == pytest.approx(0.5 + 1 + 40)


def test_lines_that_carry_on_straight_are_one_stroke() -> None:
    strokes, report = plan(sheet_of([[[0, 5], [10, 5]], [[20, 5], [10, 5]], [[20, 5], [20, 30]]], SCORE))
    assert (report.drawn.strokes, report.planned.strokes) == (3, 2)
    assert_order_holds(strokes, sheet_of([[[0, 5], [10, 5]], [[20, 5], [10, 5]], [[20, 5], [20, 30]]], SCORE))


def test_cuts_are_not_joined_through_a_tip() -> None:
    through = [[[0, 50], [50, 50]], [[50, 50], [99, 50]], [[50, 50], [95, 60]]]
    assert len(order(sheet_of(through, CUT))) == 3
    assert len(order(sheet_of(through, SCORE))) == 2


def test_outlines_begin_on_a_run_and_not_at_a_corner() -> None:
    _, report = plan(tags(9))
    assert report.nearest.corners == 27
    assert report.planned.corners == 0
    assert report.planned.travel <= 1.05 * report.travel_only.travel


def test_converging_cuts_run_outwards_from_their_point() -> None:
    strokes, report = plan(sheet_of([[[40, 20], [10, 10]], [[10, 10], [40, 10]]], CUT), home=(60.0, 15.0))
    last = strokes.lines.points(1)
    assert last[0].tolist() == [10, 10]
    assert report.planned.running == 0


def test_reasons_name_stage_precedence_and_tour() -> None:
    strokes = order(tags(2), explain=True)
    assert strokes.reasons[-1].startswith("stage: outlines; after 3 lines (")
    assert "touches the cut" in strokes.reasons[2]
    assert all("tour: " in reason for reason in strokes.reasons)
    assert "begins on a run" in strokes.reasons[-1]


@pytest.mark.parametrize(
    ("points", "operation", "wish", "said"),
    [
        (square(20, 5, 40), CUT, {}, "begins on a run, away from corners"),
        (square(20, 5, 40), CUT, {"tear_weight": 0.0}, "begins at a corner: travel outweighs"),
        (square(20, 5, 2), CUT, {}, "begins at a corner: no run of 3 mm"),
        (square(20, 5, 40), SCORE, {}, ""),
        (square(20, 5, 40)[:4], CUT, {}, ""),
    ],
    ids=["run", "no weight on tears", "too small", "no cut", "open"],
)
def test_reasons_name_where_a_closed_cut_begins(
    points: np.ndarray, operation: Operation, wish: dict[str, float], said: str
) -> None:
    (reason,) = order(sheet_of([points], operation), explain=True, **wish).reasons
    assert [part for part in reason.split("; ") if part.startswith("begins")] == ([said] if said else [])


def test_a_tool_change_for_each_tool_and_an_operation_without_a_tool() -> None:
    assert plan(tags(2), tools=({DRAW}, {SCORE}, {CUT}))[1].changes == 2
    assert plan(tags(2), tools=({DRAW}, {SCORE}, {CUT}), finish="copy")[1].changes == 5
    with pytest.raises(PlanError, match="score"):
        plan(tags(2), tools=({DRAW, CUT},))


def test_travel_may_be_measured_in_time() -> None:
    # The x axis creeps: by time it pays to sweep across once, however far up and down that goes.
    spots = np.random.default_rng(1).uniform(0, 100, (12, 2))
    sheet = sheet_of([[p, p] for p in spots], DRAW)
    slow = {"speed": 200.0, "top_speed": (2.0, 400.0), "acceleration": (500.0, 500.0)}
    by_time, by_length = order(sheet, metric="time", **slow), order(sheet)
    across = [
        float(np.abs(np.diff(s.lines.xy[::2, 0], prepend=0, append=0)).sum()) for s in (by_time, by_length)
    ]
    assert across[0] == pytest.approx(2 * spots[:, 0].max())
    assert across[1] > across[0]
    assert by_length.travel < by_time.travel


@pytest.mark.parametrize(
    "wrong", [{"effort": "great"}, {"finish": "half"}, {"metric": "luck"}, {"tear_weight": -1.0}]
)
def test_wrong_wishes_are_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="must be"):
        order(tags(1), **wrong)
