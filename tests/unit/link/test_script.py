"""A machine file divided into what is sent."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cutprep.errors import ReadbackError
from cutprep.link.script import script_of
from cutprep.profile.line import LineStyle
from cutprep.profile.machine import HpglStyle
from cutprep.stages.motion.duration import duration
from cutprep.stages.readback.machine_file import read_back
from cutprep.stages.write.machine_file import write
from cutprep.stages.write.polyline import number
from tests.plans import MACHINE, circle, plan

STROKES = [(3, [(10, 10), (20, 10)]), (2, circle(60, 60, 20)), (1, [(5, 5), (250, 5), (250, 300)])]


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_the_pieces_draw_what_the_file_draws(language: str) -> None:
    text = write(plan(STROKES), MACHINE, language)
    script = script_of(text, language, MACHINE)
    moves = read_back(b"".join(script.pieces).decode("ascii"), language, MACHINE)
    assert np.array_equal(moves.xy, read_back(text, language, MACHINE).xy)
    assert max(map(len, script.pieces)) <= MACHINE.line.block
    assert script.strokes == 3
    ends = {"hpgl": b";", "gcode": b"\n"}[language]
    assert all(piece.endswith(ends) and piece.count(ends) == 1 for piece in script.pieces)


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_seconds_of_the_pieces_are_those_of_the_file(language: str) -> None:
    text = write(plan(STROKES), MACHINE, language)
    took = duration(read_back(text, language, MACHINE), MACHINE)
    wanted = took.total - took.change
    assert float(script_of(text, language, MACHINE).seconds.sum()) == pytest.approx(wanted, rel=1e-9)


def test_strokes_are_whole_when_the_tool_is_up_again_and_begun_when_it_goes_down() -> None:
    script = script_of("IN;SP1;PU400,400;PD440,400;PD440,440;PU0,0;SP0;", "hpgl", MACHINE)
    assert script.pieces[3] == b"PD440,400,440,440;"
    assert script.before.tolist() == [0, 0, 0, 0, 0, 1, 1]
    assert script.begun.tolist() == [0, 0, 0, 0, 1, 1, 1]
    assert script.places[3].tolist() == [440, 440]


def test_in_gcode_a_stroke_is_begun_when_the_tool_may_have_been_lowered_for_it() -> None:
    text = write(plan(STROKES[:1]), MACHINE, "gcode")
    script = script_of(text, "gcode", MACHINE)
    lowers = next(k for k, piece in enumerate(script.pieces) if piece.startswith(b"M3 S90"))
    assert script.begun[lowers + 1] == 1


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_a_tool_is_changed_by_hand_where_the_machine_has_one_holder(language: str) -> None:
    text = write(plan(STROKES), MACHINE, language)
    script = script_of(text, language, MACHINE)
    assert script.first_tool == 3
    assert list(script.stops.values()) == [2, 1]
    changes = {"hpgl": (b"SP2;", b"SP1;"), "gcode": (b"M0\n", b"M0\n")}[language]
    assert tuple(script.pieces[k] for k in script.stops) == changes
    assert not script_of(write(plan(STROKES), _automatic(), language), language, _automatic()).stops


def _automatic():  # type: ignore[no-untyped-def]
    return replace(MACHINE, change_how="automatic")


def test_long_polylines_are_short_instructions() -> None:
    """Short enough for the machine's block, and for stopping behind each."""
    machine = replace(MACHINE, line=LineStyle(block=40))
    script = script_of(write(plan([(1, circle(100, 100, 50))]), machine, "hpgl"), "hpgl", machine)
    assert max(map(len, script.pieces)) <= 40
    long = script_of(
        write(plan([(1, [(0, 0), (200, 0), (200, 200), (0, 200)])]), MACHINE, "hpgl"), "hpgl", MACHINE
    )
    assert [piece for piece in long.pieces if piece.startswith(b"PD")] == [
        b"PD8000,0;",
        b"PD8000,8000;",
        b"PD0,8000;",
    ]


ENCODING = replace(MACHINE, hpgl=HpglStyle(counts="hpgl2", encoded=True))


def test_encoded_lines_are_encoded_anew_and_stay_short() -> None:
    """Half a second of motion or a block at most; what is sent draws what the file draws, and is shorter than plain."""
    strokes = [STROKES[1], (1, circle(150, 150, 90))]
    text, plain = (write(plan(strokes), machine, "hpgl") for machine in (ENCODING, MACHINE))
    script = script_of(text, "hpgl", ENCODING)
    assert sum(piece.startswith(b"PE7=") for piece in script.pieces) > 10
    assert max(map(len, script.pieces)) <= ENCODING.line.block
    assert float(script.seconds[[piece.startswith(b"PE") for piece in script.pieces]].max()) <= 0.5
    assert np.array_equal(script.moves.xy, read_back(plain, "hpgl", MACHINE).xy)
    assert sum(map(len, script.pieces)) < 0.6 * len(plain)


def test_a_machine_that_takes_no_encoded_lines_is_sent_them_plain() -> None:
    text = write(plan(STROKES), ENCODING, "hpgl")
    assert "PE7=" in text
    script = script_of(text, "hpgl", MACHINE)
    assert not [piece for piece in script.pieces if piece.startswith(b"PE")]
    assert np.array_equal(script.moves.xy, read_back(text, "hpgl", MACHINE).xy)


def test_steps_are_added_up_from_the_place_before() -> None:
    step = f"{number(40)}{number(-80)}"
    script = script_of(f"IN;SP1;PU400,400;PE7{step}<{step}{step};PU0,0;SP0;", "hpgl", MACHINE)
    assert script.pieces[3:6] == (b"PD440,320;", b"PU480,240;", b"PD520,160;")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (f"IN;SP1;PE7{number(4)}{number(4)};PU;SP0;", "begins nowhere"),
        (f"IN;SP1;PU0,0;PR;PE7{number(4)}{number(4)};PU;SP0;", "PE behind PR"),
        (f"IN;SP1;PU0,0;PE7:{number(2)}{number(4)}{number(4)};PU;SP0;", "it takes a tool"),
        (f"IN;SP1;PU0,0;PE7>{number(1)}{number(3)}{number(3)};PU;SP0;", "parts of a unit"),
        ("IN;SP1;PU0,0;PE7==%;PU;SP0;", "is no number"),
    ],
)
def test_encoded_lines_that_say_more_than_places_are_not_sent(text: str, told: str) -> None:
    with pytest.raises(ReadbackError, match=told):
        script_of(text, "hpgl", MACHINE)


@pytest.mark.parametrize(
    ("text", "language", "told"),
    [
        ("IN;SP1;LBhoney\x03;", "hpgl", "no plain instruction"),
        ("IN;SP1;PU0,0;PD100;PU;SP0;", "hpgl", "odd number"),
        ("IN;SP1;PU0,0;CA5;PD10,10;PU0,0;SP0;", "hpgl", "CA5 is not followed to the last"),
        ("IN;SP1;PD99999,10;PU0,0;SP0;", "hpgl", "the file is not sent"),
        (
            "G21 G90\nM3 S90\nG1 X5 Y5 F100\nG1 X6 Y5 (" + "x" * 80 + ")\nM5\nM2\n",
            "gcode",
            "does not fit into a block",
        ),
    ],
)
def test_what_a_machine_may_take_otherwise_is_not_sent(text: str, language: str, told: str) -> None:
    with pytest.raises(ReadbackError, match=told):
        script_of(text, language, MACHINE)
