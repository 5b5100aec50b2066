"""Our HP-GL reader against the worked examples of HP's manuals.

Sources: HP, *PCL 5 Printer Language / PCL-PJL Reference, Technical Reference Manual Part II* (TRM II);
HP, *7470A Interfacing and Programming Manual* (1984); HP notes LJ1880 and LJ1831 on HP-GL/2. The
programs are theirs, in plotter units; the millimetres follow from 40 units a millimetre.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from cutprep.model.findings.finding import Severity
from cutprep.profile import shelf
from cutprep.stages.readback.compare.runs import strokes_of
from cutprep.stages.readback.machine_file import parse
from cutprep.stages.write.polyline import number


def follow(program: str) -> list[np.ndarray]:
    """Strokes of a program, mm; the manuals' fragments may lack SP or a last PU, and no more."""
    moves, findings = parse(program, "hpgl")
    assert {f.code for f in findings} <= {"no-tool", "tool-left-down"}
    return [s.points for s in strokes_of(moves)]


def test_pd_through_a_list() -> None:
    """TRM II p. 20-32."""
    (line,) = follow("IN;SP1;PA10,10;PD2500,10,10,1500,10,10;")
    assert line.tolist() == [[0.25, 0.25], [62.5, 0.25], [0.25, 37.5], [0.25, 0.25]]


def test_pu_and_pd_stay_relative_after_pr() -> None:
    """Two triangles, the second reached by a relative PU (HP-GL/2 manual's sample for PR)."""
    first, second = follow(
        "IN;SP1;PA5000,4500;PD;PR-2000,0,2000,2000,0,-2000;PU500,0;PD2000,0,-2000,2000,0,-2000;PU;"
    )
    assert first.tolist() == [[125, 112.5], [75, 112.5], [125, 162.5], [125, 112.5]]
    assert second.tolist() == [[137.5, 112.5], [187.5, 112.5], [137.5, 162.5], [137.5, 112.5]]


def test_arc_absolute_shares_its_sweep_over_whole_chords() -> None:
    """HP note LJ1880: 45 degrees by chords of 25 make two of 22.5."""
    (line,) = follow("PA2000,0;PD;AA0,0,45,25;")
    assert len(line) == 3
    np.testing.assert_allclose(line, [[50, 0], [46.194, 19.134], [35.3553, 35.3553]], atol=5e-4)


@pytest.mark.parametrize(
    ("program", "chords", "end"),
    [
        ("PU1050,1060;PD;AA0,0,-45,10;", 5, (37.2999, 0.1768)),
        ("PU;PA1000,0;PD;AA0,0,45;", 9, (17.6777, 17.6777)),
    ],
)
def test_arc_absolute(program: str, chords: int, end: tuple[float, float]) -> None:
    """7470A p. 3-18: clockwise by a negative sweep; 5 degrees when no chord is given."""
    (line,) = follow(program)
    assert len(line) == chords + 1
    np.testing.assert_allclose(line[-1], end, atol=5e-5)


def test_arc_relative_runs_on() -> None:
    """TRM II p. 20-14: two arcs in one stroke."""
    (line,) = follow("PA1500,1500;PD;AR0,2000,80,25;AR2000,0,80;")
    assert len(line) == 1 + 4 + 16
    np.testing.assert_allclose(line[4], (86.7404, 78.8176), atol=5e-5)
    np.testing.assert_allclose(line[-1], (128.058, 29.5772), atol=5e-4)


def test_circle_has_72_chords_and_goes_back_to_its_centre() -> None:
    """7470A p. 3-12; TRM II p. 20-25. Sagitta 10 (1 - cos 2.5 deg) = 0.00952 mm."""
    moves, _ = parse("PA5000,5000;CI400;", "hpgl")
    (circle,) = (s.points for s in strokes_of(moves))
    assert len(circle) == 73
    np.testing.assert_allclose(circle[[0, -1]], [[135, 125], [135, 125]], atol=1e-9)
    middle = (circle[0] + circle[1]) / 2
    assert 10 - math.dist(middle, (125, 125)) == pytest.approx(0.00952, abs=5e-6)
    assert moves.xy[-1].tolist() == [125, 125]
    assert not moves.down[-1]


def test_circle_of_a_negative_radius_starts_on_the_left() -> None:
    """7470A p. 3-12."""
    (circle,) = follow("SP1;PA5000,5000;CI-400;")
    np.testing.assert_allclose(circle[0], (115, 125), atol=1e-9)


def test_scaling_follows_the_corner_points() -> None:
    """HP note LJ1831: the same circle in user units, larger and smaller by IP."""
    first, second = follow("IP0,0,2000,2000;SC0,10,0,10;SP1;PA5,5;CI3;IP2500,500,3500,1500;PA5,5;CI3;")
    for circle, centre, radius in ((first, (25, 25), 15), (second, (75, 25), 7.5)):
        np.testing.assert_allclose(np.hypot(*(circle - centre).T), radius, atol=1e-9)


