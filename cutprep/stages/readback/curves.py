"""Arcs of a machine file to chords, close enough to measure by.

The readers' own flattening: it shares nothing with what the writers use.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

#: Distance of a chord from its arc, mm: the default arc tolerance of an open firmware (grbl 1.1,
#: defaults.h), a tenth of what a G-code plotter resolves.
SAGITTA = 0.002  # not a tolerance: a firmware's default, named above


def chords_on_arc(
    centre: tuple[float, float], start: tuple[float, float], sweep: float, count: int
) -> Iterator[tuple[float, float]]:
    """Points on an arc one after the other, without its start.

    Parameters
    ----------
    centre, start
        In any unit.
    sweep
        Radians, counter-clockwise positive.
    count
        Number of chords, at least 1.
    """
    dx, dy = start[0] - centre[0], start[1] - centre[1]
    first, radius = math.atan2(dy, dx), math.hypot(dx, dy)
    for k in range(1, count + 1):
        angle = first + sweep * k / count
        yield centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)


def chord_count(radius: float, sweep: float, sagitta: float = SAGITTA) -> int:
    """How many chords keep an arc within a sagitta; mm and radians."""
    if radius <= sagitta:
        return max(1, math.ceil(abs(sweep) / (math.pi / 2)))
    widest = 2 * math.acos(1 - sagitta / radius)
    return max(1, math.ceil(abs(sweep) / widest))
