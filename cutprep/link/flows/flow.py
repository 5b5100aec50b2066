"""What every way of holding back has in common: pieces go out whole and in order, answers are counted.

Three figures never fall: how many pieces were *sent*, how many the machine has *taken* (it has answered for
them), and how many have been run for *certain*.
"""

from __future__ import annotations

from abc import ABC, abstractmethod

from cutprep.errors import OutputError
from cutprep.link.line import OpenLine
from cutprep.link.script import Script
from cutprep.profile.line import LineStyle

#: Longest that is waited for nothing, s; shortest, so that nothing spins.
LONG, BRIEF = 0.25, 0.01


class NotTaken(OutputError):
    """The machine has answered that it does not take what it was sent, or is not where it should be."""


class Flow(ABC):
    """Pieces on their way.

    Parameters
    ----------
    line
        To the machine.
    script
        What is sent.
    style
        How the machine holds back and answers.

    Attributes
    ----------
    answers
        Whether the machine tells what it has taken.
    """

    answers = False

    def __init__(self, line: OpenLine, script: Script, style: LineStyle) -> None:
        self.line, self.script, self.style = line, script, style
        self.sent = self.taken = self.certain = 0
        self.until = 0
        self.told = ""
        self.beside: list[bytes] = []  # what was said beside the pieces and may move something, for the log
        self._rest = b""  # of what is being handed over
        self._heard = b""  # of an answer that is not whole yet
        self._moved = line.now()

    @abstractmethod
    def may(self, piece: int) -> bool:
        """Whether a piece may go now."""

    @abstractmethod
    def begin(self) -> None:
        """Agree with the machine on how to hold back; nothing moves."""

    @abstractmethod
    def hear(self, data: bytes) -> None:
        """Take in what the machine has answered."""

    @abstractmethod
    def ask(self) -> None:
        """Ask the machine for what is waited for, where it can be asked."""

    def out(self, piece: int) -> bytes:
        """What is sent for a piece."""
        return self.script.pieces[piece]

    @property
    def ends(self) -> bool:
        """Whether it is known when all that was taken has been run."""
        return self.answers

    def last_word(self) -> str:
        """Ask a machine that has not answered for too long what it is at; what it says, in words, or nothing."""
        return ""

    def discard(self) -> bytes:
        """What makes the machine forget what it has not drawn; empty where it can't be made to."""
        return b""

    def step(self) -> bool:
        """Hear what has come in and send what may go; tells whether something has happened."""
        before = (self.sent, self.taken, self.certain, len(self._rest))
        self.hear(self.line.read())
        while self.flush():
            if self.sent >= self.until or not self.may(self.sent):
                self.ask()
                self.flush()
                break
            self._rest += self.out(self.sent)
            self.sent += 1
        if not self.answers:
            self.taken = self.sent - bool(self._rest)
        happened = before != (self.sent, self.taken, self.certain, len(self._rest))
        if happened:
            self._moved = self.line.now()
        return happened

    def fits(self, count: int) -> bool:  # noqa: ARG002 - most lines hold back by themselves, or were told to forget
        """Whether the machine can take so many bytes beside the pieces."""
        return True

    def put(self, data: bytes) -> None:
        """Say something beside the pieces, behind what is being handed over."""
        if data.endswith(b"\n") or data == self.discard():
            self.beside.append(data)
        self._rest += data
        self.flush()

    def flush(self) -> bool:
        """Hand over what is begun; tells whether all of it is."""
        if self._rest:
            self._rest = self._rest[self.line.write(self._rest) :]
        return not self._rest

    @property
    def nap(self) -> float:
        """How long to wait for something to come in before the next step, s."""
        return LONG if self.answers and self.flush() else BRIEF

    @property
    def idle(self) -> bool:
        """Whether all that may go has gone, and is taken where the machine tells."""
        return self.taken >= self.until and not self._rest

    @property
    def ahead(self) -> float:
        """Seconds of motion that may still be run of what was sent."""
        return float(self.script.seconds[self.certain : self.sent].sum())

    def alive(self) -> None:
        """The machine has answered: it is not lost, though it may stand still."""
        self._moved = self.line.now()

    def overdue(self) -> bool:
        """Whether the machine has been silent for longer than what it may be at explains."""
        if self.idle:
            return False
        return self.line.now() - self._moved > self.style.patience + 2 * self._at_work()

    def _at_work(self) -> float:
        """Seconds that what the machine holds may take."""
        return float(self.script.seconds[self.taken : self.sent].sum())

    def lines(self, data: bytes, end: bytes) -> list[bytes]:
        """Whole answers among what has come in; the beginning of another is kept."""
        *whole, self._heard = (self._heard + data)[-100_000:].split(end)
        return whole


class Unanswered(Flow):
    """A machine that only holds back (hardware lines, XON and XOFF, a network port) and answers nothing."""

    @property
    def idle(self) -> bool:
        """Whether all that may go is on its way."""
        return super().idle and not self.line.waiting()

    def begin(self) -> None:
        """Say who holds back, where the machine is known to obey that.

        HP 7470A Interfacing and Programming Manual, pp. 10-20 to 10-39: ESC.@ with bit 0 for the hardware
        line; ESC.I level;0;XON: and ESC.N delay;XOFF: for the two characters.
        """
        if not self.style.control:
            return
        if self.style.handshake == "hardware":
            self.put(b"\x1b.@;1:")
        elif self.style.handshake == "xon-xoff":
            self.put(b"\x1b.I%d;0;17:\x1b.N;19:" % min(self.style.block + 1, self.style.buffer))

    def may(self, piece: int) -> bool:  # noqa: ARG002 - the line holds back
        """The line itself holds back."""
        return True

    def hear(self, data: bytes) -> None:
        """Whatever it says is no answer."""

    def ask(self) -> None:
        """There is nothing to ask."""

    def _at_work(self) -> float:
        """What stands in the machine's buffer, about."""
        held, k = 0, self.sent
        while k > 0 and held < self.style.buffer:
            k -= 1
            held += len(self.script.pieces[k])
        return float(self.script.seconds[k : self.sent].sum())

    def discard(self) -> bytes:
        """ESC.K, where it is obeyed."""
        return b"\x1b.K" if self.style.control else b""
