"""A machine file with one thing changed must be refused; an unchanged one must not."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cutprep.model.finding import Findings, Severity
from cutprep.model.moves import Moves
from cutprep.profile.machine import GcodeStyle, Machine
from cutprep.readback.compare import compare, strokes_of
from cutprep.readback.machine_file import parse
from cutprep.write.machine_file import write
from tests.plans import MACHINE, circle, jobs, plan

LIMIT = {"hpgl": 0.025, "gcode": 0.005}
STROKES = [
    (2, [(20, 40), (120, 40)]),
    (2, [(20, 90), (120, 90)]),
    (1, circle(50, 65, 8.0)),
    (1, [(10, 10), (130, 10), (130, 120), (10, 120), (10, 10)]),
]
PLAN = plan(STROKES)
#: Both ways of writing curves, and another way of lifting.
MACHINES = [
    MACHINE,
    replace(MACHINE, gcode=replace(GcodeStyle(), arcs=False)),
    replace(MACHINE, origin="upper-right", swapped=True, gcode=replace(GcodeStyle(), lift="z")),
]


def checked(text: str, language: str, machine: Machine, planned: Moves = PLAN) -> Findings:
    """What reading and comparing say against a file."""
    read, findings = parse(text, language, machine)
    return (*findings, *compare(planned, read, within=LIMIT[language], machine=machine))


def codes(findings: Findings) -> set[str]:
    return {f.code for f in findings if f.severity is Severity.ERROR}


@pytest.mark.parametrize("machine", MACHINES)
@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_an_unchanged_file_is_right(language: str, machine: Machine) -> None:
    assert not checked(write(PLAN, machine, language), language, machine)


@pytest.mark.parametrize("machine", MACHINES)
@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_every_changed_number_of_a_motion_is_refused(language: str, machine: Machine) -> None:
    """Each coordinate in turn, by 4 units of HP-GL or 0.1 mm of G-code, arc centres included.

    What stands is a travel that leads to no stroke (a lift in place, the way home), and a vertex that has
    moved along its own line, so that by Hausdorff distance the ink is the same.
    """
    text = write(PLAN, machine, language)
    pattern = r"(?<=[UD,])-?\d+" if language == "hpgl" else r"(?<=[XYIJ])-?\d+\.?\d*"
    refused = 0
    for match in re.finditer(pattern, text):
        if text[text.rfind("\n", 0, match.start()) + 1 :].startswith(("VS", "FS", "SP")):
            continue
        step = 4 if language == "hpgl" else 0.1
        changed = f"{float(match[0]) + step:.10g}"
        file = text[: match.start()] + changed + text[match.end() :]
        found = codes(checked(file, language, machine))
        if not found and not _idle(text, match.start()):
            assert _ink_apart(PLAN, parse(file, language, machine)[0]) <= LIMIT[language], changed
        refused += bool(found)
    assert refused > 20


def _ink_apart(planned: Moves, read: Moves) -> float:
    """Largest Hausdorff distance of a stroke, mm."""
    pairs = zip(strokes_of(planned), strokes_of(read), strict=True)
    return max(
        shapely.hausdorff_distance(shapely.LineString(a.points), shapely.LineString(b.points), densify=0.05)
        for a, b in pairs
    )


def _idle(text: str, at: int) -> bool:
    """Whether a position lies in a travel after which the tool does not come down."""
    line, *rest = text[text.rfind("\n", 0, at) + 1 :].splitlines()
    return line.startswith(("PU", "G0")) and rest[0].startswith(("SP", "M2", "PU", "G0"))


@pytest.mark.parametrize("number", range(len(STROKES)))
@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_a_dropped_stroke_is_missed(language: str, number: int) -> None:
    """The others still match, so the finding names the right one."""
    text = write(plan([s for k, s in enumerate(STROKES) if k != number]), MACHINE, language)
    found = [f for f in checked(text, language, MACHINE) if f.severity is Severity.ERROR]
    assert [f.code for f in found] == ["stroke-missing"]
    assert f"stroke {number + 1} of the plan" in found[0].problem


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_a_stroke_worked_twice_is_refused(language: str) -> None:
    text = write(plan([*STROKES[:2], STROKES[1], *STROKES[2:]]), MACHINE, language)
    assert codes(checked(text, language, MACHINE)) == {"stroke-extra"}


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_a_tool_left_down_on_a_travel_is_refused(language: str) -> None:
    """Every lift in turn is taken out of the file."""
    text = write(PLAN, MACHINE, language)
    lift = re.compile(r"^PU" if language == "hpgl" else r"^M3 S30$", re.MULTILINE)
    places = [m for m in lift.finditer(text) if "PD" in text[: m.start()] or "G1" in text[: m.start()]]
    assert len(places) >= len(STROKES)
    for match in places:
        put = "PD" if language == "hpgl" else "M3 S90"
        found = checked(text[: match.start()] + put + text[match.end() :], language, MACHINE)
        assert codes(found)


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_a_swapped_tool_is_refused(language: str) -> None:
    text = write(PLAN, MACHINE, language)
    swapped = (
        text.replace("SP2;", "SP1;", 1) if language == "hpgl" else text.replace("MSG,tool 2", "MSG,tool 3")
    )
    assert swapped != text
    assert codes(checked(swapped, language, MACHINE)) == {"tool-differs"}


def test_a_change_without_its_pause_is_refused() -> None:
    """Without M0 the maker can't have changed the tool."""
    text = write(PLAN, MACHINE, "gcode")
    assert "tool-differs" in codes(checked(text.replace("M0\n", ""), "gcode", MACHINE))


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_strokes_in_another_order_are_refused(language: str) -> None:
    text = write(plan([STROKES[1], STROKES[0], *STROKES[2:]]), MACHINE, language)
    assert codes(checked(text, language, MACHINE))


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_a_stroke_run_backwards_is_refused(language: str) -> None:
    """The plan's direction counts: a trailing blade cuts another line backwards."""
    backwards = [(t, np.asarray(p)[::-1]) if k == 0 else (t, p) for k, (t, p) in enumerate(STROKES)]
    assert codes(checked(write(plan(backwards), MACHINE, language), language, MACHINE))


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_work_outside_the_area_is_refused(language: str) -> None:
    """The file is right for a larger machine, and not for this one."""
    small = replace(MACHINE, width=100.0)
    found = checked(write(PLAN, MACHINE, language), language, small)
    assert codes(found) == {"outside-area"}


