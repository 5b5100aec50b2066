"""The line between computer and machine: how fast it is, who may send when, and what the machine answers."""

from __future__ import annotations

import re
from dataclasses import dataclass

from cutprep.tables import Table, quoted

#: Who holds back whom while HP-GL goes over a line.
HANDSHAKES = ("unsaid", "hardware", "xon-xoff", "enquire", "poll", "none")
#: Handshakes in which the machine answers.
ANSWERED = ("enquire", "poll")
_BYTE = re.compile(r"[78][NEO][12]")
#: No serial port is faster; the slowest that is still in use.
_FASTEST, _SLOWEST = 4_000_000, 75


@dataclass(frozen=True, slots=True)
class LineStyle:
    """How a machine is spoken to over a line.

    Attributes
    ----------
    speed
        Of a serial line, baud; 0: unsaid.
    byte
        Bits of a byte, parity, stop bits: "8N1", "7E1".
    handshake
        For HP-GL, one of `HANDSHAKES`.
    buffer
        Bytes that the machine keeps until it draws them.
    block
        Most bytes that are sent at once, and of one instruction.
    enquiry, acknowledge
        Codes of the characters of the handshake "enquire".
    control
        It obeys device-control instructions (ESC and a full stop), though its handshake needs none.
    confirm
        It answers OA, by which the end of each stroke is known.
    window
        G-code: bytes that may be unanswered; 0: one line after the other.
    dwell_waits
        G-code: G4 is answered when everything before has been run.
    hold, resume, reset
        G-code: characters that are obeyed at once; empty where there are none.
    status
        G-code: the character at which it reports its state at once, "<Idle|WPos:1.000,2.000,0.000>"; empty where there
        is none. Common practice, no published source.
    wake
        Seconds until it listens after the port was opened.
    ahead
        Most seconds of motion that are sent ahead, where the machine's answers tell how far it is.
    patience
        Seconds beyond the motion under way after which a silent machine counts as lost.
    """

    speed: int = 0
    byte: str = "8N1"
    handshake: str = "unsaid"
    buffer: int = 128
    block: int = 80
    enquiry: int = 5
    acknowledge: int = 6
    control: bool = False
    confirm: bool = False
    window: int = 0
    dwell_waits: bool = False
    hold: str = ""
    resume: str = ""
    reset: str = ""
    status: str = ""
    wake: float = 2.0
    ahead: float = 2.0
    patience: float = 10.0

    @property
    def rate(self) -> float:
        """Bytes a second of a serial line, start and stop bits counted; 0 where its speed is unsaid."""
        bits = 1 + int(self.byte[0]) + (self.byte[1] != "N") + int(self.byte[2])
        return self.speed / bits


def line_from(table: Table) -> LineStyle:
    """Read the table of a profile.

    Raises
    ------
    InputError
        Naming file, line and key.
    """
    usual = LineStyle()
    style = LineStyle(
        speed=table.whole("speed", usual.speed, most=_FASTEST),
        byte=table.text("byte", usual.byte).upper(),
        handshake=table.choice("handshake", HANDSHAKES, usual.handshake),
        buffer=table.whole("buffer", usual.buffer, least=32, most=100_000_000),
        block=table.whole("block", usual.block, least=32, most=10_000),
        enquiry=table.whole("enquiry", usual.enquiry, least=1, most=31),
        acknowledge=table.whole("acknowledge", usual.acknowledge, least=1, most=31),
        control=table.flag("control", usual.control),
        confirm=table.flag("confirm", usual.confirm),
        window=table.whole("window", usual.window, most=100_000),
        dwell_waits=table.flag("dwell_waits", usual.dwell_waits),
        hold=_character(table, "hold"),
        resume=_character(table, "resume"),
        reset=_character(table, "reset"),
        status=_character(table, "status"),
        wake=table.number_in("wake", usual.wake, least=0, most=60),
        ahead=table.number_in("ahead", usual.ahead, least=0.1, most=3600),
        patience=table.number_in("patience", usual.patience, least=1, most=3600),
    )
    table.finish()
    if style.speed and style.speed < _SLOWEST:
        raise table.fail("speed", f"is {style.speed} baud", f"Give 0 (unsaid), or at least {_SLOWEST}.")
    if not _BYTE.fullmatch(style.byte):
        raise table.fail("byte", f"'{style.byte}' is not known", 'Write "8N1", "7E1" or their like.')
    if style.block > style.buffer:
        raise table.fail(
            "block", f"{style.block} bytes do not fit into a buffer of {style.buffer}", "Make it smaller."
        )
    if style.window and style.window < style.block:
        raise table.fail("window", f"{style.window} bytes hold no line of {style.block}", "Give 0, or more.")
    return style


def line_toml(style: LineStyle) -> list[str]:
    """The table of a profile, as lines of TOML."""
    rows = ["", "[line]"]
    for name in LineStyle.__slots__:
        value = getattr(style, name)
        written = quoted(value) if isinstance(value, str) else str(value).lower()
        rows.append(f"{name} = {written}")
    return rows


def _character(table: Table, key: str) -> str:
    """One character, or none."""
    text = table.text(key, "")
    if len(text) > 1 or (text and ord(text) > 127):
        raise table.fail(
            key, f"'{text}' is not one character", 'Write for example "!", or "\\u0018" for Ctrl-X.'
        )
    return text
