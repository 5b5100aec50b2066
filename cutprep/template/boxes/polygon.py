"""Boxes over a regular polygon with a separate lid, and slices of which n make a round.

Crease to crease = inside + one caliper, measured square to the walls; a wall is half a caliper higher than
the inside. A regular n-gon of inside radius r has sides of 2 r tan(180/n) (plain geometry). Each wall has a
tab at its right end, glued inside the next wall: a lid has a caliper more on each side for it (common practice,
no published source).
"""

from __future__ import annotations

import math

import numpy as np

from cutprep.model.folded import Verdict
from cutprep.template.blank import Blank, pair
from cutprep.template.boxes.prism import flap_slant, polygon_area
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


def _walled(n: int, radius: float, height: float, tab: float, name: str) -> Blank:
    """An n-gon of an inside radius between creases with n walls, and a tab on the right end of each."""
    side = 2 * radius * math.tan(math.pi / n)
    lean, low = _leans(n, height, tab)
    turns = np.pi / n + 2 * np.pi / n * np.arange(n) - np.pi / 2
    corners = [pair(radius / math.cos(math.pi / n) * np.array([math.cos(a), math.sin(a)])) for a in turns]
    blank = Blank(name).panel(*corners, name=name)
    for p, q in zip(corners, [*corners[1:], corners[0]], strict=True):
        along = (np.array(q) - np.array(p)) / side
        out = np.array([along[1], -along[0]]) * height
        a, b = pair(np.array(p) + out), pair(np.array(q) + out)
        blank.panel(p, a, b, q)
        blank.flap(b, q, tab, lean, low)
        blank.sketch.edge(f"{name} rim", a, b)
    return blank


def _leans(n: int, height: float, tab: float) -> tuple[float, float]:
    """How far a tab is drawn in at the rim, and at the base, where it must clear the next wall, mm."""
    return min(tab * SLANT, height / 4), tab / math.tan(flap_slant(n))


