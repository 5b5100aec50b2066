"""A bag with side folds and a glued block bottom.

Four walls in a row, as a carton's; a fold down the middle of each side lets the bag close flat above. The bottom's flaps:
half the width deep on the sides, each slit in the middle, because three folds that meet inside the card hold one another
fast; two thirds of the width on front and back, so that those two overlap by a third and are glued (common practice, no
published source).
"""

from __future__ import annotations

import math

from cutprep.model.folded import Verdict
from cutprep.template.blank import SQUARE, Blank, FoldStyle
from cutprep.template.cartons.tube import around, panels
from cutprep.template.dimensions import CALIPER, GLUE, SLANT, Dimension, Expected, Values, refuse
from cutprep.template.kind import KindOfTemplate
from cutprep.template.options.seam import SEAM_SIDE, last_wall, note_of
from cutprep.template.sketch import Sketch

#: Flaps of the bottom keep this far from the folds beside them, mm; common practice, no published source.
_EASE = 0.5
#: Flaps of front and back reach this share of the bottom; the others half of it.
_REACH = 2 / 3
#: A fold that lies flat while the bag stands open.
_FLAT = FoldStyle("mountain", 0.0)


def draw_bag(d: Values) -> Sketch:
    """Draw a bag.

    Parameters
    ----------
    d
        Inside `length` of the front, `width` of the sides, `height`; `seam`, `hole` diameter of the holes for a ribbon in
        front and back (0: none), `edge` between holes and upper edge, `caliper`, mm.
    """
    t, h, seam, hole = d["caliper"], d["height"] + d["caliper"] / 2, d["seam"], d["hole"]
    x = panels(d["length"], d["width"], t, last_wall(d))
    refuse(seam > d["length"], "the glue flap is wider than the wall it goes under", "Use a narrower seam.")
    refuse(
        d["width"] > d["length"],
        f"the bottom's side flaps of a bag {d['length']:g} mm long meet",
        "Use a length of at least the width.",
    )
    refuse(
        bool(hole) and (4 * hole > d["length"] or d["edge"] + hole > h / 3),
        f"holes of {hole:g} mm are too large for the front",
        "Use smaller holes.",
    )
    deep = d["width"] + t
    blank = Blank("gusseted-bag")
    blank.sketch.note = note_of(d)
    for k in (0, 2):
        left, right = x[k], x[k + 1]
        blank.box(left, 0, right, h, name=("front", "", "back")[k])
        blank.flap((left, 0), (right, 0), deep * _REACH, _EASE)
        for at in (left + (right - left) / 4, right - (right - left) / 4) if hole else ():
            blank.sketch.hole((at, h - d["edge"] - hole / 2), hole / 2)
    for k in (1, 3):
        left, right = x[k], x[k + 1]
        middle = (left + right) / 2
        for p, q in ((left, middle), (middle, right)):
            blank.box(p, 0, q, h)
            blank.flap((p + _EASE, 0), (q - _EASE, 0), deep / 2, _lean(d))
        blank.way((middle, 0), (middle, h), _FLAT)
    blank.sketch.edge("front edge", (x[0], h), (x[1], h))
    blank.way((0, 0), (x[4], 0), SQUARE)
    for at in x[1:]:
        blank.way((at, 0), (at, h), SQUARE)
    blank.flap((x[4], 0), (x[4], h), seam, seam * SLANT)
    return blank.finish()


def _lean(d: Values) -> float:
    """How far half a side flap is drawn in at both ends, mm."""
    return d["width"] / 2 * SLANT / 2


def _expect_bag(d: Values) -> Expected:
    t, h, seam, hole = d["caliper"], d["height"] + d["caliper"] / 2, d["seam"], d["hole"]
    last = last_wall(d)
    wide, deep = around(d["length"], d["width"], t) + last, d["width"] + t
    flaps = 2 * deep * _REACH * (d["length"] + t - _EASE)
    flaps += sum(deep / 2 * (side - 4 * _EASE - 2 * _lean(d)) for side in (deep, d["width"] + last))
    return Expected(
        verdicts=(Verdict.OPEN_BOX,),
        inside=(d["length"], d["width"], d["height"]),
        area=wide * h + seam * (h - seam * SLANT) + flaps - math.pi * hole * hole,
        blank=(wide + seam, h + deep * _REACH),
        volume=(d["length"] + t) * deep * h,
    )


BAG = KindOfTemplate(
    name="gusseted-bag",
    title="bag with side folds and a glued block bottom",
    dimensions=(
        Dimension("length", 100, "inside length of the front", least=30, most=500),
        Dimension("width", 50, "inside width of the sides", least=20, most=300),
        Dimension("height", 140, "inside height", least=30, most=800),
        Dimension("seam", 12, "width of the glue flap", least=GLUE, most=40),
        SEAM_SIDE,
        Dimension("hole", 5, "diameter of the holes for a ribbon; 0: none", least=0, most=30),
        Dimension("edge", 10, "card between the holes and the upper edge", least=3, most=100),
        CALIPER,
    ),
    draw=draw_bag,
    source="blank = 2 (L + W) + seam by H + 2 W / 3 (common practice, no published source)",
    expect=_expect_bag,
    faces=("front", "back"),
    edges=("front edge",),
    tears=("front", "back"),
)
