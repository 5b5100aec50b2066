"""A window in a face, honeycomb lace, or a text for the pen."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import shapely

from cutprep.errors import JobError
from cutprep.geometry.curves.flatten import arc, circle
from cutprep.model.lines import Flags, Points
from cutprep.model.text import LEAST_HEIGHT, fields_of
from cutprep.template.dimensions import Dimension, Values, refuse
from cutprep.template.letters import letters
from cutprep.template.options.option import Option, Places
from cutprep.template.sketch import Sketch

WINDOWS = ("none", "round", "rectangle", "heart", "hexagon", "lace")
#: Card kept round a window and round a text when nothing is said, and at least, mm; common practice, no published source.
_ROUND_WINDOW, _ROUND_TEXT, _LEAST = 8.0, 4.0, 3.0
#: No window is smaller unless it is asked for, mm; common practice, no published source. Its size is found in so many halvings.
_LEAST_WINDOW, _HALVINGS = 5.0, 14
#: A long text is written this much smaller at a time; common practice, no published source.
_STEP = 0.95
#: Radius of a heart's lobes, as a share of its width.
_LOBE = 0.28
#: Least card that is kept between the cells of a lace, mm; common practice, no published source.
_BAR = 1.8


def _dimensions(places: Places) -> tuple[Dimension, ...]:
    faces = places.faces
    if not faces:
        return ()
    return (
        Dimension("window", 0.0, "shape cut into a face: " + ", ".join(WINDOWS), choices=WINDOWS),
        Dimension(
            "face", 0.0, "the face for window, text and hang: " + ", ".join(faces), choices=tuple(faces)
        ),
        Dimension(
            "window-width",
            0,
            "width of the window; 0: half the face, or what there is room for",
            least=0,
            most=1000,
        ),
        Dimension("window-height", 0, "height of the window; 0: likewise", least=0, most=1000),
        Dimension(
            "margin", 0, "card kept round it; 0: 8 mm round a window, 4 mm round a text", least=0, most=100
        ),
        Dimension("text", 0.0, "a text that the pen writes on the face", text=True),
        Dimension(
            "text-height", 8, "height of its capitals; a long text is written smaller", least=2, most=200
        ),
    )


def _add(sketch: Sketch, d: Values, places: Places) -> None:
    faces = places.faces
    text = d.texts.get("text", "").strip()
    if not faces or not (d["window"] or text):
        return
    refuse(
        bool(text) and bool(d["window"]),
        "a face takes a window or a text, not both",
        "Leave one of them out.",
    )
    name = faces[int(d["face"])]
    if text:
        sketch.show_outside()
    face = sketch.faces[name]
    margin = d["margin"] or (_ROUND_TEXT if text else _ROUND_WINDOW)
    refuse(
        margin < _LEAST,
        f"a margin of {margin:g} mm holds nothing",
        f"Use at least {_LEAST:g} mm.",
    )
    room = sketch.room(name, margin)
    refuse(room.is_empty, f"a margin of {margin:g} mm leaves no room in the {name}", "Use a smaller margin.")
    if text:
        _write(sketch, text, d["text-height"], room, name)
    else:
        _cut_window(sketch, d, face, room, name, margin)


def _write(sketch: Sketch, text: str, height: float, room: shapely.Polygon, name: str) -> None:
    """Write a text in the middle of a face, smaller where it is too long for it."""
    middle = shapely.get_coordinates(room.centroid)[0]
    turned = name in sketch.turned
    if fields_of(text):
        sketch.place_text(text, middle, height, turned=turned)
        return
    size = height
    while size >= min(height, LEAST_HEIGHT):
        strokes, width = letters(text, size)
        half = np.array([width / 2, size])
        if room.covers(shapely.box(*(middle - half), *(middle + half))):
            for stroke in strokes:
                placed = stroke - half * [1, 0.5]
                sketch.write(middle - placed if turned else middle + placed)
            return
        size *= _STEP
    raise JobError(
        f"'{text}' doesn't fit on the {name}, not even with capitals of {LEAST_HEIGHT:g} mm",
        fix="Write less, or use a smaller margin.",
    )


def _cut_window(
    sketch: Sketch, d: Values, face: Points, room: shapely.Polygon, name: str, margin: float
) -> None:
    shape = WINDOWS[int(d["window"])]
    if shape == "lace":
        _lace(sketch, room)
        return
    low, high = face.min(axis=0), face.max(axis=0)
    width, height = _size(d, high - low, shape)
    ring, curved = _SHAPES[shape](width, height, sketch.sagitta)
    ring = -ring if name in sketch.turned else ring
    share, middle = _fitted(ring, face, room)
    said = bool(d["window-width"] or d["window-height"])
    most = " x ".join(f"{math.floor(10 * share * side) / 10:g}" for side in (width, height))
    refuse(
        share < 1 and (said or share * min(width, height) < _LEAST_WINDOW),
        f"a window of {width:.4g} x {height:.4g} mm leaves less than {margin:g} mm of card in the {name}",
        f"Use one of at most {most} mm, or a smaller margin.",
    )
    sketch.window(middle + share * ring, curved)


def _fitted(ring: Points, face: Points, room: shapely.Polygon) -> tuple[float, Points]:
    """How large a window about the origin, (n, 2), may be, as a share of it up to 1, and where in a room it goes, (2,).

    In the middle of the face if it has room there; else in the middle of the room, or where that is widest.
    """
    wide = shapely.maximum_inscribed_circle(room)
    best = (0.0, np.zeros(2))
    for spot in (shapely.Polygon(face).centroid, room.centroid, shapely.Point(wide.coords[0])):
        middle = shapely.get_coordinates(spot)[0]
        share = _largest(ring, middle, room)
        if share > best[0]:
            best = share, middle
        if share == 1:
            break
    return best


def _largest(ring: Points, middle: Points, room: shapely.Polygon) -> float:
    if room.covers(shapely.Polygon(middle + ring)):
        return 1.0
    least, most = 0.0, 1.0
    for _ in range(_HALVINGS):
        share = (least + most) / 2
        if room.covers(shapely.Polygon(middle + share * ring)):
            least = share
        else:
            most = share
    return least


def _size(d: Values, face: Points, shape: str) -> tuple[float, float]:
    """Width and height of a window: as asked, or half the face; what is round stays as wide as it is high."""
    width, height = d["window-width"], d["window-height"]
    if shape != "rectangle":
        half = float(face.min()) / 2
        return width or height or half, height or width or half
    return width or float(face[0]) / 2, height or float(face[1]) / 2


def _ellipse(width: float, height: float, sagitta: float) -> tuple[Points, Flags]:
    most = max(width, height)
    ring = circle((0, 0), most / 2, sagitta) * [width / most, height / most]
    return ring, np.ones(len(ring), bool)


def _rectangle(width: float, height: float, _: float) -> tuple[Points, Flags]:
    corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)]) * 0.5
    return corners * [width, height], np.zeros(5, bool)


def _hexagon(width: float, height: float, _: float) -> tuple[Points, Flags]:
    """As wide between its parallel sides as asked, and as high between two corners."""
    turns = np.radians(30 + 60 * np.arange(7))
    ring = np.column_stack((np.cos(turns) / math.cos(math.pi / 6), np.sin(turns))) * [width / 2, height / 2]
    ring[-1] = ring[0]
    return ring, np.zeros(len(ring), bool)


def _heart(width: float, height: float, sagitta: float) -> tuple[Points, Flags]:
    """Two arcs over a point: the sides are tangents from the point; the arcs cross, for where circles touch a knife cuts twice."""
    r, c = _LOBE, 0.5 - _LOBE
    tip = np.array([0.0, r - 1.0])
    # The tangent from the tip to the right circle (centre (c, 0)) touches it at an angle below the level.
    away = math.hypot(c, tip[1])
    touch = math.atan2(tip[1], -c) + math.acos(r / away)
    right = arc((c, 0), r, touch, math.pi - math.acos(c / r) - touch, sagitta / max(width, height))
    right[-1, 0] = 0.0
    left = right[::-1] * [-1, 1]
    ring = np.vstack((tip, right, left[1:], tip))
    span = ring.max(axis=0) - ring.min(axis=0)
    ring = (ring - (ring.max(axis=0) + ring.min(axis=0)) / 2) / span * [width, height]
    ring[-1] = ring[0]
    curved = np.ones(len(ring), bool)
    # Sharp at the tip and where the lobes meet; a lobe's tangent end is neither.
    curved[[0, len(right), -1]] = False
    return ring, curved


_SHAPES: dict[str, Callable[[float, float, float], tuple[Points, Flags]]] = {
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


ON_FACES = Option(_dimensions, _add)
