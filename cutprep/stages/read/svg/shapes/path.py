"""Path data to segments: the text of a `d` attribute as two plain columns.

Why not a library: path libraries make one object for each segment and each point, and that is
most of their time; several also read on after an error where the specification says to stop. Here
a path becomes a string of segment kinds and a flat list of numbers, which are turned into chords
for the whole drawing at once.

Segments are absolute when they leave this module. Shorthands are gone (H and V are lines, S and T
have their control point); an arc keeps its own numbers, because it can only be flattened once the
matrix is known.

Rules: SVG 2, chapter 9 "Paths": 9.3.9 "The grammar for path data", 9.5.4 "Error handling in path
data": a path is drawn up to the first error.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from itertools import islice
from typing import NamedTuple

#: Kinds of segments, as bytes in `Trace.kinds`, and how many numbers each has in `Trace.args`.
#: The last two numbers are always the point where the segment ends.
MOVE, LINE, QUAD, CUBIC, ARC, SPAN, CLOSE = range(7)
#: ARC: rx, ry, turn in degrees, large, sweep, x, y. SPAN (part of an axis-parallel ellipse): centre x,
#: centre y, rx, ry, first angle, swept angle in radians, x, y. CLOSE: back to where the line began.
WIDTH = (2, 2, 4, 6, 7, 8, 2)

_M, _L, _Q, _C, _A, _Z = (bytes([kind]) for kind in (MOVE, LINE, QUAD, CUBIC, ARC, CLOSE))
_ARITY = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
_NAME = {
    "M": "move", "L": "line", "H": "line", "V": "line", "C": "curve", "S": "curve", "Q": "curve",
    "T": "curve", "A": "arc", "Z": "close",
}  # fmt: skip
_COMMAND = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])")
# A digit before the exponent's sign keeps "1e" from being a number; "50." is taken although the
# grammar wants a digit after the point, because browsers take it.
_NUMBER_TEXT = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_NUMBER = re.compile(_NUMBER_TEXT)
_SEPARATOR = re.compile(r"[ \t\r\n\f]*(,?)[ \t\r\n\f]*")
_SPACE = re.compile(r"[ \t\r\n\f]*")
_LOST_COMMA = re.compile(r",[ \t\r\n\f]*,|[A-Za-z][ \t\r\n\f]*,")
#: Characters from which on a run of numbers is read in portions; numbers in a portion, a multiple of the
#: count of every command.
_LONG = 1_000_000
_PORTION = 84_000
_NOT_NUMBERS = b"MmZzLlHhVvCcSsQqTtAa, \t\r\n\f"


class Trace(NamedTuple):
    """A path or shape as columns.

    Attributes
    ----------
    kinds
        One byte a segment; every line begins with MOVE.
    args
        Numbers of all segments in a row, in user units.
    fault
        What is wrong with the text; the segments before it are there.
    """

    kinds: bytes
    args: list[float]
    fault: str = ""


class _Pen:
    """Draws segments; knows where it is, where the line began, and the last control point."""

    __slots__ = ("args", "cx", "cy", "drawing", "kinds", "last", "sx", "sy", "x", "y")

    def __init__(self) -> None:
        self.kinds = bytearray()
        self.args: list[float] = []
        self.x = self.y = self.sx = self.sy = self.cx = self.cy = 0.0
        self.last = MOVE
        self.drawing = False

    def begin(self) -> None:
        """Start a line where the pen is: after a close, a command may go on without a move."""
        if not self.drawing:
            self.kinds += _M
            self.args += (self.x, self.y)
            self.sx, self.sy = self.x, self.y
            self.drawing = True

    def move(self, n: list[float], relative: bool) -> None:
        self.x, self.y = (self.x + n[0], self.y + n[1]) if relative else (n[0], n[1])
        self.drawing = False
        self.begin()
        self.last = MOVE
        if len(n) > 2:
            self.line(n[2:], relative)

    def line(self, n: list[float], relative: bool) -> None:
        self.begin()
        self.kinds += _L * (len(n) // 2)
        self.last = LINE
        if not relative:
            self.args += n
            self.x, self.y = n[-2:]
            return
        x, y = self.x, self.y
        for i in range(0, len(n), 2):
            x += n[i]
            y += n[i + 1]
            self.args += (x, y)
        self.x, self.y = x, y

    def across(self, n: list[float], relative: bool) -> None:
        self.begin()
        self.kinds += _L * len(n)
        self.last = LINE
        for x in n:
            self.x = self.x + x if relative else x
            self.args += (self.x, self.y)

    def down(self, n: list[float], relative: bool) -> None:
        self.begin()
        self.kinds += _L * len(n)
        self.last = LINE
        for y in n:
            self.y = self.y + y if relative else y
            self.args += (self.x, self.y)

    def cubic(self, n: list[float], relative: bool) -> None:
        self.begin()
        self.kinds += _C * (len(n) // 6)
        self.last = CUBIC
        if not relative:
            self.args += n
        else:
            x, y = self.x, self.y
            for i in range(0, len(n), 6):
                a, b, c, d, e, f = n[i : i + 6]
                self.args += (x + a, y + b, x + c, y + d, x + e, y + f)
                x += e
                y += f
        self.cx, self.cy, self.x, self.y = self.args[-4:]

    def smooth_cubic(self, n: list[float], relative: bool) -> None:
        self.begin()
        self.kinds += _C * (len(n) // 4)
        for i in range(0, len(n), 4):
            x, y = self.x, self.y
            # 9.3.6: the first control point is mirrored after another cubic, else it is the start.
            mirrored = (2 * x - self.cx, 2 * y - self.cy) if self.last == CUBIC else (x, y)
            ox, oy = (x, y) if relative else (0.0, 0.0)
            self.cx, self.cy, self.x, self.y = n[i] + ox, n[i + 1] + oy, n[i + 2] + ox, n[i + 3] + oy
            self.args += (*mirrored, self.cx, self.cy, self.x, self.y)
            self.last = CUBIC

    def quadratic(self, n: list[float], relative: bool) -> None:
        self.begin()
        self.kinds += _Q * (len(n) // 4)
        self.last = QUAD
        for i in range(0, len(n), 4):
            ox, oy = (self.x, self.y) if relative else (0.0, 0.0)
            self.cx, self.cy, self.x, self.y = n[i] + ox, n[i + 1] + oy, n[i + 2] + ox, n[i + 3] + oy
            self.args += (self.cx, self.cy, self.x, self.y)

    def smooth_quadratic(self, n: list[float], relative: bool) -> None:
        self.begin()
        self.kinds += _Q * (len(n) // 2)
        for i in range(0, len(n), 2):
            x, y = self.x, self.y
            self.cx, self.cy = (2 * x - self.cx, 2 * y - self.cy) if self.last == QUAD else (x, y)
            self.x, self.y = (x + n[i], y + n[i + 1]) if relative else (n[i], n[i + 1])
            self.args += (self.cx, self.cy, self.x, self.y)
            self.last = QUAD

    def arc(self, n: list[float], relative: bool) -> None:
        self.begin()
        self.kinds += _A * (len(n) // 7)
        self.last = ARC
        for i in range(0, len(n), 7):
            x, y = n[i + 5 : i + 7]
            self.x, self.y = (self.x + x, self.y + y) if relative else (x, y)
            self.args += (*n[i : i + 5], self.x, self.y)

    def close(self, _: list[float], __: bool) -> None:
        self.begin()
        self.kinds += _Z
        self.args += (self.sx, self.sy)
        self.x, self.y = self.sx, self.sy
        self.last = CLOSE
        self.drawing = False


_BY_LETTER: dict[str, Callable[[_Pen, list[float], bool], None]] = {
    "M": _Pen.move, "L": _Pen.line, "H": _Pen.across, "V": _Pen.down, "C": _Pen.cubic,
    "S": _Pen.smooth_cubic, "Q": _Pen.quadratic, "T": _Pen.smooth_quadratic, "A": _Pen.arc,
    "Z": _Pen.close,
}  # fmt: skip
#: Letter to (numbers a segment, method of the pen, relative).
_DRAW = {
    letter: (_ARITY[letter.upper()], _BY_LETTER[letter.upper()], letter.islower())
    for letter in "MmZzLlHhVvCcSsQqTtAa"
}


def trace_path(text: str) -> Trace:
    """Read path data.

    Parameters
    ----------
    text
        Value of a `d` attribute.

    Returns
    -------
    Trace
        Segments up to the first error, and what that error is.
    """
    return _trace_clean(text) or _trace_carefully(text)


def _trace_clean(text: str) -> Trace | None:
    """Read path data that holds no error; None when there may be one.

    Whole runs of numbers are picked out at once; whether anything else stood between them is
    settled afterwards, by comparing what was picked with the text less its separators.
    """
    pieces = _COMMAND.split(text)
    if len(pieces) < 3 or pieces[1] not in "Mm":
        return None
    pen = _Pen()
    picked: list[str] = []
    find = _NUMBER.findall
    for i in range(1, len(pieces), 2):
        arity, draw, relative = _DRAW[pieces[i]]
        run = pieces[i + 1]
        for found in [find(run)] if len(run) < _LONG else _portions(run):
            if arity == 0:
                if found:
                    return None
            elif not found or len(found) % arity or (arity == 7 and not _has_plain_flags(found)):
                return None
            picked += found if len(run) < _LONG else ["".join(found)]
            draw(pen, [*map(float, found)], relative)
            draw = _Pen.line if draw is _Pen.move else draw
    try:
        bare = text.encode("ascii").translate(None, _NOT_NUMBERS)
    except UnicodeEncodeError:
        return None
    lost = bare != "".join(picked).encode("ascii") or pieces[0].strip(" \t\r\n\f")
    if lost or _LOST_COMMA.search(text):
        return None
    return Trace(bytes(pen.kinds), pen.args)


def _portions(run: str) -> Iterator[list[str]]:
    """Numbers of a very long run, some at a time: a list of them all would take thirty times its size."""
    numbers = (found[0] for found in _NUMBER.finditer(run))
    while portion := [*islice(numbers, _PORTION)]:
        yield portion


def _has_plain_flags(found: list[str]) -> bool:
    """Whether both flags of every arc stand alone; packed ones (`a1 1 0 01.5 2`) need care."""
    return all(flag in {"0", "1"} for i in (3, 4) for flag in found[i::7])


def _trace_carefully(text: str) -> Trace:
    """Read path data number by number, up to the first error."""
    pen = _Pen()
    at = _skip(_SPACE, text, 0)
    letter = ""
    count = 0
    while at < len(text):
        if text[at] in _DRAW:
            letter = text[at]
            at = _skip(_SPACE, text, at + 1)
        elif letter.upper() in {"", "Z"} or not _NUMBER.match(text, at):
            return _faulty(pen, count, f"'{text[at : at + 8]}' is no command")
        elif letter in "Mm":
            letter = "L" if letter == "M" else "l"
        if count == 0 and letter not in "Mm":
            return _faulty(pen, count, "it does not begin with a move (M)")
        arity, draw, relative = _DRAW[letter]
        numbers, at = _take(text, at, letter.upper(), arity)
        if len(numbers) < arity:
            name = _NAME[letter.upper()]
            have = f"{len(numbers)} good number{'' if len(numbers) == 1 else 's'}"
            found = f" before '{text[at : at + 8]}'" if at < len(text) else ""
            return _faulty(
                pen, count, f"the {name} command '{letter}' has {have}{found} where {arity} are needed"
            )
        draw(pen, numbers, relative)
        count += 1
    return Trace(bytes(pen.kinds), pen.args, "" if count else "it is empty")


def _faulty(pen: _Pen, count: int, fault: str) -> Trace:
    kept = f"in segment {count + 1} of the path {fault}" if count else fault
    return Trace(bytes(pen.kinds), pen.args, kept)


def _skip(pattern: re.Pattern[str], text: str, at: int) -> int:
    found = pattern.match(text, at)
    return found.end() if found else at


def _take(text: str, at: int, letter: str, arity: int) -> tuple[list[float], int]:
    """Read the numbers of one segment; fewer come back when there is an error."""
    numbers: list[float] = []
    for i in range(arity):
        if letter == "A" and i in {3, 4}:
            if text[at : at + 1] not in {"0", "1"}:
                break
            numbers.append(float(text[at]))
            at += 1
        else:
            found = _NUMBER.match(text, at)
            if not found:
                break
            numbers.append(float(found[0]))
            at = found.end()
        at = _skip(_SEPARATOR, text, at)
    return numbers, at
