"""What we write in HP-GL, read by ezhpgl 0.1.0a2, an independent reader (MIT); what is encoded also by ezdxf.

It gives millimetres at 40 units each, y up, in the axes of the file. It draws nothing, and says nothing,
when no SP was sent: so the count of operations is asserted in every case.
"""

from __future__ import annotations

from dataclasses import replace

import ezhpgl
import numpy as np
import pytest
from ezdxf.addons.hpgl2.tokenizer import pe_decode
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.geometry.affine import apply, invert
from cutprep.model.moves import Moves
from cutprep.profile import shelf
from cutprep.profile.machine import Machine
from cutprep.stages.readback.compare.runs import strokes_of
from cutprep.stages.readback.compare.walk import walk_apart
from cutprep.stages.readback.machine_file import parse
from cutprep.stages.write.machine_file import write
from cutprep.stages.write.polyline import through
from tests.plans import circle, jobs, plan

_THEIR_UNIT = 0.025


def their_strokes(text: str, machine: Machine) -> list[tuple[int, np.ndarray]]:
    """(tool, points) on the sheet; PD instructions that run on are joined."""
    document = ezhpgl.parse(text.encode("ascii"))
    assert document.completeness == "complete"
    assert not document.diagnostics
    joined: list[tuple[int, list[tuple[float, float]], int]] = []
    for operation in document.pages[0].operations if document.pages else []:
        spots = [(p.x, p.y) for p in operation.geometry.points]
        if joined and joined[-1][2] == operation.path_id and joined[-1][1][-1] == spots[0]:
            joined[-1][1].extend(spots[1:])
        else:
            joined.append((operation.style.pen, spots, operation.path_id))
    back = invert(machine.to_machine)
    scale = machine.hpgl.unit / _THEIR_UNIT
    return [(pen, apply(back, np.array(spots) * scale)) for pen, spots, _ in joined]


def their_points(geometry: ezhpgl.Geometry) -> np.ndarray:
    """Vertices of a line, or of a rectangle, which they keep as a contour."""
    spots = geometry.points or [p for contour in geometry.contours for p in contour.points]
    return np.array([(p.x, p.y) for p in spots])


def assert_they_read_the_plan(planned: Moves, machine: Machine) -> int:
    """Stroke by stroke, within one plotter unit."""
    wanted = strokes_of(planned)
    got = their_strokes(write(planned, machine, "hpgl"), machine)
    assert [pen for pen, _ in got] == [stroke.tool for stroke in wanted]
    for stroke, (_, points) in zip(wanted, got, strict=True):
        straight = np.zeros(len(points), bool)
        assert walk_apart(stroke.points, points, straight, machine.hpgl.unit) is None
    return len(got)


@settings(max_examples=150, deadline=None)
@given(jobs())
def test_they_read_any_plan(job: tuple[Machine, Moves]) -> None:
    """Any machine, any plan; all curves as chords, as is the default."""
    machine, planned = job
    machine = replace(machine, hpgl=replace(machine.hpgl, arcs=False))
    assert assert_they_read_the_plan(planned, machine) > 0


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.tuples(st.integers(-(2**30) + 1, 2**30 - 1), st.integers(-40, 40)), min_size=1, max_size=60)
)
def test_ezdxf_reads_what_is_encoded(spots: list[tuple[int, int]]) -> None:
    """The decoder of ezdxf (MIT), written apart from ours; PD where that is as short."""
    places = []
    for word in through(spots, 80):
        assert len(word) < 80
        if word.startswith("PD"):
            values = list(map(int, word[2:].split(",")))
        else:
            steps, end = pe_decode(word.removeprefix("PE7=").encode("ascii"), base=32)
            assert end == len(word) - 4
            values = [int(v) for v in np.cumsum(np.array(steps).reshape(-1, 2), axis=0).ravel()]
        places += list(zip(values[::2], values[1::2], strict=True))
    assert places == spots


@pytest.mark.parametrize("name", ["mat-cutter-300", "mat-cutter-600", "belt-servo-400"])
def test_they_read_files_for_the_shipped_machines(name: str) -> None:
    """Scores, then holes, then outlines."""
    machine = shelf.machine(name)
    rows = [(x, y) for x in (40, 90, 140) for y in (50, 120, 190)]
    strokes = [(2, [(20, y), (160, y)]) for y in (85, 155)]
    strokes += [(1, circle(x, y, 12.3)) for x, y in rows]
    strokes += [(1, [(20, 20), (180, 20), (180, 240), (20, 240), (20, 20)])]
    assert assert_they_read_the_plan(plan(strokes, home=machine.home), machine) == len(strokes)


@pytest.mark.parametrize(
    "program",
    [
        "IN;SP1;PA10,10;PD2500,10,10,1500,10,10;PU;",
        "IN;SP1;PA5000,4500;PD;PR-2000,0,2000,2000,0,-2000;PU500,0;PD2000,0,-2000,2000,0,-2000;PU;",
        "IN;SP1;PA2000,0;PD;AA0,0,45,25;PU;",
        "IN;SP1;PU1050,1060;PD;AA0,0,-45,10;PU;PA1000,0;PD;AA0,0,45;PU;",
        "IN;SP1;PA1500,1500;PD;AR0,2000,80,25;AR2000,0,80;PU;",
        "IN;SP1;PA5000,5000;CI400;",
        "IN;IP0,0,2000,2000;SC0,10,0,10;SP1;PA5,5;CI3;IP2500,500,3500,1500;PA5,5;CI3;",
        "IN;SP1;PA10,10;EA2500,1500;",
        "in;sp1;pa10 10pd2500,10 , 10+1500-40-80;PU;",
    ],
)
def test_both_readers_agree_on_the_manuals(program: str) -> None:
    """The worked examples of HP's manuals, read twice."""
    moves, _ = parse(program, "hpgl")
    ours = np.concatenate([s.points for s in strokes_of(moves)])
    document = ezhpgl.parse(program.encode("ascii"))
    operations = document.pages[0].operations
    assert len(operations) > 0
    theirs = np.concatenate([their_points(o.geometry) for o in operations])
    for ones, others in ((ours, theirs), (theirs, ours)):
        gaps = np.hypot(*(ones[:, None] - others[None]).transpose(2, 0, 1)).min(axis=1)
        assert gaps.max() < 1e-3


@pytest.mark.parametrize(
    "program", ["IN;SP1;PD400,0,100;", "IN;SP1;PD1e3,0;", "IN;SP1;PD400,0", "IN;SP1;ZZ1;PD400,0;PU;"]
)
def test_both_readers_object_to_the_same_faults(program: str) -> None:
    """Odd coordinates, exponents, a missing terminator, an unknown mnemonic."""
    with pytest.raises(ezhpgl.ParseError):
        ezhpgl.parse(program.encode("ascii"))
    _, findings = parse(program, "hpgl")
    assert {f.code for f in findings} - {"tool-left-down"}
