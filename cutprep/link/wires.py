"""Ways of reaching a machine: a serial port, a network port that takes the file as it is, a printer's device file.

pyserial knows the serial ports of each system, their speeds and handshakes; sockets and device files are the
standard library's.
"""

from __future__ import annotations

import errno
import os
import select
import socket
import time
from contextlib import suppress

import serial

from cutprep.errors import OutputError, ProfileError
from cutprep.link.line import LineLost
from cutprep.profile.line import LineStyle

#: Bytes that may lie in the system's own queue: little enough to stop soon, enough to keep the line busy.
_LEAST_QUEUE = 64
_QUEUE_SECONDS = 0.05
#: How long a network port may take to answer the first time, s.
_CONNECTING = 5.0
_SENDING_BUFFER = 2048


class _Clock:
    """The clock of this machine."""

    def now(self) -> float:
        """Seconds, from anywhere."""
        return time.monotonic()


class SerialLine(_Clock):
    """A serial port.

    Parameters
    ----------
    name
        As the system calls it.
    style
        Speed, byte and handshake.

    Raises
    ------
    ProfileError
        When the profile does not say how fast it is.
    OutputError
        When it can't be opened.
    """

    def __init__(self, name: str, style: LineStyle) -> None:
        if not style.speed:
            raise ProfileError(
                f"{name} is a serial port, and the machine's profile does not say how fast it is spoken to",
                fix='Put what its manual says under [line]: speed = 9600, handshake = "xon-xoff" (docs/PROFILES.md).',
            )
        self.name, self.rate = name, style.rate
        self._queue = max(_LEAST_QUEUE, int(style.rate * _QUEUE_SECONDS))
        try:
            self._port = serial.Serial(
                name,
                style.speed,
                bytesize=int(style.byte[0]),
                parity=style.byte[1],
                stopbits=int(style.byte[2]),
                xonxoff=style.handshake == "xon-xoff",
                rtscts=style.handshake == "hardware",
                timeout=0,
                write_timeout=0,
                exclusive=True if os.name == "posix" else None,
            )
        except (OSError, ValueError) as fault:
            raise _closed(name, fault) from None

    def wait(self, seconds: float) -> None:
        """Until something has come in, at most so long."""
        end = self.now() + seconds
        try:
            if os.name == "posix":
                select.select([self._port.fileno()], [], [], seconds)
                return
            while not self._port.in_waiting and self.now() < end:
                time.sleep(0.005)  # not a tolerance: how often Windows is asked
        except (OSError, ValueError):
            time.sleep(max(end - self.now(), 0.0))  # that it is gone is told by the next reading

    def write(self, data: bytes) -> int:
        """As much as keeps the system's own queue short."""
        try:
            free = self._queue - self._port.out_waiting
            if free <= 0:
                return 0
            if os.name == "posix":  # the library tries again and again while a driver is held back
                return os.write(self._port.fileno(), data[:free])
            return int(self._port.write(data[:free]) or 0)
        except BlockingIOError:
            return 0
        except OSError as fault:
            raise LineLost(_why(fault)) from None

    def waiting(self) -> int:
        """Bytes in the system's own queue."""
        try:
            return int(self._port.out_waiting)
        except OSError as fault:
            raise LineLost(_why(fault)) from None

    def read(self) -> bytes:
        """What has come in."""
        try:
            return bytes(self._port.read(max(self._port.in_waiting, 1)))
        except OSError as fault:
            raise LineLost(_why(fault)) from None

    def close(self) -> None:
        """Let go of the port."""
        with suppress(OSError):
            self._port.close()


class NetworkLine(_Clock):
    """A network port that hands what it gets to a machine as it is.

    Parameters
    ----------
    host, port
        Where.

    Raises
    ------
    OutputError
        When nothing takes calls there.
    """

    rate = 0.0

    def __init__(self, host: str, port: int) -> None:
        self.name = f"{host}:{port}"
        try:
            self._socket = socket.create_connection((host, port), _CONNECTING)
        except (OSError, OverflowError) as fault:
            raise _closed(self.name, fault) from None
        self._socket.setblocking(False)
        self._socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self._socket.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, _SENDING_BUFFER)

    def wait(self, seconds: float) -> None:
        """Until something has come in, at most so long."""
        select.select([self._socket], [], [], seconds)

    def write(self, data: bytes) -> int:
        """As much as the other end takes."""
        try:
            return self._socket.send(data)
        except BlockingIOError:
            return 0
        except OSError as fault:
            raise LineLost(_why(fault)) from None

    def waiting(self) -> int:
        """Nothing is known of what is on its way."""
        return 0

    def read(self) -> bytes:
        """What has come in."""
        try:
            data = self._socket.recv(4096)
        except BlockingIOError:
            return b""
        except OSError as fault:
            raise LineLost(_why(fault)) from None
        if not data:
            raise LineLost("the other end has closed it")
        return data

    def close(self) -> None:
        """Hang up, once what was handed over is sent."""
        with suppress(OSError):
            self._socket.shutdown(socket.SHUT_WR)
        self._socket.close()


class DeviceLine(_Clock):
    """A printer's device file: bytes go in, nothing is read.

    Parameters
    ----------
    name
        Its path.

    Raises
    ------
    OutputError
        When it can't be opened.
    """

    rate = 0.0

    def __init__(self, name: str) -> None:
        self.name = name
        try:
            self._file = os.open(
                name, os.O_WRONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOCTTY", 0)
            )
        except OSError as fault:
            raise _closed(name, fault) from None

    def wait(self, seconds: float) -> None:
        """So long."""
        time.sleep(seconds)

    def write(self, data: bytes) -> int:
        """As much as the device takes."""
        try:
            return os.write(self._file, data)
        except BlockingIOError:
            return 0
        except OSError as fault:
            raise LineLost(_why(fault)) from None

    def waiting(self) -> int:
        """Nothing is known of what is on its way."""
        return 0

    def read(self) -> bytes:
        """Nothing."""
        return b""

    def close(self) -> None:
        """Let go of it."""
        with suppress(OSError):
            os.close(self._file)


def _why(fault: BaseException) -> str:
    """What the system says of it, or what the library does."""
    return str(getattr(fault, "strerror", None) or fault) or type(fault).__name__


def _closed(name: str, fault: Exception) -> OutputError:
    code = getattr(fault, "errno", None)
    fix = "`cutprep ports` lists what is there."
    if code in (errno.EACCES, errno.EPERM):
        fix = "You may not use it: on Linux your account must belong to its group, often dialout, uucp or lp."
    elif code in (errno.EBUSY, errno.EAGAIN):
        fix = "Another program has it open: close that one first."
    return OutputError(f"{name} can't be opened ({_why(fault)})", fix=fix)
