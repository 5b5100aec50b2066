"""The line between sender and simulated machine: real bytes through a pseudo-terminal or a local socket, simulated time.

The driver's part is simulated as well: bytes leave at the line's speed, XON and XOFF and the hardware line hold them
back. Time passes only in `wait`.
"""

from __future__ import annotations

import os
import select
import socket
from typing import Protocol

from cutprep.link.line import OpenLine
from cutprep.link.wires import NetworkLine, SerialLine
from cutprep.profile.line import LineStyle
from tests.machines.picture import Faults

_PATIENCE = 5.0  # of the real clock, for bytes that the system must hand over


class End(Protocol):
    """The machine's end of a real line."""

    def write(self, data: bytes) -> None: ...

    def read(self, count: int) -> bytes: ...

    def cut(self) -> None: ...


class PtyEnd:
    """The master's side of a pseudo-terminal."""

    def __init__(self, style: LineStyle) -> None:
        self._master, self._slave = os.openpty()
        self.line: OpenLine = SerialLine(os.ttyname(self._slave), LineStyle(speed=style.speed or 9600))

    def write(self, data: bytes) -> None:
        assert os.write(self._master, data) == len(data)

    def read(self, count: int) -> bytes:
        return _exactly(self._master, count, lambda n: os.read(self._master, n))

    def cut(self) -> None:
        for one in (self._master, self._slave):
            if one >= 0:
                os.close(one)
        self._master = self._slave = -1


class SocketEnd:
    """The called side of a socket on the loopback address."""

    def __init__(self, style: LineStyle) -> None:
        with socket.create_server(("127.0.0.1", 0)) as server:
            self.line: OpenLine = NetworkLine("127.0.0.1", server.getsockname()[1])
            self._socket, _ = server.accept()

    def write(self, data: bytes) -> None:
        self._socket.sendall(data)

    def read(self, count: int) -> bytes:
        return _exactly(self._socket.fileno(), count, self._socket.recv)

    def cut(self) -> None:
        self._socket.close()


def _exactly(number: int, count: int, read) -> bytes:  # type: ignore[no-untyped-def]
    data = b""
    while len(data) < count:
        assert select.select([number], [], [], _PATIENCE)[0], "the system lost bytes"
        data += read(count - len(data))
    return data


class SimulatedLine:
    """A `OpenLine` with a simulated clock, a machine at its other end.

    Parameters
    ----------
    machine
        A `Plotter` or a `Controller`.
    end
        Of the real line.
    style
        Whose speed the bytes have on their way to the machine.
    faults
        When the line is cut.
    step
        Of the simulated clock, s.
    queue
        Bytes that the driver takes ahead.
    """

    def __init__(
        self,
        machine,
        end,
        style: LineStyle,
        *,
        faults: Faults | None = None,
        step: float = 0.02,
        queue: int = 64,
    ) -> None:  # type: ignore[no-untyped-def]
        self.machine, self._end, self._real = machine, end, end.line
        self.name, self.rate = "the simulated machine", style.rate
        self._faults = faults or Faults()
        self._step, self._most = step, queue
        self._now = 0.0
        self._out, self._in = bytearray(), bytearray()
        self._credit = self._credit_in = 0.0
        self._stopped = False
        self._cut = self._closed = False
        self.carried = 0

    def now(self) -> float:
        return self._now

    def write(self, data: bytes) -> int:
        if self._cut:
            return self._real.write(data[:1])
        taken = data[: max(self._most - len(self._out), 0)]
        self._out += taken
        return len(taken)

    def waiting(self) -> int:
        return len(self._out)

    def read(self) -> bytes:
        if self._cut:
            return self._real.read()
        return self._deliver()

    def close(self) -> None:
        """What the driver holds still goes out, as it does with a real port."""
        self._closed = True
        self._real.close()

    def wait(self, seconds: float) -> None:
        left = max(seconds, 1e-6)
        while left > 0 and not self._in:
            dt = min(self._step, left)
            self.pass_time(dt)
            left -= dt

    def pass_time(self, dt: float) -> None:
        """Let the driver and the machine work."""
        self._now += dt
        if self._now >= self._faults.drop and not self._cut:
            self._cut = True
            self._out.clear()
            self._end.cut()
        if not self._cut:
            self._carry(dt)
        answered = self.machine.advance(dt)
        if self._cut:
            return
        if self.machine.handshake == "xon-xoff":
            for byte in answered:
                self._stopped = byte == 0x13 if byte in (0x11, 0x13) else self._stopped
            answered = bytes(b for b in answered if b not in (0x11, 0x13))
        self._in += answered

    def finish(self, seconds: float) -> None:
        """Let a machine run on by itself; what the driver still holds reaches it."""
        end = self._now + seconds
        while self._now < end and (self.machine.busy or self._out):
            self.pass_time(0.1)
            if not self.machine.ready and not self.machine.busy:
                return

    def _carry(self, dt: float) -> None:
        """Bytes to the machine, at the line's speed."""
        self._credit = min(self._credit + dt * self.rate, self.rate * max(dt, 0.05))
        while self._out and self._credit >= 1 and self.machine.ready and not self._stopped:
            count = min(int(self._credit), len(self._out), 8)
            data = bytes(self._out[:count])
            del self._out[:count]
            self._credit -= count
            self.carried += count
            if not self._closed:
                self._real_write(data)
                data = self._end.read(count)
            self.machine.receive(data)

    def _real_write(self, data: bytes) -> None:
        while data:
            data = data[self._real.write(data) :]

    def _deliver(self) -> bytes:
        """What the machine has said, through the real line."""
        if not self._in:
            return b""
        data = bytes(self._in)
        self._in.clear()
        self._end.write(data)
        got = b""
        for _ in range(1000):
            got += self._real.read()
            if len(got) == len(data):
                return got
            self._real.wait(0.05)
        raise AssertionError("the system lost bytes")
