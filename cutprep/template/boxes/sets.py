"""Boxes of several pieces that must fit each other: drawer in sleeve, base and lid on a shoulder.

What goes round takes its inside from the outside of what goes in: its inside, two calipers, a caliper more on each
side where tabs are glued into a wall, one for a glue flap in the way, and play on each side (common practice, no
published source).
"""

from __future__ import annotations

import numpy as np

from cutprep.model.folded import Verdict
from cutprep.template.boxes.tray import add_tray, lid_inside, lid_tab, tray_area, tray_blank
from cutprep.template.cartons.tube import add_tube, around, panels
from cutprep.template.dimensions import (
    CALIPER,
    GLUE,
    PIECES_APART,
    SLANT,
    Dimension,
    Expected,
    Values,
    lid_height,
    play_between,
    refuse,
)
from cutprep.template.kind import KindOfTemplate
from cutprep.template.options.seam import SEAM_SIDE, last_wall, note_of
from cutprep.template.sketch import Sketch


def draw_drawer(d: Values) -> Sketch:
    """Draw a drawer and the sleeve it slides in.

    Parameters
    ----------
    d
        Inside `length`, `width` and `height` of the drawer; `tab` depth of its corner tabs, `seam` of the sleeve, `play`
        round the drawer, `notch` radius of a thumb notch (0: none), `caliper`, `apart`, mm. The drawer slides along
        its length, and the sleeve is as long as the drawer outside.
    """
    t, seam = d["caliper"], d["seam"]
    wide, high, deep = _sleeve_inside(d)
    refuse(seam > wide, "the glue flap is wider than the wall it goes under", "Use a narrower seam.")
    refuse(2 * seam * SLANT > deep / 2, "the glue flap tapers to a point", "Use a narrower seam.")
    refuse(
        2 * d["notch"] > wide / 2 or d["notch"] > deep / 3,
        f"a thumb notch of {d['notch']:g} mm is too large for the sleeve",
        "Use a smaller notch.",
    )
    sketch = Sketch("drawer-and-sleeve")
    top = add_tray(sketch, d["length"], d["width"], d["height"], d["tab"], t, face="base")
    add_tube(sketch, panels(wide, high, t, last_wall(d)), deep, seam, bottom=top + d["apart"])
    play = f"{d['play']:g} mm of play on each side between drawer and sleeve in card of {t:g} mm"
    sketch.note = "; ".join(filter(None, (play, note_of(d))))
    return sketch


def _sleeve_inside(d: Values) -> tuple[float, float, float]:
    """Inside width and height of the sleeve, and how long it is, mm."""
    t, play = d["caliper"], d["play"]
    return (
        lid_inside(d["length"], d["width"], t, play)[1],
        d["height"] + 2 * t + 2 * play,
        d["length"] + 2 * t,
    )


def _expect_drawer(d: Values) -> Expected:
    t, seam, r = d["caliper"], d["seam"], d["notch"]
    wide, high, deep = _sleeve_inside(d)
    size = (d["length"], d["width"], d["height"])
    wrap = around(wide, high, t) + last_wall(d)
    tube = wrap * deep + seam * (deep - seam * SLANT) - np.pi * r * r / 2
    blank = tray_blank(*size, t)
    return Expected(
        verdicts=(Verdict.OPEN_BOX, Verdict.OPEN_BOX),
        inside=size,
        area=tray_area(*size, d["tab"], t) + tube,
        blank=(max(blank[0], wrap + seam), blank[1] + d["apart"] + deep),
        volume=(size[0] + t) * (size[1] + t) * (size[2] + t / 2),
        play=d["play"],
    )


DRAWER = KindOfTemplate(
    name="drawer-and-sleeve",
    title="drawer that slides in a sleeve",
    dimensions=(
        Dimension("length", 90, "inside length of the drawer, the way it slides", least=15, most=1000),
        Dimension("width", 60, "inside width of the drawer", least=15, most=1000),
        Dimension("height", 25, "inside height of the drawer", least=GLUE + 1, most=500),
        Dimension("tab", 12, "depth of the corner tabs", least=GLUE, most=100),
        Dimension("seam", 10, "width of the sleeve's glue flap", least=GLUE, most=40),
        SEAM_SIDE,
        play_between(0.4, "between drawer and sleeve"),
        Dimension("notch", 8, "radius of the thumb notch; 0: none", least=0, most=50),
        PIECES_APART,
        CALIPER,
    ),
    draw=draw_drawer,
    source="inside of the sleeve = outside of the drawer + 2 x play (common practice, no published source)",
    expect=_expect_drawer,
    faces=("base", "sleeve"),
    pieces=("drawer", "sleeve"),
    edges=("sleeve", "base rim"),
    reliefs=True,
)


