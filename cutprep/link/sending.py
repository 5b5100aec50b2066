"""Sending machine files: an iterator of events that waits for her where she is needed, and stops when she says so.

    for event in sending:
        show(event)
        if event.kind is EventKind.ASKS:
            sending.go()        # or sending.stop(), at any moment and from any thread

Nothing moves before the first `go`. The machine's own switch is the emergency stop; `stop` sends nothing more and
asks the machine to forget and to lift, which takes as long as what it is at.
"""

from __future__ import annotations

import threading
from collections.abc import Generator, Iterator, Sequence
from contextlib import suppress

from cutprep.errors import JobError
from cutprep.link.events import EventKind, LinkEvent
from cutprep.link.flows.flow import BRIEF, LONG, Flow, NotTaken, Unanswered
from cutprep.link.flows.gcode import Answered
from cutprep.link.flows.hpgl import Enquiry, Poll
from cutprep.link.line import LineLost, OpenLine
from cutprep.link.log import SendLog
from cutprep.link.runs import Run, frame_run
from cutprep.link.script import Script
from cutprep.link.words import first_words, which_is_certain
from cutprep.stages.write.machine_file import lifting
from cutprep.units import plural, say_time

#: Progress is told no more often, s.
_PAUSE = 1.0
#: How long Stop waits for the line to take what is begun, and what lifts the tool, s.
_STOPPING = 3.0
#: Between holding and resetting a controller, so that it has come to rest, s.
_RESTING = 0.5


def flow_of(run: Run, line: OpenLine, script: Script | None = None) -> Flow:
    """The way of holding back that a machine is known for."""
    script, style = script or run.script, run.machine.line
    if script.language == "gcode":
        return Answered(line, script, style, run.machine.blocks)
    if style.handshake == "poll":
        return Poll(line, script, style)
    if style.handshake == "enquire":
        return Enquiry(line, script, style)
    return Unanswered(line, script, style)


def refuse_unasked(runs: Sequence[Run]) -> None:
    """Refuse to start without her where she is needed in between.

    Raises
    ------
    JobError
        When there is more than one file, or a tool to change by hand.
    """
    if len(runs) > 1 or runs[0].script.stops:
        raise JobError(
            "only one file for one sheet, without a change of tool by hand, may start unasked",
            fix="Leave --yes out, or name one sheet with --sheet: the next one would be cut on the same card.",
        )


