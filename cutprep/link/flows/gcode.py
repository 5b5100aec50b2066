"""G-code to a controller: each line is answered, `ok` or `error`; never more is unanswered than fits.

A line that is answered has been understood, not run: a controller plans some moves ahead. Which ones are certain
follows from how many it plans, from G4, which some answer only when all before has been run, or from the report of its
state, which some give at once. Where there is neither, nobody knows when the last has been run. How much motion is sent
ahead is kept small by the estimate of each line's time.
"""

from __future__ import annotations

import re
from collections import deque
from contextlib import suppress

import numpy as np

from cutprep.link.flows.flow import Flow, NotTaken
from cutprep.link.line import OpenLine
from cutprep.link.script import PAUSE, Script
from cutprep.profile.line import LineStyle

_REFUSED = re.compile(r"\s*(error|alarm|!!)\b.*", re.IGNORECASE)
#: Noise on the line may stand before an answer; a word of the machine's may not.
_OK = re.compile(r"(?:.*[^\x20-\x7e])?ok\s*", re.IGNORECASE)
_DWELL = re.compile(rb"(?:N\d+ ?)?G0?4\b")
_MOTION = re.compile(rb".*\bG0?[0123]\b")
#: A report of the state, with the place in the machine's frame or in the file's: common practice, no published source.
_REPORT = re.compile(r".*<([A-Za-z]+)[^<>]*>\s*")
_PLACE = re.compile(r"\b(MPos|WPos|WCO):(-?\d+\.?\d*),(-?\d+\.?\d*)")
#: It is answered when all before has been run, and takes no time, in seconds or milliseconds.
_ALL_RUN = b"G4 P0.01\n"
#: Between questions for the state, s.
_AGAIN = 0.3


