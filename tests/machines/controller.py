"""A controller that speaks G-code over a line: each line is answered, moves are planned ahead.

After NISTIR 6556 for the words, and common practice for the answers (`ok`, `error:N`): a line is answered when it
has been planned, G4 when all before has been run.
"""

from __future__ import annotations

import re

from tests.machines.picture import Faults, Leg, Picture, Speaker, seconds_of

_WORD = re.compile(r"([A-Z])\s*(-?\d+\.?\d*|-?\.\d+)")


class Controller:
    """The machine.

    Parameters
    ----------
    size
        Bytes of the buffer for lines.
    blocks
        Moves that are planned ahead.
    speed
        mm/s, whatever the file says.
    faults
        What goes wrong.
    """

    def __init__(
        self, *, size: int = 128, blocks: int = 16, speed: float = 50.0, faults: Faults | None = None
    ) -> None:
        self.size, self.blocks, self.speed = size, blocks, speed
        self.picture = Picture()
        self.voice = Speaker(faults or Faults())
        self.buffer = bytearray()
        self.overflowed = False
        self.read = 0  # lines that were understood or refused
        self._plan: list[Leg | str] = []
        self._goal = (0.0, 0.0)
        self._dwell: float | None = None
        self._held = False
        self.ready, self.handshake = True, "answers"
        self.voice.say(b"\r\nready\r\n")

    @property
    def busy(self) -> bool:
        return bool(self._plan or b"\n" in self.buffer or self._dwell is not None)

    def receive(self, data: bytes) -> None:
        """Take bytes from the line."""
        if self.voice.hangs:
            return
        for byte in data:
            if byte in b"!~?\x18":
                self._at_once(byte)
            elif len(self.buffer) >= self.size - 1:
                self.overflowed = True
            else:
                self.buffer.append(byte)

    def advance(self, dt: float) -> bytes:
        """Let time pass; gives what is answered meanwhile."""
        self.voice.now += dt
        if self.voice.hangs:
            return b""
        left = dt
        while True:
            self._read_lines()
            if left <= 0 or self._held:
                break
            if self._plan:
                left = self._run(left)
            elif self._dwell is not None:
                used = min(left, self._dwell)
                self._dwell, left = self._dwell - used, left - used
                if self._dwell <= 0:
                    self._dwell = None
                    self.voice.say(b"ok\r\n")
            else:
                break
        return self.voice.due()

    def _at_once(self, byte: int) -> None:
        if byte == ord("?"):
            state = "Hold" if self._held else "Run" if self.busy else "Idle"
            x, y = self.picture.tip or self.picture.at
            self.voice.say(b"<%s|WPos:%.3f,%.3f,0.000|FS:0,0>\r\n" % (state.encode(), x, y))
        elif byte == 0x18:
            self.buffer.clear()
            self._plan.clear()
            self._dwell, self._held = None, False
            self.picture.lift()
            self._goal = self.picture.at
            self.voice.say(b"\r\nready\r\n")
        else:
            self._held = byte == ord("!")

    def _run(self, left: float) -> float:
        first = self._plan[0]
        if isinstance(first, Leg):
            left = first.advance(self.picture, left)
            if first.gone < first.seconds:
                return left
        elif first == "down":
            self.picture.lower()
        else:
            self.picture.lift()
        del self._plan[0]
        return left

    def _read_lines(self) -> None:
        while b"\n" in self.buffer and len(self._plan) < self.blocks and self._dwell is None:
            end = self.buffer.index(b"\n")
            line = bytes(self.buffer[:end]).decode("ascii")
            del self.buffer[: end + 1]
            self.read += 1
            if self.read == self.voice.faults.refuse:
                self.voice.say(b"error:20\r\n")
            elif self._obey(re.sub(r"\([^)]*\)", "", line).upper()):
                self.voice.say(b"ok\r\n")

    def _obey(self, line: str) -> bool:
        """Plan what a line says; False when it is answered later."""
        words = [(letter, float(number)) for letter, number in _WORD.findall(line)]
        has = dict(words)
        codes = {f"{letter}{number:g}" for letter, number in words if letter in "GM"}
        if "G4" in codes:
            self._dwell = has["P"]
            return False
        if "M3" in codes:
            self._plan.append("down" if has["S"] == 90 else "up")
        if "M5" in codes or "M2" in codes:
            self._plan.append("up")
        if codes & {"G0", "G1"} and ("X" in has or "Y" in has):
            spot = (has.get("X", self._goal[0]), has.get("Y", self._goal[1]))
            self._plan.append(Leg(spot, seconds_of(self._goal, spot, self.speed)))
            self._goal = spot
        assert not codes & {"G2", "G3", "M0"}, f"not known to this controller: {line}"
        return True