def test_a_difference_shows_both_positions() -> None:
    moved = [*STROKES[:3], (1, [(10, 10), (130, 10.2), (130, 120), (10, 120), (10, 10)])]
    (found,) = checked(write(plan(moved), MACHINE, "gcode"), "gcode", MACHINE)
    assert found.code == "stroke-differs"
    wanted, got = (place.xy for place in found.places)
    assert wanted == (130.0, 10.0)
    assert got == pytest.approx((130.0, 10.2), abs=1e-3)
    assert found.measure == pytest.approx(0.2, abs=1e-3)


def test_a_faster_file_is_warned_of() -> None:
    """Once for each tool, and as a warning: the lines are right."""
    found = checked(write(plan(STROKES, speed=80.0), MACHINE, "hpgl"), "hpgl", MACHINE)
    assert [(f.code, f.severity) for f in found] == [("faster-than-planned", Severity.WARNING)] * 2


def test_a_file_that_goes_to_and_fro_instead_of_once_is_refused() -> None:
    """All points lie on the planned line, so only the order of walking shows it."""
    once, thrice = plan([(1, [(10, 10), (50, 10)])]), plan([(1, [(10, 10), (50, 10), (20, 10), (50, 10)])])
    for planned, done in ((once, thrice), (thrice, once)):
        assert codes(compare(planned, done, within=0.025, machine=MACHINE)) == {"stroke-differs"}


@settings(max_examples=120, deadline=None)
@given(jobs(), st.data())
def test_any_vertex_moved_is_refused(job: tuple[Machine, Moves], data: st.DataObject) -> None:
    """In the moves themselves, by three times the limit, across all earlier places of the stroke."""
    machine, planned = job
    worked = np.flatnonzero(planned.down)
    k = int(data.draw(st.sampled_from(worked.tolist())))
    stroke = next(s for s in strokes_of(planned) if s.first <= k < s.first + len(s.points) - 1)
    xy = planned.xy.copy()
    xy[k] = np.clip(xy[k] + (2.0, 1.5), 0, (machine.width, machine.height))
    gaps = np.hypot(*(stroke.points - xy[k]).T)
    inside = _distance_to_line(stroke.points, xy[k])
    assume(inside > 0.1)
    assume(gaps.min() > 0.1)
    found = compare(planned, replace(planned, xy=xy), within=0.025, machine=machine)
    assert "stroke-differs" in codes(found) or "stroke-missing" in codes(found)


def _distance_to_line(points: np.ndarray, spot: np.ndarray) -> float:
    return float(shapely.distance(shapely.LineString(points), shapely.Point(spot)))
