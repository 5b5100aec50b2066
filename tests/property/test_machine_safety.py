"""Whatever the plan and the machine: inside the area, up on travel and at the end, documented words only.

The scanners below share nothing with the writers or the readers-back. What may occur in a machine file
is read from docs/SAFETY.md, so that the document and the files can't part.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cutprep.errors import CutprepError, OutputError
from cutprep.job.api import make_job, make_rules
from cutprep.job.pipeline import run
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.profile import shelf
from cutprep.profile.machine import Machine
from cutprep.stages.write.machine_file import write
from tests.gcode_grammar import faults_of_file
from tests.machines.encoded import moves_of
from tests.plans import jobs

DOCS = Path(__file__).parents[2] / "docs" / "SAFETY.md"
_GCODE_WORD = re.compile(r"([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))")


@cache
def documented(language: str) -> frozenset[str]:
    """The instructions that docs/SAFETY.md lists for a language."""
    found = re.search(
        rf"^- {re.escape(language)} files hold (.*?)\.$", DOCS.read_text(), re.MULTILINE | re.DOTALL
    )
    assert found is not None
    return frozenset(re.findall(r"`([^`]+)`", found[1]))


@dataclass
class Seen:
    """What a file does, in the machine's own mm, along its own axes."""

    spots: list[tuple[float, float]] = field(default_factory=list)
    down: bool = False
    speeds: list[float] = field(default_factory=list)
    forces: list[float] = field(default_factory=list)
    travels_down: int = 0
    words: set[str] = field(default_factory=set)


def watch_hpgl(text: str, unit: float) -> Seen:
    """Follow instructions one a line, as the manuals write them."""
    assert text.isascii()
    seen, at = Seen(), (0.0, 0.0)
    for row in text.splitlines():
        if row.startswith("PE"):
            seen.words.add("PE")
            for down, *spot in moves_of(row[2:-1].encode("ascii"), (0, 0)):
                assert row[3] == "=", "the first of them is a place"
                assert down
                at = (float(spot[0]), float(spot[1]))
                seen.spots.append((at[0] * unit, at[1] * unit))
            seen.down = True
            continue
        match = re.fullmatch(r"([A-Z]{2})((?:-?\d+(?:\.\d+)?(?:,-?\d+(?:\.\d+)?)*)?);", row)
        assert match, row
        name, numbers = match[1], [float(n) for n in match[2].split(",") if n]
        seen.words.add(name)
        if name in {"PU", "PD"}:
            pairs = list(zip(numbers[::2], numbers[1::2], strict=True))
            seen.down = name == "PD"
            seen.spots += [(x * unit, y * unit) for x, y in pairs]
            at = pairs[-1] if pairs else at
        elif name == "AA":
            x, y, sweep, _ = numbers
            turn = math.radians(sweep) * np.linspace(0, 1, 50)
            cos, sin = np.cos(turn), np.sin(turn)
            dx, dy = at[0] - x, at[1] - y
            seen.spots += list(
                zip((x + dx * cos - dy * sin) * unit, (y + dx * sin + dy * cos) * unit, strict=True)
            )
            at = (x + dx * cos[-1] - dy * sin[-1], y + dx * sin[-1] + dy * cos[-1])
        elif name == "VS":
            seen.speeds.append(numbers[0] * 10)
        elif name == "FS":
            seen.forces.append(numbers[0])
        elif name == "SP":
            assert not seen.down
    return seen


