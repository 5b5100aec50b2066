"""Flat pieces: swing tags, slotted dividers, and panels of honeycomb lace."""

from __future__ import annotations

import math

import numpy as np
import shapely

from cutprep.model.folded import Verdict
from cutprep.template.blank import Blank
from cutprep.template.dimensions import APART, CALIPER, Dimension, Expected, Values, refuse
from cutprep.template.kind import KindOfTemplate
from cutprep.template.sketch import Sketch

#: Upper ends of a tag.
_TOPS = ("square", "round", "cut")
#: Card of a ring round its hole, at least, mm; common practice, no published source.
_RING = 2.5


#: A slot is at least this wide, mm; common practice, no published source.
_SLOT = 0.2


def draw_tag(d: Values) -> Sketch:
    """Draw a swing tag, and a ring that strengthens its hole.

    Parameters
    ----------
    d
        `width`, `height`, `shape` of its upper end, `corner` radius of the other corners, `hole` diameter, `edge` of the hole,
        `ring` diameter of the ring (0: none), mm.
    """
    w, h, r, shape = d["width"], d["height"], d["corner"], _TOPS[int(d["shape"])]
    refuse(
        2 * r > min(w, h), f"corners of {r:g} mm are too round for {w:g} x {h:g} mm", "Use a smaller corner."
    )
    middle = h - d["edge"] - d["hole"] / 2
    refuse(
        middle - d["hole"] / 2 < d["edge"] or d["hole"] + 2 * d["edge"] > w * (0.5 if shape == "cut" else 1),
        f"a hole of {d['hole']:g} mm leaves less than {d['edge']:g} mm of card around it",
        "Use a smaller hole or a larger tag.",
    )
    refuse(
        shape != "square" and w / 2 + r > h,
        f"a {shape} end needs half the width of {w:g} mm above corners of {r:g} mm",
        "Use a higher tag or a smaller corner.",
    )
    refuse(
        0 < d["ring"] < d["hole"] + 2 * _RING,
        f"a ring of {d['ring']:g} mm round a hole of {d['hole']:g} mm is too narrow",
        f"Use one of at least {d['hole'] + 2 * _RING:g} mm, or 0 for none.",
    )
    blank = Blank("swing-tag")
    quarter = w / 4
    if shape == "cut":
        blank.panel((0, 0), (w, 0), (w, h - quarter), (w - quarter, h), (quarter, h), (0, h - quarter))
    else:
        blank.box(0, 0, w, h)
    tops = {"square": r, "round": w / 2, "cut": 0.0}[shape]
    for corner, radius in (((0, 0), r), ((w, 0), r), ((w, h), tops), ((0, h), tops)):
        if radius:
            blank.round_corner(corner, radius)
    sketch = blank.finish()
    sketch.take(shapely.box(0, 0, w, h) - shapely.Polygon(sketch.line(0)[0]))
    sketch.hole((w / 2, middle), d["hole"] / 2)
    low = middle - d["hole"] / 2
    sketch.face("face", np.array([(0, 0), (w, 0), (w, low), (0, low)]))
    if d["ring"]:
        at = (w + APART + d["ring"] / 2, d["ring"] / 2)
        sketch.hole(at, d["ring"] / 2)
        sketch.hole(at, d["hole"] / 2)
    return sketch


def _expect_tag(d: Values) -> Expected:
    w, r, shape = d["width"], d["corner"], _TOPS[int(d["shape"])]
    round_ = 1 - math.pi / 4
    off = {
        "square": 4 * round_ * r * r,
        "round": 2 * round_ * (r * r + w * w / 4),
        "cut": 2 * round_ * r * r + w * w / 16,
    }
    hole, ring = math.pi * d["hole"] ** 2 / 4, math.pi * d["ring"] ** 2 / 4
    area = w * d["height"] - off[shape] - hole
    # What is torn off hangs on its tear line as on a fold.
    tag = Verdict.LEAF if d["tear"] else Verdict.FLAT
    if not ring:
        return Expected((tag,), area=area, blank=(w, d["height"]))
    blank = (w + APART + d["ring"], max(d["height"], d["ring"]))
    return Expected((tag, Verdict.FLAT), area=area + ring - hole, blank=blank)


TAG = KindOfTemplate(
    name="swing-tag",
    title="swing tag with a hole, and a ring to strengthen it",
    dimensions=(
        Dimension("width", 40, "width", least=10, most=500),
        Dimension("height", 70, "height", least=10, most=500),
        Dimension(
            "shape", 0.0, "upper end: square, round (a half circle) or cut (its corners)", choices=_TOPS
        ),
        Dimension("corner", 6, "radius of the corners", least=0, most=100),
        Dimension("hole", 4, "diameter of the hole", least=1, most=50),
        Dimension("edge", 5, "card between hole and upper edge", least=1, most=100),
        Dimension("ring", 0, "diameter of a ring that is glued round the hole; 0: none", least=0, most=100),
    ),
    draw=draw_tag,
    source="plain geometry",
    expect=_expect_tag,
    faces=("face",),
    pieces=("tag", "ring"),
    tears=("face",),
)


