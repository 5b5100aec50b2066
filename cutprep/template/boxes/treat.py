"""A box for sweets: walls that gather to a smaller end, closed below by tabs that overlap and above by rounded petals.

What it encloses is a frustum, the shape of a lampshade: its walls are root of (h^2 + (R - r)^2) long, its volume is
h (A + B + root of A B) / 3 (plain geometry). Crease to crease = inside + one caliper; the last wall is trimmed by a caliper,
because the glue flap under the first one takes that room. Each tab reaches past the middle, so that it holds on those across
from it; the petals are pushed under one another all round (common practice, no published source).
"""

from __future__ import annotations

import math

import numpy as np

from cutprep.model.folded import Verdict
from cutprep.model.lines import Points
from cutprep.template.blank import Blank, FoldStyle, pair
from cutprep.template.boxes.prism import polygon_area
from cutprep.template.boxes.taper import fan
from cutprep.template.dimensions import CALIPER, GLUE, SLANT, Dimension, Expected, Values, refuse
from cutprep.template.kind import KindOfTemplate
from cutprep.template.sketch import Sketch

#: Tabs and petals keep this far from their neighbours; common practice, no published source.
_CLEAR = math.radians(2)
#: Petals that reach the middle, and tabs and petals that stay off the wall across, in shares of the inside radius.
_REACHES, _STAYS = 1.05, 1.3
#: A tab is at least this share of its wall wide at its end; common practice, no published source.
_TIP = 0.25
#: A glue flap wider than this share of its wall is taken for a wall; common practice, no published source.
_SEAM = 0.75


def _treat(d: Values) -> tuple[float, float, float, float, float]:
    """Lower and upper edge of a wall, its length, half the angle by which it turns from the next, and how far it leans out, mm and radians."""
    n, t = int(d["sides"]), d["caliper"]
    low, high = ((d[key] + t) * math.tan(math.pi / n) for key in ("base", "width"))
    tall, out = d["height"] + t, (d["width"] - d["base"]) / 2
    slant = math.hypot(tall, out)
    return low, high, slant, math.atan2((high - low) / 2, slant), math.atan2(out, tall)


def _inward(n: int) -> float:
    """How far the ends of a flap must lean in to stay inside an n-gon, radians: only a triangle's corners are sharp."""
    return max(0.0, math.pi / 2 - math.pi * (n - 2) / n) + _CLEAR


def _tab(d: Values) -> tuple[float, float]:
    """Depth of a tab, mm, and how far its ends lean in, radians."""
    depth = (d["base"] + d["caliper"]) / 2 + d["overlap"]
    return depth, max(_inward(int(d["sides"])), _treat(d)[3] + 2 * _CLEAR)


def _petal(d: Values, side: float) -> tuple[float, float]:
    """How far the ends of a petal on a side are drawn in, and the radius of its corners, mm: as round as there is room."""
    lean = _inward(int(d["sides"]))
    drawn = d["petal"] * math.tan(lean)
    room = min(d["petal"] / math.cos(lean), side / 2 - drawn)
    return drawn, math.tan((math.pi / 2 + lean) / 2) * room


def draw_treat(d: Values) -> Sketch:
    """Draw a box for sweets.

    Parameters
    ----------
    d
        `sides`; twice the inside radius: `base` at the gathered end and `width` at the top; inside `height`,
        `overlap` how far the tabs reach past the middle, `petal` depth of the petals, `seam`, `caliper`, mm.
    """
    n, t, seam = int(d["sides"]), d["caliper"], d["seam"]
    low, high, slant, _, out = _treat(d)
    _refuse(d)
    blank = Blank("treat-box")
    lower, upper = fan(n, low, high, slant, t)
    middle = (n - 1) // 2
    turn = math.cos(out) ** 2 * math.cos(2 * math.pi / n) + math.sin(out) ** 2
    wall = FoldStyle("valley", math.degrees(math.acos(turn)))
    depth, lean = _tab(d)
    for k in range(n):
        a, b, c, e = lower[k], lower[k + 1], upper[k + 1], upper[k]
        blank.panel(pair(a), pair(b), pair(c), pair(e), name="front" if k == middle else "")
        blank.flap(pair(a), pair(b), depth, depth * math.tan(lean))
        _add_petal(blank, d, c, e)
        blank.way(pair(a), pair(b), FoldStyle("valley", 90 - math.degrees(out)))
        blank.way(pair(c), pair(e), FoldStyle("valley", 90 + math.degrees(out)))
        blank.way(pair(b), pair(c), wall)
        if k == middle:
            _show_overlap(blank.sketch, a, b, depth, d["overlap"])
    blank.flap(pair(lower[n]), pair(upper[n]), seam, seam * SLANT)
    return blank.finish()


