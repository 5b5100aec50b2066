"""Open trays, and trays with a lid: a base, four walls, and a glue tab at each corner.

The blank of a tray is L + 2H by W + 2H, measured between scores (common practice, no published
source; the same arithmetic stands in paper-box tutorials). Walls face each other across the card's
thickness, so scores lie one caliper further apart than the inside, and a wall is half a caliper
higher. Tabs have no allowance of their own: a score that runs through from edge to edge can be set once
on a scoring board. Thick card bulges by a caliper where a tab is glued inside a wall. A lid
is a tray whose inside is the outside of the first one, with the layers glued into its long walls, and some play.
"""

from __future__ import annotations

import numpy as np

from cutprep.model.folded import Verdict
from cutprep.template.dimensions import (
    CALIPER,
    GLUE,
    PIECES_APART,
    SLANT,
    Dimension,
    Expected,
    Values,
    at_most,
    lid_height,
    play_between,
    refuse,
)
from cutprep.template.kind import KindOfTemplate
from cutprep.template.sketch import Sketch


def draw_tray(d: Values) -> Sketch:
    """Draw an open tray with a tab at each end of the two short walls.

    Parameters
    ----------
    d
        Inside `length`, `width`, `height`, `tab` depth and `caliper`, mm.
    """
    sketch = Sketch("tray")
    add_tray(sketch, d["length"], d["width"], d["height"], d["tab"], d["caliper"])
    return sketch


def add_tray(
    sketch: Sketch,
    length: float,
    width: float,
    height: float,
    tab: float,
    caliper: float,
    *,
    bottom: float = 0.0,
    face: str = "base",
) -> float:
    """Add a tray of an inside size at a distance from below; gives its upper edge, mm.

    Parameters
    ----------
    sketch
        Where it is drawn.
    length, width, height
        Inside, mm.
    tab
        Depth of the corner tabs, mm.
    caliper
        Of the card, mm.
    bottom
        Where its lower edge lies, mm.
    face
        Name of its base.
    """
    length, width, height = length + caliper, width + caliper, height + caliper / 2
    refuse(
        tab > height - 1,
        f"tabs of {tab:g} mm don't fit into the corners of {height:g} mm",
        at_most("a tab", height - 1, "Use higher walls."),
    )
    refuse(
        2 * tab > length, f"two tabs of {tab:g} mm meet along a wall of {length:g} mm", "Use smaller tabs."
    )
    x0, x1, x2, x3 = 0.0, height, height + length, 2 * height + length
    y0, y1, y2, y3 = (bottom + y for y in (0.0, height, height + width, 2 * height + width))
    slant = min(tab * SLANT, height / 4)
    sketch.cut(
        (x1, y0), (x2, y0), (x2, y1),
        (x2 + slant, y1 - tab), (x3 - slant, y1 - tab), (x3, y1),
        (x3, y2), (x3 - slant, y2 + tab), (x2 + slant, y2 + tab),
        (x2, y2), (x2, y3), (x1, y3), (x1, y2),
        (x1 - slant, y2 + tab), (x0 + slant, y2 + tab), (x0, y2),
        (x0, y1), (x0 + slant, y1 - tab), (x1 - slant, y1 - tab), (x1, y1),
        closed=True,
    )  # fmt: skip
    sketch.face(face, np.array([(x1, y1), (x2, y1), (x2, y2), (x1, y2)]))
    # The rim of a tray is the upper side of its wall, that of a lid the lower one.
    lid = face == "lid"
    wall = np.array([(x1, y0), (x2, y0), (x2, y1), (x1, y1)])
    sketch.face("lid front" if lid else "front", wall, turned=not lid)
    sketch.edge(f"{face} rim", (x1, y0), (x2, y0), behind=length / 2 - tab)  # two tabs are glued inside it
    for y in (y1, y2):
        sketch.valley((x1, y), (x2, y))
        sketch.valley((x0, y), (x1, y))
        sketch.valley((x2, y), (x3, y))
    for x in (x1, x2):
        sketch.valley((x, y1), (x, y2))
    return y3


def tray_area(length: float, width: float, height: float, tab: float, caliper: float) -> float:
    """Card in a tray of an inside size, mm2: base, four walls, and tabs that are trapezoids.

    Parameters
    ----------
    length, width, height, tab, caliper
        mm; `tab` is the depth of the corner tabs.
    """
    a, b, h = length + caliper, width + caliper, height + caliper / 2
    return a * b + 2 * h * (a + b) + 4 * tab * (h - min(tab * SLANT, h / 4))


