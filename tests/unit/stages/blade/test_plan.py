"""From strokes to moves."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from cutprep.errors import OutOfReach, PlanError
from cutprep.geometry.curves import flatten
from cutprep.model.lines import Element, Lines
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.model.strokes import Strokes
from cutprep.profile.machine import Tool
from cutprep.stages.blade.cutting import Bridges, Cutting, Passes, Perforation
from cutprep.stages.blade.plan import compensate, unheld
from cutprep.stages.blade.tip import blade_error
from cutprep.tolerance import Tolerance
from tests.moving import knife, machine_of, ring, strokes_of, tip_path

TOLERANCE = Tolerance()
BOX = ring([(20, 20), (60, 20), (60, 50), (20, 50)])
STYLUS = Tool("stylus", 2, (Operation.SCORE,), kind="stylus", speed=90, force=160)
BLADE = Tool("knife", 1, (Operation.CUT, Operation.PERFORATE), speed=60, force=100, offset=0.25, overcut=0.5)


def lowered(moves: Moves) -> list[int]:
    """Stroke of each time that the tool comes down."""
    begins = np.flatnonzero(moves.down & ~np.append(False, moves.down[:-1]))
    return moves.stroke[begins].tolist()


def planned(strokes: Strokes, *tools: Tool, **wishes) -> Moves:
    machine = machine_of(*(tools or (BLADE, STYLUS)), first_turn="none")
    return compensate(strokes, machine, TOLERANCE, Cutting(**wishes))


def test_tools_speeds_and_forces() -> None:
    strokes = strokes_of([(30, 20), (30, 50)], BOX, operation=[Operation.SCORE, Operation.CUT])
    moves = planned(strokes)
    score, cut = moves.stroke == 0, moves.stroke == 1
    assert set(moves.tool[score].tolist()) == {2}
    assert set(moves.tool[cut].tolist()) == {1}
    assert set(moves.speed[score].tolist()) == {90}
    assert set(moves.force[cut].tolist()) == {100}
    assert (moves.speed[~moves.down] == 0).all()
    assert moves.changes == 1


def test_the_stock_slows_tools_down_and_asks_for_passes() -> None:
    moves = planned(strokes_of(BOX), passes=Passes(2), speed_factor=0.5)
    assert set(moves.speed[moves.down].tolist()) == {30}
    assert lowered(moves) == [0], "twice round without lifting"
    assert moves.lengths[moves.down].sum() > 2 * 140


@pytest.mark.parametrize(("apart", "landings"), [(0.0, [0]), (1e-12, [0]), (0.01, [0, 1])])
def test_the_tool_stays_down_where_the_next_line_begins(apart: float, landings: list[int]) -> None:
    """Ends of placed copies differ by the rounding of sums; that is no reason to lift."""
    strokes = strokes_of(
        [(20, 20), (60, 20)], [(60 + apart, 20), (60, 50)], operation=[Operation.SCORE, Operation.SCORE]
    )
    assert lowered(planned(strokes)) == landings


@pytest.mark.parametrize("off", [0.0, 3e-14, -3e-14])
def test_a_place_half_way_between_two_units_goes_the_same_way_on_each_processor(off: float) -> None:
    """3/16 in is 190.5 units of an HP-GL plotter; sums that end a digit beside it must not part the files."""
    moves = planned(strokes_of([(4.7625 + off, 20), (60, 20 - off)], operation=Operation.SCORE))
    assert moves.xy[moves.down].tolist() == [[60.0, 20.0]]
    assert moves.xy[0].tolist() == [4.7625, 20.0]


def test_an_overcut_runs_on_past_the_start() -> None:
    moves = planned(strokes_of(BOX))
    assert moves.xy[-2] == pytest.approx((20 + 0.5 + 0.25, 20))


@pytest.mark.parametrize("across", [2.0, 3.4, 8.0])
def test_a_small_hole_is_closed_with_its_whole_overcut(across: float) -> None:
    """The tip goes on by half a millimetre past its first point; rounding to 0.025 mm takes a unit at most."""
    hole = flatten.arc((100, 100), across / 2, 0.3, 2 * np.pi, TOLERANCE.sagitta)
    hole[-1] = hole[0]
    moves = compensate(
        strokes_of(hole, curved=[np.ones(len(hole), bool)]), machine_of(BLADE, first_turn="none"), TOLERANCE
    )
    rows = np.flatnonzero(moves.down)
    pivot = np.vstack((moves.xy[rows[0] - 1], moves.xy[rows]))
    for unit, within in ((1e-9, 0.015), (0.025, 0.035)):
        path = np.round(pivot / unit) * unit
        tip = tip_path(path, BLADE.offset, float(np.arctan2(*(path[0] - hole[0])[::-1]))) - 100
        turned = np.ptp(np.unwrap(np.arctan2(tip[:, 1], tip[:, 0])))
        assert (turned - 2 * np.pi) * across / 2 == pytest.approx(0.5, abs=within)
        assert np.abs(np.hypot(*tip.T) - across / 2).max() < 0.05


def test_an_open_line_has_no_overcut() -> None:
    moves = planned(strokes_of([(20, 20), (60, 20)]))
    assert moves.xy[-2] == pytest.approx((60.25, 20))


def test_the_heading_is_kept_from_stroke_to_stroke() -> None:
    """Two lines one after the other in the same direction: no swivel; a third across: one."""
    moves = planned(strokes_of([(20, 20), (40, 20)], [(50, 20), (70, 20)], [(80, 20), (80, 40)]))
    assert [int((moves.stroke == k).sum()) for k in range(2)] == [1, 1]
    third = moves.xy[np.flatnonzero(moves.stroke == 2)]
    landing = moves.xy[np.flatnonzero(moves.stroke == 2)[0] - 1]
    assert landing == pytest.approx((80.25, 20)), "it comes down as it looks"
    assert len(third) > 2
    assert np.hypot(*(third[:-1] - (80, 20)).T) == pytest.approx(0.25, rel=0.01)


def test_a_fresh_blade_is_turned_in_waste_first() -> None:
    machine = machine_of(BLADE, STYLUS)
    strokes = strokes_of([(30, 20), (30, 50)], BOX, operation=[Operation.SCORE, Operation.CUT])
    moves = compensate(strokes, machine, TOLERANCE)
    assert lowered(moves) == [0, -1, 1]
    cut = moves.down & (moves.stroke == -1)
    assert set(moves.tool[cut].tolist()) == {1}
    assert (moves.speed[cut] > 0).all()


def test_a_knife_that_comes_back_after_a_swap_is_turned_again() -> None:
    strokes = strokes_of(
        [(20, 20), (40, 20)], [(20, 30), (40, 30)], [(20, 40), (40, 40)], operation=[5, 2, 5]
    )
    by_hand = compensate(strokes, machine_of(BLADE, STYLUS), TOLERANCE)
    kept = compensate(strokes, machine_of(BLADE, STYLUS, change_how="automatic"), TOLERANCE)
    assert lowered(by_hand) == [-1, 0, 1, -1, 2]
    assert lowered(kept) == [-1, 0, 1, 2]


def test_the_edge_when_the_profile_says_so() -> None:
    moves = compensate(strokes_of(BOX), machine_of(BLADE, first_turn="edge"), TOLERANCE)
    cut = np.vstack((moves.xy[0], moves.xy[moves.down & (moves.stroke == -1)]))
    assert cut.min() == pytest.approx(0, abs=1e-9)


def test_no_room_to_turn_the_blade() -> None:
    sheet = ring([(0.5, 0.5), (59.5, 0.5), (59.5, 59.5), (0.5, 59.5)])
    with pytest.raises(PlanError, match="no room to turn the blade"):
        compensate(strokes_of(sheet), machine_of(BLADE, width=60.0, height=60.0), TOLERANCE)


def test_a_dull_score_becomes_dashes() -> None:
    moves = planned(strokes_of([(20, 20), (60, 20)], operation=Operation.SCORE), BLADE)
    assert len(lowered(moves)) > 5
    assert set(lowered(moves)) == {0}


def test_a_perforation_is_cut_in_dashes() -> None:
    moves = planned(
        strokes_of([(20, 20), (60, 20)], operation=Operation.PERFORATE), perforation=Perforation(4, 2)
    )
    down = moves.down
    assert moves.lengths[down].sum() == pytest.approx(40 - 2 * (len(lowered(moves)) - 1))
    assert moves.xy[0] == pytest.approx((20.25, 20))


def test_passes_by_line_and_by_sheet() -> None:
    strokes = strokes_of([(20, 20), (40, 20)], [(20, 30), (40, 30)])
    assert lowered(planned(strokes, passes=Passes(2))) == [0, 0, 1, 1]
    assert lowered(planned(strokes, passes=Passes(2, by="sheet"))) == [0, 1, 0, 1]


def test_each_pass_has_its_force() -> None:
    moves = planned(strokes_of(BOX), passes=Passes(3, force=(60, 90)))
    assert lowered(moves) == [0, 0, 0]
    edges = np.flatnonzero(np.diff(moves.force[moves.down], prepend=np.nan))
    assert moves.force[moves.down][edges].tolist() == [60, 90]


def test_only_cuts_are_passed_over_again() -> None:
    strokes = strokes_of([(30, 20), (30, 50)], BOX, operation=[Operation.SCORE, Operation.CUT])
    assert lowered(planned(strokes, passes=Passes(2, by="sheet"))) == [0, 1, 1]


def test_bridges_hold_outlines() -> None:
    strokes = strokes_of(BOX, outline=True)
    moves = planned(strokes, bridges=Bridges(count=3))
    assert lowered(moves) == [0] * 4
    assert lowered(planned(strokes, bridges=Bridges(count=3), passes=Passes(2))) == [0] * 8
    assert lowered(planned(strokes)) == [0]
    assert lowered(planned(strokes_of(BOX), bridges=Bridges(count=3))) == [0], "no outline, no bridge"


def test_a_machine_without_a_mat_makes_bridges_unasked() -> None:
    strokes = strokes_of(BOX, outline=True)
    machine = machine_of(BLADE, first_turn="none", hold_bridges=True)
    assert len(lowered(compensate(strokes, machine, TOLERANCE))) == 3
    assert len(lowered(compensate(strokes, machine, TOLERANCE, Cutting(bridges=Bridges(count=0))))) == 1


def test_outlines_with_too_little_room_are_told() -> None:
    small = ring([(20, 20), (22, 20), (22, 22), (20, 22)])
    (finding,) = unheld(strokes_of(small, BOX, outline=True), Bridges(count=2), TOLERANCE)
    assert finding.code == "no-room-for-bridge"
    assert finding.places[0].xy == (20, 20)


def test_the_lead_must_stay_inside_the_area() -> None:
    element = Element(file="tray.svg", line=12, tag="path", ident="lid", layer="cut")
    lines = Lines.of([[(20, 20), (300, 20)]], operation=Operation.CUT, elements=(element,))
    strokes = Strokes(lines, np.zeros(1), np.zeros(1), np.zeros(1, bool))
    with pytest.raises(OutOfReach) as caught:
        planned(strokes)
    assert "0.25 mm beyond the machine's area of 300 x 300 mm" in caught.value.problem
    assert "0.25 mm ahead of the blade" in caught.value.problem
    assert caught.value.place.layer == "cut"
    assert caught.value.place.file == "tray.svg"


def test_a_line_that_lies_outside_is_not_laid_to_the_blade() -> None:
    with pytest.raises(OutOfReach) as caught:
        planned(strokes_of([(20, 20), (307, 20)]))
    assert "7.25 mm beyond the machine's area" in caught.value.problem
    assert "the line itself lies 7.00 mm out there" in caught.value.problem
    assert "ahead of the blade" not in caught.value.problem


def test_an_overcut_must_stay_inside_too() -> None:
    """A notch that closes 0.3 mm from the edge, heading outwards."""
    notch = ring([(299.7, 20), (299.9, 20), (290, 30)])
    with pytest.raises(OutOfReach):
        planned(strokes_of(notch))


def test_near_the_edge_the_blade_is_turned_before_it_comes_up() -> None:
    """Coming down as it looks, the pivot would stand 0.15 mm outside."""
    machine = machine_of(BLADE, first_turn="none")
    strokes = strokes_of([(60, 20), (20, 20)], [(0.1, 40), (0.1, 60)])
    moves = compensate(strokes, machine, TOLERANCE)
    assert moves.xy.min() >= 0
    assert blade_error(moves, strokes, machine).max() < 0.05


def test_a_machine_that_cannot_change_tools() -> None:
    strokes = strokes_of([(30, 20), (30, 50)], BOX, operation=[Operation.SCORE, Operation.CUT])
    machine = machine_of(BLADE, STYLUS, change_how="none")
    with pytest.raises(PlanError, match="can't change tools, and the sheet needs 2: stylus, knife"):
        compensate(strokes, machine, TOLERANCE)
    both = machine_of(knife(), STYLUS, change_how="none", score_by="partial-cut")
    assert compensate(strokes, both, TOLERANCE).changes == 0


def test_no_tool_for_an_operation() -> None:
    with pytest.raises(PlanError, match="no tool that does 'draw'"):
        planned(strokes_of(BOX, operation=Operation.DRAW))


def test_guides_are_left_alone() -> None:
    moves = planned(strokes_of(BOX, [(0, 0), (1, 1)], operation=[Operation.CUT, Operation.GUIDE]))
    assert lowered(moves) == [0]


def test_nothing_to_do() -> None:
    moves = planned(strokes_of())
    assert not moves.down.any()
    assert moves.xy.tolist() == [[0, 0]]
    assert moves.changes == 0


def test_a_stroke_of_no_length_is_still_there() -> None:
    """A dot: the tool comes down and up in place."""
    moves = planned(strokes_of([(20, 20), (20, 20)], operation=Operation.SCORE))
    assert lowered(moves) == [0]
    assert moves.lengths[moves.down].sum() == 0


def test_work_begins_and_ends_at_home() -> None:
    machine = machine_of(BLADE, home=(300.0, 0.0))
    moves = compensate(strokes_of(BOX), machine, TOLERANCE)
    assert moves.home == (300, 0)
    assert moves.xy[-1].tolist() == [300, 0]
    assert not moves.down[0]


def test_the_same_job_gives_the_same_moves() -> None:
    strokes = strokes_of(BOX, [(70, 70), (90, 75), (70, 80)])
    one, two = (compensate(strokes, machine_of(BLADE), TOLERANCE) for _ in range(2))
    assert one.xy.tobytes() == two.xy.tobytes()


def test_a_circle_is_cut_on_a_wider_one() -> None:
    a = np.linspace(0, 2 * math.pi, 60)
    points = 100 + 10 * np.column_stack((np.cos(a), np.sin(a)))
    points[-1] = points[0]
    moves = planned(strokes_of(points, curved=[np.ones(60, bool)]))
    far = np.hypot(*(moves.xy[:-1] - 100).T)
    assert far == pytest.approx(math.hypot(10, 0.25), abs=1e-4)


def test_an_edge_serves_where_there_is_no_waste() -> None:
    """The sheet is covered by its part; outside of it the mat is free."""
    sheet = ring([(0, 0), (60, 0), (60, 60), (0, 60)])
    moves = compensate(strokes_of(sheet + 5), machine_of(BLADE), TOLERANCE)
    assert lowered(moves) == [-1, 0]
    covered = compensate(strokes_of(sheet + 0.3), machine_of(BLADE), TOLERANCE)
    cut = np.vstack((covered.xy[0], covered.xy[covered.down & (covered.stroke == -1)]))
    assert cut.max() == pytest.approx(300) or cut.min() == pytest.approx(0, abs=1e-9)
    assert np.max(cut) > 61


def test_the_orientation_cut_leads_into_the_first_stroke() -> None:
    """Its last leg has the heading with which the first stroke leaves, for each knife of its own."""
    two = Tool("fine knife", 4, (Operation.PARTIAL_CUT,), speed=40, force=50, offset=0.4)
    strokes = strokes_of(
        [(60, 60), (60, 90)], [(80, 80), (50, 80)], operation=[Operation.CUT, Operation.PARTIAL_CUT]
    )
    moves = compensate(strokes, machine_of(BLADE, two), TOLERANCE)
    assert lowered(moves) == [-1, 0, -1, 1]
    cuts = np.flatnonzero(moves.down & (moves.stroke == -1))
    assert len(cuts) == 4
    for rows, offset, way, tool in ((cuts[:2], 0.25, (0, 1), 1), (cuts[2:], 0.4, (-1, 0), 4)):
        assert set(moves.tool[rows].tolist()) == {tool}
        leg = moves.xy[rows[1]] - moves.xy[rows[0]]
        assert leg == pytest.approx(np.array(way) * 8 * offset)
        before = moves.xy[rows[0] - 1]
        assert np.hypot(*(moves.xy[rows[0]] - before)) == pytest.approx(4 * offset)
    assert moves.force[cuts].tolist() == [100, 100, 50, 50]
    assert moves.changes == 1


def test_the_orientation_cut_lies_near_its_stroke() -> None:
    """Of two sheets' worth of waste the one beside the first stroke is taken."""
    for at in (30.0, 250.0):
        strokes = strokes_of([(at, at), (at + 20, at)], [(20, 20), (290, 290)])
        moves = compensate(strokes, machine_of(BLADE), TOLERANCE)
        cut = moves.xy[moves.down & (moves.stroke == -1)]
        assert np.hypot(*(cut.mean(axis=0) - at)) < 12


