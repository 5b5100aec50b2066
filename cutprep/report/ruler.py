"""Distances along one edge as a ruler gives them, rounded so that panels add up.

Each position rounded by itself makes a wall of 1 1/8 in, drawn three times, once a sixteenth
wider. So the panels between neighbouring marks are rounded, and the marks are their sums: equal
panels stay equal, and the last mark is the blank's own size. The coarsest graduation is taken at
which no mark strays further than a scoring board's groove is wide.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from cutprep.units import MM_PER

#: Marks may stray by this much from the drawing, mm: a thirty-second of an inch, about the width of
#: a scoring board's groove; common practice, no published source.
_STRAY = 25.4 / 32
#: Marks nearer than this are one for a hand with a ruler, mm.
_ONE = 0.4
#: Graduations of inch rulers, and thousandths for what none of them meets.
_IN_INCH = (16, 32, 64, 1000)
#: Graduations in a millimetre: half millimetres can be read, tenths stand for themselves.
_IN_MM = (10, 100)


@dataclass(frozen=True, slots=True)
class Scale:
    """Marks along one edge in one unit.

    Attributes
    ----------
    unit
        "in" or "mm".
    parts
        Graduation: parts of the unit.
    exact
        Where the marks are drawn, mm, rising.
    counts
        The same in parts, sums of rounded panels.
    """

    unit: str
    parts: int
    exact: tuple[float, ...]
    counts: tuple[int, ...]

    def say(self, mm: float) -> str:
        """A distance as text without its unit; one at a mark is that mark."""
        return _text(self._count(mm), self.parts)

    def mm(self, mm: float) -> float:
        """How far off the edge the text puts it, mm."""
        return self._count(mm) / self.parts * MM_PER[self.unit]

    def _count(self, mm: float) -> int:
        if self.exact:
            off = np.abs(np.array(self.exact) - mm)
            if off.min() <= _ONE:
                return self.counts[int(off.argmin())]
        return round(mm / MM_PER[self.unit] * self.parts)


def scale(marks: Iterable[float], unit: str) -> Scale:
    """Put marks on a ruler.

    Parameters
    ----------
    marks
        Distances from the edge, mm; the edge itself is always one.
    unit
        "in" or "mm".
    """
    exact = _told_apart(marks)
    graduations = _IN_INCH if unit == "in" else _IN_MM
    stray = _STRAY if unit == "in" else _ONE
    size = MM_PER[unit]
    found = Scale(unit, graduations[-1], (), ())
    for parts in graduations:
        panels = [int(np.floor(p / size * parts + 0.5)) for p in np.diff(exact)]
        counts = (0, *np.cumsum(panels).tolist())
        found = Scale(unit, parts, exact, counts)
        if np.abs(np.array(counts) / parts * size - np.array(exact)).max() <= stray:
            break
    return found


def _told_apart(marks: Iterable[float]) -> tuple[float, ...]:
    """The edge and the marks, rising, those that a hand can't tell apart once."""
    found = [0.0]
    for mark in sorted(marks):
        if mark - found[-1] > _ONE:
            found.append(float(mark))
    return tuple(found)


def _text(count: int, parts: int) -> str:
    if parts % 10 == 0:
        digits = len(str(parts)) - 1
        return f"{count / parts:.{digits}f}"
    whole, rest = divmod(count, parts)
    words = [str(whole)] if whole or not rest else []
    if rest:
        words.append(str(Fraction(rest, parts)))
    return " ".join(words)
