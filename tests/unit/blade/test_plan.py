"""From strokes to moves."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.blade.options import Bridges, Passes, Perforation
from cutprep.blade.plan import compensate, unheld
from cutprep.blade.tip import blade_error
from cutprep.errors import OutOfReach, PlanError
from cutprep.model.lines import Element, Lines
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.model.strokes import Strokes
from cutprep.profile.machine import Tool
from cutprep.profile.stock import SheetSize, Stock
from cutprep.tolerance import Tolerance
from tests.moving import knife, machine_of, ring, strokes_of

TOLERANCE = Tolerance()
BOX = ring([(20, 20), (60, 20), (60, 50), (20, 50)])
STYLUS = Tool("stylus", 2, (Operation.SCORE,), kind="stylus", speed=90, force=160)
BLADE = Tool("knife", 1, (Operation.CUT, Operation.PERFORATE), speed=60, force=100, offset=0.25, overcut=0.5)
CARD = Stock("card", "card", 0.3, (SheetSize("A4", 210, 297),), speed_factor=0.5, passes=2)


def lowered(moves: Moves) -> list[int]:
    """Stroke of each time that the tool comes down."""
    begins = np.flatnonzero(moves.down & ~np.append(False, moves.down[:-1]))
    return moves.stroke[begins].tolist()


def planned(strokes: Strokes, *tools: Tool, **wishes) -> Moves:
    machine = machine_of(*(tools or (BLADE, STYLUS)), first_turn="none")
    return compensate(strokes, machine, TOLERANCE, **wishes)


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
    moves = planned(strokes_of(BOX), stock=CARD)
    assert set(moves.speed[moves.down].tolist()) == {30}
    assert lowered(moves) == [0], "twice round without lifting"
    assert moves.lengths[moves.down].sum() > 2 * 140


def test_an_overcut_runs_on_past_the_start() -> None:
    moves = planned(strokes_of(BOX))
    assert moves.xy[-2] == pytest.approx((20 + 0.5 + 0.25, 20))


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
    hook = moves.down & (moves.stroke == -1)
    assert set(moves.tool[hook].tolist()) == {1}
    assert (moves.speed[hook] > 0).all()


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
    hook = np.vstack((moves.xy[0], moves.xy[moves.down & (moves.stroke == -1)]))
    assert hook.min() == pytest.approx(0, abs=1e-9)


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
    assert len(lowered(compensate(strokes, machine, TOLERANCE, bridges=Bridges(count=0)))) == 1


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
