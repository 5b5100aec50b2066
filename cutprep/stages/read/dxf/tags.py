"""The bytes of a DXF file as columns of group codes and values.

A DXF file is nothing but pairs, a group code and a value, each on its own line (or packed, in
the binary form). This module splits them, and says where each stood.

Why not a library's document loader: it builds an object for every tag and every entity of the
file, drawn or not, gives up on the whole file at the first bad value, and no longer knows the
line where it found something. Columns are read in a quarter of the time, one bad entity can be
named with its line, and a file without a header stays one. The library still unpacks the binary
form.

Terms: a *tag* is one pair; a *record* is a tag with code 0 and all tags up to the next.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import overload

import numpy as np
from numpy.typing import NDArray

from cutprep.errors import DrawingError, Place
from cutprep.model.lines import Index, Points
from cutprep.stages.read.dxf.library import unpack
from cutprep.stages.read.dxf.words import encoding_named
from cutprep.stages.read.sniff import BINARY_DXF, encoding_of

Value = str | float | bytes
#: Places in the data; the limits on file sizes keep them below 2^31.
Places = NDArray[np.int32]

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
        k values: text as it stands; in a binary file numbers are numbers already.
    line
        (k,) ndarray of int: line of the group code, 0 in a binary file.
    ended
        The end mark was found.
    damage
        What was skipped to get there.
    """

    code: NDArray[np.int16]
    value: Sequence[Value]
    line: Index
    ended: bool
    damage: tuple[Damage, ...] = ()

    def text(self, tag: int) -> str:
        """One value as text, blanks around it taken off."""
        return str(self.value[tag]).strip()

    def numbers(self, at: Index) -> Points:
        """Some values as numbers; (k,) indices, (k,) floats.

        Raises
        ------
        ValueError
            When one of them is none.
        """
        if isinstance(self.value, Texts):
            return self.value.numbers(at)
        return np.fromiter(map(float, [self.value[i] for i in at.tolist()]), np.float64, len(at))


class Texts(Sequence[str]):
    """Values of an ASCII file, cut out and decoded only when asked for.

    A file of 80 MB has some ten million of them; as objects of their own they would fill a
    gigabyte before the first line is drawn.
    """

    def __init__(self, data: bytes, begin: Places, end: Places, codec: str) -> None:
        self._data = data
        self._begin = begin
        self._end = end
        self._codec = codec

    def __len__(self) -> int:
        return len(self._begin)

    @overload
    def __getitem__(self, i: int) -> str: ...
    @overload
    def __getitem__(self, i: slice) -> list[str]: ...
    def __getitem__(self, i: int | slice) -> str | list[str]:
        if isinstance(i, slice):
            return [self[k] for k in range(*i.indices(len(self)))]
        return self._data[self._begin[i] : self._end[i]].decode(self._codec, "replace")

    def numbers(self, at: Index) -> Points:
        """Some values as numbers; a ValueError when one is none; (k,) indices, (k,) floats."""
        data = self._data
        spans = zip(self._begin[at].tolist(), self._end[at].tolist(), strict=True)
        return np.fromiter([float(data[a:b]) for a, b in spans], np.float64, len(at))


def read_tags(data: bytes) -> Tags:
    """Split a DXF file, ASCII or binary.

    Raises
    ------
    DrawingError
        When a binary file breaks off or is no DXF inside.
    """
    if data.startswith(BINARY_DXF):
        return _unpack(data)
    data, codec = single_byte_text(data)
    data = _unify_line_ends(data)
    tags = _pair(data, codec)
    return tags if tags is not None else _pair_carefully(data.decode(codec, "replace").split("\n"))


def single_byte_text(data: bytes) -> tuple[bytes, str]:
    """Give the text in an encoding whose line ends are single bytes, and name that encoding.

    Since R2007 the encoding is UTF-8, before it is the code page that the header names. Many
    writers put UTF-8 into older files all the same; text that is valid UTF-8 by accident is so
    rare that it wins over the western code page, which most of them name without thinking.
    """
    proven = encoding_of(data)
    if proven is not None:
        return data.decode(proven, errors="replace").encode(), "utf-8"
    if data.isascii():
        return data, "ascii"
    head = data[:_LOOK]
    version, page = _VERSION.search(head), _CODEPAGE.search(head)
    named = encoding_named(page[1].decode("ascii", "replace")) if page else "cp1252"
    if named == "cp1252" or (version is not None and version[1] >= _UTF8_SINCE):
        try:
            data.decode("utf-8")
        except UnicodeDecodeError:
            return data, named
        return data, "utf-8"
    return data, named