class Sending:
    """Machine files on their way to a machine.

    Parameters
    ----------
    runs
        In the order of running.
    line
        To the machine; it is closed at the end.
    log
        Takes all that is sent and told.
    frame
        Go around the first sheet with the tool up before anything is worked, and wait.
    unasked
        Start without waiting for her: only for one sheet, without a change of tool by hand.

    Raises
    ------
    JobError
        When it may not start unasked.
    """

    def __init__(
        self, runs: Sequence[Run], line: OpenLine, log: SendLog, *, frame: bool = False, unasked: bool = False
    ) -> None:
        if unasked:
            refuse_unasked(runs)
        self._runs, self._line, self._log = tuple(runs), line, log
        self._frame, self._unasked = frame, unasked
        self._go, self._stop, self._hold = threading.Event(), threading.Event(), threading.Event()
        self._flow: Flow | None = None
        self._run = self._runs[0]
        self._over = False

    def go(self) -> None:
        """Go on where it waits for her."""
        self._go.set()

    def hold(self) -> None:
        """Send nothing more for now, and wait for her; a controller that can be held at once is."""
        self._hold.set()

    def stop(self) -> None:
        """Stop: nothing more is sent, what can be forgotten is, the tool is lifted."""
        self._stop.set()

    def __iter__(self) -> Iterator[LinkEvent]:
        """Send; each event as it comes, the last one tells how it ended."""
        try:
            for number, run in enumerate(self._runs):
                self._run, self._flow = run, None
                for event in self._one(number, run):
                    self._say(event.said)
                    yield event
                if self._over:
                    return
        finally:
            self._line.close()
            self._log.close()

    def _one(self, number: int, run: Run) -> Iterator[LinkEvent]:
        """One machine file."""
        try:
            if not (self._unasked and number == 0 and not self._frame) and not (
                yield from self._ask(
                    first_words(run, self._runs[number - 1] if number else None, self._line.name)
                )
            ):
                return
            if self._frame and number == 0 and not (yield from self._trace(run)):
                return
            flow = self._begin(run.script)
            if (yield from self._work(flow, run)):
                yield self._end(flow)
        except LineLost as fault:
            yield self._broken(f"The line to {self._line.name} is lost ({fault.problem}).")
        except NotTaken as fault:
            yield from self._halt(f"Stopped: {fault.problem}. {fault.fix}", EventKind.LOST)

    def _begin(self, script: Script) -> Flow:
        self._flow = flow_of(self._run, self._line, script)
        self._flow.begin()
        self._say(f"begins: {len(script)} instructions, {script.strokes} strokes")
        return self._flow

    def _trace(self, run: Run) -> Generator[LinkEvent, None, bool]:
        """Around the sheet with the tool up, and wait; False when she stops."""
        flow = self._begin(frame_run(run).script)
        if not (yield from self._work(flow, run)):
            return False
        self._flow = None
        return (
            yield from self._ask(
                "The tool has gone around all that is worked. Go on if it stays on the card."
            )
        )

    def _work(self, flow: Flow, run: Run) -> Generator[LinkEvent, None, bool]:
        """Send all of a script; False when it ended before."""
        stops = sorted(flow.script.stops)
        told, shown = self._line.now(), -1
        for until in (*stops, len(flow.script)):
            flow.until = until
            while not flow.idle:
                if self._stop.is_set():
                    yield from self._halt("Stopped.", EventKind.STOPPED)
                    return False
                if self._hold.is_set() and not (yield from self._held(flow)):
                    return False
                sent = flow.sent
                happened = flow.step()
                self._log_pieces(flow, sent)
                if not happened:
                    if flow.overdue():
                        yield from self._halt(self._silent(flow), EventKind.LOST)
                        return False
                    self._line.wait(flow.nap)
                now, done = self._line.now(), int(flow.script.before[flow.certain])
                if now - told >= _PAUSE and (done != shown or now - told >= 5 * _PAUSE):
                    told, shown = now, done
                    yield self._goes(flow)
            if until in flow.script.stops:
                name = run.tool(flow.script.stops[until])
                if not (
                    yield from self._ask(
                        f"When the machine stands still, put the {name} in; the card stays as it lies. If the machine"
                        " waits as well, go on there after you go on here."
                    )
                ):
                    return False
        return True

    def _ask(self, words: str) -> Generator[LinkEvent, None, bool]:
        """Wait for her; False when she stops."""
        self._go.clear()
        yield self._event(EventKind.ASKS, words)
        while not self._go.is_set():
            if self._stop.is_set():
                if self._flow is not None:
                    yield from self._halt("Stopped.", EventKind.STOPPED)
                else:
                    self._over = True
                    yield self._event(EventKind.STOPPED, "Stopped; the machine was sent nothing that works.")
                return False
            self._line.wait(LONG)
        if self._flow is not None:
            self._flow.alive()
        self._say("she goes on")
        return True

    def _held(self, flow: Flow) -> Generator[LinkEvent, None, bool]:
        """Hold until she goes on; False when she stops."""
        self._hold.clear()
        style, gcode = self._run.machine.line, flow.script.language == "gcode"
        now = gcode and style.hold and style.resume
        if now:
            self._line.write(style.hold.encode("ascii"))
        runs_on = "" if now else f" What it has already may still run, {say_time(flow.ahead)}."
        if not (yield from self._ask(f"Held: nothing more is sent.{runs_on} Go on, or stop?")):
            return False
        if now:
            self._line.write(style.resume.encode("ascii"))
        return True

    def _halt(self, why: str, kind: EventKind) -> Iterator[LinkEvent]:
        """Send nothing more; make the machine forget and lift, as far as it can be made to."""
        self._over = True
        flow, line = self._flow, self._line
        assert flow is not None  # before a flow there is nothing to halt
        runs_on, style = flow.ahead, self._run.machine.line
        try:
            reached = self._flushed(flow)
            forgotten = flow.discard() if reached else b""
            if forgotten and flow.script.language == "gcode":
                if style.hold:
                    flow.put(style.hold.encode("ascii"))
                    line.wait(_RESTING)
                flow.put(forgotten)
                flow.begin()  # it starts anew
            elif forgotten:
                flow.put(forgotten)
            for row in lifting(self._run.machine, flow.script.language).splitlines():
                reached = reached and self._makes_room(flow, len(row) + 1)
                if reached:
                    flow.put(f"{row}\n".encode("ascii"))
            reached = reached and self._flushed(flow)
        except LineLost as fault:
            yield self._broken(f"{why} The line to {line.name} is lost ({fault.problem}).")
            return
        self._log_pieces(flow, flow.sent)
        rows = [why]
        if forgotten:
            rows.append("The machine was told to forget what it had not drawn.")
        elif runs_on > 0 or not flow.answers:
            rows.append(f"What it has already may still run: {say_time(max(runs_on, 1.0))} or so.")
        rows.append(
            "It was told to lift the tool; look whether it has."
            if reached
            else "It takes nothing more, so the tool may be down: use the machine's own switch, and lift it by hand."
        )
        yield self._event(kind, " ".join((*rows, self._where(flow))))

    def _makes_room(self, flow: Flow, count: int) -> bool:
        """Wait until the machine has answered so far that it can take some bytes more; False when it does not."""
        flow.until = flow.sent
        end = self._line.now() + _STOPPING + 2 * flow.ahead
        while not flow.fits(count):
            if self._line.now() >= end:
                return False
            with suppress(NotTaken):
                flow.step()
            self._line.wait(BRIEF)
        return True

    def _flushed(self, flow: Flow) -> bool:
        """Wait until what is begun has been taken by the line; False when it does not take it."""
        end = self._line.now() + _STOPPING
        while not flow.flush() or self._line.waiting():
            if self._line.now() >= end:
                return False
            self._line.wait(BRIEF)
            self._line.read()
        return True

    def _broken(self, why: str) -> LinkEvent:
        """The line is gone."""
        self._over = True
        flow = self._flow
        if flow is None:
            return self._event(EventKind.LOST, f"{why} Nothing was worked.")
        return self._event(
            EventKind.LOST,
            f"{why} What the machine has already may still run, and the tool may be down: use its own switch, and"
            f" lift the tool. {self._where(flow)}",
        )

    def _silent(self, flow: Flow) -> str:
        if flow.answers:
            return f"The machine has not answered for too long.{flow.last_word()}"
        return "The machine has taken nothing for too long."

    def _end(self, flow: Flow) -> LinkEvent:
        """All was sent."""
        more = self._run is not self._runs[-1]
        if flow.ends:
            whole = "" if more else " That was the last one."
            return self._event(EventKind.FINISHED, f"{self._run.file} is finished.{whole}")
        if flow.answers:
            return self._event(
                EventKind.SENT,
                f"All of {self._run.file} was sent, and taken. This machine does not tell when it has finished: look whether"
                " it has before you touch the card.",
            )
        return self._event(
            EventKind.SENT,
            f"All of {self._run.file} was sent. This machine does not answer: look whether it has finished before you"
            " touch the card.",
        )

    def _where(self, flow: Flow) -> str:
        """Which stroke is certain."""
        skipped, total = self._run.skipped, self._run.skipped + self._run.script.strokes
        if flow.script is not self._run.script:
            return "Nothing was worked."
        done, begun = self._strokes(flow)
        if begun == skipped:
            return "No stroke was begun."
        return which_is_certain(done, begun, total)

    def _strokes(self, flow: Flow) -> tuple[int, int]:
        """Strokes of the whole file that are certain, and that were begun."""
        skipped, script = self._run.skipped, flow.script
        return skipped + int(script.before[flow.certain]), skipped + int(script.begun[flow.sent])

    def _goes(self, flow: Flow) -> LinkEvent:
        """How far it is."""
        if flow.script is not self._run.script:
            return self._event(EventKind.GOES, "The tool goes around the sheet, up.")
        done, begun = self._strokes(flow)
        total = self._run.skipped + self._run.script.strokes
        word = (
            f"{plural(done, 'stroke')} of {total} done"
            if flow.answers
            else f"stroke {begun} of {total} is sent"
        )
        held = f"; {flow.told}" if flow.told else ""
        return self._event(EventKind.GOES, f"{word}, {say_time(self._left())} left{held}")

    def _left(self) -> float:
        """Seconds until all is done, about: of motion, or of the line where that takes longer."""
        at = self._runs.index(self._run)
        rest = 0.0
        for run in self._runs[at:]:
            done = 0
            if run is self._run and self._flow is not None and self._flow.script is run.script:
                done = self._flow.taken
            script = run.script
            size = sum(map(len, script.pieces[done:]))
            moving = float(script.seconds[done:].sum())
            rest += max(moving, size / self._line.rate if self._line.rate else 0.0)
        return rest

    def _event(self, kind: EventKind, said: str) -> LinkEvent:
        run, flow = self._run, self._flow
        done = sent = run.skipped
        if flow is not None and flow.script is run.script:
            done, sent = self._strokes(flow)
        return LinkEvent(
            kind=kind,
            said=said,
            file=run.file,
            sheet=run.sheet,
            sheets=run.sheets,
            strokes=run.skipped + run.script.strokes,
            done=done,
            sent=sent,
            seconds_left=self._left(),
        )

    def _log_pieces(self, flow: Flow, first: int) -> None:
        while flow.beside:
            self._say(f"beside the file: {flow.beside.pop(0)!r}")
        for k in range(first, flow.sent):
            self._say(f"{k + 1} {flow.script.pieces[k].decode('ascii').strip()}")

    def _say(self, what: str) -> None:
        self._log.say(self._line.now(), what)