def draw_divider(d: Values) -> Sketch:
    """Draw a slotted divider for `columns` x `rows` cells inside `length` x `width` x `height`, mm.

    Strips along the length are slotted from above, those across from below, each to half their height;
    a slot is as wide as the caliper and `play` together (common practice, no published source).
    """
    columns, rows = int(d["columns"]), int(d["rows"])
    refuse(columns < 2 or rows < 2, "a divider needs at least two columns and two rows")
    slot = d["caliper"] + d["play"]
    refuse(
        slot < _SLOT,
        f"slots of {slot:g} mm are no slots: their sides lie on each other",
        f"Use at least {_SLOT:g} mm of caliper and play together.",
    )
    refuse(
        slot * 2 > min(d["length"] / columns, d["width"] / rows),
        "the slots are wider than the cells between them",
        "Use fewer cells or a thinner card.",
    )
    sketch = Sketch("divider")
    y = 0.0
    for size, cells, count, from_above in (
        (d["length"], columns, rows - 1, True),
        (d["width"], rows, columns - 1, False),
    ):
        for _ in range(count):
            _strip(sketch, y, size, d["height"], cells, slot, from_above=from_above)
            y += d["height"] + d["apart"]
    return sketch


def _strip(
    sketch: Sketch, y: float, size: float, height: float, cells: int, slot: float, *, from_above: bool
) -> None:
    """One strip with a slot between neighbouring cells."""
    edge: list[tuple[float, float]] = []
    for i in range(1, cells):
        x = size * i / cells
        edge += [
            (x - slot / 2, 0.0),
            (x - slot / 2, height / 2),
            (x + slot / 2, height / 2),
            (x + slot / 2, 0.0),
        ]
    points = [(0.0, 0.0), *edge, (size, 0.0), (size, height), (0.0, height)]
    if from_above:
        points = [(x, height - v) for x, v in reversed(points)]
    sketch.cut(*((x, v + y) for x, v in points), closed=True)


def _expect_divider(d: Values) -> Expected:
    columns, rows, slot = int(d["columns"]), int(d["rows"]), d["caliper"] + d["play"]
    strips = columns + rows - 2
    solid = ((rows - 1) * d["length"] + (columns - 1) * d["width"]) * d["height"]
    slots = 2 * (rows - 1) * (columns - 1) * slot * d["height"] / 2
    return Expected(
        (Verdict.FLAT,) * strips,
        area=solid - slots,
        blank=(max(d["length"], d["width"]), strips * d["height"] + (strips - 1) * d["apart"]),
    )


DIVIDER = KindOfTemplate(
    name="divider",
    title="slotted divider for a tray: strips that push into each other",
    dimensions=(
        Dimension("length", 131, "inside length of the tray", least=10, most=1500),
        Dimension("width", 77, "inside width of the tray", least=10, most=1500),
        Dimension("height", 26, "height of the strips", least=5, most=500),
        Dimension("columns", 3, "cells along the length", least=2, most=50, count=True),
        Dimension("rows", 2, "cells across", least=2, most=50, count=True),
        CALIPER,
        Dimension("play", 0.3, "room in a slot beyond the caliper", least=0, most=2),
        Dimension("apart", 4, "distance between the strips on the drawing", least=APART, most=50),
    ),
    draw=draw_divider,
    source="slots of half the height, caliper + play wide (common practice, no published source)",
    expect=_expect_divider,
)


def _grid(d: Values) -> tuple[float, float, float, int, int]:
    """Distance of cells in a row, and of rows; radius of a cell, mm; columns and rows of cells."""
    pitch = d["cell"] + d["bar"]
    rise = pitch * math.sqrt(3) / 2
    radius = d["cell"] / math.sqrt(3)
    columns = math.floor((d["width"] - 2 * d["border"] - d["cell"]) / pitch) + 1
    rows = math.floor((d["height"] - 2 * d["border"] - 2 * radius) / rise) + 1
    return pitch, rise, radius, columns, rows


def draw_lace(d: Values) -> Sketch:
    """Draw a panel of honeycomb lace: `width`, `height`, `border`, `cell` across flats, `bar` between cells."""
    w, h, border = d["width"], d["height"], d["border"]
    pitch, rise, radius, columns, rows = _grid(d)
    refuse(columns < 1 or rows < 1, "no cell fits into the panel", "Use smaller cells or a larger panel.")
    sketch = Sketch("honeycomb-lace")
    sketch.cut((0, 0), (w, 0), (w, h), (0, h), closed=True)
    sketch.aid(
        (border, border),
        (w - border, border),
        (w - border, h - border),
        (border, h - border),
        (border, border),
    )
    sketch.span("border", (0, h * 3 / 4), (border, h * 3 / 4))
    left = (w - (columns - 1) * pitch) / 2
    bottom = (h - (rows - 1) * rise) / 2
    for row in range(rows):
        odd = row % 2
        for column in range(columns - odd):
            x = left + pitch * (column + odd / 2)
            y = bottom + rise * row
            angles = [math.radians(30 + 60 * i) for i in range(6)]
            sketch.cut(*((x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles), closed=True)
    return sketch


def _expect_lace(d: Values) -> Expected:
    _, _, _, columns, rows = _grid(d)
    cells = columns * rows - rows // 2  # every other row has one less
    hexagon = math.sqrt(3) / 2 * d["cell"] ** 2
    return Expected(
        (Verdict.FLAT,), area=d["width"] * d["height"] - cells * hexagon, blank=(d["width"], d["height"])
    )


LACE = KindOfTemplate(
    name="lace",
    title="panel of honeycomb lace, some hundred cells",
    dimensions=(
        Dimension("width", 150, "width", least=10, most=1500),
        Dimension("height", 100, "height", least=10, most=1500),
        Dimension("border", 8, "frame without cells", least=2, most=200),
        Dimension("cell", 5, "cell, flat to flat", least=1, most=100),
        Dimension("bar", 1.8, "card between cells", least=1.6, most=50),
    ),
    draw=draw_lace,
    source="plain geometry",
    expect=_expect_lace,
)
