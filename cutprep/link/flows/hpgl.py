"""HP-GL to a plotter that answers: enquire and acknowledge, or polling of the free room.

Device-control instructions begin with ESC and a full stop, pass the buffer by and are carried out at once (HP
7470A Interfacing and Programming Manual, chapter 10, pp. 10-20 to 10-39). OA is answered by the position in its
turn, when what came before has been drawn, so it tells which stroke is certain.
"""

from __future__ import annotations

import re
from collections import deque

import numpy as np

from cutprep.link.flows.flow import Flow, NotTaken
from cutprep.link.line import OpenLine
from cutprep.link.script import Script
from cutprep.profile.line import LineStyle

_NUMBER = re.compile(rb"\d{1,8}")
_POSITION = re.compile(rb"(-?\d{1,10}),(-?\d{1,10}),([01])")
#: Another question follows when an answer is late, s.
_LATE = 2.0
#: Two equal answers, so far apart, tell how large an empty buffer is; as often is looked whether all is drawn, s.
_QUIET = 0.3
#: Between questions on a line whose speed is not known, s.
_SHORT = 0.05


class _Confirmed(Flow):
    """Strokes whose ends the machine confirms by OA."""

    answers = True

    def __init__(self, line: OpenLine, script: Script, style: LineStyle) -> None:
        super().__init__(line, script, style)
        whole = np.flatnonzero(np.diff(script.before) > 0) + 1
        #: After these pieces the position is asked for: a stroke is whole, or all is said.
        self._checked = frozenset({*whole.tolist(), len(script)}) if style.confirm else frozenset()
        self._positions: deque[int] = deque()

    def out(self, piece: int) -> bytes:
        """A piece, and behind the end of a stroke the question for the position."""
        said = super().out(piece)
        if piece + 1 in self._checked:
            self._positions.append(piece + 1)
            said += b"OA;"
        return said

    def discard(self) -> bytes:
        """ESC.K: the instructions in the buffer are forgotten."""
        return b"\x1b.K"

    def heard_position(self, answer: bytes) -> bool:
        """Take an answer to OA; False when it is none.

        Raises
        ------
        NotTaken
            When the machine is elsewhere than it should be.
        """
        match = _POSITION.fullmatch(answer)
        if match is None or not self._positions:
            return False
        spot = np.array([int(match[1]), int(match[2])])
        # An answer may have been lost on the way: a later question's place will do, no other.
        near = [
            k for k, p in enumerate(self._positions) if np.abs(self.script.places[p - 1] - spot).max() <= 1
        ]
        if not near:
            wanted = self.script.places[self._positions[0] - 1]
            raise NotTaken(
                f"the machine says that it stands at {spot[0]}, {spot[1]}, and should stand at {wanted[0]:.0f},"
                f" {wanted[1]:.0f}: something on the way was lost",
                fix="Look at the handshake and the speed under [line] in the machine's profile.",
            )
        self.alive()
        piece = self._positions[near[0]]
        for _ in range(near[0] + 1):
            self._positions.popleft()
        self.certain = max(self.certain, piece)
        self.taken = max(self.taken, piece)
        return True