def watch_gcode(text: str, machine: Machine) -> Seen:
    """Follow blocks; the tool is up or down by the profile's own way of lifting."""
    style = machine.gcode
    seen, x, y = Seen(), 0.0, 0.0
    downs = {
        re.sub(r"S[\d.]+", "S", row.replace("{force}", "0").replace(" ", "")) for row in style.down_words
    }
    for row in text.splitlines():
        bare = re.sub(r"\([^)]*\)", "", row).replace(" ", "")
        words = _GCODE_WORD.findall(bare)
        codes = {f"{letter}{float(value):g}" for letter, value in words if letter in "GM"}
        seen.words |= codes
        value = {letter: float(number) for letter, number in words if letter not in "GM"}
        if (
            style.lift == "words"
            and re.sub(r"S[\d.]+", "S", bare) in downs
            and bare not in {up.replace(" ", "") for up in style.up_words}
        ):
            seen.down = not bare.startswith("G4") or seen.down
        elif style.lift == "words" and bare in {up.replace(" ", "") for up in style.up_words}:
            seen.down = seen.down and bare.startswith("G4")
        elif style.lift == "servo" and codes & {"M3", "M5"}:
            seen.down = "M3" in codes and value.get("S") != pytest.approx(style.up_s, abs=0.01)
            if seen.down:
                seen.forces.append(value["S"])
        elif style.lift == "z" and "Z" in value:
            seen.down = value["Z"] < style.up_z - 0.01
            if seen.down:
                seen.forces.append(style.down_z - value["Z"])
                value.pop("F", None)
        if "F" in value:
            seen.speeds.append(value["F"] / 60)
        if not {"X", "Y"} & set(value):
            continue
        new = value.get("X", x), value.get("Y", y)
        if "G0" in codes and seen.down:
            seen.travels_down += 1
        if codes & {"G2", "G3"}:
            cx, cy = x + value.get("I", 0.0), y + value.get("J", 0.0)
            a, b = math.atan2(y - cy, x - cx), math.atan2(new[1] - cy, new[0] - cx)
            sweep = (b - a) % (2 * math.pi) if "G3" in codes else -((a - b) % (2 * math.pi))
            angle = a + (sweep or 2 * math.pi) * np.linspace(0, 1, 50)
            radius = math.hypot(x - cx, y - cy)
            seen.spots += list(zip(cx + radius * np.cos(angle), cy + radius * np.sin(angle), strict=True))
        x, y = new
        seen.spots.append(new)
    return seen


def assert_safe(text: str, language: str, machine: Machine, fastest: float, forces: set[float]) -> Seen:
    """Hold one file against everything that must never happen."""
    seen = watch_hpgl(text, machine.hpgl.unit) if language == "hpgl" else watch_gcode(text, machine)
    width, height = (machine.height, machine.width) if machine.swapped else (machine.width, machine.height)
    spare = machine.hpgl.unit if language == "hpgl" else 0.001
    spots = np.array(seen.spots)
    # An arc along the edge may bulge by the flattening limit.
    assert (spots >= -spare - 0.02).all()
    assert (spots <= np.array((width, height)) + spare + 0.02).all()
    assert not seen.down
    assert not seen.travels_down
    own = {
        f"{letter}{float(value):g}"
        for row in (*machine.gcode.start, *machine.gcode.end, *machine.gcode.change, *machine.gcode.up_words, *machine.gcode.down_words)
        for letter, value in _GCODE_WORD.findall(re.sub(r"\([^)]*\)", "", row).replace(" ", ""))
        if letter in "GM"
    }  # fmt: skip
    assert seen.words <= documented("HP-GL" if language == "hpgl" else "G-code") | own
    slowest = 10.0 if language == "hpgl" else 0.1  # the slowest that can be said
    assert max(seen.speeds, default=0.0) <= max(fastest, slowest) * 1.006
    for said in seen.forces:
        assert min(abs(said - force) for force in forces) <= 0.51, (said, forces)
    if language == "gcode":
        assert not faults_of_file(text, own_words=True)
    return seen


@settings(max_examples=80, deadline=None)
@given(jobs())
@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_any_plan_on_any_machine(language: str, job: tuple[Machine, Moves]) -> None:
    machine, moves = job
    try:
        text = write(moves, machine, language, title="G0 X999;PD9999,9999;")
    except CutprepError:
        return  # said, and nothing written
    given_force = float(np.nanmax(moves.force)) if np.isfinite(moves.force).any() else math.nan
    style = machine.gcode
    default = {"z": 0.0, "servo": style.down_s, "words": 0.0}[style.lift]
    assert_safe(
        text,
        language,
        machine,
        float(moves.speed.max()),
        {default} | {f for f in [given_force] if math.isfinite(f)},
    )