def _both(d: Values) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Radius, height and tab of base and lid between creases, mm."""
    n, t = int(d["sides"]), d["caliper"]
    radius, low = (d["width"] + t) / 2, d["lid"] + t / 2
    base = (radius, d["height"] + t / 2, d["tab"])
    return base, (radius + 2 * t + d["play"], low, min(d["tab"], _room(n, low)))


def _room(n: int, height: float) -> float:
    """How deep a tab on a wall may be, mm: half its hinge is left at its end."""
    return height / 2 * math.tan(flap_slant(n))


def draw_polygon_box(d: Values) -> Sketch:
    """Draw an n-sided box and its lid.

    Parameters
    ----------
    d
        `sides`; inside `width` (twice the inside radius) and `height`; `lid` inside height of the lid,
        `tab` depth, `play` on each side, `apart`, `caliper`, mm.
    """
    n, (base, lid) = int(d["sides"]), _both(d)
    for (radius, height, tab), word in ((base, "tray"), (lid, "lid")):
        room = min(2 * radius * math.tan(math.pi / n) - 2, _room(n, height))
        refuse(
            tab > room or room < GLUE,
            f"tabs of {tab:g} mm don't fit between the walls of the {word}",
            at_most("tabs", room, "Use higher and wider walls, or fewer sides."),
        )
    refuse(d["lid"] > d["height"] + d["caliper"], "the lid is higher than the box", "Use a lower lid.")
    sketch = Sketch(f"{n}-sided-box")
    top = 0.0
    for (radius, height, tab), name in ((base, "base"), (lid, "lid")):
        part = _walled(n, radius, height, tab, name).finish()
        top = sketch.above(part, top, d["apart"] if top else 0.0)
    sketch.note = f"{d['play']:g} mm of play on each side between box and lid in card of {d['caliper']:g} mm"
    return sketch


def _expect_polygon_box(d: Values) -> Expected:
    n, area = int(d["sides"]), 0.0
    for radius, height, tab in _both(d):
        side = 2 * radius * math.tan(math.pi / n)
        area += polygon_area(n, side) + n * side * height
        area += n * tab * (height - sum(_leans(n, height, tab)) / 2)
    radius, height, _ = _both(d)[0]
    return Expected(
        verdicts=(Verdict.OPEN_BOX, Verdict.OPEN_BOX),
        area=area,
        volume=polygon_area(n, 2 * radius * math.tan(math.pi / n)) * height,
        play=d["play"],
    )


POLYGON_BOX = KindOfTemplate(
    name="polygon-box",
    title="box with n equal sides and a separate lid",
    dimensions=(
        Dimension("sides", 6, "number of walls", least=5, most=10, count=True),
        Dimension("width", 70, "inside width, twice the inside radius", least=20, most=500),
        Dimension("height", 30, "inside height", least=GLUE + 2, most=500),
        lid_height(15, least=GLUE + 2),
        Dimension("tab", 9, "depth of the tabs between the walls", least=GLUE, most=60),
        play_between(0.4, "between box and lid"),
        PIECES_APART,
        CALIPER,
    ),
    draw=draw_polygon_box,
    source="side = 2 r tan(180/n) (plain geometry); inside of the lid = outside of the box + a layer + play on each side "
    "(common practice, no published source)",
    expect=_expect_polygon_box,
    faces=("lid", "base"),
    pieces=("base", "lid"),
    edges=("lid rim", "base rim"),
)


def _slice(d: Values) -> tuple[float, float, float]:
    """Side, back and height of a slice between creases, mm."""
    t, half = d["caliper"], math.pi / int(d["slices"])
    # The inside is an isosceles triangle; half a caliper further out on every side, its sides grow like this.
    r, c = d["radius"], 2 * d["radius"] * math.sin(half)
    inside = r * math.cos(half) * c / (2 * r + c)
    grown = 1 + t / 2 / inside
    return r * grown, c * grown, d["height"] + t


def _seam_lean(d: Values) -> float:
    """How far the glue flap is drawn in at both ends, mm: it lies at the tip beside the flaps of base and lid.

    It starts a caliper before the tip, where those are deeper already.
    """
    return max(d["flap"] + 1, d["seam"] * math.tan(math.pi / int(d["slices"])) + 0.5 + d["caliper"])


def draw_slice(d: Values) -> Sketch:
    """Draw a slice: two sides that meet at the tip, a straight back, base and lid on the back.

    Parameters
    ----------
    d
        `slices` that make a round; inside `radius` from the tip to the ends of the back, inside `height`, `flap` depth
        on base and lid, `seam`, `caliper`, mm.
    """
    n, flap, seam = int(d["slices"]), d["flap"], d["seam"]
    r, c, h = _slice(d)
    half = math.pi / n
    refuse(
        flap > c / 3,
        f"flaps of {flap:g} mm are too deep for a back of {c:.1f} mm",
        "Use narrower flaps, a larger radius or fewer slices.",
    )
    refuse(2 * _seam_lean(d) > h * 3 / 4, "the glue flap tapers to a point", "Use a narrower seam or flap.")
    blank = Blank("cake-slice")
    x = (0.0, r, r + c, r + c + r - d["caliper"])
    blank.box(x[0], 0, x[1], h).box(x[1], 0, x[2], h, name="back").box(x[2], 0, x[3], h)
    blank.flap((x[3], 0), (x[3], h), seam, _seam_lean(d))
    blank.sketch.edge("rim", (x[2], h), (x[3], h), behind=min(flap, r / 2 * math.sin(half)))
    middle, deep = r + c / 2, r * math.cos(half)
    for y, sign, face in ((0.0, -1.0, "base"), (h, 1.0, "lid")):
        tip = (middle, y + sign * deep)
        blank.panel((x[1], y), (x[2], y), tip, name=face)
        # At the tip the flap is drawn in by the whole angle, so that two of them pass each other.
        far, near = flap / math.tan(half), flap * 0.6
        for foot in ((x[1], y), (x[2], y)):
            if (sign > 0) == (foot[0] > middle):
                blank.flap(foot, tip, flap, near, far)
            else:
                blank.flap(tip, foot, flap, far, near)
    return blank.finish()


def _expect_slice(d: Values) -> Expected:
    flap, seam = d["flap"], d["seam"]
    r, c, h = _slice(d)
    half = math.pi / int(d["slices"])
    triangle = c * r * math.cos(half) / 2
    flaps = 4 * flap * (r - (flap / math.tan(half) + flap * 0.6) / 2)
    return Expected(
        verdicts=(Verdict.CLOSED,),
        area=(2 * r + c - d["caliper"]) * h + seam * (h - _seam_lean(d)) + 2 * triangle + flaps,
        volume=triangle * h,
    )


SLICE = KindOfTemplate(
    name="cake-slice",
    title="wedge-shaped box; n of them make a round",
    dimensions=(
        Dimension("slices", 8, "how many make a round", least=4, most=16, count=True),
        Dimension("radius", 90, "inside, from the tip to the ends of the back", least=30, most=500),
        Dimension("height", 45, "inside height", least=10, most=300),
        Dimension("flap", 8, "depth of the flaps on base and lid", least=GLUE, most=40),
        Dimension("seam", 9, "width of the glue flap", least=GLUE, most=40),
        CALIPER,
    ),
    draw=draw_slice,
    source="back = 2 r sin(180/n) (plain geometry)",
    expect=_expect_slice,
    faces=("lid", "back"),
    edges=("rim",),
    tears=("back",),
)