class Enquiry(_Confirmed):
    """Enquire and acknowledge: a block is sent when the machine has answered that it fits.

    What it has drawn is known by OA where the profile says that it answers, and at the end, and before a tool is
    changed, by ESC.O (8: the buffer is empty).
    """

    def __init__(self, line: OpenLine, script: Script, style: LineStyle) -> None:
        super().__init__(line, script, style)
        self._granted = 0
        self._asked: float | None = None
        self._looked = -_LATE
        self._looks: deque[int] = deque()  # pieces that were sent before each unanswered ESC.O
        self._ends = script.ends

    def begin(self) -> None:
        """ESC.H block; enquiry; acknowledge: (mode 1)."""
        style = self.style
        self.put(b"\x1b.H%d;%d;%d:" % (style.block, style.enquiry, style.acknowledge))

    def may(self, piece: int) -> bool:
        """Whether it fits into what is left of the block."""
        size = len(self.script.pieces[piece]) + (3 if piece + 1 in self._checked else 0)
        if size > self._granted:
            return False
        self._granted -= size
        return True

    def ask(self) -> None:
        """Enquire, once until the answer; again when it is late. When all is said, look whether it is drawn."""
        now = self.line.now()
        if self.sent < self.until:
            if self._asked is None or now - self._asked > _LATE + 2 * self._at_work():
                late, self._asked = self._asked is not None, now
                self.put(
                    bytes([self.style.enquiry]) + (b"\x1b.O" if late else b"")
                )  # is it held at its panel?
        elif self.taken < self.sent and now - self._looked > _QUIET:
            self._looked = now
            self._look()

    def _look(self) -> None:
        self._looks.append(self.sent)
        self.put(b"\x1b.O")

    def hear(self, data: bytes) -> None:
        """Acknowledgements, positions and status between them."""
        mark = self.style.acknowledge
        if mark in data and self._asked is not None:
            self.alive()
            self._asked = None  # a second answer, to a question that was put again, grants nothing
            self._granted = self.style.block
            # A block fits: no more than the rest of the buffer is still to be drawn.
            total = int(self._ends[self.sent - 1]) if self.sent else 0
            held = max(self.style.buffer - self.style.block, 0)
            self.taken = max(self.taken, int(np.searchsorted(self._ends, total - held, "right")))
        for answer in self.lines(bytes(b for b in data if b != mark), b"\r"):
            if not self.heard_position(answer) and _NUMBER.fullmatch(answer):
                self._heard_status(int(answer))

    def _heard_status(self, status: int) -> None:
        """ESC.O: 8, the buffer is empty (p. 10-39); 16 and 32, the machine is held at its panel."""
        self.alive()
        before = self._looks.popleft() if self._looks else -1
        if before == self.sent >= self.until and status & 8:
            self.taken = self.certain = self.sent
        self.told = "the machine is held at its panel" if status & 48 else ""


class Poll(_Confirmed):
    """Polling of the free room: never more is sent than the machine has said it has room for."""

    def __init__(self, line: OpenLine, script: Script, style: LineStyle) -> None:
        super().__init__(line, script, style)
        self.size = 0
        sizes = [len(piece) + 3 * (k + 1 in self._checked) for k, piece in enumerate(script.pieces)]
        self._ends = np.concatenate(([0], np.cumsum(sizes, dtype=np.int64)))
        self._consumed = 0
        self._questions: deque[int] = deque()  # bytes that were sent before each unanswered question
        self._asked = -_LATE
        self._first: int | None = None

    def begin(self) -> None:
        """Nothing is agreed on: the first answers tell how large the buffer is."""

    def may(self, piece: int) -> bool:
        """Whether there is room, and no more motion on its way than may be."""
        if not self.size:
            return False
        on_way = int(self._ends[piece + 1]) - self._consumed
        moving = float(self.script.seconds[self.taken : piece].sum())
        return on_way <= self.size and (moving < self.style.ahead or piece - self.taken < 2)

    def ask(self) -> None:
        """ESC.B: one question at a time; another when the answer is late."""
        now = self.line.now()
        if self.idle and self.size:
            return
        pause = _LATE if self._questions else self._pause()
        if now - self._asked >= pause:
            self._asked = now
            self._questions.append(int(self._ends[self.sent]))
            self.put(b"\x1b.B")

    @property
    def nap(self) -> float:
        """Until the next question, or its answer."""
        return super().nap if self._questions else min(super().nap, self._pause())

    def _pause(self) -> float:
        """How long to leave the machine alone: nothing that a quarter of its buffer would not take, s."""
        if not self.size:
            return _QUIET
        return min(self.size / 4 / self.line.rate, _QUIET) if self.line.rate else _SHORT

    def hear(self, data: bytes) -> None:
        """The room, and positions between.

        An answer counts for the oldest question, so that one that was lost makes the room look smaller, never larger.
        """
        for answer in self.lines(data, b"\r"):
            if self.heard_position(answer) or not self._questions or not _NUMBER.fullmatch(answer):
                continue
            room = int(answer)
            if not self.size:
                self._heard_first(room)
                continue
            consumed = self._questions[0] - (self.size - room)
            if not self._consumed <= consumed <= self._questions[0]:
                continue  # no answer to this question: garbage, or half of one
            self.alive()
            self._questions.popleft()
            self._consumed = consumed
            self.taken = max(self.taken, int(np.searchsorted(self._ends, consumed, "right")) - 1)
            # The last that was taken may still be drawn, until another one is, or nothing is left.
            empty = consumed == int(self._ends[self.sent])
            self.certain = max(self.certain, self.taken if empty else self.taken - 1)

    def _heard_first(self, room: int) -> None:
        """Two equal answers tell the size of an empty buffer."""
        self._questions.clear()
        if room == self._first and room >= self.style.block:
            self.size = room
        self._first = room
        self._asked = self.line.now()
