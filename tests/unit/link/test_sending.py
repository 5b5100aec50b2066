"""Where she is waited for, what stopping does, and what she is told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutprep.errors import JobError
from cutprep.link.events import ENDS, EventKind, LinkEvent
from cutprep.link.log import SendLog
from cutprep.link.runs import Run, frame_run
from cutprep.link.script import script_of
from cutprep.link.sending import Sending
from cutprep.link.words import CAUTION
from cutprep.profile.line import LineStyle
from cutprep.profile.machine import GcodeStyle
from cutprep.stages.write.machine_file import write
from tests.machines.controller import Controller
from tests.machines.picture import Faults
from tests.machines.plotter import Plotter
from tests.machines.seeded import UNIT
from tests.machines.wire import PtyEnd, SimulatedLine
from tests.plans import MACHINE, plan

STROKES = [(2, [(10, 10), (20, 10)]), (2, [(30, 10), (30, 40)]), (1, [(5, 5), (50, 5), (50, 60)])]
POLLED = LineStyle(speed=9600, handshake="poll", buffer=255)


def _run(
    language: str = "hpgl", style: LineStyle = POLLED, sheet: int = 1, sheets: int = 1, strokes=STROKES
) -> Run:  # type: ignore[no-untyped-def]
    machine = replace(MACHINE, line=style, gcode=GcodeStyle(arcs=False))
    script = script_of(write(plan(strokes), machine, language), language, machine)
    return Run(f"sheet-{sheet:02d}.{language}", sheet, sheets, script, machine)


def _plotter(run: Run, faults: Faults | None = None) -> tuple[Plotter, SimulatedLine]:
    style = run.machine.line
    machine = Plotter(size=style.buffer, speed=50 / UNIT, handshake=style.handshake, faults=faults)
    return machine, SimulatedLine(machine, PtyEnd(style), style, faults=faults)


def _all(sending: Sending, stop_at: str = "") -> list[LinkEvent]:
    events = []
    for event in sending:
        events.append(event)
        if event.kind is EventKind.ASKS:
            if stop_at and stop_at in event.said:
                sending.stop()
            else:
                sending.go()
    return events


def _asked(events: list[LinkEvent]) -> list[str]:
    return [event.said for event in events if event.kind is EventKind.ASKS]


def test_each_sheet_and_each_tool_waits_for_her() -> None:
    runs = [_run(sheet=1, sheets=2), _run(sheet=2, sheets=2)]
    machine, line = _plotter(runs[0])
    events = _all(Sending(runs, line, SendLog(None)))
    asked = _asked(events)
    assert len(asked) == 4
    assert CAUTION in asked[0]
    assert "Lay sheet 1 of 2 in. Put the scoring stylus in." in asked[0]
    assert "put the drag knife in" in asked[1]
    assert asked[2].startswith("Lay sheet 2 of 2 in. Put the scoring stylus in.")
    ends = [event.said for event in events if event.kind in ENDS]
    assert ends == ["sheet-01.hpgl is finished.", "sheet-02.hpgl is finished. That was the last one."]
    assert len(machine.picture.strokes) == 6
    assert not machine.picture.down


def test_before_a_tool_is_changed_all_before_is_drawn_and_nothing_behind_is_sent() -> None:
    run = _run()
    machine, line = _plotter(run)
    sending = Sending([run], line, SendLog(None))
    for event in sending:
        if event.kind is EventKind.ASKS and "drag knife" in event.said:
            assert not machine.busy
            assert len(machine.picture.strokes) == 2
            assert not machine.picture.down
            break
        if event.kind is EventKind.ASKS:
            sending.go()
    line.close()


def test_stopping_makes_the_plotter_forget_and_lift() -> None:
    run = _run(strokes=[(1, [(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)])])
    machine, line = _plotter(run)
    sending = Sending([run], line, SendLog(None))
    wait = line.wait

    def stop_at_three(seconds: float) -> None:
        wait(seconds)
        if line.now() > 3:
            sending.stop()

    line.wait = stop_at_three  # type: ignore[method-assign]
    last = _all(sending)[-1]
    line.finish(100)
    assert last.kind is EventKind.STOPPED
    assert "told to forget" in last.said
    assert "told to lift the tool" in last.said
    assert "No stroke is certain; of 1 it is not known." in last.said
    assert not machine.picture.down
    assert 1 < len(machine.picture.strokes[0]) < 5


def test_a_cut_line_tells_what_is_certain_and_that_the_tool_may_be_down() -> None:
    faults = Faults(drop=4.0)
    run = _run(strokes=[(1, [(x, 10), (x, 40)]) for x in range(10, 90, 10)])
    _, line = _plotter(run, faults)
    last = _all(Sending([run], line, SendLog(None)))[-1]
    assert last.kind is EventKind.LOST
    assert "the tool may be down" in last.said
    assert 0 < last.done < last.sent < 8
    assert f"Stroke {last.done} of 8 is the last that is certain" in last.said


def test_the_frame_is_gone_around_with_the_tool_up_and_then_she_is_asked() -> None:
    run = _run(strokes=STROKES[2:])
    traced = frame_run(run).script.moves
    assert not traced.down.any()
    assert traced.xy[:5].tolist() == [[5, 5], [50, 5], [50, 60], [5, 60], [5, 5]]
    machine, line = _plotter(run)
    events = _all(Sending([run], line, SendLog(None), frame=True), stop_at="gone around")
    assert len(_asked(events)) == 2
    assert events[-1].kind is EventKind.STOPPED
    assert machine.picture.strokes == []
    assert machine.voice.now > 1


def test_unasked_is_for_one_sheet_without_a_change_by_hand() -> None:
    one = _run(strokes=STROKES[2:])
    machine, line = _plotter(one)
    events = _all(Sending([one], line, SendLog(None), unasked=True))
    assert not _asked(events)
    assert len(machine.picture.strokes) == 1
    for runs in ([one, one], [_run()]):
        with pytest.raises(JobError, match="may start unasked"):
            Sending(runs, line, SendLog(None), unasked=True)


def test_unasked_still_waits_after_the_frame() -> None:
    one = _run(strokes=STROKES[2:])
    _, line = _plotter(one)
    assert len(_asked(_all(Sending([one], line, SendLog(None), unasked=True, frame=True)))) == 2


@pytest.mark.parametrize("now", [True, False])
def test_holding_sends_nothing_more_until_she_goes_on(now: bool) -> None:
    marks = {"hold": "!", "resume": "~"} if now else {}
    style = LineStyle(speed=9600, wake=0.1, dwell_waits=True, **marks)
    run = _run("gcode", style, strokes=[(1, [(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)])])
    machine = Controller()
    line = SimulatedLine(machine, PtyEnd(style), style)
    sending = Sending([run], line, SendLog(None))
    held = []
    for event in sending:
        if event.kind is EventKind.ASKS and "Held" in event.said:
            for _ in range(100):
                line.pass_time(0.1)
            held.append(event)
            assert machine.busy is now  # held at once, or all of the little that was sent is run
        if event.kind is EventKind.ASKS:
            sending.go()
        if event.kind is EventKind.GOES and not held:
            sending.hold()
    assert len(held) == 1
    assert ("may still run" in held[0].said) is not now
    assert event.kind is EventKind.FINISHED
    assert machine.picture.strokes == [[(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)]]


def test_a_machine_without_answers_is_never_said_to_be_finished() -> None:
    run = _run(style=LineStyle(speed=9600, handshake="hardware"))
    _, line = _plotter(run)
    events = _all(Sending([run], line, SendLog(None)))
    assert events[-1].kind is EventKind.SENT
    assert "look whether it has finished" in events[-1].said
    assert not [event.said for event in events if " done," in event.said or "is finished" in event.said]


def test_progress_never_falls_and_the_time_left_does_not_grow() -> None:
    run = _run(strokes=[(1, [(x, 10), (x, 90)]) for x in range(10, 90, 5)])
    _, line = _plotter(run)
    events = [e for e in _all(Sending([run], line, SendLog(None))) if e.kind is EventKind.GOES]
    assert len(events) > 5
    assert [e.done for e in events] == sorted(e.done for e in events)
    left = [e.seconds_left for e in events]
    assert left == sorted(left, reverse=True)
    assert events[0].said.startswith(f"{events[0].done} stroke")
