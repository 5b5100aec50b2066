"""Any plan on any machine: written, read back by other code, and found to be the same lines."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine
from cutprep.stages.readback.compare.proof import prove
from cutprep.stages.readback.compare.runs import strokes_of
from cutprep.stages.readback.machine_file import parse, sniff
from cutprep.stages.write.machine_file import write
from cutprep.tolerance import Tolerance
from tests.beside import compare
from tests.gcode_grammar import faults_of_file
from tests.plans import jobs

CASES = 100


def assert_same_strokes(planned: Moves, read: Moves, *, within: float, bulge: float) -> None:
    """Stroke by stroke by Hausdorff distance, which knows nothing of how `compare` walks."""
    __tracebackhide__ = True
    wanted, got = strokes_of(planned), strokes_of(read)
    assert len(wanted) == len(got)
    for a, b in zip(wanted, got, strict=True):
        assert a.tool == b.tool
        ours, theirs = shapely.LineString(a.points), shapely.LineString(b.points)
        if ours.length > within and theirs.length > within:
            assert shapely.hausdorff_distance(ours, theirs, densify=0.1) <= within + bulge
        assert np.hypot(*(a.points[0] - b.points[0])) <= within
        assert np.hypot(*(a.points[-1] - b.points[-1])) <= within


@settings(max_examples=CASES, deadline=None)
@given(jobs())
def test_hpgl_gives_the_plan_back(job: tuple[Machine, Moves]) -> None:
    """Within one plotter unit, in the narrow syntax, inside the range."""
    machine, planned = job
    text = write(planned, machine, "hpgl", title="Honey fair")
    said = re.sub(r"^PE7=[?-~]+;$", "PD;", text, flags=re.MULTILINE) if machine.hpgl.encoded else text
    assert re.fullmatch(r"(?:[A-Z]{2}(?:-?\d+(?:,-?\d+)*)?;\n)+", said) or machine.hpgl.arcs
    assert max(abs(float(v)) for v in re.findall(r"-?\d+\.?\d*", text)) <= 32767
    assert sniff(text) == "hpgl"
    read, findings = parse(text, "hpgl", machine)
    assert not findings
    assert not compare(planned, read, within=machine.hpgl.unit, machine=machine, sagitta=Tolerance().sagitta)
    assert not prove(planned, text, "hpgl", machine, within=machine.hpgl.unit).findings
    bulge = 0.03 if machine.hpgl.arcs else 0.0
    assert_same_strokes(planned, read, within=machine.hpgl.unit, bulge=bulge)


@settings(max_examples=CASES, deadline=None)
@given(jobs())
def test_gcode_gives_the_plan_back(job: tuple[Machine, Moves]) -> None:
    """Within 0.005 mm, every line within the grammar, at most 70 characters."""
    machine, planned = job
    text = write(planned, machine, "gcode", title="Honey fair")
    own_words = machine.gcode.lift == "words"
    assert not faults_of_file(text, own_words=own_words)
    assert max(map(len, text.splitlines())) <= 70
    assert sniff(text) == "gcode"
    read, findings = parse(text, "gcode", machine)
    assert not findings
    assert not compare(planned, read, within=0.005, machine=machine, sagitta=Tolerance().sagitta)
    assert not prove(planned, text, "gcode", machine, within=0.005).findings
    bulge = 0.03 if machine.gcode.arcs else 0.0
    assert_same_strokes(planned, read, within=0.005, bulge=bulge)


@settings(max_examples=40, deadline=None)
@given(jobs())
def test_both_languages_say_the_same_motion(job: tuple[Machine, Moves]) -> None:
    """Same strokes, same tools, same number of tool changes; the same text every time."""
    machine, planned = job
    texts = {language: write(planned, machine, language) for language in ("hpgl", "gcode")}
    assert texts == {language: write(planned, machine, language) for language in ("hpgl", "gcode")}
    one, other = (parse(texts[language], language, machine)[0] for language in ("hpgl", "gcode"))
    assert [s.tool for s in strokes_of(one)] == [s.tool for s in strokes_of(other)]
    assert one.changes == other.changes == planned.changes


@settings(max_examples=60, deadline=None)
@given(jobs(), st.booleans())
def test_drawings_for_machines_give_the_plan_back(job: tuple[Machine, Moves], frame: bool) -> None:
    """SVG and DXF with a layer for each tool, on a page of the sheet's size."""
    machine, planned = replace(job[0], frame=frame), job[1]
    page = (round(machine.width, 3), round(machine.height, 3))
    for language in ("svg", "dxf"):
        text = write(planned, machine, language, title="Honey & fair", page=page)
        assert not prove(planned, text, language, machine, within=0.005, page=page).findings
