"""Every geometric limit of cutprep, in one frozen value that is handed to whoever needs it.

Never read as a global: a stage takes a `Tolerance` argument, so that two jobs with different
limits can run side by side and a test can tighten one limit alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

#: Lengths below this are no length at all, mm: guards divisions and the rounding of sums, and decides nothing
#: that a maker sees.
ZERO = 1e-9
#: Coordinates beyond this are refused, mm: no mat is 100 m long.
REACH = 100_000.0
#: Chord error of curves that are drawn here, mm.
SAGITTA = 0.02


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Geometric limits, mm unless said otherwise.

    All defaults are common practice with no published source, except where one is named.

    Attributes
    ----------
    coincide
        Two ends within this distance are one point.
    doubled
        Two lines closer than this lie on each other.
    doubled_run
        Shortest doubled run that counts.
    near
        Parallel lines closer than this, but not doubled, are a slip of the hand.
    near_run
        Shortest near-double run that counts.
    gap
        Largest gap between two ends that can be closed.
    tail
        What runs past the line it should end on by no more than this was not meant to, and is trimmed.
    sliver
        A line shorter than this is a sliver.
    strip_run
        Shortest run over which a narrow strip counts.
    sagitta
        Chord error when a curve is flattened.
    blade
        Largest distance between the tip's path and the wanted line.
    readback_step
        Largest difference of a read-back position in HP-GL: one plotter unit of 0.025 mm
        (HP PCL 5 Technical Reference Manual Part II, table 17-7).
    readback_mm
        Largest difference of a read-back position in G-code.
    seam
        Largest seam error of a part that closes.
    reach
        Coordinates beyond this are refused.
    zero
        Lengths below this are no length at all.
    """

    coincide: float = 0.05
    doubled: float = 0.10
    doubled_run: float = 0.5
    near: float = 0.60
    near_run: float = 3.0
    gap: float = 0.8
    tail: float = 12.0
    sliver: float = 0.3
    strip_run: float = 2.0
    sagitta: float = SAGITTA
    blade: float = 0.05
    readback_step: float = 0.025
    readback_mm: float = 0.005
    seam: float = 0.5
    reach: float = REACH
    zero: float = ZERO

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if not (math.isfinite(value) and value > 0):
                raise ValueError(f"tolerance {field.name} is {value!r}; it must be above 0")
        if not self.coincide < self.doubled < self.near:
            raise ValueError("tolerances must rise: coincide < doubled < near")


#: The limits that nobody changed: what a caller gets who leaves them to cutprep.
STANDARD = Tolerance()
