"""Inches that come out in eighths, as a ruler or a scoring board has them.

A dimension in sixteenths, or one that the arithmetic halves, puts scores on sixteenths; then the nearest that comes out in
eighths is named. The arithmetic is that of a maker with a ruler: cards of no thickness.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from cutprep import units
from cutprep.errors import JobError
from cutprep.model.operation import Operation
from cutprep.template.dimensions import EIGHTH, Dimension
from cutprep.template.kind import KindOfTemplate

#: How far from a mark still is on it, eighths.
_ON = 1e-6  # not a tolerance: rounding of arithmetic


def eighths(kind: KindOfTemplate, words: Mapping[str, str]) -> tuple[str, ...]:
    """Name what would come out in eighths, for each dimension typed in inches that does not.

    Parameters
    ----------
    kind, words
        The template, and its dimensions as they are typed; those that can be drawn.

    Returns
    -------
    tuple of str
        Sentences; none where all come out, or no dimension would do.
    """
    known = {d.name: d for d in kind.all_dimensions}
    typed = {
        key: units.length(text) for key, text in words.items() if known[key].plain and units.in_inches(text)
    }
    told = []
    for key, mm in typed.items():
        if not _on_mark(mm / EIGHTH):
            below = float(np.floor(mm / EIGHTH + _ON) * EIGHTH)
            near = _would_do(kind, words, known[key], (below, below + EIGHTH))
            if near:
                told.append(f"{key} {words[key]} isn't in eighths of an inch; {near} would be.")
    if told or not typed or not _odd(kind, words):
        return tuple(told)
    for key, mm in typed.items():
        near = _would_do(kind, words, known[key], (mm - EIGHTH, mm + EIGHTH))
        if near:
            told.append(f"{key} {words[key]} puts a score on a sixteenth of an inch; {near} wouldn't.")
    return tuple(told[:1])


def _would_do(
    kind: KindOfTemplate, words: Mapping[str, str], d: Dimension, tries: tuple[float, float]
) -> str:
    """Those values with which every score comes out in eighths, in words; empty where none does."""
    fine = [
        units.say_length(mm, "in")
        for mm in tries
        if d.least <= mm <= d.most and _can_be(kind, {**words, d.name: f"{mm}mm"})
    ]
    return " or ".join(fine)


def _can_be(kind: KindOfTemplate, words: Mapping[str, str]) -> bool:
    try:
        kind.from_words(words, "in")
    except JobError:
        return False
    return not _odd(kind, words)


def _odd(kind: KindOfTemplate, words: Mapping[str, str]) -> bool:
    """Whether two level or upright scores lie an odd number of sixteenths apart, in card of no thickness."""
    own = {d.name for d in kind.dimensions}
    bare = {**words, "caliper": "0mm"} if "caliper" in own else words
    try:
        lines = kind.from_words(bare, "in").lines
    except JobError:
        return False
    ends = [lines.points(int(i))[[0, -1]] for i in np.flatnonzero(lines.operation == Operation.SCORE)]
    for axis in (0, 1):
        at = [float(e[0, axis]) for e in ends if abs(float(e[0, axis] - e[1, axis])) < _ON]
        apart = np.abs(np.subtract.outer(at, at)).ravel() / EIGHTH
        if (np.abs(apart % 1 - 0.5) < _ON).any():
            return True
    return False


def _on_mark(count: float) -> bool:
    return abs(count - round(count)) < _ON