def test_edge_rectangle() -> None:
    """TRM II p. 21-3; the pen returns to where it was, as it was."""
    (line,) = follow("SP1;PA10,10;EA2500,1500;")
    assert set(map(tuple, line.tolist())) == {(0.25, 0.25), (62.5, 0.25), (62.5, 37.5), (0.25, 37.5)}
    assert line[0].tolist() == line[-1].tolist() == [0.25, 0.25]


def manual_digits(value: int, base: int) -> str:
    """TRM II p. 20-38 to 20-39: twice the number, one more when it is negative; lowest digit first, the last one marked."""
    left, digits = abs(value) * 2 + (value < 0), []
    while True:
        left, digit = divmod(left, base)
        if not left:
            return "".join(digits) + chr(digit + (191 if base == 64 else 95))
        digits.append(chr(digit + 63))


def test_polyline_encoded_by_the_manuals_example() -> None:
    """TRM II p. 20-39: 10525 is doubled to 21050, which is 5 x 4096 + 8 x 64 + 58; characters 121, 71 and 196."""
    assert manual_digits(10525, 64) == "yG\xc4" == "".join(map(chr, (63 + 58, 63 + 8, 191 + 5)))
    assert number(10525) == manual_digits(10525, 32) == "".join(map(chr, (63 + 26, 63 + 17, 95 + 20)))
    (line,) = follow("IN;SP1;PU0,0;PEyG\xc4\xbf;PU;SP0;")
    assert line.tolist() == [[0, 0], [263.125, 0]]


@pytest.mark.parametrize("base", [32, 64])
def test_polyline_encoded_flags(base: int) -> None:
    """TRM II pp. 20-34 to 20-36: steps, a place behind `=`, tool up behind `<`, another tool behind `:`; blanks are ignored."""

    def say(*values: int) -> str:
        return " ".join(manual_digits(value, base) for value in values)

    seven = "7" if base == 32 else ""
    body = f"{seven}={say(400, 800)}\n{say(-40, 0)}<{say(0, 400)}{say(80, -80)}:{say(2)}<={say(4000, 4000)}{say(40, 0)}"
    moves, findings = parse(f"IN;SP1;PR;PU40,40;PE{body};PU;SP0;PE;", "hpgl")
    assert {f.code for f in findings} <= {"tool-down-at-change"}
    got = [(s.tool, s.points.tolist()) for s in strokes_of(moves)]
    assert got == [
        (1, [[1, 1], [10, 20], [9, 20]]),
        (1, [[9, 30], [11, 28]]),
        (2, [[100, 100], [101, 100]]),
    ]


def test_polyline_encoded_by_parts_of_a_unit() -> None:
    """TRM II p. 20-36: `>` and the number of binary places behind the point; in user units by SC."""
    half = manual_digits(1, 64)
    (line,) = follow(f"IP0,0,400,400;SC0,10,0,10;SP1;PA0,0;PE>{half}{half}{manual_digits(3, 64)};PU;")
    assert line.tolist() == [[0, 0], [0.5, 1.5]]


def test_plotting_by_places_goes_on_behind_polyline_encoded() -> None:
    """TRM II p. 20-34: the mode of before holds again; the pen stays as the last move had it."""
    (line,) = follow(f"IN;SP1;PU0,0;PE{manual_digits(40, 64)}{manual_digits(0, 64)};PA80,0;PU;SP0;")
    assert line.tolist() == [[0, 0], [1, 0], [2, 0]]


def test_rotation_turns_and_shifts() -> None:
    """TRM II pp. 19-34, 19-35: +x becomes +y, the origin goes to the lower right."""
    machine = replace(shelf.machine("mat-cutter-300"), width=270.0, height=190.0, origin="lower-left")
    moves, findings = parse("IN;SP1;RO90;PA0,0;PD400,0;PU;SP0;", "hpgl", machine)
    assert not findings
    assert strokes_of(moves)[0].points.tolist() == [[270, 0], [270, 10]]


def test_initialising_undoes_scale_rotation_and_relative_motion() -> None:
    """PCL 5 Quick Reference p. 28: all features to default."""
    (line,) = follow("IP0,0,400,400;SC0,1,0,1;PR;SP1;IN;PA400,0;PD800,0;PU;SP0;")
    assert line.tolist() == [[10, 0], [20, 0]]


