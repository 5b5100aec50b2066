"""Long stretches of PU and PD with whole numbers, read in columns: nearly all of a large HP-GL file.

What is not plain to the last sign is left to the reader that goes instruction by instruction.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Flags, Index, Points
from cutprep.stages.readback.track import Track

#: Signs of labels and encoded lines, in which anything may stand, and of escape sequences: then nothing is read ahead.
_ANYTHING = "LlBbEe\x00\x03\x04\x1b"
_STRETCH = re.compile(r"(?<=;)[PUD\d,;\n-]{400,}")
_ODD = re.compile(r"\A,|,,|\d-|--|-,|[^\d,-]|[-,]\Z")
#: Signs that are read at once: as many columns as a few MB hold.
_AT_ONCE = 400_000


@dataclass(frozen=True, slots=True, eq=False)
class Many:
    """Instructions PU and PD, each with pairs of whole numbers.

    Attributes
    ----------
    text
        As they stand in the file; the last one ends with a semicolon.
    down
        (k,) which of them are PD.
    line
        (k,) the line of each, counted from 0 at the first sign.
    count
        (k,) how many pairs each has, at least one.
    xy
        (n, 2) all pairs.
    """

    text: str
    down: Flags
    line: Index
    count: Index
    xy: Points

    def __str__(self) -> str:
        """The instructions as they stand in the file."""
        return self.text

    def fits(self, track: Track, span: tuple[float, float], held: tuple[float | None, float | None]) -> bool:
        """Whether each of them does what it says and nothing else.

        Parameters
        ----------
        track
            Which follows them: with a tool, and not between a lift and a move.
        span
            The least and the greatest coordinate.
        held
            Speed and force that the tool works with; a tool that is up takes new ones when it is lowered.
        """
        return (
            track.tool > 0
            and not track.lifted
            and bool(self.down[0] or held == track.held[:2])
            and bool((self.xy >= span[0]).all() and (self.xy <= span[1]).all())
            and track.allows(len(self.count), len(self.xy))
        )

    def follow(
        self, track: Track, mm: tuple[float, float, float, float, float, float], line: int
    ) -> tuple[float, float]:
        """Go along all of them, and return the last pair.

        Parameters
        ----------
        track
            With the figures of its tool.
        mm
            The matrix from plotter units to machine mm.
        line
            Of the first sign in the file.
        """
        (a, b, c, d, e, f), (x, y) = mm, self.xy.T
        track.go_along((x * a + y * b + c, x * d + y * e + f), self.count, self.down, self.line + line)
        return float(x[-1]), float(y[-1])


def stretches(text: str) -> Iterator[str | Many]:
    """Divide a file into what is read instruction by instruction and what is read in columns; in order."""
    at = 0
    if not any(sign in text for sign in _ANYTHING):
        for found in _STRETCH.finditer(text):
            first, end = found.start(), text.rfind(";", found.start(), found.end()) + 1
            if first > at:
                yield text[at:first]
            at = max(first, end)
            while first < end:
                stop = end if end - first <= _AT_ONCE else text.rfind(";", first, first + _AT_ONCE) + 1
                stop = stop if stop > first else end
                part = text[first:stop]
                yield _read(part) or part
                first = stop
    if at < len(text):
        yield text[at:]


def _read(text: str) -> Many | None:
    """Instructions as columns; None when they are not plain."""
    rows = text.split(";")[:-1]
    bare = [row.lstrip("\n") for row in rows]
    names = [row[:2] for row in bare]
    said = ",".join([row[2:] for row in bare])
    if not said or not {*names} <= {"PU", "PD"} or _ODD.search(said):
        return None
    numbers = np.fromstring(said, np.float64, sep=",")
    count = np.array([row.count(",") for row in bare]) + 1
    if (count % 2).any():
        return None
    line = np.cumsum([len(row) - len(own) for row, own in zip(rows, bare, strict=True)])
    return Many(text, np.array(names) == "PD", line, count // 2, numbers.reshape(-1, 2))
