"""Cartons whose top closes to a ridge: two roof panels, and gussets folded in between them.

Over an end wall of width W the ridge stands g above the walls, so a roof panel is sqrt(W^2 / 4 + g^2) long. The
gusset over an end wall is as high: a triangle on the wall's edge whose tip comes to lie in the ridge, W / 2 in from
its end, and two smaller triangles that lie under the roof panels; its legs are sqrt(W^2 / 2 + g^2) long (Pythagoras).
Crease to crease = inside + one caliper; the last wall is a caliper narrower (common practice, no published source).
"""

from __future__ import annotations

import math
from itertools import pairwise

from cutprep.model.folded import Verdict
from cutprep.template.blank import OVER, SQUARE, Blank, FoldStyle
from cutprep.template.cartons.tube import panels
from cutprep.template.dimensions import CALIPER, GLUE, SLANT, Dimension, Expected, Values, at_most, refuse
from cutprep.template.kind import KindOfTemplate
from cutprep.template.options.hanging import slot_ring
from cutprep.template.sketch import Sketch


def _creases(d: Values) -> tuple[list[float], float, float]:
    """Where the walls begin and end along the blank, their height, and the length of a roof panel, mm."""
    t = d["caliper"]
    return (
        panels(d["length"], d["width"], t),
        d["height"] + t / 2,
        math.hypot((d["width"] + t) / 2, d["rise"]),
    )


def _seam_lean(d: Values) -> float:
    """How far the glue flap is drawn in at both ends, mm: it lies beside the flaps of the base."""
    return max(d["flap"] + 1, d["seam"] * SLANT)


def _roofed(d: Values, name: str) -> Blank:
    """Walls, base with its flaps, glue flap, roof and gussets."""
    (x, h, s), seam, flap = _creases(d), d["seam"], d["flap"]
    refuse(
        d["width"] > d["length"] - 4,
        f"gussets of {d['width']:g} mm meet under a ridge of {d['length']:g} mm",
        "Use a length greater than the width.",
    )
    refuse(seam > d["length"], "the glue flap is wider than the wall it goes under", "Use a narrower seam.")
    refuse(
        2 * _seam_lean(d) > h * 3 / 4,
        "the glue flap tapers to a point",
        "Use a narrower seam or flap, or a higher wall.",
    )
    refuse(
        flap > d["width"] / 3,
        f"flaps of {flap:g} mm are too deep for the base",
        at_most("flaps", d["width"] / 3, "Use a greater width."),
    )
    blank = Blank(name)
    for k, word in enumerate(("front", "side", "back", "")):
        blank.box(x[k], 0, x[k + 1], h, name=word)
    blank.flap((x[4], 0), (x[4], h), seam, _seam_lean(d))
    deep = d["width"] + d["caliper"]
    blank.box(x[0], -deep, x[1], 0, name="base")
    corners = ((x[0], 0.0), (x[0], -deep), (x[1], -deep), (x[1], 0.0))
    for p, q in pairwise(corners):
        blank.flap(p, q, flap, flap * 0.84)
    slope = _slope(d)
    # A leg's fold is the angle between the roof turned over and the gusset; both lean in at the roof's slope.
    leg = FoldStyle("mountain", math.degrees(math.acos(-(math.cos(slope) ** 2))))
    blank.way((0, h), (x[4], h), FoldStyle("valley", 90.0 - math.degrees(slope)))
    for at in x[1:4]:
        blank.way((at, 0), (at, h), SQUARE).way((at, h), (at, h + s), OVER)
    for k in (0, 2):
        blank.box(x[k], h, x[k + 1], h + s)
    for k in (1, 3):
        left, right = x[k], x[k + 1]
        tip = (left + deep / 2, h + s)
        # The last wall is trimmed, not its gusset: there the leg ends on the edge, a little above the wall.
        foot = (right, h + 2 * s * (left + deep - right) / deep)
        blank.panel((left, h), (right, h), foot, tip)
        blank.panel((left, h), tip, (left, h + s)).panel(foot, (right, h + s), tip)
        blank.way((left, h), tip, leg).way(foot, tip, leg)
    return blank


def _slope(d: Values) -> float:
    """How steep roof and gussets lean in, radians."""
    return math.atan2(d["rise"], (d["width"] + d["caliper"]) / 2)


def _walls_area(d: Values) -> float:
    """Everything up to the ridge, mm2."""
    (x, h, s), seam, flap, deep = _creases(d), d["seam"], d["flap"], d["width"] + d["caliper"]
    flaps = 2 * flap * (deep - flap * 0.84) + flap * (x[1] - flap * 0.84)
    return x[4] * (h + s) + seam * (h - _seam_lean(d)) + deep * x[1] + flaps


def _volume(d: Values) -> float:
    """The prism up to the walls' edge, and a wedge whose ends slope: width x rise x (2 length + ridge) / 6, mm3."""
    t = d["caliper"]
    long, wide = d["length"] + t, d["width"] + t
    return long * wide * (d["height"] + t / 2) + wide * d["rise"] * (2 * long + (long - wide)) / 6


def _size(
    length: float, width: float, height: float, rise: float, word: str, fin: float
) -> tuple[Dimension, ...]:
    return (
        Dimension("length", length, "inside length, along the ridge", least=15, most=500),
        Dimension("width", width, "inside width, across the ridge", least=15, most=500),
        Dimension("height", height, "inside height of the walls", least=15, most=800),
        Dimension("rise", rise, "how far the ridge stands above the walls", least=3, most=300),
        Dimension("flap", 8, "depth of the flaps round the base", least=GLUE, most=40),
        Dimension("seam", 10, "width of the glue flap", least=GLUE, most=40),
        Dimension("fin", fin, word, least=GLUE, most=120),
        CALIPER,
    )


