"""What a file says beside its lines: each thing that is changed is told, in words, and where."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from cutprep.model.findings.finding import Severity
from cutprep.model.moves import Moves
from cutprep.profile.machine import GcodeStyle, Machine
from cutprep.stages.readback.compare.expected import expected_track
from cutprep.stages.readback.compare.legs import Leg, legs_of
from cutprep.stages.readback.compare.proof import compare_legs, prove
from cutprep.stages.readback.compare.steps import step_for_step
from cutprep.stages.readback.held import Held, Said
from cutprep.stages.readback.machine_file import follow
from cutprep.stages.write.machine_file import write
from tests.plans import MACHINE, circle, plan

STROKES = [
    (2, [(20, 40), (120, 40)]),
    (2, [(20, 90), (120, 90)]),
    (1, circle(50, 65, 8.0)),
    (1, [(10, 10), (130, 10), (130, 120), (10, 120), (10, 10)]),
]
PLAN = plan(STROKES, force=60.0)
AXIS = replace(MACHINE, gcode=GcodeStyle(lift="z", up_z=3.0))
DEPTHS = plan(STROKES, force=0.6)
LIMIT = {"hpgl": 0.025, "gcode": 0.005}


def told(
    language: str, old: str, new: str, machine: Machine = MACHINE, planned: Moves = PLAN, count: int = 1
) -> list[str]:
    """What is said of a file in which the first `old`, a pattern, has become `new`."""
    text = write(planned, machine, language)
    changed = re.sub(old, new, text, count=count, flags=re.MULTILINE)
    assert changed != text
    findings = prove(planned, changed, language, machine, within=LIMIT[language]).findings
    assert all(f.severity is Severity.ERROR for f in findings if f.code.endswith("differs"))
    return [f.problem for f in findings]


@pytest.mark.parametrize(
    ("language", "old", "new", "said"),
    [
        ("hpgl", "FS60", "FS999", "strokes 1 to 2: force 999 instead of 60"),
        ("hpgl", "FS60;\n", "", "strokes 1 to 2: no force instead of 60"),
        ("hpgl", "VS5", "VS1", "strokes 1 to 2: speed: 10 mm/s instead of 50 mm/s"),
        ("hpgl", "SP1;\n", "SP1;\nPG;\n", "before stroke 3: PG is not planned"),
        ("hpgl", "SP1;\n", "SP1;\nLT2;\n", "strokes 3 to 4: lines are broken (LT2) instead of whole"),
        ("hpgl", "SP0;\n", "", "after the last stroke: putting the tool away (SP0) is missing"),
        ("gcode", "M3 S60", "M3 S600", "stroke 1: the tool is pressed by M3 S600 instead of M3 S60"),
        ("gcode", "G4 P0.15", "G4 P2000", "before stroke 1: a wait of 2000 s instead of a wait of 0.15 s"),
        ("gcode", "F3000", "F30", "strokes 1 to 2: speed: 0.5 mm/s instead of 50 mm/s"),
        ("gcode", "^M2$", "G53\nM2", "after the last stroke: G53 is not planned"),
        ("gcode", "^M0$", "", "before stroke 3: the pause for a change of tool (M0) is missing"),
        ("gcode", "G21 ", "", "strokes 1 to 4: the file does not say mm (G21)"),
    ],
)
def test_a_change_is_told_by_what_it_does(language: str, old: str, new: str, said: str) -> None:
    assert said in told(language, old, new)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("Z-0.6", "Z-6", "stroke 1: depth 6 mm instead of 0.6 mm"),
        (
            "Z3",
            "Z0.3",
            "before stroke 1: raising to 0.3 mm as fast as it goes instead of raising to 3 mm as fast as it goes",
        ),
        (
            "F600",
            "F6000",
            "before stroke 1: lowering to -0.6 mm at 100 mm/s instead of lowering to -0.6 mm at 10 mm/s",
        ),
    ],
)
def test_an_axis_tells_of_depth_height_and_plunge(old: str, new: str, said: str) -> None:
    assert said in told("gcode", old, new, AXIS, DEPTHS)


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_a_file_as_it_was_planned_agrees_step_for_step_and_leg_by_leg(language: str) -> None:
    text = write(PLAN, MACHINE, language)
    track, plan_track = follow(text, language, MACHINE)[0], expected_track(PLAN, MACHINE, language)
    sides = [(one.moves(MACHINE), one) for one in (plan_track, track)]
    arcs = language == "gcode" and MACHINE.gcode.arcs
    assert step_for_step(sides[0], sides[1], LIMIT[language]) is not arcs
    assert not step_for_step(sides[0], sides[1], 1e-9)
    assert prove(PLAN, text, language, MACHINE, within=LIMIT[language]).findings == ()


def test_a_lift_in_the_middle_of_a_stroke_is_no_move_of_no_length() -> None:
    """The tool is raised where it stands and lowered again: once, and once more where it is raised anyway."""
    lines = [(2, [(20, 40), (80, 40), (120, 40)])]
    planned = plan(lines, force=60.0)
    text = write(planned, MACHINE, "hpgl")
    found = re.search(r"PD(-?\d+,-?\d+),(-?\d+,-?\d+);\n", text)
    assert found is not None
    lifted = text.replace(found[0], f"PD{found[1]};\nPU{found[1]};\nPD{found[2]};\n")
    found_so = prove(planned, lifted, "hpgl", MACHINE, within=0.025).findings
    assert [finding.code for finding in found_so] == ["stroke-differs", "stroke-extra"]
    home = text.replace("SP0;", "PU0,0;\nSP0;")
    assert prove(planned, home, "hpgl", MACHINE, within=0.025).findings == ()


def test_a_height_that_is_kept_is_told_on_every_way() -> None:
    """Every lift of 3 mm made 0.01 mm: the tool is dragged over the card."""
    rows = told("gcode", "Z3", "Z0.01", AXIS, DEPTHS, count=0)
    assert "before strokes 1 to 5: the tool is at 0.01 mm instead of 3 mm" in rows


def followed(machine: Machine, planned: Moves, language: str) -> tuple[list[Leg], list[Leg], Moves]:
    track, _ = follow(write(planned, machine, language), language, machine)
    read = track.moves(machine)
    plan = expected_track(planned, machine, language)
    wanted = legs_of(plan.moves(machine), plan.helds, plan.said)
    return wanted, legs_of(read, track.helds, track.said), read


#: Another value for everything that lasts.
OTHER = {
    "speed": 7.0,
    "force": 7.0,
    "height": -7.0,
    "mode": ("M4", 7.0),
    "line": "2",
    "frame": ("G20", "G90", "G17", "G94"),
}


@pytest.mark.parametrize(("machine", "planned"), [(MACHINE, PLAN), (AXIS, DEPTHS)])
@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_nothing_that_lasts_can_change_unseen(language: str, machine: Machine, planned: Moves) -> None:
    """Each field of `Held` in each stroke, and on each way in G-code, where a word holds with the tool up."""
    assert set(OTHER) == set(Held._fields)
    wanted, got, read = followed(machine, planned, language)
    for number, leg in enumerate(got):
        for name, value in OTHER.items():
            changed = replace(leg, held=tuple((at, held._replace(**{name: value})) for at, held in leg.held))
            if leg.stroke is not None and not (language == "hpgl" and name == "frame"):
                legs = [*got[:number], changed, *got[number + 1 :]]
                assert compare_legs(wanted, legs, read, language, machine, within=0.025), (number, name)
            changed = replace(leg, gone=tuple(held._replace(**{name: value}) for held in leg.gone))
            if language == "gcode" and name not in ("line", "force"):
                legs = [*got[:number], changed, *got[number + 1 :]]
                assert compare_legs(wanted, legs, read, language, machine, within=0.025), (number, name)


@pytest.mark.parametrize(("machine", "planned"), [(MACHINE, PLAN), (AXIS, DEPTHS)])
@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_nothing_that_is_said_can_change_unseen(language: str, machine: Machine, planned: Moves) -> None:
    """Everything said is dropped, said twice, and said with another value, one by one; and a word is added."""
    wanted, got, read = followed(machine, planned, language)
    told = 0
    for number, leg in enumerate(got):
        for k, one in enumerate(leg.said):
            if one.kind == "go":
                continue
            others = [(), (one, one)]
            others += [
                (one._replace(values=(*one.values[:v], 77.0, *one.values[v + 1 :])),)
                for v in range(len(one.values))
            ]
            for other in others:
                changed = replace(leg, said=(*leg.said[:k], *other, *leg.said[k + 1 :]))
                legs = [*got[:number], changed, *got[number + 1 :]]
                assert compare_legs(wanted, legs, read, language, machine, within=0.025), (one, other)
                told += 1
        for changed in (
            replace(leg, said=(*leg.said, Said("other", ("PG",), 0))),
            replace(leg, inner=((1, Said("wait", (0.5,), 0)),)),
            replace(leg, way=np.vstack((leg.way, leg.way[-1:] + 3.0, leg.way[-1:]))),
        ):
            if changed.inner and leg.stroke is None:
                continue
            legs = [*got[:number], changed, *got[number + 1 :]]
            assert compare_legs(wanted, legs, read, language, machine, within=0.025)
    assert told >= 8


def moved(planned: Moves, name: str, row: int) -> Moves:
    """The plan with one attribute of one move changed."""
    column = np.array(getattr(planned, name))
    change = {
        "xy": lambda v: v + np.array([1.0, 2.0]),
        "down": lambda v: ~v,
        "tool": lambda v: 3,
        "speed": lambda v: v + 20.0,
        "force": lambda v: v + 3.0,
    }[name]
    column[row] = change(column[row])
    return replace(planned, **{name: column})


@pytest.mark.parametrize(("machine", "planned"), [(MACHINE, PLAN), (AXIS, DEPTHS)])
@pytest.mark.parametrize("language", ["hpgl", "gcode"])
@pytest.mark.parametrize("name", ["xy", "down", "tool", "speed", "force"])
def test_no_attribute_of_the_plan_can_differ_unseen(
    name: str, language: str, machine: Machine, planned: Moves
) -> None:
    """Each move of the plan in turn; what holds with the tool down only is changed there."""
    text = write(planned, machine, language)
    seen = 0
    for row in range(len(planned)):
        if name in ("speed", "force") and not planned.down[row]:
            continue
        if name == "tool" and not planned.down[row]:
            continue  # a travel has the tool of the stroke it leads to
        other = moved(planned, name, row)
        assert prove(other, text, language, machine, within=LIMIT[language]).findings, row
        seen += 1
    assert seen > 10


def test_a_home_elsewhere_is_seen() -> None:
    for language in ("hpgl", "gcode"):
        other = replace(PLAN, home=(5.0, 5.0))
        (found,) = prove(
            other, write(PLAN, MACHINE, language), language, MACHINE, within=LIMIT[language]
        ).findings
        assert found.code == "way-differs"
        assert found.problem == "after the last stroke: the tool travels another way than planned"


def test_the_work_of_a_proof_grows_with_the_strokes(monkeypatch: pytest.MonkeyPatch) -> None:
    # The path of the whole file is put together a few times, however many strokes it has: not once a stroke.
    built: list[int] = []
    path = Moves.path.fget
    assert path is not None

    def counted(moves: Moves) -> np.ndarray:
        built.append(len(moves))
        return path(moves)

    monkeypatch.setattr(Moves, "path", property(counted))
    calls = []
    for count in (5, 50):
        planned = plan([(1, [(10, 2 * k + 1), (130, 2 * k + 1)]) for k in range(count)])
        text = write(planned, MACHINE, "hpgl")
        built.clear()
        assert not prove(planned, text, "hpgl", MACHINE, within=LIMIT["hpgl"]).findings
        calls.append(len(built))
    assert calls[0] == calls[1]
