"""What a controller reports of itself: when all has been run, and which stroke is certain when an answer is lost."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutprep.link.events import EventKind
from cutprep.link.flows.gcode import Answered
from cutprep.link.script import script_of
from tests.machines.picture import Faults
from tests.machines.seeded import Case, case_of, faults_of, run
from tests.plans import MACHINE
from tests.unit.link.test_flows import Tape


def case(**style: object) -> Case:
    """A G-code job, line by line, of a controller that plans 16 moves ahead."""
    one = case_of(4, faulty=False, kind="gcode")
    usual = {"status": "", "dwell_waits": False, "reset": ""}
    line = replace(one.machine.line, **(usual | style))  # type: ignore[arg-type]
    return replace(one, machine=replace(one.machine, line=line))


@pytest.mark.parametrize(
    ("style", "ends"), [({"status": "?"}, True), ({"dwell_waits": True}, True), ({}, False)]
)
def test_it_is_finished_when_the_machine_says_so_and_else_sent(style: dict[str, object], ends: bool) -> None:
    result = run(case(**style))
    assert result.drawn == result.planned
    assert faults_of(result) == []
    assert result.last.kind is (EventKind.FINISHED if ends else EventKind.SENT)
    assert (result.last.done == result.last.strokes) is ends
    assert ends or "does not tell when it has finished" in result.last.said


def test_after_a_lost_answer_more_is_certain_where_the_state_can_be_asked_for() -> None:
    """The sixtieth answer is lost: a controller that stands still has run what it has answered for."""
    faults = Faults(lose=frozenset({60}))
    blind, seeing = (run(replace(case(status=status), faults=faults)) for status in ("", "?"))
    for result in (blind, seeing):
        assert result.last.kind is EventKind.LOST
        assert faults_of(result) == []
    assert seeing.last.done > blind.last.done
    assert len(seeing.drawn) - seeing.last.done <= 1
    x, y = seeing.drawn[-1][-1]
    assert f"stands still at X {x:.2f}, Y {y:.2f}" in seeing.last.said


def test_what_is_still_moving_is_waited_for() -> None:
    """The state is asked for again until it is idle twice: what was on its way may begin between."""
    script = script_of("G21 G90 G17 G94\nM3 S90\nG1 X5 Y5 F100\nM5\nG0 X0 Y0\nM2\n", "gcode", MACHINE)
    tape = Tape()
    flow = Answered(tape, script, replace(MACHINE.line, status="?"), 16)
    flow.until = len(script)
    flow.step()
    tape.said = b"ok\r\n"
    flow.step()
    says = iter(
        [b"<Run|MPos:1.000,2.000,0.000|WCO:0.500,0.500,0.000>\r\n", b"<Idle|MPos:5.000,5.000>\r\n"] * 9
    )
    wait = tape.wait

    def answering(seconds: float) -> None:
        wait(seconds)
        tape.said = next(says) if tape.clock < 2 else b"<Idle|MPos:5.000,5.000>\r\n"

    tape.wait = answering  # type: ignore[method-assign]
    assert "stands still at X 4.50, Y 4.50" in flow.last_word()
    assert tape.clock > 2
    assert flow.certain == flow.taken == 1


def reporting(report: bytes) -> Answered:
    """What listens to a controller that has said this of its state, and nothing of the first line that it was sent."""
    script = script_of("G21 G90 G17 G94\nG0 X5 Y5\nM2\n", "gcode", MACHINE)
    tape = Tape()
    flow = Answered(tape, script, replace(MACHINE.line, status="?"), 16)
    flow.until = len(script)
    flow.step()
    wait = tape.wait

    def answering(seconds: float) -> None:
        wait(seconds)
        tape.said = report

    tape.wait = answering  # type: ignore[method-assign]
    return flow


@pytest.mark.parametrize(
    ("report", "told"),
    [
        (b"<Hold:0|WPos:1,2,0>\r\n", "It reports: Hold."),
        (b"<Hold,MPos:1.000,2.000,0.000,WPos:1.000,2.000,0.000>\r\n", "It reports: Hold."),
        (b"", ""),
        (b"<Alarm|FS:0,0>\r\n", "It reports: Alarm."),
    ],
)
def test_another_state_is_told_and_makes_nothing_certain(report: bytes, told: str) -> None:
    flow = reporting(report)
    assert flow.last_word().strip() == told
    assert flow.certain == 0


@pytest.mark.parametrize(
    ("report", "where"),
    [
        (b"<Idle|WPos:1.500,2.500,0.000>\r\n", " at X 1.50, Y 2.50"),
        (b"<idle,MPos:1.000,2.000,0.000,WPos:1.500,2.500,0.000>\r\n", " at X 1.50, Y 2.50"),
        (b"<Idle|MPos:2.000,3.000,0.000|WCO:0.500,0.500,0.000>\r\n", " at X 1.50, Y 2.50"),
        (b"<Idle|MPos:2.000,3.000,0.000>\r\n", ""),
        (b"<Idle>\r\n", ""),
    ],
)
def test_fields_may_be_parted_by_bars_or_by_commas(report: bytes, where: str) -> None:
    """Both are common practice, no published source; a place in the machine's frame alone is not told."""
    told = reporting(report).last_word().strip()
    assert told == f"It reports that it stands still{where}: what it has answered for is done."
