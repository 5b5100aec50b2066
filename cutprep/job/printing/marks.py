"""Register marks: where they lie on a sheet, and what stays free for them.

One in each corner, as far from the edges as the printer needs and a ruler likes, so that shift, turn, both scales and slant of the
printed sheet can be measured.
"""

from __future__ import annotations

import math

import numpy as np

from cutprep.model.lines import Points
from cutprep.units import MM_PER

#: How far a mark reaches from its middle, mm, and how much stays free round it of what is printed.
ARM, _ROOM = 4.0, 1.0

#: How far print reaches beyond the cut, mm, so that no white shows where the cut lies a little beside it; never more
#: than to the middle of the gap. Common practice, no published source.
BLEED = 1.5


#: What marks are measured in, mm: their distance from the edges is a whole number of these, for a ruler is laid on.
_STEPS = {"in": MM_PER["in"] / 8}


def _inset(edge: float, unit: str) -> float:
    """How far a mark's middle lies from the sheet's edges, mm."""
    step = _STEPS.get(unit, 1.0)
    return step * math.ceil(round((edge + ARM) / step, 6))


def mark_spots(width: float, height: float, edge: float, unit: str = "mm") -> Points:
    """Where the marks lie: lower left, lower right, upper right, upper left.

    Parameters
    ----------
    width, height
        Of the sheet, mm.
    edge
        Border that the printer leaves white, mm.
    unit
        In which she measures: whole millimetres from the edges, or eighths of an inch.

    Returns
    -------
    (4, 2) ndarray of float
        Middles, mm from the sheet's lower left.
    """
    d = _inset(edge, unit)
    return np.array([[d, d], [width - d, d], [width - d, height - d], [d, height - d]])


def kept_for_marks(
    width: float, height: float, edge: float, unit: str = "mm"
) -> tuple[tuple[float, float, float, float], ...]:
    """The four corners that stay free for marks.

    Parameters
    ----------
    width, height, edge, unit
        As for `mark_spots`.

    Returns
    -------
    tuple
        Left, bottom, right, top of each, mm.
    """
    side = _inset(edge, unit) + ARM + _ROOM + BLEED
    return tuple((x, y, x + side, y + side) for x in (0.0, width - side) for y in (0.0, height - side))
