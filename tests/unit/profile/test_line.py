"""How a machine is spoken to, as its profile says it."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest

from cutprep.errors import ProfileError
from cutprep.profile.line import LineStyle, line_from, line_toml
from cutprep.profile.machine_table import machine_from
from cutprep.profile.written import machine_toml
from cutprep.tables import Table
from tests.plans import MACHINE


def _line(text: str) -> LineStyle:
    return line_from(Table(tomllib.loads(text), error=ProfileError))


def test_an_empty_table_is_the_defaults() -> None:
    assert _line("") == LineStyle()


def test_a_byte_takes_its_start_and_stop_bits() -> None:
    """9600 baud are 960 bytes a second at 8N1, 7E1 too; 8E2 takes twelve bits."""
    assert _line("speed = 9600").rate == 960
    assert _line('speed = 9600\nbyte = "7e1"').rate == 960
    assert _line('speed = 9600\nbyte = "8E2"').rate == 800
    assert LineStyle().rate == 0


def test_it_is_written_as_it_is_read() -> None:
    style = LineStyle(
        speed=19200,
        byte="7E1",
        handshake="enquire",
        buffer=1024,
        confirm=True,
        hold="!",
        reset="\x18",
        wake=0.5,
    )
    text = "\n".join(line_toml(style)).replace("[line]", "")
    assert _line(text) == style
    machine = replace(MACHINE, line=style)
    assert (
        machine_from(Table(tomllib.loads(machine_toml(machine)), error=ProfileError), machine.name).line
        == style
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("speed = 50", "at least 75"),
        ('byte = "9N1"', "'9N1' is not known"),
        ('handshake = "xonxoff"', "Did you mean xon-xoff"),
        ("buffer = 60\nblock = 80", "do not fit into a buffer of 60"),
        ("window = 40", "hold no line of 80"),
        ('reset = "stop"', "is not one character"),
        ('hold = "ä"', "is not one character"),
        ("baud = 9600", "is not a known key"),
    ],
)
def test_what_can_not_be_is_refused_with_a_sentence(text: str, told: str) -> None:
    with pytest.raises(ProfileError, match=told):
        _line(text)