def test_the_first_lowering_of_a_kept_heading() -> None:
    """A stylus has no heading; between two knife strokes it changes nothing."""
    strokes = strokes_of(
        [(20, 20), (40, 20)], [(20, 30), (40, 30)], [(50, 20), (70, 20)], operation=[5, 2, 5]
    )
    machine = machine_of(BLADE, STYLUS, first_turn="none", change_how="automatic")
    moves = compensate(strokes, machine, TOLERANCE)
    assert [int((moves.stroke == k).sum()) for k in range(3)] == [1, 1, 1], "no swivel anywhere"
    assert moves.xy[np.flatnonzero(moves.stroke == 1)[0]] == pytest.approx((40, 30))


def test_beyond_the_area_by_rounding_only() -> None:
    """A millionth of a millimetre is no matter, a thousandth is; without an offset no blade is blamed."""
    plain = machine_of(knife(0.0))
    for over, fine in ((5e-7, True), (0.02, False)):
        for line in ([(20, 20), (300 + over, 20)], [(20, 20), (20, 300 + over)], [(20, 20), (-over, 20)]):
            if fine:
                assert compensate(strokes_of(line), plain, TOLERANCE).down.any()
                continue
            with pytest.raises(OutOfReach) as caught:
                compensate(strokes_of([(40, 40), (50, 50)], line), plain, TOLERANCE)
            assert "0.02 mm beyond the machine's area of 300 x 300 mm" in caught.value.problem
            assert "ahead of the blade" not in caught.value.problem
            assert "wider by 0.02 mm" in caught.value.fix
            assert caught.value.place.xy == pytest.approx(line[1])


