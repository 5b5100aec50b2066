"""A perforated tear line across a face, level with its lower side, from one side of the face to the other."""

from __future__ import annotations

import math

import shapely

from cutprep.template.dimensions import Dimension, Values, refuse
from cutprep.template.options.option import Option, Places
from cutprep.template.sketch import Sketch

#: A strip beside a tear line is at least this wide, mm; common practice, no published source.
_STRIP = 5.0


def _dimensions(places: Places) -> tuple[Dimension, ...]:
    if not places.tears:
        return ()
    return (
        Dimension(
            "tear",
            0,
            "distance of a perforated tear line from the face's lower side; 0: none",
            least=0,
            most=1000,
        ),
        Dimension("tear-in", 0.0, "the face it crosses: " + ", ".join(places.tears), choices=places.tears),
    )


def _add(sketch: Sketch, d: Values, places: Places) -> None:
    if not places.tears or not d["tear"]:
        return
    name = places.tears[int(d["tear-in"])]
    face = shapely.Polygon(sketch.faces[name])
    left, low, right, high = face.bounds
    most = math.floor(10 * (high - low - _STRIP)) / 10
    refuse(
        not _STRIP <= d["tear"] <= high - low - _STRIP,
        f"a tear line {d['tear']:g} mm above the lower side of the {name} leaves no strip to tear",
        f"Use from {_STRIP:g} to {most:g} mm."
        if most >= _STRIP
        else "There is no room for one: leave it out.",
    )
    level = low + d["tear"]
    across = face.intersection(shapely.LineString([(left - 1, level), (right + 1, level)]))
    ends = shapely.get_coordinates(across)
    sketch.perforate(ends[0], ends[-1])
    sketch.take(across.buffer(0.5))


TEAR = Option(_dimensions, _add)
