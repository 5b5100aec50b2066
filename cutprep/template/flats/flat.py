"""Flat pieces: swing tags, slotted dividers, and panels of honeycomb lace."""

from __future__ import annotations

import math

import numpy as np

from cutprep.geometry.curves.flatten import arc
from cutprep.model.folded import Verdict
from cutprep.model.lines import Points
from cutprep.template.dimensions import APART, Dimension, Expected, Values, refuse
from cutprep.template.kind import KindOfTemplate
from cutprep.template.sketch import Sketch


def draw_tag(d: Values) -> Sketch:
    """Draw a swing tag: `width`, `height`, `corner` radius, `hole` diameter, `edge` of the hole, mm."""
    w, h, r = d["width"], d["height"], d["corner"]
    refuse(
        2 * r > min(w, h), f"corners of {r:g} mm are too round for {w:g} x {h:g} mm", "Use a smaller corner."
    )
    middle = h - d["edge"] - d["hole"] / 2
    refuse(
        middle - d["hole"] / 2 < d["edge"] or d["hole"] + 2 * d["edge"] > w,
        f"a hole of {d['hole']:g} mm leaves less than {d['edge']:g} mm of card around it",
        "Use a smaller hole or a larger tag.",
    )
    sketch = Sketch("swing-tag")
    quarter = math.pi / 2
    if r > 0:
        sketch.cut_path(
            piece
            for centre, begin, straight_to in (
                ((w - r, r), -quarter, (w, h - r)),
                ((w - r, h - r), 0.0, (r, h)),
                ((r, h - r), quarter, (0.0, r)),
                ((r, r), 2 * quarter, (w - r, 0.0)),
            )
            for piece in _corner(centre, r, begin, straight_to, sketch.sagitta)
        )
    else:
        sketch.cut((0, 0), (w, 0), (w, h), (0, h), closed=True)
    sketch.hole((w / 2, middle), d["hole"] / 2)
    low = middle - d["hole"] / 2
    sketch.face("face", np.array([(0, 0), (w, 0), (w, low), (0, low)]))
    return sketch


def _corner(
    centre: tuple[float, float], radius: float, begin: float, to: tuple[float, float], sagitta: float
) -> list[tuple[Points, bool]]:
    """A rounded corner and the straight run behind it."""
    bend = arc(centre, radius, begin, math.pi / 2, sagitta)
    # Quarter points are exact, so that neighbouring runs meet bit for bit.
    exact = {0: (1, 0), 1: (0, 1), 2: (-1, 0), -1: (0, -1)}
    quarter = round(begin / (math.pi / 2))
    for row, q in ((0, quarter), (-1, quarter + 1)):
        dx, dy = exact[(q + 1) % 4 - 1]
        bend[row] = (centre[0] + dx * radius, centre[1] + dy * radius)
    return [(bend, True), (np.array([bend[-1], to]), False)]


def _expect_tag(d: Values) -> Expected:
    corners = (4 - math.pi) * d["corner"] ** 2
    hole = math.pi * d["hole"] ** 2 / 4
    return Expected(
        (Verdict.FLAT,), area=d["width"] * d["height"] - corners - hole, blank=(d["width"], d["height"])
    )


TAG = KindOfTemplate(
    name="swing-tag",
    title="swing tag with round corners and a hole",
    dimensions=(
        Dimension("width", 40, "width", least=10, most=500),
        Dimension("height", 70, "height", least=10, most=500),
        Dimension("corner", 6, "radius of the corners", least=0, most=100),
        Dimension("hole", 4, "diameter of the hole", least=1, most=50),
        Dimension("edge", 5, "card between hole and upper edge", least=1, most=100),
    ),
    draw=draw_tag,
    source="plain geometry",
    expect=_expect_tag,
    faces=("face",),
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
        Dimension("caliper", 0.3, "thickness of the card", least=0, most=3),
        Dimension("play", 0.3, "room in a slot beyond the caliper", least=0, most=2),
        Dimension("apart", 4, "distance between the strips on the drawing", least=APART, most=50),
    ),
    draw=draw_divider,
    source="slots of half the height, caliper + play wide (common practice, no published source)",
    expect=_expect_divider,
)


def draw_lace(d: Values) -> Sketch:
    """Draw a panel of honeycomb lace: `width`, `height`, `border`, `cell` across flats, `bar` between cells."""
    w, h, border = d["width"], d["height"], d["border"]
    pitch = d["cell"] + d["bar"]
    rise = pitch * math.sqrt(3) / 2
    radius = d["cell"] / math.sqrt(3)
    columns = math.floor((w - 2 * border - d["cell"]) / pitch) + 1
    rows = math.floor((h - 2 * border - 2 * radius) / rise) + 1
    refuse(columns < 1 or rows < 1, "no cell fits into the panel", "Use smaller cells or a larger panel.")
    sketch = Sketch("honeycomb-lace")
    sketch.cut((0, 0), (w, 0), (w, h), (0, h), closed=True)
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
    return Expected((Verdict.FLAT,), blank=(d["width"], d["height"]))


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
