"""One change of mending seen closely: as it was drawn, and as it is now, side by side."""

from __future__ import annotations

import numpy as np

from cutprep.model.findings.finding import Finding
from cutprep.model.lines import Lines
from cutprep.report.pictures.findings import close_look
from cutprep.report.pictures.lettering import SMALL, Labels
from cutprep.report.pictures.paths import number
from cutprep.report.pictures.sheet import style_rules

#: Side of one of the two looks, and what stands between and round them, mm in print.
_SIDE, _ROOM = 50.0, 2.0
#: Least half width of what is seen, mm of the drawing; what is small is seen with so many times its size round it.
_LEAST, _AROUND, _SMALL_CHANGE = 1.5, 6.0, 2.0


def change_picture(before: Lines, after: Lines, change: Finding) -> str:
    """Draw the place of a change before and after it.

    Parameters
    ----------
    before, after
        Lines as drawn, and mended, mm.
    change
        Told of by mending; each of its places gets a ring.

    Returns
    -------
    str
        An SVG file in mm; empty when the change names no place.
    """
    spots = np.array([place.xy for place in change.places if place.xy is not None])
    if not len(spots):
        return ""
    middle, half = _window(before, spots, change)
    wide, tall = 2 * _SIDE + 3 * _ROOM, _SIDE + 3 * SMALL
    labels, rows = Labels(), []
    for turn, (lines, words) in enumerate(((before, "as drawn"), (after, "mended"))):
        x = _ROOM + turn * (_SIDE + _ROOM)
        seen = _within(lines, middle, half)
        rows += close_look(seen, middle, (x, 2.2 * SMALL), _SIDE, _SIDE / half / 2, SMALL)
        rows += [_ring(spot, middle, half, x) for spot in spots.tolist()]
        labels.put(x + _SIDE / 2, SMALL, words, size=SMALL)
    return (
        f'<svg class="map" xmlns="http://www.w3.org/2000/svg" width="{number(wide)}mm" height="{number(tall)}mm" '
        f'viewBox="0 0 {number(wide)} {number(tall)}"><style>{style_rules()}</style>'
        f'<rect width="100%" height="100%" fill="#fffdf8"/>{"".join(rows)}{"".join(labels.rows)}</svg>'
    )


def _window(lines: Lines, spots: np.ndarray, change: Finding) -> tuple[tuple[float, float], float]:
    """Middle and half width of what is seen: all places, and the change with some of what is round it."""
    low, high = spots.min(axis=0), spots.max(axis=0)
    size = (change.measure or 0.0) if change.unit == "mm" else 0.0
    left, bottom, right, top = lines.bounds
    half = max(0.7 * float((high - low).max()), _AROUND * min(size, _SMALL_CHANGE), 1.1 * size, _LEAST)
    x, y = ((low + high) / 2).tolist()
    return (x, y), min(half, max(right - left, top - bottom, _LEAST))


def _within(lines: Lines, middle: tuple[float, float], half: float) -> Lines:
    """Lines whose boxes meet a square."""
    low, high = np.hsplit(lines.boxes, 2)
    return lines.take(((low <= np.add(middle, half)) & (high >= np.subtract(middle, half))).all(axis=1))


def _ring(spot: list[float], middle: tuple[float, float], half: float, left: float) -> str:
    scale = _SIDE / half / 2
    x = left + _SIDE / 2 + scale * (spot[0] - middle[0])
    y = 2.2 * SMALL + _SIDE / 2 - scale * (spot[1] - middle[1])
    return (
        f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(0.7 * SMALL)}" '
        f'style="fill:none;stroke:#9b1c1c;stroke-width:{number(SMALL / 8)}"/>'
    )