def test_liberal_syntax_means_the_same() -> None:
    """7470A pp. 1-8, B-1: case, blanks, a sign as a separator, the next mnemonic as a terminator."""
    (line,) = follow("in;sp1;pa10 10pd2500,10 , 10+1500-40-80;PU;")
    assert line.tolist() == [[0.25, 0.25], [62.5, 0.25], [0.25, 37.5], [-1, -2]]


def test_window_lifts_the_pen_where_a_line_leaves_it() -> None:
    """7470A p. 3-7: all four cases of a vector and a window."""
    lines = follow(
        "SP1;IW400,400,800,800;PU500,500;PD700,500,1000,500;PU1000,600;PD600,600;PU0,0;PD1200,1200;"
    )
    assert [line[[0, -1]].tolist() for line in lines] == [
        [[12.5, 12.5], [20, 12.5]],
        [[20, 15], [15, 15]],
        [[10, 10], [20, 20]],
    ]


# --- what must be said against a file -----------------------------------------------------------


@pytest.mark.parametrize(
    ("program", "code", "severity"),
    [
        ("IN;SP1;PD400,0,100;PU;SP0;", "odd-coordinates", Severity.ERROR),  # 7470A p. 3-8
        ("IN;SP1;PD1e3,0;PU;SP0;", "exponent", Severity.ERROR),  # TRM II pp. 17-10, 17-11
        ("IN;SP1;PD40000,0;PU;SP0;", "out-of-range", Severity.ERROR),  # 7470A p. 2-3
        ("IN;SP1;PD-32769,0;PU;SP0;", "out-of-range", Severity.ERROR),
        ("IN;SP1;PD400,0;PU;SP0", "missing-terminator", Severity.WARNING),  # 7470A p. 1-9
        ("IN;PD400,0;PU;SP0;", "no-tool", Severity.WARNING),  # TRM II: a plot needs SP1
        ("IN;SP1;PD400.5,0;PU;SP0;", "fraction", Severity.WARNING),  # 7470A p. 2-3: truncated
        ("IN;SP1;ZZ1,2;PD400,0;PU;SP0;", "unknown-instruction", Severity.WARNING),
        ("IN;SP1;PD400,0;SP2;PD0,0;PU;SP0;", "tool-down-at-change", Severity.ERROR),
        ("IN;SP1;PD400,0;", "tool-left-down", Severity.ERROR),
        ("IN;SP1;PD400,0;AA0,0;PU;SP0;", "wrong-count", Severity.ERROR),
        ("IN;SP1;VS200;PD400,0;PU;SP0;", "speed-range", Severity.ERROR),  # 7470A p. 3-3
        ("IN;SP1;BZ9,9,9,9,9,9;PU;SP0;", "instruction-not-followed", Severity.ERROR),
        ("IN;SP1;RO90;PD400,0;PU;SP0;", "unknown-area", Severity.ERROR),
        ("IN;SP1;#?;PD400,0;PU;SP0;", "not-hpgl", Severity.ERROR),
    ],
)
def test_faults_are_named(program: str, code: str, severity: Severity) -> None:
    """Each fault is found, and alone."""
    _, findings = parse(program, "hpgl")
    assert [(f.code, f.severity) for f in findings] == [(code, severity)]


def test_whole_pairs_before_an_odd_one_are_drawn() -> None:
    """7470A pp. 3-2, 3-8."""
    moves, _ = parse("IN;SP1;PD400,0,100;PU;SP0;", "hpgl")
    assert strokes_of(moves)[0].points.tolist() == [[0, 0], [10, 0]]


def test_fractions_are_cut_off_without_scaling() -> None:
    """7470A p. 2-3: truncated, not rounded."""
    moves, _ = parse("IN;SP1;PD400.9,-0.9;PU;SP0;", "hpgl")
    assert moves.xy[0].tolist() == [10, 0]


def test_an_out_of_range_number_moves_nothing() -> None:
    """7470A p. 2-3: the parameter is discarded."""
    moves, _ = parse("IN;SP1;PD40000,0;PU;SP0;", "hpgl")
    assert len(moves) == 0


def test_the_narrow_syntax_is_what_the_9872_takes() -> None:
    """7470A p. 1-9, as a pattern; the examples above obey it or not as HP says."""
    narrow = re.compile(r"(?:[A-Z]{2}(?:-?\d+(?:,-?\d+)*)?;)+")
    assert narrow.fullmatch("IN;SP1;PA10,10;PD2500,10,10,1500,10,10;")
    for wide in ("in;sp1;", "PA10 10;", "PA10.5,10;", "PA10,10", "PA1,,2;"):
        assert not narrow.fullmatch(wide)


def test_speed_is_in_centimetres_a_second() -> None:
    """7470A p. 3-3."""
    moves, _ = parse("IN;SP1;VS6;PD400,0;PU0,0;SP0;", "hpgl")
    assert moves.speed.tolist() == [60.0, 0.0]
