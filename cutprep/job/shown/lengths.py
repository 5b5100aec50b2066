"""Where a dimension lies on a drawing: found by drawing it once more with a little more of it.

Two places whose distance is the dimension, and grows as it does. So no kind has to say it, and a letter never stands where
its dimension is not.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from cutprep.errors import JobError
from cutprep.job.shown.aslant import across_boxes, from_folds
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Points
from cutprep.template.dimensions import Dimension
from cutprep.template.kind import KindOfTemplate

#: How much more of a dimension is drawn, mm.
MORE = 0.5
#: A drawn distance may differ from its dimension by this, for layers of card, mm; by the play as well where there is one.
LAYERS = 1.2
#: Distances that grow alike differ by less, mm.
_SAME = 1e-6  # not a tolerance: rounding of coordinates
#: More corners than this belong to lace; the first ones do.
_MOST_CORNERS = 240
#: A distance below this can't be seen in a picture, mm.
LEAST = 1.0


def measured(
    kind: KindOfTemplate, d: Dimension, drawing: Drawing, given: Mapping[str, float | str]
) -> tuple[Points, Points] | None:
    """Two corners whose distance is a dimension.

    Parameters
    ----------
    kind, d
        The dimension, and whose it is.
    drawing
        The kind with these dimensions.
    given
        What is not named has its default.

    Returns
    -------
    tuple of (2,) ndarray of float, or None
        The corners, mm; None where no two show it.
    """
    value = given.get(d.name, d.default)
    if not d.plain or isinstance(value, str) or value < LEAST:
        return None
    for more in (MORE, -MORE):
        try:
            other = kind.from_values(**{**given, d.name: value + more})
        except JobError:
            continue
        found = None
        if len(other.lines.xy) == len(drawing.lines.xy):
            play = given.get(
                "play", next((one.default for one in kind.dimensions if one.name == "play"), 0.0)
            )
            slack = LAYERS + (play if isinstance(play, float | int) else 0.0)
            found = _pair(drawing, other, (value, more, slack)) or from_folds(drawing, other, value, more)
        found = found or across_boxes(drawing, other, value, more)
        if found is not None:
            return found
    return None


def _pair(
    drawing: Drawing, other: Drawing, wanted: tuple[float, float, float]
) -> tuple[Points, Points] | None:
    """The pair of corners that shows a dimension best: along an edge, level or upright, nearest to its value."""
    value, more, slack = wanted
    lines = drawing.lines
    rows = np.flatnonzero(~lines.curved)[:_MOST_CORNERS]
    owner = np.repeat(np.arange(len(lines)), lines.counts)[rows]
    a, b = lines.xy[rows], other.lines.xy[rows]
    i, j = np.triu_indices(len(rows), 1)
    before, after = (np.hypot(*(p[j] - p[i]).T) for p in (a, b))
    shows = (np.abs(after - before - more) < _SAME) & (np.abs(before - value) < slack)
    if not shows.any():
        return _depth(a, b, value, more)
    i, j, off = i[shows], j[shows], np.abs(before[shows] - value)
    edge = (owner[i] == owner[j]) & (np.abs(rows[i] - rows[j]) == 1)
    square = (np.abs(a[j] - a[i]) < _SAME).any(axis=1)
    outer = -(np.abs((a[i] + a[j]) / 2 - a.mean(axis=0)).max(axis=1))
    best = np.lexsort((outer, off.round(3), ~edge, ~square))[0]
    return a[i[best]], a[j[best]]


def _depth(a: Points, b: Points, value: float, more: float) -> tuple[Points, Points] | None:
    """Two ends of a depth that no edge shows, such as that of a slanted flap: level or upright between corners."""
    i, j = np.triu_indices(len(a), 1)
    found: list[tuple[float, Points, Points]] = []
    for axis in (0, 1):
        before, after = (np.abs(p[j, axis] - p[i, axis]) for p in (a, b))
        shows = (np.abs(after - before - more) < _SAME) & (np.abs(before - value) < _SAME)
        aside = np.where(shows, np.abs(a[j, 1 - axis] - a[i, 1 - axis]), np.inf)
        best = int(aside.argmin()) if len(aside) else 0
        if len(aside) and np.isfinite(aside[best]):
            end = a[j[best]].copy()
            end[1 - axis] = a[i[best], 1 - axis]
            found.append((float(aside[best]), a[i[best]], end))
    return min(found, key=lambda row: row[0])[1:] if found else None
