"""Whatever stands in a machine file, reading it ends with moves and findings, or with one clear error."""

from __future__ import annotations

import contextlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.errors import CutprepError, ReadbackError
from cutprep.model.findings.finding import Severity, errors
from cutprep.stages.readback.machine_file import parse, read_back, sniff
from tests.plans import MACHINE

_NUMBERS = st.one_of(
    st.integers(-40000, 40000).map(str),
    st.floats(-1e4, 1e4).map(lambda v: f"{v:.4f}"),
    st.sampled_from(["", "1e3", "9" * 400, "-", ".", "0", "+5", "1.2.3", "NaN", "inf", "360"]),
)
_MNEMONICS = [
    *("IN", "DF", "SP", "VS", "FS", "IP", "SC", "RO", "IW", "LT", "PA", "PR", "PU", "PD", "AA", "AR", "CI"),
    *("EA", "ER", "PG", "LB", "PE", "XX", "7", "\x1b.(", "\x03"),
]
_CODE_WORDS = [
    *("G0", "G1", "G2", "G3", "G4", "G20", "G21", "G28", "G90", "G91", "G92", "M3", "M5", "M6", "M0"),
    *("X1", "X5", "Y2", "Y9", "Z1", "Z-1", "I3", "J4", "R5", "F600", "S90", "T2", "P1"),
]
_HPGL = st.lists(
    st.tuples(
        st.sampled_from(_MNEMONICS),
        st.lists(_NUMBERS, max_size=7),
        st.sampled_from([";", "", "\n", ";\n", ","]),
    ).map(lambda t: t[0] + ",".join(t[1]) + t[2]),
    max_size=30,
).map("".join)
_GCODE = st.lists(
    st.tuples(
        st.sampled_from("GMXYZIJRFSTPN%();/E#"),
        _NUMBERS,
        st.sampled_from(" \n"),
    ).map("".join),
    max_size=40,
).map("".join)
_CODES = st.lists(
    st.sampled_from(_CODE_WORDS).flatmap(lambda w: st.sampled_from([w + " ", w + "\n"])),
    max_size=60,
).map("".join)


@pytest.mark.parametrize("machine", [None, MACHINE])
@settings(max_examples=60, deadline=None)
@given(text=st.one_of(_HPGL, st.text(max_size=60)))
def test_hpgl(text: str, machine: object) -> None:
    moves, findings = parse(text, "hpgl", machine)
    assert np.isfinite(moves.xy).all()
    assert all(f.problem for f in findings)


@pytest.mark.parametrize("machine", [None, MACHINE])
@settings(max_examples=60, deadline=None)
@given(text=st.one_of(_GCODE, _CODES, st.text(max_size=60)))
def test_gcode(text: str, machine: object) -> None:
    moves, findings = parse(text, "gcode", machine)
    assert np.isfinite(moves.xy).all()
    assert np.isfinite(moves.speed).all()
    assert np.isfinite(moves.dwell)
    assert all(f.problem for f in findings)


@settings(max_examples=100, deadline=None)
@given(st.one_of(_HPGL, _GCODE, st.text(max_size=60)))
def test_a_language_is_found_or_refused(text: str) -> None:
    """What is read without naming the language is what is read with it; what is refused is refused with a way out."""
    language = None
    with contextlib.suppress(ReadbackError):
        language = sniff(text)
    if language is None:
        with pytest.raises(ReadbackError, match=r"neither HP-GL nor G-code\. Give a file"):
            read_back(text)
        return
    moves, findings = parse(text, language)
    if errors(findings):
        with pytest.raises(ReadbackError) as fault:
            read_back(text)
        assert fault.value.problem == errors(findings)[0].problem
    else:
        assert np.array_equal(read_back(text).xy, moves.xy)


def test_one_kind_of_finding_is_listed_twenty_times_and_then_counted() -> None:
    _, findings = parse("IN;SP1;" + "PD1;" * 5000 + "PU;SP0;", "hpgl")
    assert len(findings) == 21
    assert findings[-1].severity is Severity.NOTE
    assert "4980 more" in findings[-1].problem


@pytest.mark.parametrize(
    ("head", "language"),
    [
        ("IN;SP1;PU0,0;", "hpgl"),
        ("  \n;\x1b.(;in;pu;", "hpgl"),
        ("PA10,10;", "hpgl"),
        ("%\n(a plan)\nG21 G90\nG0 X1\n", "gcode"),
        ("; made by hand\nG0 X1\nM2\n", "gcode"),
        ("N10 G0 X1\n", "gcode"),
        ("(PU and PD)\ng1x5\n", "gcode"),
        ("M3 S90\nG4 P0.2\n", "gcode"),
    ],
)
def test_sniffing(head: str, language: str) -> None:
    assert sniff(head) == language


@pytest.mark.parametrize(
    "text", ["", "hello world", "<svg xmlns='http://www.w3.org/2000/svg'/>", "0\nSECTION\n2\nHEADER\n"]
)
def test_other_files_are_refused(text: str) -> None:
    with pytest.raises(CutprepError, match="neither HP-GL nor G-code"):
        sniff(text)


def test_read_back_stops_at_the_first_error_with_its_line() -> None:
    with pytest.raises(CutprepError, match=r"^line 3: 3 coordinates"):
        read_back("IN;\nSP1;\nPD400,0,100;\nPU;SP0;", "hpgl")


def test_an_area_without_size_is_refused_and_the_old_one_stays() -> None:
    """Found by fuzzing: the refused frame was kept, and the next turn of the axes could not be followed."""
    moves, findings = parse("IN;IP0,0,9,9;SC0,1,0,1;IP;RO;SP1;PU1,1;PD2,2;PU;SP0;", "hpgl")
    assert [f.problem for f in findings if "IP" in f.problem]
    assert moves.down.any()


@pytest.mark.parametrize("scale", ["SC0,1,0,1;", "SC0,90,1,0,1;", "SC0,1,0,1,1;", "SC0,1,0,1,1,50,50;"])
def test_every_way_of_scaling_refuses_points_without_area(scale: str) -> None:
    """Found by fuzzing: the isotropic one divided by the missing side."""
    _, findings = parse(f"IN;IP0,0,9,9;{scale}IP;SP1;PU1,1;PD2,2;PU;SP0;", "hpgl")
    assert [f.problem for f in findings if "IP" in f.problem]
