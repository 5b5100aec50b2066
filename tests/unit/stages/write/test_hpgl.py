"""HP-GL as a text, instruction by instruction."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from cutprep.errors import JobError, OutOfReach
from cutprep.profile.machine import HpglStyle, Machine
from cutprep.stages.readback.machine_file import parse
from cutprep.stages.write.hpgl import plotter_units
from cutprep.stages.write.machine_file import deviation, write
from tests.beside import compare
from tests.plans import MACHINE, TOOLS, circle, plan

LINE = [(1, [(10, 20), (30.5, 20)])]


def rows(strokes: list, machine: Machine = MACHINE, **wishes: object) -> list[str]:
    return write(plan(strokes, **wishes), machine, "hpgl").splitlines()


def styled(**changes: object) -> Machine:
    return replace(MACHINE, hpgl=replace(HpglStyle(), **changes))


def test_a_file_word_for_word() -> None:
    """40 units a millimetre; speed in whole cm/s; force where one is known."""
    assert rows(LINE, force=120) == [
        "IN;", "SP1;", "PU400,800;", "VS5;", "FS120;", "PD1220,800;", "PU0,0;", "SP0;",
    ]  # fmt: skip


def test_tools_are_selected_with_the_tool_up() -> None:
    got = rows([(2, [(10, 20), (30, 20)]), (1, [(30, 20), (30, 40)])])
    at = got.index("SP1;")
    assert got[at - 1] == "PU1200,800;"
    assert got[at + 1 : at + 3] == ["VS5;", "PD1200,1600;"]


def test_long_lists_are_wrapped() -> None:
    got = rows([(1, [(x, 10 + x % 2) for x in range(1, 50)])], styled(pairs=10))
    lists = [row for row in got if row.startswith("PD")]
    assert [row.count(",") for row in lists] == [19, 19, 19, 19, 15]
    assert max(map(len, got)) < 120


@pytest.mark.parametrize(
    ("speed", "said"), [(4.0, "VS1;"), (25.0, "VS2;"), (29.7, "VS2;"), (60.0, "VS6;"), (5000.0, "VS127;")]
)
def test_speed_is_never_rounded_up(speed: float, said: str) -> None:
    """But to the slowest that VS can say; at most 127 cm/s (HP 7470A manual, p. 3-3)."""
    assert said in rows(LINE, speed=speed)


def test_speed_and_force_may_be_kept_quiet() -> None:
    got = rows(LINE, styled(send_speed=False, send_force=False), force=50)
    assert not [row for row in got if row.startswith(("VS", "FS"))]


def test_a_tools_own_force_stands_where_the_plan_says_none() -> None:
    forceful = replace(MACHINE, tools=(*TOOLS[:2], replace(TOOLS[2], force=140.0)))
    assert "FS140;" in rows(LINE, forceful)


def test_points_that_rounding_makes_equal_are_said_once() -> None:
    got = rows([(1, [(10, 20), (10.004, 20), (10.02, 20), (10.03, 20), (12, 20)])])
    assert "PD401,800,480,800;" in got


def test_a_dot_is_a_stroke() -> None:
    assert "PD400,800;" in rows([(1, [(10, 20), (10.001, 20)])])


@pytest.mark.parametrize(
    ("origin", "swapped", "units"),
    [
        ("lower-left", False, (400, 800)),
        ("lower-right", False, (11600, 800)),
        ("upper-left", False, (400, 15200)),
        ("upper-right", True, (15200, 11600)),
    ],
)
def test_axes_run_as_the_profile_says(origin: str, swapped: bool, units: tuple[int, int]) -> None:
    """300 x 400 mm: the sheet's (10, 20) seen from each corner."""
    machine = replace(MACHINE, origin=origin, swapped=swapped)
    assert tuple(plotter_units(np.array([[10.0, 20.0]]), machine)[0]) == units


def test_another_plotter_unit() -> None:
    """HP 7475A Operation manual, p. 2-4: 0.02488 mm a step."""
    assert "PU402,804;" in rows(LINE, styled(unit=0.02488))


def test_the_range_of_hpgl_is_kept() -> None:
    """32767 units of 0.025 mm are 819.175 mm (HP 7470A manual, p. 2-3)."""
    long = replace(MACHINE, height=900.0)
    assert "PU400,32760;" in rows([(1, [(10, 819), (20, 819)])], long)
    with pytest.raises(OutOfReach, match="32767"):
        rows([(1, [(10, 820), (20, 820)])], long)


def test_arcs_only_where_the_profile_allows_them() -> None:
    strokes = [(1, circle(100, 100, 40))]
    plain, bent = rows(strokes), rows(strokes, styled(arcs=True))
    assert not [row for row in plain if row.startswith("AA")]
    arcs = [row for row in bent if row.startswith("AA")]
    assert len(arcs) == 2
    sweeps = [float(row.split(",")[2]) for row in arcs]
    assert sum(sweeps) == pytest.approx(360, abs=0.1)
    moves, findings = parse("\n".join(bent), "hpgl", styled(arcs=True))
    assert not findings
    off = np.abs(np.hypot(*(moves.xy[moves.down] - (100, 100)).T) - 40)
    assert off.max() < 0.03


def test_the_chord_error_is_rounding_only() -> None:
    """Half a unit each way: no written vertex is further than 0.0177 mm from its planned one."""
    points = circle(100, 100, 37.3)
    read = parse("\n".join(rows([(1, points)])), "hpgl", MACHINE)[0].xy[1:-1]
    gaps = np.hypot(*(read[:, None] - points[None]).transpose(2, 0, 1)).min(axis=1)
    assert gaps.max() <= 0.0125 * math.sqrt(2)


def test_the_chord_error_is_stated() -> None:
    """0.02 mm of flattening and half a unit each way; a G-code file of arcs and digits."""
    assert deviation(MACHINE, "hpgl", 0.02) == pytest.approx(0.02 + 0.0125 * math.sqrt(2))
    assert 0.02 < deviation(MACHINE, "gcode", 0.02) < 0.023


def test_force_and_speed_may_change_while_the_tool_is_down() -> None:
    """A first turn at low force and speed runs on into the stroke without a lift."""
    moves = plan([(1, [(10, 20), (20, 20), (30, 20)])], force=120)
    at = int(np.flatnonzero(moves.down)[0])
    force, speed = moves.force.copy(), moves.speed.copy()
    force[at], speed[at] = 40, 20
    text = write(replace(moves, force=force, speed=speed), MACHINE, "hpgl")
    assert "VS2;\nFS40;\nPD800,800;\nVS5;\nFS120;\nPD1200,800;\nPU" in text
    read, _ = parse(text, "hpgl", MACHINE)
    assert read.force[read.down].tolist() == [40, 120]
    assert read.speed[read.down].tolist() == [20, 50]
    for machine in (MACHINE, replace(MACHINE, gcode=replace(MACHINE.gcode, lift="z"))):
        lighter = replace(moves, force=force / (1 if machine is MACHINE else 100), speed=speed)
        read, findings = parse(write(lighter, machine, "gcode"), "gcode", machine)
        assert not findings
        assert read.force[read.down] == pytest.approx(lighter.force[lighter.down])
        assert read.speed[read.down].tolist() == [20, 50]
        assert not compare(lighter, read, within=0.005, machine=machine)


def test_an_unknown_language_names_the_known_ones() -> None:
    with pytest.raises(JobError, match="hpgl"):
        write(plan(LINE), MACHINE, "hpg")
