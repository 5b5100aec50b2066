"""When the tool counts as down, for each way of lifting; the G-code is not ours but typical."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from cutprep.model.finding import Severity
from cutprep.profile.machine import GcodeStyle, Machine
from cutprep.readback.machine_file import parse
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
