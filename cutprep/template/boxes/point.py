"""Boxes that come to a point: pyramids, and tubes whose sides gather with gussets between them."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from cutprep.model.folded import Verdict
from cutprep.model.lines import Points
from cutprep.template.boxes.prism import (
    FRONT,
    cap,
    flap_slant,
    flaps_area,
    polygon_area,
    seam_area,
    seam_end,
    with_flaps,
)
from cutprep.template.dimensions import CALIPER, GLUE, Dimension, Expected, Values, refuse
from cutprep.template.kind import KindOfTemplate
from cutprep.template.sketch import Sketch


def draw_pyramid(d: Values) -> Sketch:
    """Draw a pyramid: a base, a triangle on each side of it, and a glue flap on one edge of each.

    Parameters
    ----------
    d
        `sides`, `width` of the base (twice its inside radius), `height`, `flap`, mm. The
        triangles are as high as the slant: the root of height squared plus inside radius squared (Pythagoras).
    """
    n, radius, flap = int(d["sides"]), d["width"] / 2, d["flap"]
    side = 2 * radius * math.tan(math.pi / n)
    slant = math.hypot(d["height"], radius)
    edge, lean, tip_lean = _flap_of_pyramid(d)
    refuse(
        tip_lean < math.radians(5),
        f"the tip of a pyramid {d['width']:g} mm wide and {d['height']:g} mm high is too sharp for glue flaps",
        "Use a lower or a wider pyramid.",
    )
    refuse(
        lean < math.radians(20), "neighbouring sides leave no room for a glue flap", "Use a higher pyramid."
    )
    refuse(
        flap / math.tan(lean) + flap / math.tan(tip_lean) > edge * 3 / 4,
        f"flaps of {flap:g} mm would come to a point on edges of {edge:.1f} mm",
        "Use a narrower flap.",
    )
    sketch = Sketch(f"pyramid-{n}-sided")
    corners = cap(np.array([side, 0.0]), np.array([0.0, 0.0]), n)
    outline: list[Points] = []
    for a, b in pairwise([*corners, corners[0]]):
        along = (b - a) / side
        outward = np.array([along[1], -along[0]])
        tip = (a + b) / 2 + slant * outward
        down = (b - tip) / edge
        out = np.array([down[1], -down[0]]) * flap
        outline += [
            a,
            tip,
            tip + down * flap / math.tan(tip_lean) + out,
            b - down * flap / math.tan(lean) + out,
        ]
        sketch.valley(a, b)
        sketch.valley(tip, b)
    sketch.cut(*outline, closed=True)
    sketch.face("base", corners)
    return sketch


def _flap_of_pyramid(d: Values) -> tuple[float, float, float]:
    """Edge that a glue flap hangs on, mm, and the angles to it of the flap's ends at the base and at the tip, radians."""
    n, radius = int(d["sides"]), d["width"] / 2
    half, slant = radius * math.tan(math.pi / n), math.hypot(d["height"], radius)
    foot = math.atan2(slant, half)
    room = math.pi * (1 + 2 / n) - 2 * foot
    lean = min(math.radians(50), room - math.radians(8), foot - math.radians(3))
    # At the tip the flap must not be wider than the side it is glued under.
    return math.hypot(slant, half), lean, min(math.radians(50), (math.pi - 2 * foot) - math.radians(3))


def _expect_pyramid(d: Values) -> Expected:
    n, radius, flap = int(d["sides"]), d["width"] / 2, d["flap"]
    side = 2 * radius * math.tan(math.pi / n)
    edge, lean, tip_lean = _flap_of_pyramid(d)
    base, drawn_in = polygon_area(n, side), flap / math.tan(lean) + flap / math.tan(tip_lean)
    return Expected(
        verdicts=(Verdict.CLOSED,),
        area=base + n * (side * math.hypot(d["height"], radius) / 2 + flap * (edge - drawn_in / 2)),
        volume=base * d["height"] / 3,
    )


PYRAMID = KindOfTemplate(
    name="pyramid",
    title="pyramid with n sides",
    dimensions=(
        Dimension("sides", 4, "number of sides", least=3, most=8, count=True),
        Dimension(
            "width",
            50,
            "width of the base: twice its inside radius, so from side to side where their number is even",
            least=10,
            most=500,
        ),
        Dimension("height", 60, "height", least=10, most=500),
        Dimension("flap", 8, "width of the glue flaps", least=GLUE, most=40),
    ),
    draw=draw_pyramid,
    source="slant = root of (height^2 + (width/2)^2) (Pythagoras); volume = base area x height / 3 (Euclid XII)",
    expect=_expect_pyramid,
    faces=("base",),
    reliefs=True,
)


