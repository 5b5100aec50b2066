"""What can't be made is said before the layout; and every shipped machine writes its whole area."""

from __future__ import annotations

import os
import time
from dataclasses import replace
from pathlib import Path

import ezhpgl
import numpy as np
import pytest

from cutprep.errors import CutprepError, OutOfReach, OutputError, PlanError, ProfileError, TooFewSheets
from cutprep.job.api import make_job, prepare_job
from cutprep.job.before import beyond_reach
from cutprep.job.folder.store import require_free
from cutprep.job.pipeline import run
from cutprep.model.findings.finding import Severity
from cutprep.profile import shelf
from cutprep.profile.machine import Machine
from cutprep.stages.readback.compare.proof import prove
from cutprep.stages.write.machine_file import write
from tests.plans import plan

SAMPLES = Path(__file__).parents[3] / "samples"
CARTON = SAMPLES / "jar-carton.svg"
SHIPPED = [(name, language) for name, machine in shelf.machines().items() for language in machine.languages]


@pytest.mark.parametrize(("name", "language"), SHIPPED)
def test_every_shipped_machine_writes_its_whole_area(name: str, language: str) -> None:
    """Once round the edge of the area with each tool; HP-GL also by a reader from outside (ezhpgl 0.1.0a2)."""
    machine = shelf.machine(name)
    w, h = machine.width, machine.height
    edge = [(0, 0), (w, 0), (w, h), (0, h), (0, 0)]
    planned = plan([(tool.number, edge) for tool in machine.tools], force=100.0, home=machine.home)
    text = write(planned, machine, language)
    within = 0.025 if language == "hpgl" else 0.005
    proof = prove(planned, text, language, machine, within=within)
    assert not proof.findings
    assert np.ptp(proof.moves.xy, axis=0).tolist() == pytest.approx([w, h], abs=within)
    if language == "hpgl":
        plot = ezhpgl.parse(text.encode("ascii"))
        spots = np.array(
            [(p.x, p.y) for page in plot.pages for one in page.operations for p in one.geometry.points]
        )
        assert sorted(np.ptp(spots, axis=0)) == pytest.approx(sorted([w, h]), abs=within)


def refused(seconds: float = 1.0, **settings: object) -> CutprepError:
    """What is said; and that it comes before a layout could have been made."""
    begun = time.process_time()
    with pytest.raises(CutprepError) as caught:
        run(make_job(CARTON, effort="quick", **settings))
    assert time.process_time() - begun < seconds + 1.0  # reading and checking the carton included
    return caught.value


def large() -> Machine:
    machine = shelf.machine("mat-cutter-600")
    return replace(machine, hpgl=replace(machine.hpgl, counts="hpgl"))


def test_a_sheet_beyond_the_numbers_of_the_language_is_refused() -> None:
    fault = refused(machine=large(), copies=20, sheet="600x900mm", language="hpgl")
    assert isinstance(fault, OutOfReach)
    assert "a sheet of 600 x 900 mm can't be written" in fault.problem
    assert "HP-GL counts to 32767 (819.2 mm)" in fault.problem
    assert 'counts = "hpgl2"' in fault.fix
    for other in ({"sheet": "600x800mm"}, {"language": "gcode"}):
        run(make_job(SAMPLES / "swing-tag.svg", machine=large(), **{"language": "hpgl", **other}))


def test_a_tool_that_is_not_there_is_named() -> None:
    machine = shelf.machine("mat-cutter-300")
    pen = replace(machine, tools=machine.tools[:1])
    fault = refused(machine=pen)
    assert isinstance(fault, PlanError)
    assert "has no tool that does" in fault.problem


def test_a_profile_that_can_not_be_said_is_refused() -> None:
    machine = shelf.machine("belt-servo-400")
    stuck = replace(machine, gcode=replace(machine.gcode, up_s=90.0))
    fault = refused(machine=stuck, language="gcode")
    assert isinstance(fault, ProfileError)
    deep = replace(machine, gcode=replace(machine.gcode, lift="z"))
    assert "is the depth in mm" in refused(machine=deep, language="gcode").problem


def test_a_sheet_larger_than_the_machine_is_told_and_one_that_can_be_turned_is_not() -> None:
    (told,) = beyond_reach(make_job(CARTON, machine="mat-cutter-300", sheet="600x900mm"))
    assert "600.0 x 900.0 mm is larger than the area of 'mat-cutter-300', 305.0 x 610.0 mm" in told.problem
    assert "only its lower left 305.0 x 610.0 mm" in told.problem
    assert told.severity is Severity.WARNING
    for sheet in ("610x305mm", "305x610mm", "A4"):
        assert beyond_reach(make_job(CARTON, machine="mat-cutter-300", sheet=sheet)) == ()


def test_too_little_card_is_known_by_its_area() -> None:
    """The carton takes 0.0162 m2 and more; two sheets of 305 mm have 0.174 m2 within 5 mm."""
    stock = shelf.stock("card-220")
    (size, *_) = [replace(size, at_hand=2) for size in stock.sheets if size.name == "12in"]
    few = replace(stock, sheets=(size,))
    fault = refused(stock=few, copies=40)
    assert isinstance(fault, TooFewSheets)
    assert "within their margins" in fault.problem


def test_a_folder_that_can_not_be_written_is_refused_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = make_job(CARTON, effort="quick")
    begun = time.process_time()
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(OutputError, match="nothing may be written into"):
        prepare_job(job, tmp_path / "a" / "b")
    monkeypatch.undo()
    full = type("Usage", (), {"free": 1000})
    monkeypatch.setattr("cutprep.job.folder.store.shutil.disk_usage", lambda _: full)
    with pytest.raises(OutputError, match=r"the disk has 0\.0 MB left"):
        prepare_job(job, tmp_path / "a" / "b")
    assert time.process_time() - begun < 1


@pytest.mark.parametrize("kind", ["file", "link to nothing"])
def test_a_folder_in_what_is_no_folder_is_refused_first(kind: str, tmp_path: Path) -> None:
    if kind == "file":
        (tmp_path / "a").write_text("mine", encoding="utf-8")
    else:
        (tmp_path / "a").symlink_to(tmp_path / "nowhere")
    with pytest.raises(OutputError, match="is a file or a link to nothing"):
        require_free(tmp_path / "a" / "b", replace=False)
