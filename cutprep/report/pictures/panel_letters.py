"""Letters on the panels of a folded part, where each is seen, and distances with their letters, as SVG."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.model.lines import Points

FONT = "font-family='DejaVu Sans, Verdana, sans-serif'"
_MARK = "#2a5d80"
#: Height of a letter, and the least one that can be read, mm; room round its middle for a height of 1.
_LETTER, _LEAST_LETTER, _LETTER_ROOM = 2.6, 1.5, 0.55
#: A letter stands in the middle of a panel that has there this share of its widest room.
_MIDDLE = 0.8
#: Share of the widest room that a place has which counts as one of the widest.
_WIDEST = 0.95
#: How far beside its panel a letter stands that has no room in it, mm.
_ASIDE = 1.3


def panel_letters(
    names: Sequence[str],
    shapes: Sequence[shapely.Polygon],
    order: Sequence[int],
    scale: float,
    flat: Callable[[Points], Points],
    *,
    aside: bool,
) -> list[str]:
    """The letter of every panel in the middle of what is seen of it, smaller where room is short.

    Where there is none, and it is asked for, the letter stands beside the part with a line to it.

    Parameters
    ----------
    names, shapes
        Letter of each panel, and its shape in the picture, mm, y up.
    order
        Panels from the farthest to the nearest.
    scale
        Picture mm for each mm of the shapes.
    flat
        Brings (n, 2) points of the shapes onto the page, mm, y down.
    aside
        Whether letters may stand outside.
    """
    whole = shapely.union_all([s for s in shapes if s.is_valid]) if aside else shapely.Polygon()
    rows = []
    cover: BaseGeometry = shapely.Polygon()
    for k in reversed(order):
        if not shapes[k].is_valid or shapes[k].area * scale**2 < 1e-2:  # not a tolerance: seen edge-on
            continue
        seen = shapes[k].difference(cover)
        cover = cover.union(shapes[k])
        part = max(shapely.get_parts(seen), key=lambda g: g.area, default=shapely.Polygon())
        if not isinstance(part, shapely.Polygon) or part.is_empty:
            continue
        middle, radius = letter_place(part, 0.05 / scale)
        height = radius * scale / _LETTER_ROOM
        name = names[k]
        if height >= _LEAST_LETTER * (1 + 0.4 * (len(name) - 1)):
            rows.append(_letter(name, flat(middle)[0], min(_LETTER, height)))
        elif aside:
            rows += _beside(name, middle, whole, scale, flat)
    return rows[::-1]


def letter_place(part: shapely.Polygon, fine: float) -> tuple[Points, float]:
    """Where a letter stands in a shape: in its middle if that is wide enough, else at its widest place.

    Parameters
    ----------
    part
        What is seen of a panel.
    fine
        How far the widest place may be off, in the unit of the shape.

    Returns
    -------
    place, room
        (1, 2) ndarray of float; and how far the edge is from it.
    """
    circle = shapely.maximum_inscribed_circle(part, fine)
    middle = part.centroid
    room = float(part.boundary.distance(middle)) if part.contains(middle) else 0.0
    if room > _MIDDLE * circle.length:
        return np.array([[middle.x, middle.y]]), room
    # A long shape has a whole line of widest places: of them the one nearest to its middle, whatever the last digit.
    way = shapely.shortest_line(part.buffer(-_WIDEST * circle.length), middle)
    near = (
        circle.coords[0] if way is None else way.coords[0]
    )  # nothing is left of a shape as thin as rounding
    return np.array([near]), _WIDEST * float(circle.length)


def _letter(name: str, at: Points, height: float) -> str:
    x, y = at
    return (
        f"<text x='{x:.2f}' y='{y + 0.35 * height:.2f}' font-size='{height:.2f}' text-anchor='middle' {FONT} "
        f"fill='#333333'>{name}</text>"
    )


def _beside(
    name: str, middle: Points, whole: BaseGeometry, scale: float, flat: Callable[[Points], Points]
) -> list[str]:
    """A letter outside the part, on the shortest way out from its panel, and a line to it."""
    edge = whole.boundary
    out = shapely.get_coordinates(edge.interpolate(edge.project(shapely.Point(middle[0]))))
    way = (out - middle) / max(
        float(np.hypot(*(out - middle)[0])), 1e-2
    )  # not a tolerance: a middle on the edge
    spot = out + way * (_ASIDE / scale)
    (x0, y0), (x1, y1) = flat(np.concatenate((middle, out + way * (0.3 * _ASIDE / scale))))
    line = f"<path class='lead' d='M{x0:.2f},{y0:.2f}L{x1:.2f},{y1:.2f}' stroke='#333333' stroke-width='0.12' fill='none'/>"
    return [_letter(name, flat(spot)[0], _LEAST_LETTER), line]


@dataclass(frozen=True, slots=True, eq=False)
class SpaceMark:
    """A distance to show on a folded part.

    Attributes
    ----------
    name, letter
        What it is, and the letter that stands for it.
    lies
        "upright" or "level".
    ends
        (2, 3) ndarray of float, in the space of the folded panels, mm.
    """

    name: str
    letter: str
    lies: str
    ends: Points


def drawn_mark(mark: SpaceMark, ends: Points) -> str:
    """Draw a distance as a line with its letter beside its middle; it lies over the panels, for it may go through the piece.

    Parameters
    ----------
    mark
        The distance.
    ends
        (2, 2) ndarray of float: its ends in the picture, mm, y down.
    """
    (x, y), (u, v) = ends.tolist()
    away = np.array([v - y, x - u]) / (float(np.hypot(u - x, v - y)) or 1.0)
    across, down = (ends.mean(axis=0) + 2.4 * np.abs(away)).tolist()
    return (
        f"<path data-of='{mark.name}' data-letter='{mark.letter}' data-lies='{mark.lies}' d='M{x:.2f},{y:.2f} {u:.2f},{v:.2f}' "
        f"stroke='{_MARK}' stroke-width='0.7' fill='none'/><text x='{across:.2f}' y='{down + 1.2:.2f}' font-size='3.4' "
        f"text-anchor='middle' {FONT} fill='{_MARK}' stroke='#ffffff' stroke-width='0.7' paint-order='stroke'>{mark.letter}</text>"
    )
