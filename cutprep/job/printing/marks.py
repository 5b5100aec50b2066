"""Register marks: where they lie on a sheet, and what stays free for them.

One in each corner, as far from the edges as the printer needs, so that shift, turn, both scales and slant of the
printed sheet can be measured.
"""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Points

#: How far a mark reaches from its middle, mm, and how much stays free round it of what is printed.
ARM, _ROOM = 4.0, 1.0

#: How far print reaches beyond the cut, mm, so that no white shows where the cut lies a little beside it; never more
#: than to the middle of the gap. Common practice, no published source.
BLEED = 1.5


def mark_spots(width: float, height: float, edge: float) -> Points:
    """Where the marks lie: lower left, lower right, upper right, upper left.

    Parameters
    ----------
    width, height
        Of the sheet, mm.
    edge
        Border that the printer leaves white, mm.

    Returns
    -------
    (4, 2) ndarray of float
        Middles, mm from the sheet's lower left.
    """
    d = edge + ARM
    return np.array([[d, d], [width - d, d], [width - d, height - d], [d, height - d]])


def kept_for_marks(width: float, height: float, edge: float) -> tuple[tuple[float, float, float, float], ...]:
    """The four corners that stay free for marks: left, bottom, right, top of each, mm."""
    side = edge + 2 * ARM + _ROOM + BLEED
    return tuple((x, y, x + side, y + side) for x in (0.0, width - side) for y in (0.0, height - side))
