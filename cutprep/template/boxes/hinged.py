"""A box of one piece: a base with four walls, a lid hinged to the back wall, and a tuck flap on the lid.

Crease to crease = inside + one caliper; between base and lid a whole caliper on the height. The lid is half
a caliper shorter than the base is deep, so that it closes without force; its tuck flap slips between the
side walls, a caliper and half a millimetre in from each. Corner tabs hang on front and back wall and are
glued inside the side walls (common practice, no published source).
"""

from __future__ import annotations

from cutprep.model.folded import Verdict
from cutprep.template.blank import Blank
from cutprep.template.dimensions import CALIPER, GLUE, SLANT, Dimension, Expected, Values, at_most, refuse
from cutprep.template.kind import KindOfTemplate
from cutprep.template.sketch import Sketch

#: A tuck flap stays this much and a caliper clear of each side wall, mm; common practice, no published source.
_EASE = 0.5


def _creases(d: Values) -> tuple[float, float, float, float]:
    """Length, width, height between creases, and the depth of the lid."""
    t = d["caliper"]
    return d["length"] + t, d["width"] + t, d["height"] + t, d["width"] + t / 2


def draw_hinged(d: Values) -> Sketch:
    """Draw a box with a hinged lid.

    Parameters
    ----------
    d
        Inside `length` of the front, `width` from front to back, `height`; `tab` and `tuck` depths, `caliper`, mm.
    """
    (a, b, h, lid), tab, tuck = _creases(d), d["tab"], d["tuck"]
    refuse(
        tab > h - 1,
        f"tabs of {tab:g} mm don't fit beside walls of {h:g} mm",
        at_most("a tab", h - 1, "Use a greater height."),
    )
    refuse(2 * tab > b - 1, f"two tabs of {tab:g} mm meet along a side wall of {b:g} mm", "Use smaller tabs.")
    refuse(
        tuck > h - 2,
        f"a tuck flap of {tuck:g} mm is deeper than the box of {h:g} mm",
        "Use a shorter tuck flap.",
    )
    ease, lean = d["caliper"] + _EASE, min(tab * SLANT, h / 4)
    refuse(2 * (ease + tuck * SLANT) > a / 2, "the tuck flap tapers to a point", "Use a shorter tuck flap.")
    blank = Blank("hinged-box")
    blank.box(0, 0, a, b, name="base").box(0, -h, a, 0, name="front", turned=True).box(0, b, a, b + h)
    blank.box(-h, 0, 0, b).box(a, 0, a + h, b)
    blank.box(0, b + h, a, b + h + lid, name="lid")
    for low in (-h, b):
        blank.flap((0, low + h), (0, low), tab, lean).flap((a, low), (a, low + h), tab, lean)
    blank.sketch.edge("front rim", (0, -h), (a, -h), behind=tuck)
    top = b + h + lid
    blank.panel(
        (ease, top),
        (a - ease, top),
        (a - ease - tuck * SLANT, top + tuck),
        (ease + tuck * SLANT, top + tuck),
    )
    return blank.finish()


def _expect_hinged(d: Values) -> Expected:
    (a, b, h, lid), tab, tuck, t = _creases(d), d["tab"], d["tuck"], d["caliper"]
    tabs = 4 * tab * (h - min(tab * SLANT, h / 4))
    flap = tuck * (a - 2 * (t + _EASE) - tuck * SLANT)
    return Expected(
        verdicts=(Verdict.CLOSED,),
        inside=(d["length"], d["width"], d["height"]),
        area=a * b + 2 * h * (a + b) + a * lid + tabs + flap,
        blank=(a + 2 * max(h, tab), b + 2 * h + lid + tuck),
        volume=a * b * h,
    )


HINGED = KindOfTemplate(
    name="hinged-box",
    title="box with a hinged lid that tucks in at the front",
    dimensions=(
        Dimension("length", 90, "inside length of the front", least=15, most=1000),
        Dimension("width", 60, "inside width, front to back", least=15, most=1000),
        Dimension("height", 30, "inside height", least=GLUE + 2, most=500),
        Dimension("tab", 12, "depth of the corner tabs", least=GLUE, most=100),
        Dimension("tuck", 14, "depth of the tuck flap", least=GLUE, most=100),
        CALIPER,
    ),
    draw=draw_hinged,
    source="blank = (L + 2H) x (2W + 2H + tuck) between scores (common practice, no published source)",
    expect=_expect_hinged,
    faces=("lid", "front"),
    edges=("front rim",),
    reliefs=True,
)