class Answered(Flow):
    """Lines, one after the other or within a counted window.

    Parameters
    ----------
    line, script, style
        As for `Flow`.
    blocks
        Moves that the controller plans ahead.
    """

    answers = True

    def __init__(self, line: OpenLine, script: Script, style: LineStyle, blocks: int) -> None:
        super().__init__(line, script, style)
        self._blocks = blocks
        self._open: deque[int] = deque()  # bytes of each unanswered line
        self._busy = line.now()  # until when the motion on its way lasts, by the estimate
        self._ended = False  # G4 was sent behind all that may go
        self._looked = -_AGAIN
        self._state = ""
        self._place: dict[str, tuple[float, float]] = {}
        moving = [_MOTION.match(piece) is not None for piece in script.pieces]
        self._moves = np.concatenate(([0], np.cumsum(moving)))

    def begin(self) -> None:
        """Wait until a controller that starts anew when its port is opened listens; what it says then is no answer."""
        end = self.line.now() + self.style.wake
        while (left := end - self.line.now()) > 0:
            self.line.wait(left)
            self.line.read()
        self._open.clear()

    def out(self, piece: int) -> bytes:
        """A line; one at which the controller would wait is left out: the sender has waited in its place."""
        said = super().out(piece)
        if PAUSE.match(said.decode("ascii")):
            return b""
        self._open.append(len(said))
        now = self.line.now()
        self._busy = max(self._busy, now) + float(self.script.seconds[piece])
        return said

    def fits(self, count: int) -> bool:
        """Whether so many bytes fit into the window."""
        return not self._open or sum(self._open) + count <= self.style.window

    def put(self, data: bytes) -> None:
        """Say something beside the pieces; a line of it is answered like any other."""
        if data.endswith(b"\n"):
            self._open.append(len(data))
        super().put(data)

    def may(self, piece: int) -> bool:
        """Whether it fits into the window, and no more motion is on its way than may be."""
        return self.fits(len(self.script.pieces[piece])) and self._busy - self.line.now() < self.style.ahead

    def hear(self, data: bytes) -> None:
        """Count answers.

        Raises
        ------
        NotTaken
            When a line is refused; which one is told.
        """
        for answer in self.lines(data, b"\n"):
            text = answer.decode("latin-1").strip()
            report = _REPORT.fullmatch(text)
            if report is not None:
                self._heard_state(report[1], text)
                continue
            if _REFUSED.fullmatch(text):
                said = self.script.pieces[min(self.taken, len(self.script) - 1)].decode("ascii").strip()
                raise NotTaken(
                    f"the machine refuses '{said}': {text[:60]}",
                    fix="Its manual says what that means.",
                )
            if _OK.fullmatch(text) and self._open:
                self.alive()
                self._open.popleft()
                if self._ended and not self._open:
                    self._ended, self.certain = False, self.taken
                self.taken = min(self.taken + 1, self.sent)
        while self.taken < self.sent and not self._open:
            self.taken += 1  # lines that were left out are answered by nobody
        self._count_certain()

    def _heard_state(self, state: str, text: str) -> None:
        """Take in a report: a controller that is idle has run all that it has answered for."""
        self.alive()
        self._state = state.capitalize()
        self.told = "" if self._state in ("Idle", "Run") else f"the machine reports: {self._state}"
        if self._state == "Alarm":
            raise NotTaken("the machine reports an alarm", fix="Its manual says what that means.")
        self._place |= {name: (float(x), float(y)) for name, x, y in _PLACE.findall(text)}
        if self._state == "Idle" and self._all_answered:
            self.certain = max(self.certain, self.taken)

    @property
    def _all_answered(self) -> bool:
        return self.taken == self.sent and not self._open and not self._rest

    def ask(self) -> None:
        """Ask when all that may go has been run, where that can be asked; other answers come by themselves."""
        if self.sent < self.until or not self._all_answered or self.certain >= self.until:
            return
        if self.style.status:
            self._ask_state()
        elif self.style.dwell_waits and not self._ended:
            self._ended = True
            self.put(_ALL_RUN)

    def _ask_state(self) -> None:
        if self.line.now() - self._looked >= _AGAIN:
            self._looked = self.line.now()
            self.put(self.style.status.encode("ascii"))

    @property
    def ends(self) -> bool:
        """Whether it tells when all has been run."""
        return bool(self.style.status or self.style.dwell_waits)

    def last_word(self) -> str:
        """Ask for its state until it stands still: all that it has answered for has been run then."""
        if not self.style.status:
            return ""
        end, still = self.line.now() + self.style.patience + self._at_work(), 0
        self._state = ""
        while self.line.now() < end and still < 2:  # a line that has just come in may begin between
            self._ask_state()
            self.line.wait(_AGAIN)
            with suppress(NotTaken):
                self.hear(self.line.read())
            still = still + 1 if self._state == "Idle" else 0
        if not self._state:
            return ""
        if still < 2:
            return f" It reports: {self._state}."
        self.certain = max(self.certain, self.taken)
        place = self._place.get("WPos")
        if place is None and "MPos" in self._place and "WCO" in self._place:
            (x, y), (dx, dy) = self._place["MPos"], self._place["WCO"]
            place = (x - dx, y - dy)
        where = f" at X {place[0]:.2f}, Y {place[1]:.2f}" if place is not None else ""
        return f" It reports that it stands still{where}: what it has answered for is done."

    def _count_certain(self) -> None:
        """What has been run for certain."""
        planned = int(self._moves[self.taken])
        run = int(np.searchsorted(self._moves, planned - self._blocks, "right")) - 1
        self.certain = max(self.certain, min(run, self.taken) if planned > self._blocks else 0)
        last = self.script.pieces[self.taken - 1] if self.taken else b""
        if self.style.dwell_waits and _DWELL.match(last):
            self.certain = max(self.certain, self.taken)

    @property
    def idle(self) -> bool:
        """Whether all is answered, and run: as the machine says, or where it says nothing, by the estimate."""
        ended = self.certain >= self.until if self.ends else self.line.now() >= self._busy
        return super().idle and not self._open and ended

    def _at_work(self) -> float:
        return max(self._busy - self._moved, 0.0)

    def discard(self) -> bytes:
        """The character that resets the controller, where it has one."""
        return self.style.reset.encode("ascii")