def tray_blank(length: float, width: float, height: float, caliper: float) -> tuple[float, float]:
    """Width and height of the blank of a tray of an inside size, mm.

    Parameters
    ----------
    length, width, height, caliper
        mm.
    """
    return (length + caliper + 2 * height + caliper, width + caliper + 2 * height + caliper)


def _expect_tray(d: Values) -> Expected:
    size, t = (d["length"], d["width"], d["height"]), d["caliper"]
    return Expected(
        verdicts=(Verdict.OPEN_BOX,),
        inside=size,
        area=tray_area(*size, d["tab"], t),
        blank=tray_blank(*size, t),
        volume=(size[0] + t) * (size[1] + t) * (size[2] + t / 2),
    )


_TRAY_SIZE = (
    Dimension("length", 132, "inside length", least=10, most=1500),
    Dimension("width", 78, "inside width", least=10, most=1500),
    Dimension("height", 30, "inside height", least=GLUE + 1, most=500),
    Dimension("tab", 14, "depth of the corner tabs", least=GLUE, most=100),
    CALIPER,
)

TRAY = KindOfTemplate(
    name="tray",
    title="open tray with glued corner tabs",
    dimensions=_TRAY_SIZE,
    draw=draw_tray,
    source="blank = (L + 2H) x (W + 2H) between scores (common practice, no published source)",
    expect=_expect_tray,
    faces=("base", "front"),
    edges=("base rim",),
    reliefs=True,
)


def draw_lidded_tray(d: Values) -> Sketch:
    """Draw a tray and its lid above it.

    Parameters
    ----------
    d
        As for `draw_tray`, with `lid` the inside height of the lid, `play` the room between the walls
        of tray and lid, and `apart` the distance on the drawing, mm.
    """
    refuse(
        d["lid"] > d["height"] + d["caliper"],
        f"a lid of {d['lid']:g} mm is higher than the tray of {d['height']:g} mm",
        "Use a lower lid.",
    )
    sketch = Sketch("tray-with-lid")
    t = d["caliper"]
    top = add_tray(sketch, d["length"], d["width"], d["height"], d["tab"], t)
    length, width = lid_inside(d["length"], d["width"], t, d["play"])
    add_tray(sketch, length, width, d["lid"], lid_tab(d), t, bottom=top + d["apart"], face="lid")
    sketch.note = f"{d['play']:g} mm of play on each side between the lid and the tray in card of {t:g} mm"
    return sketch


def lid_inside(length: float, width: float, caliper: float, play: float) -> tuple[float, float]:
    """Inside length and width of a lid for a tray of an inside size, mm.

    The tray is two calipers larger outside; across the tabs, which are glued into its long walls, it bulges by a
    caliper more on each side (common practice, no published source).

    Parameters
    ----------
    length, width
        Inside, of the tray, mm.
    caliper
        Of the card, mm.
    play
        Between tray and lid, on each side, mm.
    """
    grown = 2 * caliper + 2 * play
    return length + grown, width + grown + 2 * caliper


def lid_tab(d: Values) -> float:
    """Depth of the corner tabs of a `lid`, mm: as the tray's, where its walls are high enough."""
    return min(d["tab"], d["lid"] + d["caliper"] / 2 - 1)


def _expect_lidded(d: Values) -> Expected:
    t, base = d["caliper"], _expect_tray(d)
    lid = (*lid_inside(d["length"], d["width"], t, d["play"]), d["lid"])
    assert base.blank is not None
    assert base.area is not None
    blank = tray_blank(*lid, t)
    return Expected(
        verdicts=(Verdict.OPEN_BOX, Verdict.OPEN_BOX),
        inside=base.inside,
        area=base.area + tray_area(*lid, lid_tab(d), t),
        blank=(max(base.blank[0], blank[0]), base.blank[1] + d["apart"] + blank[1]),
        volume=base.volume,
        play=d["play"],
    )


TRAY_WITH_LID = KindOfTemplate(
    name="tray-with-lid",
    title="tray with a lid that slips over it",
    dimensions=(
        *_TRAY_SIZE,
        lid_height(15),
        play_between(0.4, "between tray and lid"),
        PIECES_APART,
    ),
    draw=draw_lidded_tray,
    source="inside of the lid = outside of the tray (inside + 2 calipers, + 2 more across the glued tabs) + 2 x play "
    "(common practice, no published source)",
    expect=_expect_lidded,
    faces=("lid", "base", "front", "lid front"),
    pieces=("tray", "lid"),
    edges=("lid rim", "base rim"),
    reliefs=True,
)
