"""Distances along one edge as a ruler gives them, rounded so that panels add up.

Each position rounded by itself makes a wall of 1 1/8 in, drawn three times, once a sixteenth
wider. So the panels between neighbouring marks are rounded, and the marks are their sums: equal
panels stay equal, and the last mark is the blank's own size. The coarsest graduation is taken at
which no mark strays further than a scoring board's groove is wide. Millimetres are given to a
tenth, finer than a hand sets them, each by itself.
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


@dataclass(frozen=True, slots=True)
class RulerScale:
    """Marks along one edge, as an inch ruler has them.

    Attributes
    ----------
    parts
        Graduation: parts of an inch.
    exact
        Where the marks are drawn, mm, rising.
    counts
        The same in parts, sums of rounded panels.
    """

    parts: int
    exact: tuple[float, ...]
    counts: tuple[int, ...]

    def inches(self, mm: float) -> str:
        """A distance in inches, without the unit; one at a mark is that mark."""
        off = np.abs(np.array(self.exact) - mm)
        near = int(off.argmin())
        count = self.counts[near] if off[near] <= _ONE else round(mm / MM_PER["in"] * self.parts)
        return _text(count, self.parts)

    def both(self, mm: float) -> str:
        """A distance as a maker reads it on either ruler: `1 1/8 in (28.6 mm)`."""
        return f"{self.inches(mm)} in ({millimetres(mm)} mm)"


def scale(marks: Iterable[float]) -> RulerScale:
    """Put marks on a ruler.

    Parameters
    ----------
    marks
        Distances from the edge, mm; the edge itself is always one.
    """
    exact = _told_apart(marks)
    found = RulerScale(1, exact, ())
    for parts in _IN_INCH:
        counts = (0, *np.cumsum(np.floor(np.diff(exact) / MM_PER["in"] * parts + 0.5).astype(int)).tolist())
        found = RulerScale(parts, exact, counts)
        if np.abs(np.array(counts) / parts * MM_PER["in"] - np.array(exact)).max() <= _STRAY:
            break
    return found


def millimetres(mm: float) -> str:
    """Millimetres to a tenth, without the unit; a half is rounded up, whatever the last bits say."""
    return f"{np.floor(round(mm * 10, 4) + 0.5) / 10:.1f}"


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
