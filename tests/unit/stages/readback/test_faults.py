"""Whatever a reader says against a file has its name, its line and a sentence."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from cutprep.errors import JobError, ReadbackError, TooLarge
from cutprep.limits import Limits, raise_limits
from cutprep.model.findings.finding import Severity
from cutprep.stages.readback.machine_file import parse, read_back, sniff
from tests.plans import MACHINE

#: Programs whose third line holds one fault; the rest is right.
HPGL = [
    ("AA0,0;", "wrong-count"),
    ("AA0,0,90,5,1;", "wrong-count"),
    ("AR0,0;", "wrong-count"),
    ("CI;", "wrong-count"),
    ("CI1,2,3;", "wrong-count"),
    ("EA1;", "wrong-count"),
    ("ER1,2,3;", "wrong-count"),
    ("IW1,2,3;", "wrong-count"),
    ("IP1,2,3;", "wrong-count"),
    ("IP0,0,400,400;SC0,1,0;", "wrong-count"),
    ("IP0,0,400,400;SC0,0,0,1;", "wrong-count"),
    ("IP0,0,400,400;SC0,1,5,5;", "wrong-count"),
    ("IP0,0,400,400;SC0,1,0,1,3;", "wrong-count"),
    ("SC0,1,0,1;", "unknown-area"),
    ("RO90;", "unknown-area"),
    ("RO45;", "wrong-angle"),
    ("SP100;", "tool-number"),
    ("SP-1;", "tool-number"),
    ("VS128;", "speed-range"),
    ("VS-1;", "speed-range"),
    ("PA1073741824,0;", "out-of-range"),
    ("PA0,-1073741824;", "out-of-range"),
    ("PA32768,0;", "out-of-range"),
    ("PA0,32768;", "out-of-range"),
    ("PA0,-32769;", "out-of-range"),
    ("AA0,0,3601;", "out-of-range"),
    ("AA0,0,-3601;", "out-of-range"),
    ("PA32000,0;AA0,32700,90;", "out-of-range"),
    ("CI40000;", "out-of-range"),
    ("EA40000,10;", "out-of-range"),
    ("PA1E2,0;", "exponent"),
    ("PA1e2,0;", "exponent"),
    ("PA1,2,3;", "odd-coordinates"),
    ("BZ1,2;", "instruction-not-followed"),
    ("#?;", "not-hpgl"),
    ("ZZ;", "unknown-instruction"),
    ("LT2;", "line-type"),
    ("PA1.5,0;", "fraction"),
]


@pytest.mark.parametrize(("row", "code"), HPGL)
def test_faults_of_hpgl(row: str, code: str) -> None:
    """Each alone, at its line, in a sentence."""
    _, findings = parse(f"IN;\nSP1;\n{row}\nPU;SP0;", "hpgl")
    (found,) = findings
    assert found.code == code
    assert found.places[0].line == 3
    assert len(found.problem.split()) > 3


GCODE = [
    ("G2 X1 Y1 I1 R2", "arc"),
    ("G2 X1 Y1 J1 R2", "arc"),
    ("G2 X1 Y1", "arc"),
    ("G2 I1 J1", "arc"),
    ("G2 X0 Y0 R5", "arc"),
    ("G2 X9 Y0 R2", "arc"),
    ("G2 X0 Y0 I0 J0", "arc"),
    ("G2 X1 Y0 R900000", "arc"),
    ("G2 X0 Y0 I900000 J0", "arc"),
    ("G2 X5 Y0 I1 J0", "arc-radii"),
    ("G0", "no-axis-word"),
    ("G4", "dwell"),
    ("G4 P-1", "dwell"),
    ("T-1", "tool-number"),
    ("T1.5", "tool-number"),
    ("T100", "tool-number"),
    ("F-1", "negative-feed"),
    ("G93", "not-followed"),
    ("G18", "not-followed"),
    ("G81 X1", "not-followed"),
    ("G0 X900000", "out-of-range"),
    ("G0 Y-900000", "out-of-range"),
    ("G0 X2000000", "number-range"),
    ("G0 X-2000000", "number-range"),
    ("G0 X", "not-gcode"),
    ("G0 E1", "unknown-letter"),
    ("G0 X1 X2", "repeated-word"),
    ("G7 X1", "unknown-code"),
    ("G1.05 X1", "unknown-code"),
    ("G0 G1 X1", "modal-clash"),
    ("M3 M5", "modal-clash"),
    ("M3 M4", "modal-clash"),
    ("M0 M3 M6 M7 M48", "many-m-words"),
    ("N123456 G0 X1", "line-number"),
    ("G0 X1 (a (b)", "nested-comment"),
    ("G0 X1 (a", "open-comment"),
    (f"G0 X1 ({'a' * 250})", "long-line"),
    ("G0 X1 ; a remark", "semicolon-comment"),
    (f"G0 X0.{'0' * 80}", "long-line-firmware"),
]


@pytest.mark.parametrize(("row", "code"), GCODE)
def test_faults_of_gcode(row: str, code: str) -> None:
    """Each alone, at its line, in a sentence."""
    _, findings = parse(f"G21 G90 G17 G94\nF600\n{row}\nM2\n", "gcode")
    (found,) = findings
    assert found.code == code
    assert found.places[0].line == 3
    assert len(found.problem.split()) > 2


@pytest.mark.parametrize(
    "row",
    [
        "T99", "T0", "N12345 G0 X1", "G4 P0", "F0", "M0 M3 M7 M48", "G0 X1 Y1 (a) (b)", "G2 X2 Y0 R1",
        # 78 and 79 signs without blanks: what a small firmware takes.
        f"G0X0.{'0' * 73}", f"G0X0.{'0' * 74}", f"G0 X1 ({'a' * 248})", "G1 X-5",
    ],
)  # fmt: skip
def test_the_last_that_is_right(row: str) -> None:
    """Just inside each limit nothing is said."""
    _, findings = parse(f"G21 G90 G17 G94\nF600\n{row}\nM2\n", "gcode")
    assert not findings


@pytest.mark.parametrize(
    "row",
    ["SP99;", "SP;", "VS127;", "VS0;", "VS;", "FS;", "PA32767,-32768;", "PA-32768,32767;", "AA0,0,3600;", "LT;", "RO0;", "IW;"],
)  # fmt: skip
def test_the_last_that_is_right_in_hpgl(row: str) -> None:
    _, findings = parse(f"IN;\nSP1;\n{row}\nPU;SP0;", "hpgl")
    assert not findings


def test_files_without_content_or_end() -> None:
    """What only the whole file tells."""
    assert [f.code for f in parse("", "hpgl")[1]] == ["empty-file"]
    assert [f.code for f in parse("\n\n", "gcode")[1]] == ["empty-file"]
    assert [f.code for f in parse("G21 G90\n", "gcode")[1]] == ["no-program-end"]
    assert not parse("%\nG21 G90\n%\n", "gcode")[1]
    down = parse("G21 G90\nM3 S9\nG1 X1 F60\nM2\n", "gcode")[1]
    assert [f.code for f in down] == ["tool-left-down"]
    open_end = parse("IN;SP1;PA0,0", "hpgl")[1]
    assert [(f.code, f.severity) for f in open_end] == [("missing-terminator", Severity.WARNING)]
    for found in (*down, *open_end):
        assert len(found.problem.split()) > 3
        assert found.fix


def test_what_is_said_once_is_said_once() -> None:
    """Fractions and broken lines fill a file; one word is enough."""
    codes = [f.code for f in parse("IN;SP1;LT1;LT2;PA1.5,1.5;PA2.5,2;PU;SP0;", "hpgl")[1]]
    assert codes == ["line-type", "fraction"]


def test_many_findings_of_a_kind_are_counted() -> None:
    """Twenty are kept word for word, and one more says how many are not."""
    findings = parse("IN;SP1;" + "ZZ;" * 27 + "QQ;PU;SP0;", "hpgl")[1]
    assert [f.code for f in findings] == ["unknown-instruction"] * 20 + ["more-of-the-same"]
    assert findings[-1].severity is Severity.NOTE
    assert "8 more findings 'unknown-instruction'" in findings[-1].problem
    exact = parse("IN;SP1;" + "ZZ;" * 20 + "PU;SP0;", "hpgl")[1]
    assert [f.code for f in exact] == ["unknown-instruction"] * 20


def test_the_door_tells_the_languages_apart() -> None:
    assert sniff("IN;SP1;PU0,0;") == "hpgl"
    assert sniff("\x1b%-1BIN;SP1;") == "hpgl"
    assert sniff("(a job)\nG21 G90\nG0 X1\n") == "gcode"
    assert sniff("; words\n; words\nG21\nM3\n") == "gcode"
    assert sniff("hello\nG21 G90\nG0 X1\n") == "gcode", "most lines are"
    for text in ("", "hello\nG21\n", "Dear maker, cut this.", "(only a remark)"):
        with pytest.raises(ReadbackError, match="neither HP-GL nor G-code"):
            sniff(text)


def test_the_door_refuses_what_it_does_not_know() -> None:
    with pytest.raises(JobError, match="'hpgll' is not known") as caught:
        parse("IN;", "hpgll")
    assert "hpgl" in caught.value.fix


def test_a_file_that_must_be_right() -> None:
    """The first error is raised with its place; a warning is none."""
    moves = read_back("IN;SP1;PA400,0;ZZ;PD800,0;PU;SP0;", None, MACHINE)
    assert moves.down.any()
    assert read_back("G21 G90\nG0 X7\nM2\n", "gcode").xy.tolist() == [[7, 0]]
    assert len(read_back("PG;", "hpgl")) == 0, "who says the language is believed"
    with pytest.raises(ReadbackError, match="SP asks for tool 100") as caught:
        read_back("IN;\nSP100;\nRO45;", "hpgl")
    assert caught.value.place.line == 2


def test_a_force_is_told_where_the_file_says_one() -> None:
    """FS for one tool, for all, and none."""
    moves, _ = parse("IN;SP1;FS50,1;FS70,2;PD1,1;PU;SP2;PD2,2;PU;SP3;PD3,3;PU;SP0;", "hpgl")
    assert moves.force[moves.down][:2].tolist() == [50, 70]
    assert math.isnan(moves.force[moves.down][2])


@pytest.mark.parametrize(
    ("name", "text", "more", "said"),
    [
        ("machine_bytes", "IN;SP1;PU;SP0;", ";", "larger than"),
        ("moves", "IN;SP1;PD1,1,2,2;PU;SP0;", "PD3,3;", "more than 3 moves"),
        ("moves", "IN;SP1;PD1,1,2,2;PU;SP0;", "PD3,3,4,4,5,5;", "more than 3 moves"),
        ("moves", "IN;SP1;PD1,1,2,2;PU;SP0;", "PD;AA0,0,90,45;", "more than 3 moves"),
        ("instructions", "IN;SP1;PU;SP0;", "SP0;", "more than 4 instructions"),
        ("moves", "G21 G90\nG0 X1\nG0 X2\n", "G0 X3\n", "more than 2 moves"),
        ("moves", "G21 G90\nG0 X1\nG0 X2\n", "G2 X9 R90 F600\n", "more than 2 moves"),
        ("instructions", "G21 G90\nG0 X1\nM2\n", "M2\n", "more than 3 instructions"),
    ],
)
def test_a_file_beyond_a_limit_is_refused_with_its_name(name: str, text: str, more: str, said: str) -> None:
    """At the limit it is followed, one more and it isn't."""
    language = "gcode" if "G21" in text else "hpgl"
    most = {
        "machine_bytes": len(text),
        "moves": 3 - (language == "gcode"),
        "instructions": text.count("\n") or text.count(";"),
    }[name]
    limits = replace(Limits(), **{name: most})
    parse(text, language, limits=limits)
    with pytest.raises(TooLarge, match=said) as caught:
        parse(text.replace("M2\n", "") + more * 2, language, limits=limits)
    assert f"--limit {name.replace('_', '-')}=" in caught.value.fix
    parse(text + more, language, limits=raise_limits([f"{name.replace('_', '-')}=1000"]))
