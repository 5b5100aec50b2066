"""What an HP-GL file makes the tool do, instruction by instruction."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from cutprep.model.moves import Moves
from cutprep.profile.machine import HpglStyle
from cutprep.stages.readback.compare.runs import strokes_of
from cutprep.stages.readback.hpgl.follow import HpglReader
from cutprep.stages.readback.hpgl.frame import Scaling
from cutprep.stages.readback.hpgl.window import clipped
from cutprep.stages.readback.hpgl.words import ASIDE, instructions
from cutprep.stages.readback.machine_file import parse
from tests.plans import MACHINE


def follow(program: str, machine=None) -> Moves:
    """Moves of a program that nothing is said against, without the last lift in place."""
    moves, findings = parse(f"IN;SP1;{program}PU;SP0;", "hpgl", machine)
    assert not findings
    if len(moves) > 1 and moves.down[-2] and not moves.down[-1] and moves.lengths[-1] == 0:
        return _without_last(moves)
    return moves


def _without_last(moves: Moves) -> Moves:
    names = ("xy", "down", "tool", "speed", "force", "stroke", "curved")
    return replace(moves, **{name: getattr(moves, name)[:-1] for name in names})


def ends(program: str, machine=None) -> list[list[float]]:
    """Where each move ends, plotter units of 0.025 mm."""
    return np.round(follow(program, machine).xy / 0.025, 6).tolist()


def test_speeds_of_one_tool_and_of_all() -> None:
    """VS with a tool holds for that tool; alone for all, and forgets what was said of single ones."""
    assert follow("VS6,1;VS9,2;PD1,1;").speed[0] == 60
    assert follow("VS9;VS6,1;PD1,1;").speed[0] == 60
    assert follow("VS9,2;VS7;PD1,1;").speed[0] == 70
    assert follow("VS6,1;VS7;PD1,1;").speed[0] == 70
    assert follow("VS6,2;PD1,1;").speed[0] == 0
    assert follow("VS6;VS;PD1,1;").speed[0] == 0
    assert follow("VS6;IN;PD1,1;").speed[0] == 0


def test_without_a_word_the_profile_speaks() -> None:
    assert follow("PD1,1;", MACHINE).speed[0] == 30
    assert follow("VS6,2;PD1,1;", MACHINE).speed[0] == 30
    assert follow("VS6;PD1,1;", MACHINE).speed[0] == 60


def test_forces_of_one_tool_and_of_all() -> None:
    assert follow("FS50;PD1,1;").force[0] == 50
    assert follow("FS50;FS60,1;PD1,1;").force[0] == 60
    assert follow("FS60,1;FS50;PD1,1;").force[0] == 50
    for nothing in ("FS50;FS;", "FS60,2;", "FS50;IN;", ""):
        assert math.isnan(follow(f"{nothing}PD1,1;").force[0])


def test_a_travel_has_neither_speed_nor_force() -> None:
    moves = follow("VS6;FS50;PD1,1;PU5,5;")
    assert moves.speed.tolist() == [60, 0]
    assert math.isnan(moves.force[1])


def test_default_leaves_the_pen_where_it_is() -> None:
    """IN and DF: position and tool stay; the pen comes up."""
    moves = follow("PD400,0;DF;PA800,0;")
    assert moves.down.tolist() == [True, False]
    assert moves.xy.tolist() == [[10, 0], [20, 0]]
    assert moves.tool.tolist() == [1, 1]
    assert ends("PA400,0;PR;IN;PA10,0;") == [[400, 0], [10, 0]]
    assert ends("IW0,0,100,100;IN;PD400,0;") == [[400, 0]], "the window is gone"


def test_the_tool_comes_up_when_it_is_put_away() -> None:
    moves, findings = parse("IN;SP1;PD400,0;SP0;PA0,0;", "hpgl")
    assert not findings
    assert moves.down.tolist() == [True, False]
    bare, findings = parse("IN;SP1;PD400,0;SP;PA0,0;", "hpgl")
    assert not findings
    assert bare.down.tolist() == [True, False]


def test_tools_are_counted_when_they_change() -> None:
    moves = follow("PD1,1;PU;SP2;PD2,2;PU;SP2;PD3,3;PU;SP0;SP1;PD4,4;")
    assert moves.changes == 2
    assert moves.tool[moves.down].tolist() == [1, 2, 2, 1]


def test_an_unscaled_arc_may_be_asked_in_any_chords() -> None:
    """Between 0.5 and 180 degrees; outside of these the nearest is taken (TRM II p. 20-25)."""
    for chord, count in (("10", 9), ("-10", 9), ("0.1", 180), ("400", 1), ("100", 1), ("60", 2), ("", 18)):
        tail = f",{chord}" if chord else ""
        moves = follow(f"PA400,0;PD;AA0,0,90{tail};")
        assert moves.down.sum() == count, chord
    assert follow("PA400,0;PD;AA0,0,360,400;").down.sum() == 2


def test_arcs_round_a_place_and_round_a_step() -> None:
    line = strokes_of(follow("PA400,40;PD;AA0,40,90,45;"))[0].points
    np.testing.assert_allclose(line, [(10, 1), (10 * 0.5**0.5, 1 + 10 * 0.5**0.5), (0, 11)], atol=1e-9)
    line = strokes_of(follow("PA400,40;PD;AR0,400,-90,90;"))[0].points
    np.testing.assert_allclose(line, [(10, 1), (0, 11)], atol=1e-9)


def test_arcs_are_told_as_curves() -> None:
    moves = follow("PA400,0;PD;AA0,0,90,45;PD800,800;")
    assert moves.curved.tolist() == [False, True, True, False]


@pytest.mark.parametrize("before", ["PU", "PD"])
def test_a_circle_leaves_the_pen_as_it_was(before: str) -> None:
    """It lowers by itself, and comes back to its centre with the pen up."""
    moves = follow(f"PA400,400;{before};CI40,90;PA800,400;")
    ring = strokes_of(moves)[0].points
    np.testing.assert_allclose(ring, [(11, 10), (10, 11), (9, 10), (10, 9), (11, 10)], atol=1e-9)
    assert moves.xy[-2] == pytest.approx((10, 10))
    assert not moves.down[-2]
    assert moves.down[-1] == (before == "PD")


@pytest.mark.parametrize("before", ["PU", "PD"])
def test_a_rectangle_leaves_the_pen_as_it_was(before: str) -> None:
    for words in ("EA400,200", "ER360,160"):
        moves = follow(f"PA40,40;{before};{words};PA800,40;")
        line = strokes_of(moves)[0].points
        assert line[:5].tolist() == [[1, 1], [10, 1], [10, 5], [1, 5], [1, 1]]
        assert moves.down[-1] == (before == "PD")


def test_relative_steps_add_up() -> None:
    assert ends("PA100,100;PR10,20,30,-5;") == [[100, 100], [110, 120], [140, 115]]
    assert ends("PA100,100;PR10,20;PA7,8;PU9,9;") == [[100, 100], [110, 120], [7, 8], [9, 9]]


def test_user_units_are_no_matter_of_whole_numbers() -> None:
    """With SC on, fractions count, and steps are in user units."""
    assert ends("IP0,0,400,800;SC0,10,0,10;PA2.5,2.5;PR0.5,0.5;") == [[100, 200], [120, 240]]


def test_a_place_out_of_range_is_judged_in_plotter_units_too() -> None:
    moves, findings = parse("IN;SP1;IP0,0,4000,4000;SC0,1,0,1;PD1,1,9,1,1,1;PU;SP0;", "hpgl")
    assert [f.code for f in findings] == ["out-of-range"]
    assert moves.xy.tolist() == [[100, 100], [100, 100]], "what comes after it is discarded"
    assert moves.down.tolist() == [True, False]


def test_the_pen_stays_where_it_is_when_the_scale_changes() -> None:
    """TRM II p. 19-35: so that a relative step starts there."""
    assert ends("PA400,400;IP0,0,400,400;SC0,10,0,10;PR1,0;") == [[400, 400], [440, 400]]
    assert ends("IP0,0,400,400;SC0,10,0,10;PA5,5;SC;PR1,0;") == [[200, 200], [201, 200]]
    # Off the scale, the position is a whole plotter unit again.
    assert ends("IP0,0,400,400;SC0,10,0,10;PA5.01,5.01;SC;PR1,0;")[-1] == [201, 200]


def test_a_machine_gives_the_area() -> None:
    """P1 and P2 are the corners of its area: the scale covers it."""
    moves = follow("SC0,1,0,1;PD1,1;", MACHINE)
    assert moves.xy[0] == pytest.approx((300, 400))
    swapped = replace(MACHINE, swapped=True, hpgl=HpglStyle(unit=0.05))
    reader = HpglReader(swapped)
    reader.run("IN;SP1;SC0,1,0,1;PD1,1;PU;SP0;")
    assert reader.track.at == pytest.approx((400, 300))


@pytest.mark.parametrize(
    ("turn", "place"),
    [("90", (270, 10)), ("180", (260, 190)), ("270", (0, 180)), ("-90", (0, 180)), ("450", (270, 10))],
)
def test_turns_go_round(turn: str, place: tuple[float, float]) -> None:
    """TRM II pp. 19-34, 19-35, on 270 x 190 mm; RO alone turns back."""
    machine = replace(MACHINE, width=270.0, height=190.0, origin="lower-left")
    assert follow(f"RO{turn};PD400,0;", machine).xy[0] == pytest.approx(place)
    assert follow(f"RO{turn};RO;PD400,0;", machine).xy[0] == pytest.approx((10, 0))


def test_a_window_may_be_given_by_any_two_corners_and_taken_away() -> None:
    for words in ("IW400,400,800,800", "IW800,800,400,400", "IW400,800,800,400"):
        line = strokes_of(follow(f"{words};PU0,600;PD1200,600;"))[0].points
        assert line.tolist() == [[10, 15], [20, 15]]
    line = strokes_of(follow("IW400,400,800,800;IW;PU0,600;PD1200,600;"))[0].points
    assert line.tolist() == [[0, 15], [30, 15]]


def test_a_window_stops_no_travel() -> None:
    assert ends("IW400,400,800,800;PU0,600,1200,600;") == [[0, 600], [1200, 600]]


def test_inside_a_window_arcs_stay_arcs() -> None:
    moves = follow("IW0,0,800,800;PA400,0;PD;AA0,0,90,45;")
    assert moves.curved.tolist() == [False, True, True]
    assert moves.down.tolist() == [False, True, True]


def test_a_line_at_a_window() -> None:
    """Along an edge it is drawn; in a corner it is a point; beside, it is a travel."""
    window = (0.0, 0.0, 10.0, 10.0)
    assert clipped((0, 2), (0, 8), window) == [((0, 8), True)]
    assert clipped((10, 2), (10, 8), window) == [((10, 8), True)]
    assert clipped((2, 10), (8, 10), window) == [((8, 10), True)]
    assert clipped((-1, 2), (-1, 8), window) == [((-1, 8), False)]
    assert clipped((2, 11), (8, 11), window) == [((8, 11), False)]
    assert clipped((-5, 5), (15, 5), window) == [((0, 5), False), ((10, 5), True), ((15, 5), False)]
    assert clipped((5, 5), (5, 20), window) == [((5, 10), True), ((5, 20), False)]
    assert clipped((5, 20), (5, 5), window) == [((5, 10), False), ((5, 5), True)]
    assert clipped((3, 3), (3, 3), window) == [((3, 3), True)]
    assert clipped((-5, 0), (0, -5), window) == [((0, -5), False)]
    assert clipped((-5, 5), (0, 5), window) == [((0, 5), False), ((0, 5), True)]


def test_default_points_come_back() -> None:
    """IP alone; P2 follows a P1 that moves; each side of equal corners is mended by itself."""
    frame = Scaling(unit=0.025, size=(100, 50))
    assert frame.points == (0, 0, 4000, 2000)
    assert frame.with_points((1, 2, 3, 4)).with_points(()).points == (0, 0, 4000, 2000)
    assert frame.with_points((10, 20)).points == (10, 20, 4010, 2020)
    assert frame.with_points((1, 2, 1, 2)).points == (1, 2, 2, 3)
    assert replace(frame, turn=1).area == (2000, 4000)
    assert replace(frame, turn=2).area == (4000, 2000)
    for wrong in ((1,), (1, 2, 3), (1, 2, 3, 4, 5)):
        with pytest.raises(ValueError, match="two or four"):
            frame.with_points(wrong)


def test_scales_of_all_kinds() -> None:
    frame = Scaling(unit=0.025, size=None, corners=(0, 0, 1000, 2000))
    assert frame.with_scale((0, 10, 5, 25)).user == (0, 10, 5, 25)
    assert frame.with_scale((0, 10, 5, 25)).same is None
    assert frame.with_scale((0, 10, 5, 25, 0)).same is None
    assert frame.with_scale((0, 10, 5, 25, 1)).same == (50, 50)
    assert frame.with_scale((0, 10, 5, 25, 1, 20, 30)).same == (20, 30)
    assert frame.with_scale((3, 40, 5, 20, 2)).user == (3, 28, 5, 105)
    assert frame.with_scale((0, 1, 0, 1)).with_scale(()).user is None
    for wrong in (
        (1, 2, 3),
        (0, 1, 0, 1, 1, 5),
        (0, 0, 0, 1),
        (0, 1, 1, 1),
        (0, 1, 0, 1, 3),
        (0, 0, 0, 1, 2),
        (0, 1, 0, 0, 2),
    ):
        with pytest.raises(ValueError, match=r"takes four|side of"):
            frame.with_scale(wrong)
    flat = replace(frame, corners=(0, 0, 0, 5), user=(0, 1, 0, 1))
    with pytest.raises(ValueError, match="no area"):
        _ = flat.units_of_user


def read(text: str) -> list[tuple]:
    return [(i.name, i.numbers, i.line, i.ended, i.text) for i in instructions(text)]


def test_words_are_taken_apart() -> None:
    """Signs, points, blanks, controls, labels, encoded lines and rubbish."""
    assert read("PA+1-2.5,.5 3.;") == [("PA", ("+1", "-2.5", ".5", "3."), 1, True, "")]
    assert read("p a1,2PD") == [("PA", ("1", "2"), 1, False, ""), ("PD", (), 1, False, "")]
    assert read("PA1,2,;") == [("PA", ("1", "2"), 1, True, "")]
    assert read("LBto the left\x03PU;") == [("LB", (), 1, True, ""), ("PU", (), 1, True, "")]
    assert read("PE<=abc;\nPU;") == [("PE", (), 1, True, "<=abc"), ("PU", (), 2, True, "")]
    assert read("LBnever ends") == [("LB", (), 1, False, "")]
    assert read("PEnever ends") == [("PE", (), 1, False, "never ends")]
    got = read("\x1b.(\x1b%0BIN;\x1b.J\x00\x04PU;")
    assert [row for row in got if row[0] != ASIDE] == [("IN", (), 1, True, ""), ("PU", (), 1, True, "")]
    assert [row[4] for row in got if row[0] == ASIDE] == ["\x1b.(", "\x1b%0B", "\x1b.J", "\x00\x04"]
    assert read("#?abc;PU;") == [("", (), 1, True, "#?abc"), ("PU", (), 1, True, "")]
    assert read("\n\n#" + "x" * 40) == [("", (), 3, False, "#" + "x" * 19)]


def test_rubbish_is_shown_in_plain_letters() -> None:
    _, (found,) = parse("IN;SP1;#\u00e9\n\u00fc;PU;SP0;", "hpgl")
    assert "'#? ?'" in found.problem


def test_the_last_place_that_a_plotter_counts_to() -> None:
    """7470A p. 2-3: -32768 to 32767, also where a window or a curve asks for it."""
    assert ends("IW0,0,10,10;PU32767,-32768,-32768,32767;") == [[32767, -32768], [-32768, 32767]]
    _, (found,) = parse("IN;SP1;IW0,0,10,10;PU32768,0;SP0;", "hpgl")
    assert found.code == "out-of-range"
