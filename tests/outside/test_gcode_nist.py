"""Our G-code reader against the examples and rules of NISTIR 6556.

Source: Kramer, Proctor, Messina, *The NIST RS274NGC Interpreter - Version 3*, NISTIR 6556, NIST, August
2000; the section stands beside each case. Numbers that the report does not print (centres, sweeps,
lengths of its arcs) follow from plane geometry and are computed here, not taken from our code.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.model.findings.finding import Severity
from cutprep.stages.readback.machine_file import parse
from tests.gcode_grammar import faults_of_line

FRAME = "G21 G90 G17 G94\nF600\n"


def follow(program: str) -> np.ndarray:
    """Ends of all moves of a program that nothing is said against."""
    moves, findings = parse(f"{FRAME}{program}\nM2\n", "gcode")
    assert not findings
    return moves.xy


def faults(program: str) -> list[str]:
    """Codes of the errors in a program."""
    _, findings = parse(f"{FRAME}{program}\nM2\n", "gcode")
    return [f.code for f in findings if f.severity is Severity.ERROR]


def length(points: np.ndarray) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


@pytest.mark.parametrize(
    ("word", "expected_length", "sweep"),
    [("G2", 12.490458, -143.130102), ("G3", 18.925469, 216.869898)],
)
def test_arc_in_centre_format(word: str, expected_length: float, sweep: float) -> None:
    """3.5.3.2: `G17 G2 X10 Y16 I3 J4` from (7, 7): centre (10, 11), radius 5."""
    points = follow(f"G0 X7 Y7\nG17 {word} X10 Y16 I3 J4")
    np.testing.assert_allclose(np.hypot(*(points - (10, 11)).T), 5, atol=1e-9)
    assert points[-1].tolist() == [10, 16]
    assert abs(math.radians(sweep)) * 5 == pytest.approx(expected_length, abs=1e-6)
    # Chords within 0.002 mm of the arc are shorter than it by less than a part in a thousand.
    assert length(points) == pytest.approx(expected_length, rel=1e-3)
    turned = np.unwrap(np.arctan2(*(points - (10, 11)).T[::-1]))
    assert math.degrees(turned[-1] - turned[0]) == pytest.approx(sweep, abs=1e-6)


@pytest.mark.parametrize(
    ("radius", "centre", "sweep", "expected_length"),
    [
        (20, (19.855069, -2.403379), -53.576426, 18.701701),
        (-20, (-9.855069, 17.403379), -306.423574, 106.962005),
    ],
)
def test_arc_in_radius_format(
    radius: float, centre: tuple[float, float], sweep: float, expected_length: float
) -> None:
    """3.5.3.1: `G17 G2 X10 Y15 R20`; a negative radius takes the long way round."""
    points = np.vstack(([0, 0], follow(f"G2 X10 Y15 R{radius}")))
    np.testing.assert_allclose(np.hypot(*(points - centre).T), 20, atol=2e-6)
    turned = np.unwrap(np.arctan2(*(points - centre).T[::-1]))
    assert math.degrees(turned[-1] - turned[0]) == pytest.approx(sweep, abs=1e-5)
    assert length(points) == pytest.approx(expected_length, rel=1e-3)


def test_a_full_circle_ends_where_it_starts() -> None:
    """3.5.3.2: allowed in centre format."""
    points = np.vstack(([10, 0], follow("G0 X10 Y0\nG3 X10 Y0 I-10 J0")[1:]))
    assert length(points) == pytest.approx(2 * math.pi * 10, rel=1e-3)
    np.testing.assert_allclose(np.hypot(*points.T), 10, atol=1e-9)


def test_radii_may_differ_by_two_thousandths() -> None:
    """3.5.3.2: an error beyond 0.002 mm. I3.003 leaves 0.0018, I3.004 leaves 0.0024."""
    assert math.hypot(3.003, 4) - math.hypot(10 - 10.003, 5) == pytest.approx(0.0018, abs=1e-5)
    assert not faults("G0 X7 Y7\nG2 X10 Y16 I3.003 J4")
    assert math.hypot(3.004, 4) - math.hypot(10 - 10.004, 5) == pytest.approx(0.0024, abs=1e-5)
    assert faults("G0 X7 Y7\nG2 X10 Y16 I3.004 J4") == ["arc-radii"]


def test_blanks_and_case_mean_nothing() -> None:
    """3.3: `g0x +0. 12 34y 7` is `g0 x+0.1234 y7`."""
    assert follow("g0x +0. 12 34y 7").tolist() == [[0.1234, 7]]


def test_inches_and_relative_distances() -> None:
    """3.5.7, 3.5.17: G20 and G91; 1 in = 25.4 mm."""
    points = follow("G20 G0 X1 Y2\nG91 G0 X0.5\nG90 G0 Y0")
    np.testing.assert_allclose(points, [[25.4, 50.8], [38.1, 50.8], [38.1, 0]], atol=1e-9)


def test_dwell_is_in_seconds() -> None:
    """3.5.4."""
    moves, _ = parse(f"{FRAME}G4 P0.25\nG4 P2\nG0 X1\nM2\n", "gcode")
    assert moves.dwell == 2.25


def test_words_are_obeyed_in_the_order_of_table_8() -> None:
    """Table 8: the spindle before the motion, the stop after it, wherever they stand on the line."""
    moves, findings = parse(f"{FRAME}G1 X5 Y0 M3 S9\nM5\nG0 X0 Y0\nM2\n", "gcode")
    assert not findings
    assert moves.down.tolist() == [True, False]


def test_tools_change_at_m6_only() -> None:
    """3.7.3: T selects, M6 changes."""
    moves, findings = parse(f"{FRAME}T1 M6\nG0 X1\nT2\nG0 X2\nM6\nG0 X3\nM2\n", "gcode")
    assert not findings
    assert moves.tool.tolist() == [1, 1, 2]
    assert moves.changes == 1


def test_a_file_may_be_framed_by_percent_lines() -> None:
    """3.1: then it needs no M2, and what follows is not read."""
    moves, findings = parse("%\nG21 G90 G17 G94\nG0 X1 Y1\n%\nG0 X9 Y9\n", "gcode")
    assert not findings
    assert moves.xy.tolist() == [[1, 1]]


def test_nothing_is_read_after_the_program_end() -> None:
    """3.6.1: M2 ends the program."""
    moves, findings = parse(f"{FRAME}G0 X1 Y1\nM2\nG0 X9 Y9\n", "gcode")
    assert not findings
    assert len(moves) == 1


def test_line_numbers_blank_lines_and_messages_do_nothing() -> None:
    """3.3, 3.3.1, 3.3.4."""
    assert follow("N10 G0 X1 Y2 (a remark)\n\n  \n/N20 (MSG,hello)\nN20 Y3").tolist() == [[1, 2], [1, 3]]


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("G0 G1 X1", "modal-clash"),  # 3.3.5
        ("X1 X2", "repeated-word"),  # 3.3.5
        ("N100000 G0 X1", "line-number"),  # 3.3.1
        (f"G0 X1 ({'a' * 250})", "long-line"),  # 3.3
        ("(a (b) c)", "nested-comment"),  # 3.3.4
        ("G0 X1 (a", "open-comment"),  # 3.3.4
        ("G2 X1 Y1", "arc"),  # 3.5.3
        ("G2 I1 J1", "arc"),  # 3.5.3.2: X and Y both missing
        ("G2 X0 Y0 R5", "arc"),  # 3.5.3.1: end = start
        ("G2 X9 Y0 R2", "arc"),  # the radius does not reach
        ("G0", "no-axis-word"),  # 3.5.1
        ("G4 P-1", "dwell"),  # 3.5.4
        ("G4", "dwell"),
        ("M3 M5", "modal-clash"),
        ("G20 G21", "modal-clash"),
        ("G0 X", "not-gcode"),
        ("G0 X1..2", "not-gcode"),
        ("G0 X1e3", "unknown-letter"),  # 3.3.2.1: no exponents, so E is a letter
        ("G7 X1", "unknown-code"),
        ("G0 E1", "unknown-letter"),
        ("T-1", "tool-number"),
        ("F-1", "negative-feed"),
        ("M0 M3 M6 M7 M48", "many-m-words"),
    ],
)
def test_rejects(line: str, code: str) -> None:
    """Each is an error in the report, and our reader names it; so does the grammar of the tests."""
    assert code in faults(line)
    needs_geometry = line in {"G2 X0 Y0 R5", "G2 X9 Y0 R2"}
    assert bool(faults_of_line(line)) is not needs_geometry


def test_motion_needs_a_feed() -> None:
    """2.1.2.5; an open firmware's error 22 (grbl 1.1)."""
    _, findings = parse("G21 G90 G17 G94\nG1 X1\nM2\n", "gcode")
    assert [f.code for f in findings] == ["no-feed"]


