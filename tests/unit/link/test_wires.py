"""Real lines: a pseudo-terminal, a socket on the loopback address, a file that stands for a printer."""

from __future__ import annotations

import os
import socket
import stat
from dataclasses import replace
from pathlib import Path

import pytest

from cutprep.errors import OutputError, ProfileError
from cutprep.link.line import LineLost
from cutprep.link.ports import open_line, ports
from cutprep.link.wires import DeviceLine, NetworkLine, SerialLine
from cutprep.profile.line import LineStyle
from tests.plans import MACHINE

termios = pytest.importorskip("termios")


@pytest.fixture
def ends():  # type: ignore[no-untyped-def]
    master, slave = os.openpty()
    yield master, os.ttyname(slave)
    os.close(slave)


def _with(**changes: object):  # type: ignore[no-untyped-def]
    return replace(MACHINE, line=LineStyle(**changes))  # type: ignore[arg-type]


def test_a_serial_port_carries_bytes_both_ways(ends) -> None:  # type: ignore[no-untyped-def]
    master, name = ends
    line = SerialLine(name, LineStyle(speed=9600))
    assert line.rate == 960
    assert line.write(b"IN;") == 3
    assert os.read(master, 10) == b"IN;"
    assert line.read() == b""
    os.write(master, b"12\r")
    line.wait(1.0)
    assert line.read() == b"12\r"
    assert line.waiting() == 0
    os.close(master)
    with pytest.raises(LineLost):
        line.read()
    line.close()
    line.close()


@pytest.mark.parametrize(("handshake", "held"), [("xon-xoff", True), ("poll", False)])
def test_the_driver_is_told_who_holds_back(ends, handshake: str, held: bool) -> None:  # type: ignore[no-untyped-def]
    _, name = ends
    line = SerialLine(name, LineStyle(speed=19200, byte="7E1", handshake=handshake))
    flags = termios.tcgetattr(line._port.fileno())
    assert bool(flags[0] & termios.IXON) is held
    assert flags[2] & termios.CSIZE == termios.CS7 or flags[2] & termios.CSIZE == termios.CS8  # a pty keeps 8
    assert flags[4] == termios.B19200
    line.close()


def test_xoff_stops_the_driver(ends) -> None:  # type: ignore[no-untyped-def]
    master, name = ends
    line = SerialLine(name, LineStyle(speed=9600, handshake="xon-xoff"))
    os.write(master, b"\x13")
    line.wait(0.05)
    line.read()
    line.write(b"PU;")
    os.set_blocking(master, False)
    with pytest.raises(BlockingIOError):
        os.read(master, 10)
    os.write(master, b"\x11")
    os.set_blocking(master, True)
    while line.write(b"PU;") == 0:
        line.wait(0.01)
    assert os.read(master, 10).startswith(b"PU;")
    line.close()


def test_a_network_port_carries_bytes_and_is_lost_when_the_other_end_hangs_up() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        line = NetworkLine("127.0.0.1", server.getsockname()[1])
        other, _ = server.accept()
        assert line.write(b"IN;") == 3
        assert other.recv(10) == b"IN;"
        assert line.read() == b""
        other.sendall(b"ok\n")
        line.wait(1.0)
        assert line.read() == b"ok\n"
        assert line.waiting() == 0
        other.close()
        line.wait(1.0)
        with pytest.raises(LineLost, match="closed"):
            line.read()
        line.close()


def test_a_network_port_takes_only_as_much_as_is_on_its_way() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        line = NetworkLine("127.0.0.1", server.getsockname()[1])
        other, _ = server.accept()
        sent = 0
        while (count := line.write(b"x" * 100_000)) > 0:
            sent += count
        assert 0 < sent < 20_000_000
        other.close()
        line.close()


def test_a_printers_device_file_takes_bytes_and_answers_nothing(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "lp0")
    reader = os.open(tmp_path / "lp0", os.O_RDONLY | os.O_NONBLOCK)
    line = open_line(str(tmp_path / "lp0"), MACHINE, "hpgl")
    assert isinstance(line, DeviceLine)
    assert line.write(b"IN;") == 3
    assert os.read(reader, 10) == b"IN;"
    assert line.read() == b""
    while line.write(b"x" * 10_000):
        pass
    assert line.write(b"x") == 0
    line.wait(0.001)
    os.close(reader)
    with pytest.raises(LineLost):
        line.write(b"x" * 100_000)
    line.close()


def test_ports_are_told_apart_by_their_names(ends) -> None:  # type: ignore[no-untyped-def]
    _, name = ends
    line = open_line(name, _with(speed=9600, handshake="xon-xoff"), "hpgl")
    assert isinstance(line, SerialLine)
    line.close()
    with socket.create_server(("127.0.0.1", 0)) as server:
        line = open_line(f"127.0.0.1:{server.getsockname()[1]}", MACHINE, "hpgl")
        assert isinstance(line, NetworkLine)
        line.close()


def test_what_a_profile_must_say_is_asked_for_by_name(ends, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    _, name = ends
    with pytest.raises(ProfileError, match="how the machine holds back"):
        open_line(name, _with(speed=9600), "hpgl")
    with pytest.raises(ProfileError, match="how fast"):
        open_line(name, _with(handshake="xon-xoff"), "hpgl")
    with pytest.raises(ProfileError, match="how fast"):
        open_line(name, _with(), "gcode")
    os.mkfifo(tmp_path / "lp0")
    with pytest.raises(ProfileError, match="answers nothing"):
        open_line(str(tmp_path / "lp0"), MACHINE, "gcode")


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("/dev/ttyUSB99", "can't be opened"),
        ("/dev/no-such", "there is no port"),
        ("127.0.0.1:1", "can't be opened"),
        ("127.0.0.1:99999", "can't be opened"),
    ],
)
def test_a_port_that_is_not_there(name: str, told: str) -> None:
    with pytest.raises(OutputError, match=told):
        open_line(name, _with(speed=9600, handshake="poll"), "hpgl")


def test_a_plain_file_is_no_port(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("honey")
    with pytest.raises(OutputError, match="there is no port"):
        open_line(str(tmp_path / "notes.txt"), MACHINE, "hpgl")
    assert (tmp_path / "notes.txt").read_text() == "honey"


def test_looking_for_ports_opens_none() -> None:
    for port in ports():
        assert port.kind in ("serial port", "printer", "stick or card")
        assert port.kind == "stick or card" or stat.S_ISCHR(Path(port.name).stat().st_mode)
