"""A machine file with one thing changed must be refused; an unchanged one must not."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cutprep.model.findings.finding import Findings, Severity
from cutprep.model.moves import Moves
from cutprep.profile.machine import GcodeStyle, Machine
from cutprep.stages.readback.compare.runs import strokes_of
from cutprep.stages.readback.machine_file import parse
from cutprep.stages.write.machine_file import write
from cutprep.tolerance import Tolerance
from tests.beside import compare
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
    return (
        *findings,
        *compare(planned, read, within=LIMIT[language], machine=machine, sagitta=Tolerance().sagitta),
    )


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
        assert codes(found) & {"stroke-differs", "tool-down-at-change"}


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
    assert codes(checked(text, language, MACHINE)) == {"stroke-moved"}


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_a_stroke_run_backwards_is_refused(language: str) -> None:
    """The plan's direction counts: a drag knife cuts another line backwards."""
    backwards = [(t, np.asarray(p)[::-1]) if k == 0 else (t, p) for k, (t, p) in enumerate(STROKES)]
    assert codes(checked(write(plan(backwards), MACHINE, language), language, MACHINE)) == {"stroke-differs"}


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


def test_a_file_that_goes_to_and_fro_instead_of_once_is_refused() -> None:
    """All points lie on the planned line, so only the order of walking shows it."""
    once, thrice = plan([(1, [(10, 10), (50, 10)])]), plan([(1, [(10, 10), (50, 10), (20, 10), (50, 10)])])
    for planned, done in ((once, thrice), (thrice, once)):
        assert codes(compare(planned, done, within=0.025, machine=MACHINE, sagitta=Tolerance().sagitta)) == {
            "stroke-differs"
        }


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
    found = compare(
        planned, replace(planned, xy=xy), within=0.025, machine=machine, sagitta=Tolerance().sagitta
    )
    assert "stroke-differs" in codes(found) or "stroke-missing" in codes(found)


def _distance_to_line(points: np.ndarray, spot: np.ndarray) -> float:
    return float(shapely.distance(shapely.LineString(points), shapely.Point(spot)))


def test_every_finding_shows_places_and_figures() -> None:
    """What a maker is told: where, how far, how much is allowed."""
    one, two = (2, [(20, 40), (120, 40)]), (1, [(20, 90), (120, 95)])

    def found(*strokes: tuple) -> Findings:
        return compare(
            plan([one, two]), plan(strokes), within=0.025, machine=MACHINE, sagitta=Tolerance().sagitta
        )

    (missing,) = found(one)
    assert (missing.code, missing.places[0].xy) == ("stroke-missing", (20, 90))
    assert "stroke 2 of the plan (tool 1, from 20.000, 90.000 to 120.000, 95.000)" in missing.problem
    (first,) = found(two)
    assert "stroke 1 of the plan (tool 2, from 20.000, 40.000 to 120.000, 40.000)" in first.problem
    (extra,) = found(one, two, (3, [(1, 2), (9, 9), (3, 4)]))
    assert (extra.code, extra.places[0].xy) == ("stroke-extra", (1, 2))
    assert "stroke 3 of the file (tool 3, from 1.000, 2.000 to 3.000, 4.000)" in extra.problem
    (between,) = found((3, [(1, 2), (3, 4)]), one, two)
    assert "stroke 1 of the file" in between.problem
    (other,) = found(one, (3, two[1]))
    assert (other.code, other.measure, other.limit, other.unit) == ("tool-differs", 3, 1, "tool")
    assert [place.xy for place in other.places] == [(20, 90), (20, 90)]
    assert "stroke 2 is planned for tool 1, and the file works it with tool 3" in other.problem
    (apart,) = found(one, (1, [(20, 90), (120, 96)]))
    assert (apart.code, apart.measure, apart.limit) == ("stroke-differs", pytest.approx(1), 0.025)
    assert [place.xy for place in apart.places] == [(120, 95), (120, 96)]
    assert "stroke 2 (tool 1) is planned at 120.000, 95.000" in apart.problem
    assert "1.000 mm apart, 0.025 mm allowed" in apart.problem
    back = plan([(1, [(10, 10), (50, 10), (20, 10), (50, 10)])])
    (turned,) = compare(
        plan([(1, [(10, 10), (50, 10)])]), back, within=0.025, machine=MACHINE, sagitta=Tolerance().sagitta
    )
    assert "turns back or leaves a turn out" in turned.problem


def test_the_edge_of_the_area_is_the_edge() -> None:
    """On it, and within the limit beyond it, is inside; each of the four sides counts."""
    for beyond, codes_found in ((0.02, []), (0.03, ["outside-area"])):
        for spot in ((-beyond, 50), (50, -beyond), (300 + beyond, 50), (50, 400 + beyond)):
            moves = plan([(1, [(50, 50), spot])])
            found = compare(moves, moves, within=0.025, machine=MACHINE, sagitta=Tolerance().sagitta)
            assert [f.code for f in found] == codes_found
    (found,) = found
    assert (found.measure, found.limit) == (pytest.approx(0.03), 0.025)
    assert found.places[0].xy == pytest.approx((50, 400.03))
    assert "0.030 mm outside the 300 x 400 mm area of 'bench'" in found.problem


def test_a_tool_that_stays_down_at_the_end() -> None:
    moves = plan([(1, [(50, 50), (60, 50)])])
    ends_down = replace(
        moves,
        **{name: getattr(moves, name)[:-1] for name in ("xy", "down", "tool", "speed", "force", "stroke", "curved")},
    )  # fmt: skip
    (found,) = compare(moves, ends_down, within=0.025, machine=MACHINE, sagitta=Tolerance().sagitta)
    assert (found.code, found.places[0].xy) == ("tool-left-down", (60, 50))
    assert "ends at 60.000, 50.000 with the tool down" in found.problem


def test_runs_with_the_tool_down() -> None:
    """Another tool is another stroke, though it stays down; each knows its first move."""
    moves = plan([(1, [(0, 0), (5, 0), (5, 5)]), (2, [(9, 9), (8, 8)])])
    found = strokes_of(moves)
    assert [(s.tool, s.first, len(s.points)) for s in found] == [(1, 1, 3), (2, 4, 2)]
    assert found[0].curved.tolist() == [False, False, False]
    assert found[1].points.tolist() == [[9, 9], [8, 8]]
    joined = replace(moves, tool=np.array([1, 1, 2, 2, 2, 2]))
    assert [(s.tool, s.first) for s in strokes_of(joined)] == [(1, 1), (2, 2), (2, 4)]
    arcs = replace(moves, curved=np.array([False, True, False, False, True, False]))
    assert [s.curved.tolist() for s in strokes_of(arcs)] == [[False, True, False], [False, True]]
