"""When the tool counts as down, for each way of lifting; the G-code is not ours but typical."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from cutprep.model.findings.finding import Severity
from cutprep.profile.machine import GcodeStyle, Machine
from cutprep.stages.readback.gcode.lifting import ByHeight, ByServo, ByWords, lifting_of
from cutprep.stages.readback.gcode.words import block
from cutprep.stages.readback.machine_file import parse
from tests.plans import MACHINE

HEAD = "G21 G90 G17 G94\n"


def styled(**changes: object) -> Machine:
    return replace(MACHINE, gcode=replace(GcodeStyle(), **changes))


def downs(program: str, machine: Machine | None) -> list[bool]:
    moves, findings = parse(HEAD + program + "\nM2\n", "gcode", machine)
    assert not [f for f in findings if f.severity is Severity.ERROR]
    return moves.down.tolist()


def test_height() -> None:
    """Down at and below the surface; a raised feed move is up; a ramp into the card is down."""
    machine = styled(lift="z", up_z=4, down_z=0.5)
    program = "G0 Z4\nG0 X1\nG1 Z0.5 F60\nG1 X2\nG1 Z2\nG1 X3\nG1 X4 Z0\nG0 Z4\nG0 X0"
    assert downs(program, machine) == [False, True, False, True, False]


def test_depth_is_told_from_the_surface() -> None:
    moves, _ = parse(f"{HEAD}G0 Z4\nG1 Z-0.3 F60\nG1 X2\nG0 Z4\nG0 X0\nM2\n", "gcode", styled(lift="z"))
    assert moves.force[0] == pytest.approx(0.3)
    assert math.isnan(moves.force[1])


def test_servo() -> None:
    """The raised word, M5 and S0 all raise; any other S lowers; S alone is obeyed, too."""
    machine = styled(lift="servo", up_s=30)
    program = "M3 S30\nG0 X1\nS90\nG1 X2 F60\nM5\nG0 X3\nM3 S60\nG1 X4\nM3 S0\nG0 X5"
    assert downs(program, machine) == [False, True, False, True, False]


def test_words_must_come_in_full() -> None:
    """Half of the words lower nothing; blanks, case and comments don't matter."""
    machine = styled(lift="words", up_words=("M5", "G4 P0.1"), down_words=("M3 S90", "G4 P0.2"))
    program = "m3s90\nG0 X1\nM3 S90 (down)\nG4  P0.2\nG1 X2 F60\nM5\nG4 P0.1\nG0 X0"
    assert downs(program, machine) == [False, True, False]


def test_without_a_profile_the_axis_decides_once_it_is_used() -> None:
    assert downs("M3 S500\nG1 X1 F60\nM5\nG0 X2", None) == [True, False]
    assert downs("G0 Z5\nM3 S500\nG0 X1\nG1 Z-1 F60\nG1 X2\nG0 Z5\nG0 X0", None) == [False, True, False]


def test_homing_goes_home_with_the_tool_up() -> None:
    """G28 ends at the machine's stored place: its home."""
    machine = replace(styled(lift="servo"), home=(7.0, 8.0))
    moves, findings = parse(f"{HEAD}G0 X50 Y50\nG28\nM2\n", "gcode", machine)
    assert not findings
    assert moves.xy.tolist() == [[50, 50], [7, 8]]
    assert not moves.down.any()


def test_the_surface_itself_is_down() -> None:
    """At the height of the card, less the rounding of a file; a depth is never below 0."""
    axis = ByHeight(0.5)
    for z, down, force in ((0.5, True, 0.0), (0.5049, True, 0.0), (0.51, False, math.nan), (0.2, True, 0.3)):
        axis.reach(z)
        assert axis.down == down == axis.below(z)
        assert axis.force == pytest.approx(force, nan_ok=True)
    assert axis.by_height


def test_a_servo_and_its_words() -> None:
    """M4 lowers as M3 does; the force is the word; M5 keeps it for the next M3."""
    servo = ByServo(30.0)
    heard = []
    for row in ("S90", "M4", "S60", "S30", "S0", "S75", "M5", "M3"):
        servo.hear(block(row))
        heard.append((servo.down, servo.force))
    assert [down for down, _ in heard] == [False, True, True, False, False, True, False, True]
    assert [force for down, force in heard if down] == [90, 60, 75, 75]
    assert all(math.isnan(force) for down, force in heard if not down)
    servo.reach(-3.0)
    assert servo.down
    assert servo.below(9.0)
    assert not servo.by_height


def test_words_with_a_force() -> None:
    """The number in place of `{force}` is the force; lines between break the order."""
    style = replace(
        GcodeStyle(), lift="words", up_words=("M280 P0 S20 (up)", "(only a remark)"), down_words=("M280 P0 S{force}", "G4 P0.2")
    )  # fmt: skip
    words = ByWords(style)
    states = []
    for row in (
        "M280 P0 S90.5",
        "G4 P0.2",
        "",
        "m280p0s20",
        "M280 P0 S70",
        "G0 X1",
        "G4 P0.2",
        "M280 P0 S70",
        "G4P0.2",
    ):
        words.hear(block(row))
        states.append((words.down, words.force))
    assert [down for down, _ in states] == [False, True, True, False, False, False, False, False, True]
    assert (states[1][1], states[-1][1]) == (90.5, 70)
    assert math.isnan(states[3][1])
    assert words.below(-5.0)
    words.reach(9.0)
    assert words.down


def test_without_words_nothing_is_ever_lowered() -> None:
    words = ByWords(replace(GcodeStyle(), lift="words", up_words=(), down_words=()))
    for row in ("M3 S90", "G1 X1"):
        words.hear(block(row))
    assert not words.down
    assert math.isnan(words.force)


def test_who_decides() -> None:
    """No profile: the axis from its first word on, the servo before; the profile's way otherwise."""
    free = lifting_of(None)
    free.hear(block("M3 S90"))
    assert (free.down, free.force, free.by_height, free.below(5.0)) == (True, 90, False, True)
    free.hear(block("G0 Z5"))
    free.reach(5.0)
    assert (free.down, free.by_height, free.below(5.0), free.below(0.0)) == (False, True, False, True)
    free.reach(-0.5)
    assert (free.down, free.force) == (True, 0.5)
    assert isinstance(lifting_of(styled(lift="z", down_z=0.7)), ByHeight)
    assert lifting_of(styled(lift="z", down_z=0.7)).below(0.7)
    assert isinstance(lifting_of(styled(lift="servo")), ByServo)
    assert isinstance(lifting_of(styled(lift="words")), ByWords)