def draw_shoulder(d: Values) -> Sketch:
    """Draw a base, a lid of the same size outside, and a frame between them that both slip over.

    Parameters
    ----------
    d
        Inside `length` and `width` of the frame, inside `height` of the base, `lid` the inside height of the lid,
        `shoulder` how far the frame stands out of the base, `tab`, `seam`, `play`, `caliper`, `apart`, mm.
    """
    t, seam = d["caliper"], d["seam"]
    refuse(
        d["shoulder"] > d["lid"],
        f"a shoulder of {d['shoulder']:g} mm is higher than the lid of {d['lid']:g} mm",
        "Use a lower shoulder or a higher lid.",
    )
    tall = _frame_height(d)
    refuse(2 * seam * SLANT > tall / 2, "the glue flap tapers to a point", "Use a narrower seam.")
    refuse(seam > d["length"], "the glue flap is wider than the wall it goes under", "Use a narrower seam.")
    sketch = Sketch("shoulder-box")
    length, width = lid_inside(d["length"], d["width"], d["caliper"], d["play"])
    top = add_tray(sketch, length, width, d["height"], d["tab"], t, face="base")
    top = add_tray(sketch, length, width, d["lid"], lid_tab(d), t, bottom=top + d["apart"], face="lid")
    walls, foot = panels(d["length"], d["width"], t), top + d["apart"]
    add_tube(sketch, walls, tall, seam, bottom=foot)
    sketch.aid((0, foot + d["height"]), (walls[-1], foot + d["height"]))
    sketch.span("shoulder", (walls[1] / 2, foot + d["height"]), (walls[1] / 2, foot + tall))
    sketch.note = f"{d['play']:g} mm of play on each side round the frame in card of {t:g} mm"
    return sketch


def _frame_height(d: Values) -> float:
    return d["height"] + d["shoulder"]


def _expect_shoulder(d: Values) -> Expected:
    t, seam, tall = d["caliper"], d["seam"], _frame_height(d)
    length, width = lid_inside(d["length"], d["width"], d["caliper"], d["play"])
    wrap = around(d["length"], d["width"], t)
    blanks = [tray_blank(length, width, d[key], t) for key in ("height", "lid")]
    return Expected(
        verdicts=(Verdict.OPEN_BOX,) * 3,
        inside=(length, width, d["height"]),
        volume=(length + t) * (width + t) * (d["height"] + t / 2),
        area=tray_area(length, width, d["height"], d["tab"], t)
        + tray_area(length, width, d["lid"], lid_tab(d), t)
        + wrap * tall
        + seam * (tall - seam * SLANT),
        blank=(
            max(blanks[0][0], blanks[1][0], wrap + seam),
            blanks[0][1] + blanks[1][1] + tall + 2 * d["apart"],
        ),
        play=d["play"],
    )


SHOULDER = KindOfTemplate(
    name="shoulder-box",
    title="base and lid that meet on a shoulder, an inner frame",
    dimensions=(
        Dimension("length", 80, "inside length of the frame", least=15, most=1000),
        Dimension("width", 50, "inside width of the frame", least=15, most=1000),
        Dimension("height", 30, "inside height of the base", least=GLUE + 1, most=500),
        lid_height(20),
        Dimension("shoulder", 10, "how far the frame stands out of the base", least=4, most=300),
        Dimension("tab", 12, "depth of the corner tabs", least=GLUE, most=100),
        Dimension("seam", 10, "width of the frame's glue flap", least=GLUE, most=40),
        play_between(0.3, "round the frame"),
        PIECES_APART,
        CALIPER,
    ),
    draw=draw_shoulder,
    source="inside of base and lid = outside of the frame + 2 x play (common practice, no published source)",
    expect=_expect_shoulder,
    faces=("lid", "base", "front", "lid front"),
    pieces=("base", "lid", "frame"),
    edges=("lid rim", "base rim"),
    reliefs=True,
)