def test_a_feed_holds_with_the_tool_up_and_a_traverse_has_none() -> None:
    """3.5.1, 3.5.2: G1 moves at the feed rate whatever the tool does, G0 at the traverse rate."""
    moves, findings = parse(f"{FRAME}G1 X5\nG0 X9\nM2\n", "gcode")
    assert not findings
    assert moves.speed.tolist() == [10.0, 0.0]
    assert not moves.down.any()


def test_axis_words_need_a_motion_mode() -> None:
    """3.5: no motion mode is active when a program begins."""
    assert "no-motion-mode" in faults("X1")
    assert "no-motion-mode" in faults("G1 X1\nG80\nX2")


def test_a_program_needs_its_end() -> None:
    """3.1: M2 or M30, or percent lines."""
    _, findings = parse("G21 G90\nG0 X1\n", "gcode")
    assert [f.code for f in findings] == ["no-program-end"]


def test_semicolon_comments_are_not_of_the_report() -> None:
    """3.3.4 knows brackets only; firmwares take both, so it is a note."""
    moves, findings = parse(f"{FRAME}G0 X1 ; a remark\nM2\n", "gcode")
    assert [(f.code, f.severity) for f in findings] == [("semicolon-comment", Severity.NOTE)]
    assert len(moves) == 1


@pytest.mark.parametrize("line", ["G18", "G92 X0", "G55", "G41 D1", "G81 Z-1 R1", "G93", "G10 L2 P1 X1"])
def test_what_is_not_followed_is_said(line: str) -> None:
    """A word that changes what later numbers mean is never passed over in silence."""
    assert "not-followed" in faults(line)


@pytest.mark.parametrize(
    "line",
    [
        "G0 X1 Y2",
        "G1 X1 Y2 F600",
        "G2 X10 Y16 I3 J4",
        "M3 S90",
        "G4 P0.15",
        "(MSG,tool 1)",
        "T2 M6",
        "",
        "M2",
    ],
)
def test_the_grammar_of_the_tests_accepts(line: str) -> None:
    """The checker itself is checked, so that its silence means something."""
    assert not faults_of_line(line)
