"""What a G-code file makes the tool do, word by word; sections are those of NISTIR 6556."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from cutprep.model.moves import Moves
from cutprep.profile.machine import GcodeStyle, Machine, Tool
from cutprep.stages.readback.curves import chord_count, chords_on_arc
from cutprep.stages.readback.gcode.words import block, blocks
from cutprep.stages.readback.machine_file import parse
from tests.plans import MACHINE

FRAME = "G21 G90 G17 G94\nF600\n"


def follow(program: str, machine: Machine | None = None) -> Moves:
    moves, findings = parse(f"{FRAME}{program}\nM2\n", "gcode", machine)
    assert not findings
    return moves


def codes(program: str, machine: Machine | None = None) -> list[str]:
    return [f.code for f in parse(f"{FRAME}{program}\nM2\n", "gcode", machine)[1]]


@pytest.mark.parametrize("word", ["G2", "G3"])
@pytest.mark.parametrize("radius", [6, -6, 5, -5.0])
@pytest.mark.parametrize("end", [(9, 13), (3, -1), (-3, 11)])
def test_an_arc_by_its_radius_is_the_arc_by_its_centre(word: str, radius: float, end: tuple) -> None:
    """3.5.3.1 from (1, 5): the centre by plane geometry, on the side that makes the arc short or long."""
    start = np.array([1.0, 5.0])
    half = (np.array(end) - start) / 2
    chord = float(np.hypot(*half))
    if abs(radius) < chord:
        assert "arc" in codes(f"G0 X1 Y5\n{word} X{end[0]} Y{end[1]} R{radius}")
        return
    # To the left of the chord for a short arc to the left or a long one to the right.
    left = np.array([-half[1], half[0]]) / chord
    side = 1 if (word == "G3") == (radius > 0) else -1
    offset = half + side * math.sqrt(radius**2 - chord**2) * left
    by_radius = follow(f"G0 X1 Y5\n{word} X{end[0]} Y{end[1]} R{radius}")
    by_centre = follow(f"G0 X1 Y5\n{word} X{end[0]} Y{end[1]} I{offset[0]:.9f} J{offset[1]:.9f}")
    np.testing.assert_allclose(by_radius.xy, by_centre.xy, atol=1e-6)


def test_a_radius_short_by_the_rounding_of_a_file_still_spans_its_chord() -> None:
    """Half a chord of 4.5 mm and a radius of 4.4985: within the 0.002 mm of 3.5.3.2, a half circle."""
    points = follow("G2 X9 Y0 R4.4985").xy
    assert points[-1].tolist() == [9, 0]
    assert points[:, 1].max() == pytest.approx(4.4985, abs=2e-3)
    assert codes("G2 X9 Y0 R4.4975") == ["arc"]


def test_full_circles_both_ways() -> None:
    """3.5.3.2: start and end alike; G2 turns to the right."""
    for word, sign in (("G2", -1), ("G3", 1)):
        points = follow(f"G0 X10 Y0\n{word} X10 Y0 I-10 J0").xy
        turned = np.unwrap(np.arctan2(points[:, 1], points[:, 0]))
        assert turned[-1] - turned[0] == pytest.approx(sign * 2 * math.pi)


def test_arcs_give_chords_that_say_so_and_run_at_the_feed() -> None:
    moves = follow("G0 X10 Y0\nM3 S9\nG3 X0 Y10 I-10\nM5\nG0 X0 Y0")
    assert moves.curved.tolist() == [False] + [True] * (len(moves) - 2) + [False]
    assert set(moves.speed[moves.curved].tolist()) == {10}
    assert len(moves) - 2 == chord_count(10, math.pi / 2)


def test_one_axis_is_enough_for_an_arc() -> None:
    """3.5.3: what is left out stays."""
    assert follow("G0 X10 Y3\nG3 X0 I-5 J0").xy[-1].tolist() == [0, 3]
    assert follow("G0 X3 Y10\nG3 Y0 I0 J-5").xy[-1].tolist() == [3, 0]


def test_inch_arcs() -> None:
    """3.5.3.2: radii may differ by 0.0002 in; offsets and radii are in inches."""
    points = follow("G20 G0 X1 Y0\nG3 X0 Y1 I-1 J0").xy
    assert np.hypot(*points[1:].T) == pytest.approx(25.4)
    assert follow("G20 G0 X1 Y0\nG3 X0 Y1 R1").xy[-1] == pytest.approx((0, 25.4))
    assert not codes("G20 G0 X1 Y0\nG3 X0 Y1.00019 I-1 J0")
    assert codes("G20 G0 X1 Y0\nG3 X0 Y1.00021 I-1 J0") == ["arc-radii"]


def test_a_feed_in_inches_a_minute() -> None:
    assert follow("G20 F60\nG1 X1").speed[0] == pytest.approx(25.4)
    assert follow("F60 G20\nG1 X1").speed[0] == pytest.approx(25.4), "units come before F (Table 8)"
    assert follow("G20\nG21\nF60\nG1 X1").speed[0] == 1


def test_distances_from_where_the_tool_is() -> None:
    """3.5.17: G91 for X, Y and Z; G90 back."""
    style = replace(GcodeStyle(), lift="z", down_z=0.0)
    machine = replace(MACHINE, gcode=style)
    moves = follow("G0 Z4\nG91\nG0 X3 Y4\nG1 Z-5\nG1 X1\nG0 Z2\nG90 G0 X0 Y0", machine)
    assert moves.xy.tolist() == [[3, 4], [4, 4], [0, 0]]
    assert moves.down.tolist() == [False, True, False]
    assert moves.force[1] == pytest.approx(1)
    # Without any height before, a relative one is taken as it stands.
    assert follow("G91\nG0 Z-1\nG1 X1\nG90 G0 Z2\nG0 X0", machine).down.tolist() == [True, False]


def test_motion_modes_hold_until_they_are_changed() -> None:
    """3.5: modal group 1."""
    assert follow("G1 X1\nX2\nG0 X3\nX4").speed.tolist() == [10, 10, 0, 0]
    assert "no-motion-mode" in codes("G1 X1\nG80\nX2")


def test_a_plunge_goes_straight_down() -> None:
    """A move into the card counts as down from its start, one out of it to its end."""
    machine = replace(MACHINE, gcode=replace(GcodeStyle(), lift="z", down_z=0.0))
    moves = follow("G0 Z4\nG0 X1\nG1 X2 Z-1\nG1 X3\nG1 X4 Z4\nG0 X0", machine)
    assert moves.xy[:, 0].tolist() == [1, 2, 3, 4, 0]
    assert moves.down.tolist() == [False, True, True, True, False]
    arc = follow("G0 Z4\nG0 X1\nG1 Z-1\nG2 X3 Y0 R1 Z4\nG0 X0", machine)
    assert arc.down[1:-1].all()
    assert not arc.down[-1]


def test_homing_over_a_point() -> None:
    """3.5.8: over the given point to the stored one, the tool up by then, at the traverse rate."""
    machine = replace(MACHINE, home=(7.0, 8.0), gcode=replace(GcodeStyle(), lift="z", down_z=0.0))
    moves = follow("G0 Z4\nG1 Z-1\nG1 X5\nG28 X9 Y9", machine)
    assert moves.xy.tolist() == [[5, 8], [9, 9], [7, 8]]
    assert moves.down.tolist() == [True, True, False]
    assert moves.speed.tolist() == [10, 0, 0]
    assert follow("G0 X5 Y5\nG30", machine).xy[-1].tolist() == [7, 8]


def test_waiting() -> None:
    """3.5.4: seconds; milliseconds where the profile says so; they add up."""
    thousandths = replace(MACHINE, gcode=replace(GcodeStyle(), dwell_unit="ms"))
    assert follow("G4 P250\nG4 P750\nG0 X1", thousandths).dwell == pytest.approx(1.0)
    assert follow("G4 P0.25\nG4 P0\nG0 X1", MACHINE).dwell == 0.25


def test_a_maker_is_asked_for_tools() -> None:
    """The first tool is in hand at once; a later one when the program has paused."""
    moves = follow("(MSG, tool 2)\nG0 X1\n(msg ,TOOL 3)\nG0 X2\nM0\nG0 X3\nM0\nG0 X4", MACHINE)
    assert moves.tool.tolist() == [2, 2, 3, 3]
    assert moves.changes == 1
    asks_only = replace(MACHINE, change_how="none")
    assert follow("(MSG,tool 2)\nG0 X1\n(MSG,tool 3)\nG0 X2", asks_only).tool.tolist() == [2, 3]
    assert follow("(MSG,tool 2)\nG0 X1\n(MSG,hello)\nM0\nG0 X2", MACHINE).tool.tolist() == [2, 2]
    assert follow("T1 M6\n(MSG,tool 3)\nT2 M6\nM0\nG0 X1", MACHINE).tool.tolist() == [2], "M6 settles it"


def test_changing_with_the_tool_down_is_refused() -> None:
    servo = replace(MACHINE, gcode=replace(GcodeStyle(), lift="servo", up_s=30))
    down = "(MSG,tool 1)\nM3 S90\nG1 X1\n"
    assert codes(f"{down}T2 M6\nM5", servo) == ["tool-down-at-change"]
    assert codes(f"{down}(MSG,tool 2)\nM0\nM5", servo) == ["tool-down-at-change"]
    assert not codes("(MSG,tool 1)\nM0\nM3 S90\nG1 X1\nM0\nM5", servo), "a pause that asks for no tool"


def test_a_machine_of_one_tool_has_it_in_hand() -> None:
    one = replace(MACHINE, tools=MACHINE.tools[:1])
    assert isinstance(one.tools[0], Tool)
    assert follow("G0 X1", one).tool.tolist() == [3]
    assert follow("G0 X1", MACHINE).tool.tolist() == [0]


def test_the_end_is_the_end() -> None:
    """3.6.1: M2 and M30; and what stands behind a pair of percent lines."""
    for end in ("M2", "M30"):
        moves, findings = parse(f"{FRAME}G0 X1\n{end}\nG0 X2\n", "gcode")
        assert not findings
        assert len(moves) == 1
    assert [b.plain for b in blocks("%\nG0X1\n%\nG0X2\n")] == ["%", "G0X1"]
    assert [b.line for b in blocks("\nG0\r\n\n  \nM2")] == [2, 5]


def test_lines_are_taken_apart() -> None:
    one = block("/N12345 g01 x-.5 Y+3. (one) z 4 (two)m3s90", 7)
    assert (one.line, one.g, one.m, one.faults) == (7, [10], [3], [])
    assert one.words == {"X": -0.5, "Y": 3.0, "Z": 4.0, "S": 90.0}
    assert one.remarks == ["one", "two"]
    assert one.plain == "N12345G01X-.5Y+3.Z4M3S90"
    assert block("G38.2 X1").g == [382]
    assert block("G59.3").g == [593]
    assert block("G0 X1 ; the (rest)").remarks == ["the (rest)"]
    assert block("(a;b) G0 X1").remarks == ["a;b"]
    assert block("M3.0").m == [3]
    assert [code for code, _ in block("M3.5").faults] == ["unknown-code"]
    assert block("M98").m == [98], "words of machines are not of the report, and no fault"
    assert block("M98").faults == []
    assert [code for code, _ in block("G2 X1 I1 G3").faults] == ["modal-clash"]
    assert block("G0 G17 G21 G90 G94 M3 M7 X1").faults == []


def test_chords_of_arcs() -> None:
    """A quarter by two: 45 and 90 degrees; the sagitta r (1 - cos(w/2)) sets how many there are."""
    points = list(chords_on_arc((1.0, 2.0), (3.0, 2.0), math.pi / 2, 2))
    np.testing.assert_allclose(points, [(1 + 2**0.5, 2 + 2**0.5), (1, 4)], atol=1e-12)
    np.testing.assert_allclose(
        list(chords_on_arc((1.0, 2.0), (1.0, 4.0), -math.pi / 2, 1)), [(3, 2)], atol=1e-12
    )
    widest = 2 * math.acos(1 - 0.1 / 5)
    assert chord_count(5, 4.5 * widest, 0.1) == 5
    assert chord_count(5, -3.5 * widest, 0.1) == 4
    assert chord_count(5, 0.0, 0.1) == 1
    # An arc smaller than its sagitta keeps a chord for each quarter.
    assert [chord_count(0.1, w, 0.1) for w in (0.0, 1.5, 1.6, -3.2, 6.28)] == [1, 1, 2, 3, 4]


def test_a_pause_before_any_message_asks_for_nothing() -> None:
    assert follow("M0\nG0 X1", MACHINE).tool.tolist() == [0]


def test_a_faulty_first_line_stops_no_reading() -> None:
    """The interpreter stops there; we go on, so that a maker sees all there is to mend."""
    moves, findings = parse("X\nG21 G90\nG0 X1\nM2\n", "gcode")
    assert [f.code for f in findings] == ["not-gcode"]
    assert moves.xy.tolist() == [[1, 0]]
    assert [f.code for f in parse("X\n", "gcode")[1]] == ["not-gcode", "no-program-end"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("G21 G90\nG1 X1\nM2\n", "G1 without any feed"),
        ("G21 G90\nG2 X1 Y1 R5\nM2\n", "G2 without any feed"),
        ("G21 G90\nG0\nM2\n", "G0 has no axis word"),
        ("G21 G90\nF60 G1\nM2\n", "G1 has no axis word"),
        ("G21 G90\n", "the program has no M2 or M30"),
        ("G21 G90\nX1\nM2\n", "without any motion mode"),
    ],
)
def test_what_is_said(text: str, said: str) -> None:
    assert said in parse(text, "gcode")[1][0].problem
