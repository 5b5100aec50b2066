"""A machine file divided into what is sent."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cutprep.errors import ReadbackError
from cutprep.link.script import script_of
from cutprep.profile.line import LineStyle
from cutprep.stages.motion.duration import duration
from cutprep.stages.readback.machine_file import read_back
from cutprep.stages.write.machine_file import write
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