def draw_gathered(d: Values) -> Sketch:
    """Draw a box with n walls whose tops gather to a point, with a gusset folded in at each corner.

    Parameters
    ----------
    d
        `sides`, inside `width` (twice the inside radius), `height` of the walls, `gather` height of the gathered strip, `flap`
        round the base, `seam`, `caliper`, mm. The strip reaches the middle when it is longer than the inside
        radius; petal edges fold as valleys, the gussets' middles as mountains.
    """
    n, t = int(d["sides"]), d["caliper"]
    radius = (d["width"] + t) / 2
    side, h, gather = 2 * radius * math.tan(math.pi / n), d["height"] + t / 2, d["gather"]
    refuse(
        gather < radius * 1.05,
        f"a strip of {gather:g} mm does not reach the middle, {radius:.1f} mm away",
        f"Use at least {radius * 1.05:.1f} mm.",
    )
    slant = flap_slant(n)
    refuse(
        2 * d["flap"] / math.tan(slant) > side * 3 / 4,
        "the flaps would come to a point",
        "Use narrower flaps.",
    )
    refuse(d["seam"] > side, "the glue flap is wider than a wall", "Use a narrower seam.")
    sketch = Sketch(f"gathered-box-{n}-sided")
    right, top = (
        n * side - t,
        h + gather,
    )  # the last wall is a caliper narrower: the glue flap takes that room
    k = n // 2 - 1
    base = cap(np.array([k * side, 0.0]), np.array([(k + 1) * side, 0.0]), n)
    below, above = seam_end(d["seam"], d["flap"], slant, right, h)
    outline = [
        np.array([[0.0, 0.0]]),
        with_flaps(base, d["flap"], slant),
        np.array(
            [
                [right, 0.0],
                *below,
                *above,
                [right, h],
                [right, top],
                [0.0, top],
            ]
        ),
    ]
    sketch.cut(*np.vstack(outline), closed=True)
    folds = [*(i * side for i in range(n)), right]
    for x in folds[1:]:
        sketch.valley((x, 0), (x, h))
    for i, (left, end) in enumerate(pairwise(folds)):
        # The last wall is trimmed, the half of its petal before the tip is not: every gusset inside has two equal sides.
        middle = left + side / 2
        sketch.valley((left, h), (end, h))
        sketch.valley((left, h), (middle, top))
        sketch.valley((middle, top), (end, h))
        if i:
            sketch.mountain((left, h), (left, top))
    # Neither the first wall, whose free edge meets the seam, nor that which the base hangs on: folding reads the walls' turns off both.
    k += 1
    sketch.face("front", np.array([(k, 0.0), (k + 1, 0.0), (k + 1, 0.0), (k, 0.0)]) * side + FRONT * h)
    sketch.valley(base[0], base[-1])
    for a, b in pairwise(base):
        sketch.valley(a, b)
    return sketch


def _expect_gathered(d: Values) -> Expected:
    """What closes is a prism with a flat pyramid on it: a petal of length p over r stands at acos(r / p)."""
    n, t = int(d["sides"]), d["caliper"]
    r = (d["width"] + t) / 2
    side, h, p = 2 * r * math.tan(math.pi / n), d["height"] + t / 2, d["gather"]
    base = polygon_area(n, side)
    slant = flap_slant(n)
    return Expected(
        verdicts=(Verdict.CLOSED,),
        area=(n * side - t) * (h + p)
        + base
        + flaps_area(n - 1, side, d["flap"], slant)
        + seam_area(d["seam"], d["flap"], slant, h),
        volume=base * (h + math.sqrt(p * p - r * r) / 3),
    )


GATHERED = KindOfTemplate(
    name="gathered-box",
    title="box whose sides gather to a point, with folded-in gussets",
    dimensions=(
        Dimension("sides", 4, "number of walls", least=3, most=8, count=True),
        Dimension(
            "width",
            50,
            "inside width: twice the inside radius, so from side to side where their number is even",
            least=10,
            most=500,
        ),
        Dimension("height", 60, "height of the walls", least=5, most=500),
        Dimension("gather", 35, "height of the strip that gathers", least=5, most=500),
        Dimension("flap", 8, "depth of the flaps round the base", least=GLUE, most=50),
        Dimension("seam", 10, "width of the glue flap", least=GLUE, most=40),
        CALIPER,
    ),
    draw=draw_gathered,
    source="a petal of length p over an inside radius r stands at acos(r / p) to the level (plain trigonometry)",
    expect=_expect_gathered,
    faces=("front",),
    tears=("front",),
)