def _unify_line_ends(data: bytes) -> bytes:
    if b"\r" not in data:
        return data
    if b"\r\r\n" in data:  # a text-mode copy of a text-mode copy
        data = data.replace(b"\r\r\n", b"\n")
    return data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")


def _as_code(text: str) -> int:
    try:
        code = int(text)
    except ValueError:
        return _BAD
    return code if _LOWEST <= code <= _HIGHEST else _BAD


def _pair(data: bytes, codec: str) -> Tags | None:
    """Take every other line as a code; None when one before the end mark is none."""
    raw = np.frombuffer(data, np.uint8)
    ends = np.append(np.flatnonzero(raw == ord("\n")), len(raw)).astype(np.int32)
    ends = ends[: len(ends) // 2 * 2]
    begins = np.concatenate(([0], ends[:-1] + 1)).astype(np.int32)[: len(ends)]
    code = _codes(raw, begins[0::2], ends[0::2])
    value = Texts(data, begins[1::2], ends[1::2], codec)
    end = next((i for i in np.flatnonzero(code == 0).tolist() if value[i].strip() == "EOF"), None)
    stop = len(code) if end is None else end + 1
    if bool((code[:stop] == _BAD).any()):
        return None
    line = 2 * np.arange(stop, dtype=np.int64) + 1
    return Tags(
        code[:stop], Texts(data, begins[1::2][:stop], ends[1::2][:stop], codec), line, end is not None
    )


#: Reading a group code sign by sign: (state, kind of sign) to the next state. Kinds: blank, minus,
#: digit, other. States: before, behind the minus, in the number, behind it, no number.
_NEXT = np.array([[0, 1, 2, 4], [4, 4, 2, 4], [3, 4, 2, 4], [3, 4, 4, 4], [4, 4, 4, 4]], np.uint8)
_KIND = np.full(256, 3, np.uint8)
_KIND[[ord(" "), ord("\t")]] = 0
_KIND[ord("-")] = 1
_KIND[ord("0") : ord("9") + 1] = 2
#: Writers pad group codes to three or six signs; wider lines are looked at one by one.
_WIDEST = 8


def _codes(raw: NDArray[np.uint8], begin: Places, end: Places) -> NDArray[np.int16]:
    """The lines from begin to end as group codes, all at once; _BAD where a line is none."""
    state = np.zeros(len(begin), np.uint8)
    number = np.zeros(len(begin), np.int32)
    minus = np.zeros(len(begin), bool)
    for back in range(_WIDEST, 0, -1):
        at = end - back
        sign = raw[np.maximum(at, 0)]
        kind = np.where(at >= begin, _KIND[sign], np.uint8(0))
        state = _NEXT[state, kind]
        minus |= kind == 1
        number = np.where(kind == 2, number * 10 + (sign.astype(np.int32) - ord("0")), number)
    number = np.where(minus, -number, number)
    good = (state >= 2) & (state <= 3) & (number >= _LOWEST) & (number <= _HIGHEST)
    code = np.where(good, number, _BAD).astype(np.int16)
    for row in np.flatnonzero(end - begin > _WIDEST).tolist():
        code[row] = _as_code(raw[begin[row] : end[row]].tobytes().decode("ascii", "replace"))
    return code


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
    for k in range(i, len(lines) - 1):
        line = lines[k]
        # Millions of lines may be blank.
        if line and line.strip() == "0" and _RECORD.fullmatch(lines[k + 1].strip()):
            return k
    return max(i, len(lines) - 1)


def _worth_telling(damage: list[Damage]) -> tuple[Damage, ...]:
    return tuple(d for d in damage if d.text or d.tag)


def _unpack(data: bytes) -> Tags:
    codes: list[int] = []
    value: list[Value] = []
    ended = False
    try:
        for code, content in unpack(data):
            codes.append(code)
            value.append(content)
            if code == 0 and content == "EOF":
                ended = True
                break
    except ValueError:
        after = f" after {sum(1 for c in codes if c == 0)} records" if codes else ""
        raise DrawingError(
            f"the binary DXF breaks off{after}",
            fix="Save or download it again.",
            place=Place(element=_last_record(codes, value)),
        ) from None
    if any(not _LOWEST <= code <= _HIGHEST for code in set(codes)):
        raise DrawingError("the binary DXF is damaged: a group code is out of range", fix="Save it again.")
    return Tags(np.array(codes, np.int16), value, np.zeros(len(codes), np.int64), ended)


def _last_record(codes: list[int], value: list[Value]) -> str | None:
    for code, content in zip(reversed(codes), reversed(value), strict=True):
        if code == 0:
            return str(content)
    return None
