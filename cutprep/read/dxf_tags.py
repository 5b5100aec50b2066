"""The bytes of a DXF file as columns of group codes and values.

A DXF file is nothing but pairs, a group code and a value, each on its own line (or packed, in
the binary form). This module splits them, and says where each stood.

Why not a library's document loader: it builds an object for every tag and every entity of the
file, drawn or not, gives up on the whole file at the first bad value, and no longer knows the
line where it found something. Columns are read in a quarter of the time, one bad entity can be
named with its line, and a file without a header stays one. The library still unpacks the binary
form and knows the code pages.

Terms: a *tag* is one pair; a *record* is a tag with code 0 and all tags up to the next.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from ezdxf.lldxf.const import DXFError
from ezdxf.lldxf.tagger import binary_tags_loader
from ezdxf.tools.codepage import toencoding
from numpy.typing import NDArray

from cutprep.errors import DrawingError, Place
from cutprep.model.lines import Index
from cutprep.read.sniff import BINARY_DXF, encoding_of

Value = str | float | bytes

#: Group codes of the DXF reference run from -5 to 1071.
_LOWEST, _HIGHEST = -5, 1071
_BAD = -9999
_LOOK = 1 << 16
_VERSION = re.compile(rb"\$ACADVER\s+1\s+(AC\d{4})")
_CODEPAGE = re.compile(rb"\$DWGCODEPAGE\s+3\s+(\w+)")
_UTF8_SINCE = b"AC1021"
_RECORD = re.compile(r"[A-Z0-9_*]+")


@dataclass(frozen=True, slots=True)
class Damage:
    """A place where the tags had to be found again.

    Attributes
    ----------
    tag
        Index of the tag before which it lies.
    line
        Line in the file.
    text
        What stands there; empty for blank lines.
    """

    tag: int
    line: int
    text: str


@dataclass(frozen=True, slots=True, eq=False)
class Tags:
    """All tags of a file, up to its end mark.

    Attributes
    ----------
    code
        (k,) ndarray of int16: group codes.
    value
        k values: text as it stands, numbers already when the file is binary.
    line
        (k,) ndarray of int: line of the group code, 0 in a binary file.
    ended
        The end mark was found.
    damage
        What was skipped to get there.
    """

    code: NDArray[np.int16]
    value: list[Value]
    line: Index
    ended: bool
    damage: tuple[Damage, ...] = ()


def read_tags(data: bytes) -> Tags:
    """Split a DXF file, ASCII or binary.

    Raises
    ------
    DrawingError
        When a binary file breaks off or is no DXF inside.
    """
    if data.startswith(BINARY_DXF):
        return _unpack(data)
    lines = _split_lines(decode(data))
    tags = _pair(lines)
    return tags if tags is not None else _pair_carefully(lines)


def decode(data: bytes) -> str:
    """Turn the bytes of an ASCII DXF file into text.

    Since R2007 the encoding is UTF-8, before it is the code page that the header names. Many
    writers put UTF-8 into older files all the same; text that is valid UTF-8 by accident is so
    rare that it wins over the western code page, which most of them name without thinking.
    """
    proven = encoding_of(data)
    if proven is not None:
        return data.decode(proven, errors="replace")
    if data.isascii():
        return data.decode("ascii")
    head = data[:_LOOK]
    version, page = _VERSION.search(head), _CODEPAGE.search(head)
    named = toencoding(page[1].decode("ascii", "replace")) if page else "cp1252"
    if named == "cp1252" or (version is not None and version[1] >= _UTF8_SINCE):
        try:
            return data.decode("utf-8")
        except UnicodeDecodeError:
            pass
    return data.decode(named, errors="replace")


def _split_lines(text: str) -> list[str]:
    # Not str.splitlines: it also splits at signs that may stand inside a value.
    if "\r" in text:
        if "\r\r\n" in text:  # a text-mode copy of a text-mode copy
            text = text.replace("\r\r\n", "\n")
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    return text.split("\n")


def _as_code(text: str) -> int:
    try:
        code = int(text)
    except ValueError:
        return _BAD
    return code if _LOWEST <= code <= _HIGHEST else _BAD


def _pair(lines: list[str]) -> Tags | None:
    """Take every other line as a code; None when one before the end mark is none."""
    codes, value = lines[0::2], lines[1::2]
    codes = codes[: len(value)]
    table = {text: _as_code(text) for text in set(codes)}
    code = np.fromiter(map(table.__getitem__, codes), np.int16, len(codes))
    end = next((int(i) for i in np.flatnonzero(code == 0) if value[i].strip() == "EOF"), None)
    stop = len(code) if end is None else end + 1
    if bool((code[:stop] == _BAD).any()):
        return None
    line = 2 * np.arange(stop, dtype=np.int64) + 1
    return Tags(code[:stop], list(value[:stop]), line, ended=end is not None)


def _pair_carefully(lines: list[str]) -> Tags:
    """Pair line by line: step over blank lines, and find the next record after junk."""
    codes: list[int] = []
    value: list[Value] = []
    at: list[int] = []
    damage: list[Damage] = []
    i, ended = 0, False
    while i < len(lines) - 1:
        code = _as_code(lines[i])
        if code != _BAD:
            codes.append(code)
            value.append(lines[i + 1])
            at.append(i + 1)
            ended = code == 0 and lines[i + 1].strip() == "EOF"
            if ended:
                break
            i += 2
            continue
        text = lines[i].strip()
        if text or not damage or damage[-1].text or damage[-1].tag != len(codes):
            damage.append(Damage(len(codes), i + 1, text[:60]))
        i = _next_record(lines, i + 1) if text else i + 1
    return Tags(np.array(codes, np.int16), value, np.array(at, np.int64), ended, _worth_telling(damage))


def _next_record(lines: list[str], i: int) -> int:
    while i < len(lines) - 1:
        if lines[i].strip() == "0" and _RECORD.fullmatch(lines[i + 1].strip()):
            return i
        i += 1
    return i


def _worth_telling(damage: list[Damage]) -> tuple[Damage, ...]:
    return tuple(d for d in damage if d.text or d.tag)


def _unpack(data: bytes) -> Tags:
    codes: list[int] = []
    value: list[Value] = []
    ended = False
    try:
        for code, content in _binary_pairs(data):
            codes.append(code)
            value.append(content)
            if code == 0 and content == "EOF":
                ended = True
                break
    except (IndexError, struct.error, ValueError, LookupError, OverflowError, DXFError):
        after = f" after {sum(1 for c in codes if c == 0)} records" if codes else ""
        raise DrawingError(
            f"the binary DXF breaks off{after}",
            fix="Save or download it again.",
            place=Place(element=_last_record(codes, value)),
        ) from None
    if any(not _LOWEST <= code <= _HIGHEST for code in set(codes)):
        raise DrawingError("the binary DXF is damaged: a group code is out of range", fix="Save it again.")
    return Tags(np.array(codes, np.int16), value, np.zeros(len(codes), np.int64), ended)


def _binary_pairs(data: bytes) -> Iterable[tuple[int, Value]]:
    for tag in binary_tags_loader(data, errors="replace"):
        yield tag.code, tag.value


def _last_record(codes: list[int], value: list[Value]) -> str | None:
    for code, content in zip(reversed(codes), reversed(value), strict=True):
        if code == 0:
            return str(content)
    return None
