"""What can be added to a face of any template: a window, a panel of honeycomb lace, a text."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import shapely

from cutprep.errors import JobError
from cutprep.geometry.curves.flatten import arc, circle
from cutprep.model.lines import Points
from cutprep.template.dimensions import Dimension, Values, refuse
from cutprep.template.sketch import Sketch

WINDOWS = ("none", "round", "rectangle", "heart", "hexagon", "lace")
#: Least card that is kept between the cells of a lace, mm; common practice, no published source.
_BAR = 1.8


def extras_for(faces: Sequence[str]) -> tuple[Dimension, ...]:
    """Dimensions of what can be added, for a kind with these faces."""
    if not faces:
        return ()
    return (
        Dimension("window", 0.0, "shape cut into a face: " + ", ".join(WINDOWS), choices=WINDOWS),
        Dimension("face", 0.0, "the face it is cut into: " + ", ".join(faces), choices=tuple(faces)),
        Dimension("window-width", 0, "width of the window; 0: half the face", least=0, most=1000),
        Dimension("window-height", 0, "height of the window; 0: half the face", least=0, most=1000),
        Dimension("margin", 8, "card kept between window and folds", least=3, most=100),
    )


def add_extras(sketch: Sketch, d: Values, faces: Sequence[str]) -> None:
    """Add what the dimensions ask for to a sketch whose faces have names.

    Raises
    ------
    JobError
        When a window leaves less than the margin of card around it.
    """
    if not faces or not d["window"]:
        return
    shape, name = WINDOWS[int(d["window"])], faces[int(d["face"])]
    face = sketch.faces[name]
    room = shapely.Polygon(face).buffer(-d["margin"], join_style="mitre")
    assert isinstance(room, shapely.Polygon)
    refuse(
        room.is_empty,
        f"a margin of {d['margin']:g} mm leaves no room for a window in the {name}",
        "Use a smaller margin.",
    )
    low, high = face.min(axis=0), face.max(axis=0)
    width, height = (
        d[f"window-{side}"] or span / 2
        for side, span in (("width", high[0] - low[0]), ("height", high[1] - low[1]))
    )
    middle = shapely.get_coordinates(shapely.Polygon(face).centroid)[0]
    if shape == "lace":
        _lace(sketch, room)
        return
    ring, curved = _SHAPES[shape](width, height, sketch.sagitta)
    ring = ring + middle
    if not room.covers(shapely.Polygon(ring)):
        most = room.bounds
        raise JobError(
            f"a window of {width:g} x {height:g} mm leaves less than {d['margin']:g} mm of card in the {name}",
            fix=f"Use a smaller one: between the margins there are {most[2] - most[0]:.1f} x {most[3] - most[1]:.1f} mm.",
        )
    sketch.window(ring, curved=curved)


def _ellipse(width: float, height: float, sagitta: float) -> tuple[Points, bool]:
    return circle((0, 0), max(width, height) / 2, sagitta) * [
        width / max(width, height), height / max(width, height)
    ], True  # fmt: skip


def _rectangle(width: float, height: float, _: float) -> tuple[Points, bool]:
    corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)]) * 0.5
    return corners * [width, height], False


def _hexagon(width: float, height: float, _: float) -> tuple[Points, bool]:
    """As wide between its parallel sides as asked, and as high between two corners."""
    turns = np.radians(30 + 60 * np.arange(7))
    ring = np.column_stack((np.cos(turns) / math.cos(math.pi / 6), np.sin(turns))) * [width / 2, height / 2]
    ring[-1] = ring[0]
    return ring, False


def _heart(width: float, height: float, sagitta: float) -> tuple[Points, bool]:
    """Two half circles over a point: the sides are tangents from the point to the circles."""
    r = 0.25
    tip = np.array([0.0, -1.0 + r])
    # The tangent from the tip to the right circle (centre (r, 0)) touches it at an angle below the level.
    away = math.hypot(r, tip[1])
    touch = math.atan2(tip[1], -r) + math.acos(r / away)
    right = arc((r, 0), r, touch, math.pi - touch, sagitta / max(width, height))
    left = right[::-1] * [-1, 1]
    ring = np.vstack((tip, right, left[1:], tip))
    span = ring.max(axis=0) - ring.min(axis=0)
    ring = (ring - (ring.max(axis=0) + ring.min(axis=0)) / 2) / span * [width, height]
    ring[-1] = ring[0]
    return ring, False


_SHAPES: dict[str, Callable[[float, float, float], tuple[Points, bool]]] = {
    "round": _ellipse,
    "rectangle": _rectangle,
    "heart": _heart,
    "hexagon": _hexagon,
}


def _lace(sketch: Sketch, room: shapely.Polygon) -> None:
    """Fill a face with honeycomb cells, each whole inside the margin."""
    low_x, low_y, high_x, high_y = room.bounds
    cell = max(4.0, min(high_x - low_x, high_y - low_y) / 8)
    pitch = cell + _BAR
    middle = np.array([(low_x + high_x) / 2, (low_y + high_y) / 2])
    turns = np.radians(30 + 60 * np.arange(6))
    hexagon = np.column_stack((np.cos(turns), np.sin(turns))) * cell / math.sqrt(3)
    rows, columns = (int((high - low) / pitch) + 2 for low, high in ((low_y, high_y), (low_x, high_x)))
    drawn = 0
    for row in range(-rows, rows + 1):
        for column in range(-columns, columns + 1):
            at = middle + np.array([pitch * (column + row % 2 / 2), pitch * row * math.sqrt(3) / 2])
            if room.covers(shapely.Polygon(hexagon + at)):
                sketch.cut(*(hexagon + at), closed=True)
                drawn += 1
    refuse(drawn < 1, "no cell of the lace fits between the margins", "Use a smaller margin.")
