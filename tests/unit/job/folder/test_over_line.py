"""How long the job's files take over a slow line: as sending counts it, and told only where it holds the machine up."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import cutprep
from cutprep.job.folder.over_line import held_up
from cutprep.limits import Limits
from cutprep.link.over_line import over_line
from cutprep.profile.line import LineStyle
from cutprep.profile.shelf import machine as shelf_machine
from cutprep.stages.motion.duration import duration
from cutprep.stages.readback.compare.proof import prove
from cutprep.stages.readback.machine_file import read_back
from cutprep.stages.write.machine_file import write
from cutprep.tolerance import Tolerance
from tests.plans import MACHINE, circle, plan

SLOW = replace(MACHINE, line=LineStyle(speed=1200, buffer=256))


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_it_is_what_sending_counts(language: str, tmp_path: Path) -> None:
    machine = replace(SLOW, gcode=replace(SLOW.gcode, arcs=False))
    moves = plan([(1, circle(60, 60, 20)), (1, circle(60, 60, 40))])
    text = write(moves, machine, language)
    proof = prove(moves, text, language, machine, within=0.025)
    path = tmp_path / f"rings.{language}"
    path.write_text(text)
    took = duration(read_back(text, language, machine), machine)
    sent = over_line(path, machine, Tolerance(), language, Limits())
    assert sent is not None
    assert held_up(text, language, machine, took, proof) == pytest.approx(sent + took.change, rel=0.05)
    bytes_alone = len(text.replace(";\n", ";")) / machine.line.rate
    assert held_up(text, language, machine, took, proof) >= bytes_alone


def test_nothing_is_told_where_motion_decides_or_no_speed_is_known() -> None:
    moves = plan([(1, [(0, 0), (200, 0), (200, 200), (0, 200)])])
    text = write(moves, MACHINE, "hpgl")
    proof = prove(moves, text, "hpgl", MACHINE, within=0.025)
    took = duration(read_back(text, "hpgl", MACHINE), MACHINE)
    fast = replace(MACHINE, line=LineStyle(speed=115_200))
    assert [held_up(text, "hpgl", one, took, proof) for one in (MACHINE, fast)] == [0.0, 0.0]
    assert held_up(text, "svg", SLOW, took, proof) == 0.0


def test_the_job_sheet_and_the_record_tell_it_beside_the_motion(tmp_path: Path) -> None:
    source = tmp_path / "disc.svg"
    source.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">'
        '<g id="cut" fill="none" stroke="#000"><circle cx="45" cy="45" r="40"/></g></svg>'
    )
    slow = replace(shelf_machine("mat-cutter-300"), line=LineStyle(speed=300))
    out = tmp_path / "out"
    outcome = cutprep.prepare(source, machine=slow, language="hpgl", effort="quick", out=out)
    assert outcome.over_line == pytest.approx(outcome.sheets[0].files[0].over_line)
    assert outcome.over_line > outcome.seconds
    page = (out / "job-sheet.html").read_text()
    assert "Sent over its line</b>" in page
    assert "at 300 baud" in page
    assert "over_line_seconds" in (out / "job.json").read_text()
    assert cutprep.verify(out).sound
    plain = cutprep.prepare(source, effort="quick", out=tmp_path / "plain")
    assert plain.over_line == 0
    assert "over its" not in (tmp_path / "plain" / "job-sheet.html").read_text()
