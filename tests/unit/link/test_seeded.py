"""A hundred seeded runs against simulated machines, most with faults; a thousand by `python -m tests.bench.link`."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutprep.link.events import EventKind
from cutprep.link.runs import from_stroke
from cutprep.tolerance import Tolerance
from tests.machines.picture import Faults
from tests.machines.seeded import KINDS, case_of, faults_of, run, whole_run


@pytest.mark.parametrize("seed", range(80))
def test_what_was_drawn_is_the_beginning_of_the_plan(seed: int) -> None:
    """Whatever goes wrong: whole strokes but the last, nothing twice, nothing said to be done that is not."""
    assert faults_of(run(case_of(seed))) == []


@pytest.mark.parametrize("kind", KINDS)
def test_without_faults_the_picture_is_the_plan(kind: str) -> None:
    for seed in range(2000, 2003):
        result = run(case_of(seed, faulty=False, kind=kind))
        assert faults_of(result) == []
        assert result.drawn == result.planned
        style = result.case.machine.line
        tells = kind in ("poll", "enquire") or (
            kind.startswith("gcode") and (style.status or style.dwell_waits)
        )
        assert result.last.kind is (EventKind.FINISHED if tells else EventKind.SENT)
        assert not result.down


@pytest.mark.parametrize("kind", KINDS)
def test_what_was_broken_off_goes_on_from_a_stroke_of_her_choice(kind: str) -> None:
    """What came before that stroke is not worked again, what follows is worked once."""
    broken = replace(case_of(2, faulty=False, kind=kind), faults=Faults(hang=3.0))
    first = run(broken)
    assert first.last.kind is EventKind.LOST
    assert len(first.planned) > first.last.done
    whole = whole_run(broken)
    rest = from_stroke(whole, first.last.done + 1, Tolerance())
    second = run(replace(broken, faults=Faults()), run_of=rest)
    assert second.drawn == first.planned[first.last.done :]
    assert faults_of(second) == []


def test_the_judge_sees_a_buffer_that_overflows() -> None:
    """A machine that holds nothing back loses bytes, and its picture is not the plan."""
    case = case_of(5, faulty=False, kind="hardware")
    deaf = replace(
        case, machine=replace(case.machine, line=replace(case.machine.line, handshake="none", buffer=128))
    )
    assert faults_of(run(deaf)) == [
        "said to be sent, and the picture is not the plan",
        "the machine's buffer has overflowed",
    ]


def test_the_judge_sees_a_stroke_too_many_and_one_drawn_twice() -> None:
    result = run(case_of(2000, faulty=False, kind="poll"))
    assert faults_of(result) == []
    no_prefix = "what was drawn is no prefix of the plan"
    for drawn, told in (
        (
            [*result.drawn, result.drawn[0]],
            [no_prefix, "10 strokes were begun, 9 are said to have been sent"],
        ),
        ([result.drawn[0], *result.drawn], [no_prefix, "9 strokes are said to be certain, 1 were drawn"]),
        (result.drawn[:-1], ["9 strokes are said to be certain, 8 were drawn"]),
        (
            [*result.drawn[:2], result.drawn[2][::-1]],
            [no_prefix, "9 strokes are said to be certain, 2 were drawn"],
        ),
    ):
        found = faults_of(replace(result, drawn=drawn))
        assert found[: len(told)] == told
        assert found[-1] == "said to be finished, and the picture is not the plan"
