"""The room for a text on its part, and how high it can be written there."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.job.names.alphabet import Alphabet
from cutprep.model.lines import Flags, Points
from cutprep.model.operation import Operation
from cutprep.model.part import Part, Template
from cutprep.model.text import TextPlace

#: Card kept between a text and every cut and fold around it, mm; common practice, no published source.
CLEAR = 1.5
#: A long text is written this much smaller at a time.
_STEP = 0.96


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """A text where it is written: strokes with their curved vertices, mm in the template, and the height of its capitals."""

    strokes: tuple[tuple[Points, Flags], ...]
    height: float


def part_at(template: Template, place: TextPlace) -> int | None:
    """The number of the part that a place for words lies on."""
    angle = math.radians(place.turn)
    middle = shapely.Point(
        place.at[0] - math.sin(angle) * place.height / 2, place.at[1] + math.cos(angle) * place.height / 2
    )
    for number, part in enumerate(template.parts):
        if shapely.Polygon(template.lines.points(part.outline)).covers(middle):
            return number
    return None


def room_on(template: Template, part: Part) -> BaseGeometry:
    """Where a text may lie: the part without a strip along its outline, its holes, its cuts and its folds."""
    lines = template.lines
    room: BaseGeometry = shapely.Polygon(lines.points(part.outline)).buffer(-CLEAR)
    for hole in part.holes:
        room = room.difference(shapely.Polygon(lines.points(hole)).buffer(CLEAR))
    worked = [i for i in part.inner if lines.operation[i] != Operation.DRAW]
    if worked:
        strips = shapely.union_all([shapely.LineString(lines.points(i)).buffer(CLEAR) for i in worked])
        room = room.difference(strips)
    shapely.prepare(room)
    return room


def fitted(
    place: TextPlace, text: str, alphabet: Alphabet, room: BaseGeometry, least: float
) -> Fitted | None:
    """Write a text as high as its place says, or smaller where it is too long.

    Parameters
    ----------
    place
        Where, in the template.
    text
        Of letters that the alphabet has.
    alphabet
        Its letters.
    room
        Where it may lie.
    least
        Height of its capitals that is small enough, mm.

    Returns
    -------
    Fitted or None
        None when it doesn't fit, even so small.
    """
    height = place.height
    while height >= min(least, place.height):
        strokes, width = alphabet.write(text, height)
        laid = [(_laid(stroke, place, width, height), curved) for stroke, curved in strokes]
        if not laid or room.covers(shapely.MultiPoint(np.vstack([s for s, _ in laid])).convex_hull):
            return Fitted(tuple(laid), height)
        height = max(height * _STEP, least) if height > least else 0.0
    return None


def _laid(stroke: Points, place: TextPlace, width: float, height: float) -> Points:
    """A stroke in its place; the middle of the capitals stays where it is drawn, however high they are."""
    left = {"start": 0.0, "middle": width / 2, "end": width}[place.anchor]
    across, up = stroke[:, 0] - left, stroke[:, 1] + (place.height - height) / 2
    angle = math.radians(place.turn)
    c, s = math.cos(angle), math.sin(angle)
    return np.column_stack((place.at[0] + c * across - s * up, place.at[1] + s * across + c * up))
