"""Polyline encoded (PE) to places: HP PCL 5 Technical Reference Manual Part II, pp. 20-34 to 20-41.

Numbers stand in base 64, or in base 32 behind the flag 7, lowest digit first; the last digit has a range of its own
and ends them. The lowest bit is the sign. Flags stand before what they are about: `:` another tool, `<` tool up, `>`
so many binary places behind the point, `=` a place and not a step.
"""

from __future__ import annotations

import re
from itertools import groupby
from typing import NamedTuple

_SEVEN_BITS = {code: code & 0x7F for code in range(128, 256)}
#: Passed over: blanks and control characters, 127, 128 to 160, 255 (p. 20-35).
_IGNORED = dict.fromkeys((*range(33), *range(127, 161), 255))
#: Range of digits and of last digits (p. 20-39); no number that a machine takes has more of them.
_NUMBERS = {
    64: (re.compile(r"[\x3f-\x7e]{0,10}[\xbf-\xfe]"), 191),
    32: (re.compile(r"[\x3f-\x5e]{0,12}[\x5f-\x7e]"), 95),
}
_FIRST_DIGIT = 63
#: Binary places behind the point, either way (p. 20-36).
_MOST_BITS = 26


class EncodedRun(NamedTuple):
    """Places that follow each other and are gone to alike.

    Attributes
    ----------
    tool
        Number of the tool that is taken first; None: the same.
    down, absolute
        With the tool down; places, not steps.
    numbers
        x and y of each, in turn.
    """

    tool: int | None
    down: bool
    absolute: bool
    numbers: tuple[float, ...]


def encoded_runs(body: str) -> tuple[list[EncodedRun], str]:
    """Decode what stands between PE and its semicolon.

    Parameters
    ----------
    body
        Characters 0 to 255.

    Returns
    -------
    runs, fault
        What is gone through, up to the first thing that is no encoding; and what that is, or nothing.
    """
    text = body.translate(_IGNORED)
    rows: list[tuple[int | None, bool, bool, float, float]] = []
    base, bits, at = 64, 0, 0
    tool: int | None = None
    down, absolute, fault = True, False, ""
    while at < len(text):
        flag = chr(ord(text[at]) & 0x7F)
        if flag == "7":
            base, text, at = 32, text[at + 1 :].translate(_SEVEN_BITS), 0
        elif flag in "<=":
            down, absolute, at = down and flag != "<", absolute or flag == "=", at + 1
        elif flag in ":>":
            value, at = _number(text, at + 1, base)
            if value is None or (flag == ">" and abs(value) > _MOST_BITS):
                fault = f"no number stands behind '{flag}'"
                break
            tool, bits = (value, bits) if flag == ":" else (tool, value)
        else:
            x, at = _number(text, at, base)
            y, at = _number(text, at, base) if x is not None else (None, at)
            if x is None or y is None:
                fault = f"'{text[at : at + 8]}' is no number" if at < len(text) else "a place has no y"
                break
            rows.append((tool, down, absolute, x / 2.0**bits, y / 2.0**bits))
            tool, down, absolute = None, True, False
    return _alike(rows), fault


def encoded_places(body: str) -> list[tuple[float, float]]:
    """Where the tool goes, step by step added up; from 0, 0 where nothing says from where."""
    places, x, y = [], 0.0, 0.0
    for run in encoded_runs(body)[0]:
        for u, v in zip(run.numbers[::2], run.numbers[1::2], strict=True):
            x, y = (u, v) if run.absolute else (x + u, y + v)
            places.append((x, y))
    return places


def _alike(rows: list[tuple[int | None, bool, bool, float, float]]) -> list[EncodedRun]:
    """Rows that are gone to alike, together."""
    runs = []
    for (tool, down, absolute), own in groupby(rows, key=lambda row: row[:3]):
        numbers = [value for row in own for value in row[3:]]
        runs.append(EncodedRun(tool, down, absolute, tuple(numbers)))
    return runs


def _number(text: str, at: int, base: int) -> tuple[int | None, int]:
    """The number that stands there, and where it ends; None when none does."""
    pattern, last = _NUMBERS[base]
    match = pattern.match(text, at)
    if match is None:
        return None, at
    digits = match[0]
    value = ord(digits[-1]) - last
    for digit in digits[-2::-1]:
        value = value * base + ord(digit) - _FIRST_DIGIT
    return (-(value >> 1) if value & 1 else value >> 1), match.end()