def _show_overlap(sketch: Sketch, a: Points, b: Points, depth: float, overlap: float) -> None:
    """Show how far the tab on the side from a to b reaches past the middle of the gathered end."""
    along = (b - a) / math.dist(a, b)
    out = np.array([along[1], -along[0]])
    tip = (a + b) / 2 + depth * out
    middle = tip - overlap * out
    sketch.span("overlap", middle, tip)
    sketch.aid(middle - math.dist(a, b) / 4 * along, middle + math.dist(a, b) / 4 * along)


def _refuse(d: Values) -> None:
    n, seam = int(d["sides"]), d["seam"]
    low, high, slant, half, _ = _treat(d)
    refuse(
        d["width"] < d["base"],
        f"a gathered end of {d['base']:g} mm is wider than the top of {d['width']:g} mm",
        "Use a base of at most the width.",
    )
    refuse(
        2 * n * half > math.radians(300),
        "the walls lean so much that their fan meets itself",
        "Use a higher box, or a wider base.",
    )
    depth, lean = _tab(d)
    inner, outer = (d["base"] + d["caliper"]) / 2, (d["width"] + d["caliper"]) / 2
    refuse(
        depth > _STAYS * inner or low - 2 * depth * math.tan(lean) < _TIP * low,
        f"tabs that reach {d['overlap']:g} mm past the middle find no room round a gathered end of {d['base']:g} mm",
        f"Use an overlap of at most {max((_STAYS - 1) * inner, 0):.1f} mm, a wider base or fewer sides.",
    )
    refuse(
        not _REACHES * outer <= d["petal"] <= _STAYS * outer,
        f"petals of {d['petal']:g} mm don't suit a top whose middle is {outer:.1f} mm from its sides",
        f"Use petals from {_REACHES * outer:.1f} to {_STAYS * outer:.1f} mm.",
    )
    refuse(
        _petal(d, high - d["caliper"] / math.cos(half))[0] > high / 4,
        f"petals of {d['petal']:g} mm come to a point on sides of {high:.1f} mm",
        "Use shorter petals, or fewer sides.",
    )
    refuse(
        seam > _SEAM * low,
        f"a glue flap of {seam:g} mm is nearly as wide as a wall, {low:.1f} mm below",
        f"Use a seam of at most {_SEAM * low:.1f} mm, fewer sides or a wider base.",
    )
    refuse(2 * seam * SLANT > slant / 2, "the glue flap tapers to a point", "Use a narrower seam.")


def _add_petal(blank: Blank, d: Values, p: Points, q: Points) -> None:
    """Lay a petal on the right of the side from p to q, and round its corners."""
    side = math.dist(p, q)
    drawn, radius = _petal(d, side)
    blank.flap(pair(p), pair(q), d["petal"], drawn)
    along = (q - p) / side
    out = d["petal"] * np.array([along[1], -along[0]])
    for corner in (p + out + drawn * along, q + out - drawn * along):
        blank.round_corner(pair(corner), radius)


def _expect_treat(d: Values) -> Expected:
    n, t, seam = int(d["sides"]), d["caliper"], d["seam"]
    low, high, slant, half, _ = _treat(d)
    below, above = polygon_area(n, low), polygon_area(n, high)
    edge = math.hypot(slant, (high - low) / 2)
    depth, lean = _tab(d)
    cut = t / math.cos(half)
    area = n * (low + high) / 2 * slant - t * edge + seam * (edge - seam * SLANT)
    area += sum(
        count * depth * (side - depth * math.tan(lean)) for count, side in ((n - 1, low), (1, low - cut))
    )
    for count, side in ((n - 1, high), (1, high - cut)):
        drawn, radius = _petal(d, side)
        corner = math.pi / 2 + _inward(n)
        # A corner of this angle, rounded: two tangents less the sector between them.
        off = radius * radius * (1 / math.tan(corner / 2) - (math.pi - corner) / 2)
        area += count * (d["petal"] * (side - drawn) - 2 * off)
    return Expected(
        verdicts=(Verdict.CLOSED,),
        area=area,
        volume=(d["height"] + t) * (below + above + math.sqrt(below * above)) / 3,
        told=("flap-overlap", "layers-bulge"),
    )


TREAT = KindOfTemplate(
    name="treat-box",
    title="box for sweets: its gathered end closes by overlapping tabs, its top by rounded petals",
    dimensions=(
        Dimension("sides", 6, "number of walls", least=3, most=12, count=True),
        Dimension("width", 60, "inside width at the top, twice the inside radius", least=15, most=400),
        Dimension("base", 44, "inside width at the gathered end, likewise", least=12, most=400),
        Dimension("height", 80, "inside height", least=15, most=500),
        Dimension("overlap", 4, "how far the tabs reach past the middle", least=1, most=60),
        Dimension("petal", 36, "depth of the petals", least=GLUE, most=300),
        Dimension("seam", 10, "width of the glue flap", least=GLUE, most=40),
        CALIPER,
    ),
    draw=draw_treat,
    source="wall = root of (h^2 + (R - r)^2) (Pythagoras); volume of a frustum = h (A + B + root of A B) / 3 (plain geometry)",
    expect=_expect_treat,
    faces=("front",),
    tears=("front",),
    reliefs=True,
)
