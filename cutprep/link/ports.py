"""Which ways to a machine there are here, and opening the one that she names. Looking opens nothing."""

from __future__ import annotations

import os
import re
import stat
from dataclasses import dataclass
from pathlib import Path

from serial.tools import list_ports

from cutprep.errors import OutputError, ProfileError
from cutprep.link.line import OpenLine
from cutprep.link.wires import DeviceLine, NetworkLine, SerialLine
from cutprep.profile.line import ANSWERED
from cutprep.profile.machine import Machine

_NETWORK = re.compile(r"(?P<host>[\w.-]{2,253}|\[[0-9A-Fa-f:]+\]):(?P<port>\d{1,5})")
_SERIAL = re.compile(r"(?i:COM\d+)|/dev/(?:tty|cu|rfcomm|serial/).*")
#: Device files of printers, and places where sticks and cards appear.
_PRINTERS = ("usb/lp*", "lp[0-9]*", "ulpt*")
_MOUNTS = ("/media/*/*", "/run/media/*/*", "/Volumes/*")


@dataclass(frozen=True, slots=True)
class Port:
    """A way to a machine.

    Attributes
    ----------
    name
        What she names it by.
    kind
        "serial port", "printer", "stick or card".
    told
        What the system says of it.
    """

    name: str
    kind: str
    told: str


def ports() -> tuple[Port, ...]:
    """What is there now."""
    found = [
        Port(port.device, "serial port", port.description if port.description != "n/a" else "")
        for port in sorted(list_ports.comports())
    ]
    found += [
        Port(str(path), "printer", "") for pattern in _PRINTERS for path in sorted(Path("/dev").glob(pattern))
    ]
    for pattern in _MOUNTS:
        found += [
            Port(str(path), "stick or card", "")
            for path in sorted(Path("/").glob(pattern.lstrip("/")))
            if path.is_dir() and os.access(path, os.W_OK)
        ]
    return tuple(found)


def open_line(name: str, machine: Machine, language: str) -> OpenLine:
    """Open a port; nothing is sent.

    Parameters
    ----------
    name
        A serial port, HOST:PORT, or a printer's device file.
    machine
        Whose speed and handshake apply.
    language
        "hpgl" or "gcode".

    Raises
    ------
    OutputError
        When there is no such port, or it can't be opened.
    ProfileError
        When the profile does not say how the machine is spoken to there.
    """
    network = _NETWORK.fullmatch(name)
    if network is not None:
        _held_back(name, machine, language, network=True)
        return NetworkLine(network["host"].strip("[]"), int(network["port"]))
    path = Path(name)
    if _SERIAL.fullmatch(name) or _is_terminal(path):
        _held_back(name, machine, language, network=False)
        return SerialLine(name, machine.line)
    if path.exists() and not stat.S_ISREG(path.stat().st_mode):
        if language == "gcode" or machine.line.handshake in ANSWERED:
            raise ProfileError(
                f"{name} takes what it is sent and answers nothing, and this machine is waited for line by line",
                fix="Use its serial or network port.",
            )
        return DeviceLine(name)
    raise OutputError(
        f"there is no port {name}",
        fix="`cutprep ports` lists what is there; a network port is named HOST:PORT, a stick by its folder.",
    )


def _held_back(name: str, machine: Machine, language: str, *, network: bool) -> None:
    """Refuse to send where nobody would hold back."""
    if language == "hpgl" and machine.line.handshake == "unsaid" and not network:
        raise ProfileError(
            f"the profile '{machine.name}' does not say how the machine holds back what is sent to {name}",
            fix='Put what its manual says under [line]: handshake = "hardware", "xon-xoff", "enquire" or "poll".',
        )


def _is_terminal(path: Path) -> bool:
    """Whether a path is a serial port under another name: a link, or a pseudo-terminal."""
    try:
        return "/pts/" in str(path.resolve()) or path.resolve().name.startswith(("tty", "cu."))
    except OSError:
        return False
