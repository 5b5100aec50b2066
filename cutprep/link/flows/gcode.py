"""G-code to a controller: each line is answered, `ok` or `error`; never more is unanswered than fits.

A line that is answered has been understood, not run: a controller plans some moves ahead. Which ones are certain
follows from how many it plans, or from G4, which some answer only when all before has been run. How much motion is
sent ahead is kept small by the estimate of each line's time.
"""

from __future__ import annotations

import re
from collections import deque

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
            if _REFUSED.fullmatch(text):
                said = self.script.pieces[min(self.taken, len(self.script) - 1)].decode("ascii").strip()
                raise NotTaken(
                    f"the machine refuses '{said}': {text[:60]}",
                    fix="Its manual says what that means.",
                )
            if _OK.fullmatch(text) and self._open:
                self.alive()
                self._open.popleft()
                self.taken = min(self.taken + 1, self.sent)
        while self.taken < self.sent and not self._open:
            self.taken += 1  # lines that were left out are answered by nobody
        self._settle()

    def ask(self) -> None:
        """Answers come without being asked for."""

    def _settle(self) -> None:
        """What has been run for certain."""
        planned = int(self._moves[self.taken])
        run = int(np.searchsorted(self._moves, planned - self._blocks, "right")) - 1
        self.certain = max(self.certain, min(run, self.taken) if planned > self._blocks else 0)
        last = self.script.pieces[self.taken - 1] if self.taken else b""
        if self.style.dwell_waits and _DWELL.match(last):
            self.certain = max(self.certain, self.taken)
        if self.taken == len(self.script) and self.line.now() >= self._busy:
            self.certain = self.taken

    @property
    def idle(self) -> bool:
        """Whether all is answered, and by the estimate also run."""
        return super().idle and self.line.now() >= self._busy

    def _at_work(self) -> float:
        return max(self._busy - self._moved, 0.0)

    def discard(self) -> bytes:
        """The character that resets the controller, where it has one."""
        return self.style.reset.encode("ascii")