def test_room_to_turn_is_counted_on_every_side() -> None:
    """The blade comes from the right heading left; 0.2 mm from an edge it turns before it comes up."""
    machine = machine_of(BLADE, first_turn="none")
    for x, y in ((0.2, 150), (299.8, 150), (150, 0.2), (150, 299.8)):
        start = np.array([x, y])
        way = np.sign(150 - start) * (np.abs(150 - start) > 1)
        strokes = strokes_of([(100, 100), (120, 130)], [start, start + 20 * way])
        moves = compensate(strokes, machine, TOLERANCE)
        landing = moves.xy[np.flatnonzero(moves.stroke == 1)[0] - 1]
        assert landing == pytest.approx(start + 0.25 * way), "it comes down turned"
    roomy = strokes_of([(100, 100), (120, 130)], [(150, 0.25), (150, 20)])
    moves = compensate(roomy, machine, TOLERANCE)
    landing = moves.xy[np.flatnonzero(moves.stroke == 1)[0] - 1]
    old = np.array([20, 30]) / np.hypot(20, 30)
    assert landing == pytest.approx((150, 0.25) + 0.25 * old), "just roomy enough: turned where it lands"


def test_rounds_of_a_closed_line() -> None:
    """Three rounds at one force and the overcut, with one landing; different forces lift between."""
    moves = planned(strokes_of(BOX), passes=Passes(3, force=(80,)))
    assert lowered(moves) == [0]
    turns = 0.25 * np.pi / 2 * 12
    assert moves.lengths[moves.down].sum() == pytest.approx(3 * 140 + 0.5 + turns, abs=1.0)
    assert set(moves.force[moves.down].tolist()) == {80}
    silent = Tool("knife", 1, (Operation.CUT,), offset=0.25)
    assert lowered(planned(strokes_of(BOX), silent, passes=Passes(2))) == [0]
    assert lowered(planned(strokes_of([(20, 20), (60, 20)]), silent, passes=Passes(2))) == [0, 0]


