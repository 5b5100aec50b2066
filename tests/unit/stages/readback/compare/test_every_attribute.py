"""Whatever a plan, or what is followed, holds: changed by itself, the comparison says so."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from cutprep.job.api import make_job, prepare_job
from cutprep.model.findings.finding import errors
from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine
from cutprep.profile.machine_table import load_machine
from cutprep.stages.readback.compare.expected import expected_track
from cutprep.stages.readback.compare.legs import legs_of
from cutprep.stages.readback.compare.proof import compare_legs, prove
from cutprep.stages.readback.held import Held, Said
from cutprep.stages.readback.machine_file import follow
from tests import spoilings

MACHINES = ("belt-servo-400", "mat-cutter-300", "axis")
LANGUAGES = ("hpgl", "gcode")
WITHIN = {"hpgl": 0.025, "gcode": 0.005}
Made = tuple[Moves, str, Machine]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, str], Made]:
    base = tmp_path_factory.mktemp("attributes")
    (base / "axis.toml").write_text(spoilings.AXIS, encoding="utf-8")
    (base / "card.svg").write_text(spoilings.DRAWING, encoding="utf-8")
    found = {}
    for machine in MACHINES:
        named = load_machine(base / "axis.toml") if machine == "axis" else machine
        for language in LANGUAGES:
            job = make_job(base / "card.svg", machine=named, language=language, effort="quick")
            outcome = prepare_job(job, base / f"{machine}-{language}")
            (sheet,) = outcome.sheets
            found[machine, language] = sheet.planned, sheet.files[0].text, job.machine
    return found


def _changed(column: np.ndarray[Any, Any], row: int, value: object) -> np.ndarray[Any, Any]:
    new = column.copy()
    new[row] = value
    return new


def _worked(moves: Moves) -> int:
    return int(np.flatnonzero(moves.down)[len(np.flatnonzero(moves.down)) // 2])


#: Of each attribute: the plan with that one thing otherwise.
PLAN: dict[str, Callable[[Moves], Moves]] = {
    "xy": lambda m: replace(m, xy=_changed(m.xy, _worked(m), m.xy[_worked(m)] + 0.2)),
    "down": lambda m: replace(m, down=_changed(m.down, _worked(m), False)),
    "tool": lambda m: replace(m, tool=_changed(m.tool, _worked(m), 3 - m.tool[_worked(m)])),
    "speed": lambda m: replace(m, speed=_changed(m.speed, _worked(m), 7.0)),
    "force": lambda m: replace(m, force=_changed(m.force, _worked(m), 5.0)),
    "home": lambda m: replace(m, home=(m.home[0] + 3.0, m.home[1])),
}
#: What says nothing of the machine: whose stroke a move is, sums worked out from the file, how chords came about.
SAYS_NOTHING = {"stroke", "dwell", "changes", "curved"}


def test_every_attribute_of_a_plan_is_here() -> None:
    assert {*PLAN, *SAYS_NOTHING} == {field.name for field in fields(Moves)}


@pytest.mark.parametrize("name", sorted(PLAN))
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("machine", MACHINES)
def test_a_plan_that_is_otherwise_is_seen(
    machine: str, language: str, name: str, made: dict[tuple[str, str], Made]
) -> None:
    planned, text, profile = made[machine, language]
    assert not errors(prove(planned, text, language, profile, within=WITHIN[language]).findings)
    if name == "force" and language == "hpgl" and not profile.hpgl.send_force:
        pytest.skip("this machine is told no force in HP-GL")
    other = PLAN[name](planned)
    assert errors(prove(other, text, language, profile, within=WITHIN[language]).findings)


def _otherwise(held: Held) -> Iterator[tuple[str, Held]]:
    """The same state with one attribute otherwise."""
    yield "speed", held._replace(speed=(held.speed or 0.0) + 1)
    yield "force", held._replace(force=(held.force or 0.0) + 1)
    yield "height", held._replace(height=(held.height or 0.0) - 1)
    yield "mode", held._replace(mode=("M4", 200.0))
    yield "line", held._replace(line="2")
    yield "frame", held._replace(frame=("G18", "G90", "G94", "G21"))


def test_every_attribute_of_what_holds_is_here() -> None:
    assert [name for name, _ in _otherwise(Held())] == list(Held._fields)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("machine", MACHINES)
def test_what_holds_otherwise_in_a_stroke_is_seen(
    machine: str, language: str, made: dict[tuple[str, str], Made]
) -> None:
    planned, text, profile = made[machine, language]
    track, _ = follow(text, language, profile)
    read = track.moves(profile)
    plan = expected_track(planned, profile, language, None)
    wanted = legs_of(plan.moves(profile), plan.helds, plan.said)
    within = WITHIN[language]
    row = _worked(read)
    unseen = []
    for name, held in _otherwise(track.helds[row]):
        helds = [*track.helds[:row], held, *track.helds[row + 1 :]]
        legs = legs_of(read, helds, track.said)
        if not compare_legs(wanted, legs, read, language, profile, within=within):
            unseen.append(name)
    assert not unseen


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("machine", MACHINES)
def test_whatever_is_said_otherwise_is_seen(
    machine: str, language: str, made: dict[tuple[str, str], Made]
) -> None:
    """Each thing said, one by one: left out, said twice, and with another figure."""
    planned, text, profile = made[machine, language]
    track, _ = follow(text, language, profile)
    read = track.moves(profile)
    plan = expected_track(planned, profile, language, None)
    wanted = legs_of(plan.moves(profile), plan.helds, plan.said)

    def seen(said: list[Said]) -> bool:
        legs = legs_of(read, track.helds, said)
        return bool(compare_legs(wanted, legs, read, language, profile, within=WITHIN[language]))

    assert not seen(track.said)
    for k, one in enumerate(track.said):
        before, after = track.said[:k], track.said[k + 1 :]
        assert seen([*before, *after]), f"{one} left out"
        assert seen([*before, one, one, *after]), f"{one} twice"
        for place, value in enumerate(one.values):
            other = value + 1 if isinstance(value, int | float) else f"{value}x"
            values = (*one.values[:place], other, *one.values[place + 1 :])
            assert seen([*before, one._replace(values=values), *after]), f"{one} made {values}"
