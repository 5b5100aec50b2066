"""How fast the line is used, how far ahead is sent, and what each way of holding back says to the machine."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cutprep.link.flows.flow import NotTaken
from cutprep.link.flows.gcode import Answered
from cutprep.link.flows.hpgl import Enquiry, Poll
from cutprep.link.log import SendLog
from cutprep.link.sending import Sending, flow_of
from cutprep.profile.line import LineStyle
from tests.machines.controller import Controller
from tests.machines.plotter import Plotter
from tests.machines.seeded import KINDS, UNIT, Case, case_of, whole_run
from tests.machines.wire import PtyEnd, SimulatedLine
from tests.plans import plan


class Tape:
    """A line that takes everything, and plays what a test lets it say."""

    name, rate = "a tape", 960.0

    def __init__(self) -> None:
        self.written, self.said, self.clock = b"", b"", 0.0

    def now(self) -> float:
        return self.clock

    def wait(self, seconds: float) -> None:
        self.clock += seconds

    def write(self, data: bytes) -> int:
        self.written += data
        return len(data)

    def waiting(self) -> int:
        return 0

    def read(self) -> bytes:
        said, self.said = self.said, b""
        return said

    def close(self) -> None:
        pass


def dense(kind: str) -> Case:
    """A coastline: so many places that the line is slower than the machine."""
    rng = np.random.default_rng(1)
    spots = 4000 + np.cumsum(rng.integers(1, 31, (700, 2)) * rng.choice([-1, 1], (700, 2)), axis=0)
    case = case_of(1, faulty=False, kind=kind)
    style = replace(case.machine.line, buffer=255, window=127 * (kind == "gcode-window"))
    machine = replace(case.machine, line=style, acceleration=(50_000.0, 50_000.0))
    return replace(case, machine=machine, moves=plan([(1, spots * UNIT)], speed=400.0))


@pytest.mark.parametrize("kind", KINDS)
def test_nine_tenths_of_the_line_are_used(kind: str) -> None:
    case = dense(kind)
    run, style = whole_run(case), case.machine.line
    machine = (
        Controller(speed=400.0)
        if case.language == "gcode"
        else Plotter(size=255, speed=400 / UNIT, handshake=style.handshake)
    )
    line = SimulatedLine(machine, PtyEnd(style), style, step=0.002)
    flow = flow_of(run, line)
    flow.begin()
    flow.until = len(run.script)
    while flow.sent < 3:  # a buffer is measured first
        flow.step()
        line.wait(flow.nap)
    begun, done = line.now(), int(run.script.ends[flow.sent - 1])
    while flow.sent < len(run.script) or line.waiting():
        flow.step()
        line.wait(flow.nap)
    sent = int(run.script.ends[-1]) - done
    assert sent / style.rate >= 0.9 * (line.now() - begun)
    line.close()


@pytest.mark.parametrize("kind", ["poll", "gcode", "gcode-window"])
@pytest.mark.parametrize("when", [3.0, 6.0, 9.0])
def test_some_two_seconds_of_motion_are_sent_ahead(kind: str, when: float) -> None:
    """Where answers tell how far the machine is: so long it goes on when nothing more is sent, however large its buffer."""
    case = case_of(3, faulty=False, kind=kind)
    style = replace(case.machine.line, buffer=4096, window=2000 * (kind == "gcode-window"), dwell_waits=False)
    case = replace(case, machine=replace(case.machine, line=style))
    run = whole_run(case)
    machine = (
        Controller(size=4096, blocks=100)
        if case.language == "gcode"
        else Plotter(size=4096, speed=50 / UNIT, handshake=style.handshake)
    )
    line = SimulatedLine(machine, PtyEnd(style), style)
    flow = flow_of(run, line)
    flow.begin()
    flow.until = len(run.script)
    while line.now() < when:
        flow.step()
        line.wait(flow.nap)
    assert not flow.idle
    line.finish(1000)
    goes_on = line.now() - when
    assert goes_on < style.ahead + float(run.script.seconds.max()) + 0.3
    line.close()


def _script(kind: str = "poll", **changes: object):  # type: ignore[no-untyped-def]
    case = case_of(1, faulty=False, kind=kind)
    style = replace(
        LineStyle(speed=9600, handshake=kind if "gcode" not in kind else "unsaid", wake=0.0), **changes
    )
    return whole_run(replace(case, machine=replace(case.machine, line=style))), style


def test_what_holds_back_is_agreed_on_as_the_manual_has_it() -> None:
    """HP 7470A Interfacing and Programming Manual, pp. 10-20 to 10-39."""
    said = {}
    for kind, changes in (
        ("enquire", {}),
        ("hardware", {"control": True}),
        ("xon-xoff", {"control": True}),
        ("hardware", {}),
        ("poll", {}),
    ):
        run, _ = _script(kind, **changes)
        tape = Tape()
        flow_of(run, tape).begin()
        said[kind, bool(changes)] = tape.written
    assert said == {
        ("enquire", False): b"\x1b.H80;5;6:",
        ("hardware", True): b"\x1b.@;1:",
        ("xon-xoff", True): b"\x1b.I81;0;17:\x1b.N;19:",
        ("hardware", False): b"",
        ("poll", False): b"",
    }


def test_polling_never_sends_more_than_there_is_room_for() -> None:
    run, style = _script()
    tape = Tape()
    flow = Poll(tape, run.script, style)
    flow.until = len(run.script)
    for _ in range(8):
        asked = tape.written.count(b"\x1b.B")
        flow.step()
        tape.said = b"100\r" * (tape.written.count(b"\x1b.B") - asked) if not flow.size else b""
        tape.clock += 0.5
    assert flow.size == 100
    assert 0 < len(tape.written.replace(b"\x1b.B", b"")) <= 100
    for nonsense in (b"250\r", b"x99\r", b"\xff40\r", b"\r"):
        sent = flow.sent
        tape.said = nonsense
        flow.step()
        assert flow.sent == sent


def test_an_acknowledgement_grants_one_block_and_no_second() -> None:
    run, style = _script("enquire")
    tape = Tape()
    flow = Enquiry(tape, run.script, style)
    flow.until = len(run.script)
    flow.step()
    assert tape.written == b"\x05"
    tape.said = b"\x06\x06\x06"
    flow.step()
    assert 0 < len(tape.written.replace(b"\x05", b"")) <= style.block
    tape.written = b""
    flow.step()
    assert b";" not in tape.written


def test_a_machine_that_is_elsewhere_is_refused() -> None:
    """OA tells where the tool stands; an answer that was lost on the way does no harm, a place that fits nowhere does."""
    run, style = _script("enquire", confirm=True)
    tape = Tape()
    flow = Enquiry(tape, run.script, style)
    flow.until = len(run.script)
    ends = np.flatnonzero(np.diff(run.script.before) > 0) + 1
    while flow.sent < ends[1]:
        flow.step()
        tape.said = b"\x06"
    x, y = run.script.places[ends[1] - 1].astype(int)
    tape.said = b"%d,%d,0\r" % (x, y)
    flow.step()
    assert flow.certain == ends[1]
    while flow.sent < ends[2]:
        tape.said = b"\x06"
        flow.step()
    tape.said = b"%d,%d,0\r" % (x + 500, y)
    with pytest.raises(NotTaken, match="something on the way was lost"):
        flow.step()


def test_a_refused_line_is_named_and_noise_is_no_answer() -> None:
    run, style = _script("gcode")
    tape = Tape()
    flow = Answered(tape, run.script, style, 16)
    flow.until = len(run.script)
    flow.step()
    assert (flow.sent, flow.taken) == (1, 0)
    for noise in (b"[MSG: ok then]\r\n", b"<Idle>\r\n", b"look\r\n"):
        tape.said = noise
        flow.step()
    assert (flow.sent, flow.taken) == (1, 0)
    tape.said = b"\xfe\x80ok\r\n"
    flow.step()
    assert (flow.sent, flow.taken) == (2, 1)
    tape.said = b"error:20\r\n"
    with pytest.raises(NotTaken, match=r"refuses 'M3 S30': error:20"):
        flow.step()


def test_a_silent_machine_is_lost_only_after_what_it_may_be_at() -> None:
    run, style = _script("gcode")
    tape = Tape()
    flow = Answered(tape, run.script, style, 16)
    flow.until = len(run.script)
    flow.step()
    tape.clock += style.patience - 1
    assert not flow.overdue()
    tape.clock += 1 + 2 * float(run.script.seconds[0]) + 0.1
    assert flow.overdue()


def test_nothing_is_sent_before_she_goes_on() -> None:
    run, _ = _script("gcode")
    tape = Tape()
    sending = Sending([run], tape, SendLog(None))
    events = iter(sending)
    next(events)
    assert tape.written == b""
    sending.stop()
    assert next(events).said == "Stopped; the machine was sent nothing that works."
    assert tape.written == b""