def draw_milk_carton(d: Values) -> Sketch:
    """Draw a carton whose top closes to a ridge with a fin of four layers, which is glued or clipped together.

    Parameters
    ----------
    d
        Inside `length` along the ridge, `width` across it, `height` of the walls; `rise` of the ridge above them, `fin` height of
        the strip above the ridge, `flap` and `seam` depths, `caliper`, mm.
    """
    blank = _roofed(d, "milk-carton")
    x, h, s = _creases(d)
    low, high, lean = h + s, h + s + d["fin"], 90.0 - math.degrees(_slope(d))
    for k in (0, 2):
        blank.box(x[k], low, x[k + 1], high).way((x[k], low), (x[k + 1], low), FoldStyle("mountain", lean))
    for k in (1, 3):
        middle = x[k] + (d["width"] + d["caliper"]) / 2
        blank.box(x[k], low, middle, high).box(middle, low, x[k + 1], high)
        blank.way((x[k], low), (x[k + 1], low), FoldStyle("valley", lean))
        blank.way((middle, low), (middle, high), FoldStyle("mountain", 180.0))
    for at in x[1:4]:
        blank.way((at, low), (at, high), OVER)
    return blank.finish()


def _expect_milk_carton(d: Values) -> Expected:
    x, h, s = _creases(d)
    return Expected(
        verdicts=(Verdict.CLOSED,),
        area=_walls_area(d) + x[4] * d["fin"],
        volume=_volume(d),
        blank=(x[4] + d["seam"] + d["flap"], h + s + d["fin"] + d["width"] + d["caliper"] + d["flap"]),
    )


MILK_CARTON = KindOfTemplate(
    name="milk-carton",
    title="carton whose top folds to a ridge with a glued fin",
    dimensions=_size(70, 50, 80, 25, "height of the fin above the ridge", 15),
    draw=draw_milk_carton,
    source="roof = root of (W^2 / 4 + rise^2), gusset's legs = root of (W^2 / 2 + rise^2) (Pythagoras)",
    expect=_expect_milk_carton,
    faces=("front", "back", "side"),
    tears=("front", "back", "side"),
    reliefs=True,
)


def draw_gable_box(d: Values) -> Sketch:
    """Draw a box whose roof panels end in handles that meet above the ridge, each with a hole for the hand.

    Parameters
    ----------
    d
        As for `draw_milk_carton`; the `fin` is the handle, `slot` the width of its hole (0: none), mm.
    """
    blank = _roofed(d, "gable-box")
    (x, h, s), fin, slot = _creases(d), d["fin"], d["slot"]
    low = h + s
    refuse(
        bool(slot) and fin < 2 * GLUE + 6,
        f"a handle of {fin:g} mm leaves too little card round its hole",
        f"Use a handle of at least {2 * GLUE + 6:g} mm.",
    )
    least, most = fin - 2 * GLUE + 1, d["length"] - fin
    refuse(
        bool(slot) and not least - 1 < slot <= most,
        f"a hole of {slot:g} mm doesn't suit a handle of {fin:g} mm on {d['length']:g} mm",
        f"Use one from {least:g} to {most:g} mm." if least <= most else "Use a lower handle.",
    )
    for k in (0, 2):
        left, right = x[k], x[k + 1]
        blank.box(left, low, right, low + fin).way(
            (left, low), (right, low), FoldStyle("mountain", 90.0 - math.degrees(_slope(d)))
        )
        blank.round_corner((left, low + fin), _corner(d)).round_corner((right, low + fin), _corner(d))
        if slot:
            middle = ((left + right) / 2, low + fin / 2)
            blank.sketch.window(*slot_ring(*middle, slot, fin - 2 * GLUE, blank.sketch.sagitta))
    return blank.finish()


def _corner(d: Values) -> float:
    return min(d["fin"], d["length"] / 4) / 2


def _expect_gable_box(d: Values) -> Expected:
    (x, h, s), fin, slot = _creases(d), d["fin"], d["slot"]
    r = (fin - 2 * GLUE) / 2
    hole = 2 * r * (slot - 2 * r) + math.pi * r * r if slot else 0.0
    handles = 2 * (x[1] * fin - (2 - math.pi / 2) * _corner(d) ** 2 - hole)
    return Expected(
        verdicts=(Verdict.CLOSED,),
        area=_walls_area(d) + handles,
        volume=_volume(d),
        blank=(x[4] + d["seam"] + d["flap"], h + s + fin + d["width"] + d["caliper"] + d["flap"]),
    )


GABLE_BOX = KindOfTemplate(
    name="gable-box",
    title="box with a pitched top and a handle",
    dimensions=(
        *_size(110, 60, 60, 30, "height of the handle", 30),
        Dimension("slot", 50, "width of the hole in the handle; 0: none", least=0, most=200),
    ),
    draw=draw_gable_box,
    source="roof = root of (W^2 / 4 + rise^2), gusset's legs = root of (W^2 / 2 + rise^2) (Pythagoras)",
    expect=_expect_gable_box,
    faces=("front", "back", "side"),
    tears=("front", "back", "side"),
    reliefs=True,
)