def test_passes_by_sheet_take_their_forces_in_turn() -> None:
    strokes = strokes_of([(20, 20), (40, 20)], [(20, 30), (40, 30)])
    moves = planned(strokes, passes=Passes(2, force=(60, 90), by="sheet"))
    firsts = [moves.force[k] for k in np.flatnonzero(moves.down & ~np.append(False, moves.down[:-1]))]
    assert firsts == [60, 60, 90, 90]


def test_an_overcut_is_never_longer_than_its_line() -> None:
    """A ring of 3.6 mm and an overcut of 50 mm: twice round, no more."""
    wild = Tool("knife", 1, (Operation.CUT,), offset=0.0, overcut=50.0)
    small = ring([(20, 20), (21.2, 20), (20.6, 21.04)])
    moves = planned(strokes_of(small), wild)
    length = np.hypot(*np.diff(small, axis=0).T).sum()
    assert moves.lengths[moves.down].sum() == pytest.approx(2 * length)


def test_travels_carry_no_figures() -> None:
    moves = planned(strokes_of([(20, 20), (40, 20)], [(60, 60), (80, 60)]))
    up = ~moves.down
    assert np.flatnonzero(up).tolist() == [0, 2, len(up) - 1]
    assert np.isnan(moves.force[up]).all()
    assert (moves.speed[up] == 0).all()
    assert (moves.stroke[up] == -1).all()
    assert (moves.tool == 1).all()


@pytest.mark.parametrize("tool", [knife(), Tool("pen", 1, (Operation.CUT,), kind="pen", speed=50.0)])
def test_the_tool_stays_down_where_the_next_stroke_begins(tool: Tool) -> None:
    # Two strokes meet at a corner, the third begins elsewhere.
    strokes = strokes_of([[50, 50], [80, 50]], [[80, 50], [80, 90]], [[80, 95], [50, 95]])
    moves = planned(strokes, tool)
    assert lowered(moves) == [0, 2]
    assert set(moves.stroke.tolist()) == {-1, 0, 1, 2}
    error = blade_error(moves, strokes, machine_of(tool))
    assert float(error.max()) <= 0.05
    # Read back, nothing tells where one stroke ends and the next begins.
    nameless = replace(moves, stroke=np.where(moves.down, 0, -1))
    assert blade_error(nameless, strokes, machine_of(tool), planned=moves) == pytest.approx(error)
