"""HP-GL text to instructions, in the liberal syntax of the HP 7470A.

Upper or lower case; parameters parted by commas, spaces or a sign; an instruction ended by a
semicolon or by the next mnemonic (HP 7470A Interfacing and Programming Manual, pp. 1-8, B-1).
Labels (LB) run to an ETX, polyline encoded (PE) to a semicolon (see encoded.py); escape sequences are skipped.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

_ESCAPE = re.compile(r"\x1b(?:%-?\d*[A-Z]|\.[@-Z](?:[\d;, ]*:)?|\.[()]|[A-Z])")
_BLANK = re.compile(r"[\s;,]+")
_ENDS = re.compile(r"[\x00\x04]+")
_MNEMONIC = re.compile(r"[A-Za-z][\s]*[A-Za-z]")
_NUMBER = re.compile(r"[\s,]*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)")
#: Nearly all of a large file: capital letters and whole numbers. No group is repeated, which would take memory for
#: every number.
_PLAIN = re.compile(r"[\s;]*([A-Z]{2})(-?\d[-\d,]*);")
_ODD = re.compile(r",,|\d-|--|-,|[-,]\Z")
_TAIL = re.compile(r"[\s,]*(;?)")
#: Name of what is not of the language, but may come with it.
ASIDE = "\x1b"
#: Known, and without any motion of the tool.
STILL = {"PG", "NP", "PW", "PS", "AS", "AC", "CS", "CA", "SA", "SS", "SI", "SR", "DT", "NR", "WU", "PC",
          "LA", "MC", "TR", "BP", "CO", "FT", "SV", "UL", "TL"}  # fmt: skip
#: Known to draw, and not followed here.
DRAWING = {"BZ", "BR", "AT", "RT", "EW", "EP", "WG", "FP", "RA", "RR", "LB", "SM", "XT", "YT", "PM"}
#: What the reader does at each instruction: a method of `HpglReader`.
OBEYED = {
    "IN": "initialise", "DF": "initialise", "SP": "select", "VS": "set_speed", "FS": "set_force",
    "IP": "set_points", "SC": "set_scale", "RO": "rotate", "IW": "set_window", "LT": "set_line_type",
    "PA": "go_absolute", "PR": "go_relative", "PU": "lift", "PD": "lower", "AA": "arc_absolute",
    "AR": "arc_relative", "CI": "circle", "EA": "edge_absolute", "ER": "edge_relative",
}  # fmt: skip
#: Followed to the last: whatever else a file holds is told of when it is laid beside its plan.
FOLLOWED = {*OBEYED, "PE"} - {"DF", "IP", "SC", "RO", "IW", "LT"}
_LABELS = ("LB", "BL", "PB")
_UNPLAIN = {*_LABELS, "PE"}


class Instruction(NamedTuple):
    """One instruction.

    Attributes
    ----------
    name
        Two capital letters; empty for characters that are no HP-GL; `ASIDE` for escape sequences, nulls
        and ends of transmission, which a plotter passes over or obeys outside the language.
    numbers
        Its parameters as they stand, exponents included.
    line
        Line of the file, from 1.
    ended
        A semicolon ends it.
    text
        The characters that could not be read, for a message; of PE all that is encoded.
    small
        It is written in small letters, which the strictest machines do not take.
    whole
        Its numbers are known to be whole.
    """

    name: str
    numbers: tuple[str, ...]
    line: int
    ended: bool
    text: str = ""
    small: bool = False
    whole: bool = False


def instructions(text: str, line: int = 1) -> Iterator[Instruction]:
    """Read the instructions of an HP-GL file, which begins on a line, one by one; never fails."""
    at, seen = 0, 0
    while True:
        quick = _PLAIN.match(text, at)
        if quick is not None and quick[1] not in _UNPLAIN and not _ODD.search(quick[2]):
            at = quick.start(1)
            line += text.count("\n", seen, at)
            seen = at
            yield Instruction(quick[1], tuple(quick[2].split(",")), line, ended=True, whole=True)
            at = quick.end()
            continue
        at = _skip(text, at)
        line += text.count("\n", seen, at)
        seen = at
        if at >= len(text):
            return
        aside = _ESCAPE.match(text, at) or _ENDS.match(text, at)
        if aside is not None:
            at = aside.end()
            yield Instruction(ASIDE, (), line, ended=True, text=aside[0][:40])
            continue
        match = _MNEMONIC.match(text, at)
        if match is None:
            stop = text.find(";", at)
            stop = len(text) if stop < 0 else stop
            yield Instruction("", (), line, stop < len(text), text[at : min(stop, at + 20)])
            at = stop
            continue
        letters = match[0][0] + match[0][-1]
        name = letters.upper()
        small = name != letters
        if name in _LABELS or name == "PE":
            stop = text.find(";" if name == "PE" else "\x03", match.end())
            body = text[match.end() : len(text) if stop < 0 else stop] if name == "PE" else ""
            at = len(text) if stop < 0 else stop + 1
            yield Instruction(name, (), line, stop >= 0, body, small)
            continue
        at, numbers = _numbers(text, match.end())
        tail = _TAIL.match(text, at)
        assert tail is not None  # the pattern matches nothing, too
        yield Instruction(name, numbers, line, bool(tail[1]), small=small)
        at = tail.end()


def _skip(text: str, at: int) -> int:
    """Pass over blanks and terminators."""
    match = _BLANK.match(text, at)
    return at if match is None else match.end()


def _numbers(text: str, at: int) -> tuple[int, tuple[str, ...]]:
    found = []
    while (match := _NUMBER.match(text, at)) is not None:
        found.append(match[1])
        at = match.end()
    return at, tuple(found)