@st.composite
def drawings(draw: st.DrawFn) -> str:
    """A few closed cuts, scores and drawn lines on a page of 120 mm."""
    place = st.integers(10, 110)
    rows = []
    for _ in range(draw(st.integers(1, 3))):
        x, y = draw(place), draw(place)
        width, height = (draw(st.integers(4, 40)) for _ in range(2))
        rows.append(
            f'<g id="cut"><rect x="{x}" y="{y}" width="{width}" height="{height}" rx="{draw(st.integers(0, 2))}"/></g>'
        )
        rows.append(f'<g id="score"><path d="M{x} {y + height / 2}h{width}"/></g>')
        if draw(st.booleans()):
            rows.append(f'<g id="pen"><circle cx="{x + 1}" cy="{y + 1}" r="{draw(st.integers(1, 30))}"/></g>')
    body = (
        "".join(rows)
        .replace("<rect", '<rect fill="none" stroke="#000"')
        .replace("<path", '<path stroke="#000"')
    )
    body = body.replace("<circle", '<circle fill="none" stroke="#000"')
    return f'<svg xmlns="http://www.w3.org/2000/svg" width="150mm" height="150mm" viewBox="0 0 150 150">{body}</svg>'


@settings(max_examples=3, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    drawings(),
    st.sampled_from(sorted(shelf.machines())),
    st.sampled_from(["lower-left", "lower-right", "upper-left", "upper-right"]),
    st.booleans(),
    st.integers(0, 3),
)
def test_any_job_on_any_machine(
    tmp_path: Path, drawing: str, name: str, origin: str, swapped: bool, seed: int
) -> None:
    path = tmp_path / "panel.svg"
    path.write_text(drawing)
    machine = replace(shelf.machine(name), origin=origin, swapped=swapped)
    for language in machine.languages:
        job = make_job(
            path, machine=machine, language=language, copies=2, effort="quick", seed=seed, despite_findings=True,
            rules=make_rules({"pen": "draw"}),
        )  # fmt: skip
        try:
            outcome = run(job)
        except OutputError:  # proved wrong: a fault of ours
            raise
        except CutprepError:  # refused, and nothing written
            continue
        stock = job.batches[0].stock
        fastest = max(tool.speed for tool in machine.tools) * stock.speed_factor
        full = {tool.force for tool in machine.tools if math.isfinite(tool.force)}
        part = {tool.force * tool.part_force for tool in machine.tools if math.isfinite(tool.force)}
        style = machine.gcode
        lowered = {style.down_s} if language == "gcode" and style.lift == "servo" else {0.0}
        for sheet in outcome.sheets:
            assert_safe(sheet.files[0].text, language, machine, fastest, full | part | lowered)


@pytest.mark.parametrize("row", ["G0 X9999 Y5", "G0 X-50", "G0 Y-1"])
@pytest.mark.parametrize("where", ["start", "end"])
def test_a_profile_that_leaves_its_own_area_is_found_at_run_time(
    tmp_path: Path, row: str, where: str
) -> None:
    machine = shelf.machine("belt-servo-400")
    machine = replace(machine, gcode=replace(machine.gcode, **{where: (row,)}))
    path = tmp_path / "panel.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm"><path id="cut" d="M9 9H99V99z" stroke="red"/></svg>'
    )
    with pytest.raises(CutprepError, match=r"outside|not what was planned"):
        run(
            make_job(
                path,
                machine=machine,
                language="gcode",
                effort="quick",
                despite_findings=True,
            )
        )


def test_the_watchers_see_what_they_must() -> None:
    """Each of them would notice: a travel with the tool down, an end with it down, and a bulge beyond the area."""
    servo = shelf.machine("belt-servo-400")
    assert watch_gcode("G21 G90 G17 G94\nM3 S90\nG0 X1 Y1\n", servo).travels_down == 1
    assert watch_gcode("M3 S90\nG1 X1 Y1 F600\nM2\n", servo).down
    assert watch_hpgl("IN;\nSP1;\nPU0,0;\nPD400,0;\n", 0.025).down
    assert min(y for _, y in watch_hpgl("PU0,0;\nPD0,0;\nAA100,0,180,5;\n", 0.025).spots) < -2
    assert min(y for _, y in watch_gcode("G0 X0 Y0\nG3 X20 Y0 I10 J0\n", servo).spots) < -9
    assert Operation.CUT in {op for tool in servo.tools for op in tool.does}
