"""A pen plotter that speaks HP-GL over a line, after the HP 7470A Interfacing and Programming Manual, chapter 10.

Instructions wait in a buffer; those that begin with ESC and a full stop are obeyed at once. A byte that finds no room
is lost, and the line's error is set (extended error 11 there: here, `overflowed`).
"""

from __future__ import annotations

import re

from tests.machines.encoded import Move, moves_of
from tests.machines.picture import Faults, Leg, Picture, Speaker, seconds_of

_INSTRUCTION = re.compile(r"\s*([A-Z]{2})([-+\d.,\s]*)$")
#: Device-control instructions with numbers, which end with a colon.
_WITH_NUMBERS = "@HIMN"
XON, XOFF = b"\x11", b"\x13"
#: XOFF is said again after so many bytes that come nevertheless.
_AGAIN = 16


class Plotter:
    """The machine.

    Parameters
    ----------
    size
        Bytes of the buffer.
    speed
        Plotter units a second.
    handshake
        What it does without being told: "xon-xoff" and "hardware" are set by switches.
    faults
        What goes wrong.
    """

    def __init__(self, *, size: int, speed: float, handshake: str, faults: Faults | None = None) -> None:
        self.size, self.speed, self.handshake = size, speed, handshake
        self.picture = Picture()
        self.voice = Speaker(faults or Faults())
        self.buffer = bytearray()
        self.overflowed = False
        self._control = bytearray()
        self._enquiry = self._acknowledge = self._block = 0
        self._enquiries = 0
        self._legs: list[Leg] = []
        self._stopped = False
        self._over = 0

    @property
    def ready(self) -> bool:
        """The hardware line: there is room for a block."""
        if self.voice.hangs:
            return False
        return self.handshake != "hardware" or self.size - len(self.buffer) >= 32

    @property
    def busy(self) -> bool:
        return bool(self._legs or b";" in self.buffer)

    def receive(self, data: bytes) -> None:
        """Take bytes from the line."""
        if self.voice.hangs:
            return
        for byte in data:
            self._take(byte)
        self._hold_back()

    def advance(self, dt: float) -> bytes:
        """Let time pass; gives what is answered meanwhile."""
        self.voice.now += dt
        if self.voice.hangs:
            return b""
        left = dt
        while left > 0 and self.busy:
            if self._legs:
                left = self._legs[0].advance(self.picture, left)
                if self._legs[0].gone >= self._legs[0].seconds:
                    del self._legs[0]
            else:
                end = self.buffer.index(b";")
                word = bytes(self.buffer[:end]).decode("latin-1")
                del self.buffer[: end + 1]
                self._obey(word)
        self._hold_back()
        return self.voice.due()

    # --- the line --------------------------------------------------------------------------------

    def _take(self, byte: int) -> None:
        if self._control or byte == 27:
            self._control.append(byte)
            letter = chr(self._control[2]) if len(self._control) > 2 else ""
            if letter and (letter not in _WITH_NUMBERS or byte == ord(":")):
                self._obey_control(letter, bytes(self._control[3:]).rstrip(b":").decode("ascii"))
                self._control.clear()
        elif self._enquiry and byte == self._enquiry:
            self._enquiries += 1
        elif len(self.buffer) >= self.size:
            self.overflowed = True
        else:
            self.buffer.append(byte)
            self._over += 1

    def _obey_control(self, letter: str, numbers: str) -> None:
        if letter == "B":
            self.voice.say(b"%d\r" % (self.size - len(self.buffer)))
        elif letter == "O":
            self.voice.say(b"%d\r" % (0 if self.busy or self.buffer else 8))
        elif letter == "K":
            self.buffer.clear()
        elif letter == "H":
            self._block, self._enquiry, self._acknowledge = map(int, numbers.split(";"))

    def _hold_back(self) -> None:
        free = self.size - len(self.buffer)
        if self._enquiries and free >= self._block:
            self.voice.say(bytes([self._acknowledge]) * 1)
            self._enquiries -= 1
        if self.handshake != "xon-xoff":
            return
        if free < 81 and (not self._stopped or self._over >= _AGAIN):
            self.voice.say(XOFF)
            self._stopped, self._over = True, 0
        elif self._stopped and len(self.buffer) <= min(128, self.size // 2):
            self.voice.say(XON)
            self._stopped, self._over = False, 0

    # --- the language ----------------------------------------------------------------------------

    def _obey(self, word: str) -> None:
        if word.strip().startswith("PE"):
            self._through(list(moves_of(word.strip()[2:].encode("latin-1"), self._place())))
            return
        match = _INSTRUCTION.match(word)
        assert match is not None, f"no HP-GL: {word!r}"
        name, numbers = match[1], [int(n) for n in re.findall(r"-?\d+", match[2])]
        if name in ("PU", "PD"):
            if name == "PD":
                self.picture.lower()
            else:
                self.picture.lift()
            at = self.picture.at
            for spot in zip(numbers[::2], numbers[1::2], strict=True):
                self._legs.append(Leg(spot, seconds_of(at, spot, self.speed)))
                at = spot
        elif name == "OA":
            x, y = self.picture.at
            self.voice.say(b"%d,%d,%d\r" % (x, y, self.picture.down))
        elif name == "IN" or word.strip() == "SP0":
            self.picture.lift()
        else:
            assert name in ("SP", "VS", "FS"), f"{name} is not known to this plotter"

    def _through(self, moves: list[Move]) -> None:
        """PE: all of it with the tool down, as this plotter is told its travels by PU."""
        at = self.picture.at
        self.picture.lower()
        for down, *spot in moves:
            assert down, "a travel within PE"
            x, y = spot
            self._legs.append(Leg((x, y), seconds_of(at, (x, y), self.speed)))
            at = (x, y)

    def _place(self) -> tuple[int, int]:
        x, y = self.picture.at
        return (round(x), round(y))
