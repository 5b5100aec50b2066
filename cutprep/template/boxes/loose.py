"""Boxes whose walls fall open when the lid comes off, and boxes over a star.

The layers of an exploding box stand in one another: each is a step smaller on every side, and its walls hang on its base
alone. The lid goes over the outermost: its inside is the box's outside and play on each side, and a caliper more where its
own tabs are glued in (common practice, no published source).

A star of n points has 2 n sides of equal distance p from its middle, so one that is larger by s all round is larger
(p + s) / p times (plain geometry).
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from cutprep.model.folded import Verdict
from cutprep.model.lines import Points
from cutprep.template.blank import SQUARE, Blank, FoldStyle, pair
from cutprep.template.boxes.tray import add_tray, lid_inside, lid_tab, tray_area, tray_blank
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
from cutprep.template.sketch import Sketch

#: At a tip of a star a flap is drawn in by this share of its depth; common practice, no published source.
_TIP = 0.6


def _layer(d: Values, k: int) -> tuple[float, float]:
    """Side and height of a layer between creases, mm; 0 is the outermost."""
    t = d["caliper"]
    return d["side"] - 2 * k * d["step"] + t, d["height"] - k * d["step"] + t / 2


def draw_exploding(d: Values) -> Sketch:
    """Draw the layers of a box that falls open, the outermost first, and its lid.

    Parameters
    ----------
    d
        Inside `side` and `height` of the outermost; `layers`, each `step` smaller on every side; `lid` inside height of the lid,
        `tab` depth of its corner tabs, `play`, `apart`, `caliper`, mm.
    """
    t, count = d["caliper"], int(d["layers"])
    refuse(
        count > 1 and d["step"] < t + d["play"],
        f"layers {d['step']:g} mm smaller leave less than {d['play']:g} mm of play in card of {t:g} mm",
        f"Use a step of at least {t + d['play']:g} mm.",
    )
    side, height = _layer(d, count - 1)
    refuse(
        min(side, height) < 15,
        f"{count} layers leave {min(side, height):.1f} mm for the innermost",
        "Use fewer layers or a smaller step.",
    )
    refuse(
        d["lid"] > d["height"] + t,
        f"a lid of {d['lid']:g} mm is higher than the box of {d['height']:g} mm",
        "Use a lower lid.",
    )
    sketch = Sketch("exploding-box")
    top = 0.0
    for k in range(count):
        side, height = _layer(d, k)
        blank = Blank(sketch.name).box(0, 0, side, side, name="base" if k == 0 else f"base {k + 1}")
        blank.box(0, -height, side, 0).box(0, side, side, side + height)
        blank.box(-height, 0, 0, side).box(side, 0, side + height, side)
        top = sketch.above(blank.finish(), top, d["apart"] if k else 0.0)
    length, width = _over(d)
    add_tray(sketch, length, width, d["lid"], lid_tab(d), t, bottom=top + d["apart"], face="lid")
    sketch.name_pieces([*(f"layer {k + 1}" for k in range(count)), "lid"])
    sketch.note = f"{d['play']:g} mm of play on each side between box and lid in card of {t:g} mm"
    return sketch


def _over(d: Values) -> tuple[float, float]:
    """Inside length and width of the lid, mm."""
    return lid_inside(d["side"], d["side"], d["caliper"], d["play"])


def _expect_exploding(d: Values) -> Expected:
    t, count, (length, width) = d["caliper"], int(d["layers"]), _over(d)
    layers = [_layer(d, k) for k in range(count)]
    lid = tray_blank(length, width, d["lid"], t)
    high = sum(side + 2 * height for side, height in layers)
    return Expected(
        verdicts=(Verdict.OPEN_BOX,) * (count + 1),
        inside=(d["side"], d["side"], d["height"]),
        area=sum(side * side + 4 * side * height for side, height in layers)
        + tray_area(length, width, d["lid"], lid_tab(d), t),
        blank=(max(layers[0][0] + 2 * layers[0][1], lid[0]), high + lid[1] + count * d["apart"]),
        volume=layers[0][0] ** 2 * layers[0][1],
        play=d["play"],
    )


EXPLODING = KindOfTemplate(
    name="exploding-box",
    title="box whose walls fall open in layers when the lid comes off",
    dimensions=(
        Dimension("side", 60, "inside length and width of the outermost layer", least=30, most=500),
        Dimension("height", 60, "inside height of the outermost layer", least=20, most=500),
        Dimension("layers", 2, "how many stand in one another", least=1, most=6, count=True),
        Dimension("step", 4, "how much smaller a layer is on every side", least=1, most=5),
        lid_height(20, most=300),
        Dimension("tab", 12, "depth of the lid's corner tabs", least=GLUE, most=100),
        play_between(0.5, "between box and lid"),
        PIECES_APART,
        CALIPER,
    ),
    draw=draw_exploding,
    source="layer = side less 2 steps; inside of the lid = outside of the box + 2 x play (common practice, no published source)",
    expect=_expect_exploding,
    faces=("lid", "base", "lid front"),
    edges=("lid rim",),
    reliefs=True,
)


def _star(d: Values, grown: float = 0.0) -> Points:
    """Corners of the star between creases, an inner corner first, counter-clockwise, (2n, 2)."""
    n = int(d["points"])
    outer, inner = d["radius"], d["radius"] * d["waist"] / 100
    radii = np.tile((inner, outer), n)
    turns = math.pi / n * np.arange(2 * n)
    ring = radii[:, None] * np.column_stack((np.cos(turns), np.sin(turns)))
    step = ring[1] - ring[0]
    apothem = abs(float(ring[0][0] * step[1] - ring[0][1] * step[0])) / math.hypot(*step)
    return np.asarray(ring * (apothem + d["caliper"] / 2 + grown) / apothem)


def _walls(d: Values, lid: bool) -> tuple[Points, float, float]:
    """Ring of the base, and height of the walls between creases, and how far flaps are drawn in at inner corners, mm."""
    t = d["caliper"]
    ring = _star(d, 2 * t + d["play"] if lid else 0.0)
    height = (d["lid"] if lid else d["height"]) + t / 2
    # At an inner corner two flaps share what the star leaves of a full turn.
    a, b = ring[1] - ring[0], ring[-1] - ring[0]
    outside = math.atan2(*(abs(a[0] * b[1] - a[1] * b[0]), a @ b))
    return ring, height, d["flap"] / math.tan(outside / 2 - math.radians(2))


def _add_star(sketch: Sketch, d: Values, top: float, lid: bool) -> float:
    """Walls in a row, folded to and fro, and the base on the last of them; gives the upper edge, mm."""
    ring, height, far = _walls(d, lid)
    n, seam, flap = len(ring), d["seam"], d["flap"]
    side = math.dist(ring[0], ring[1])
    near = flap * _TIP
    refuse(
        near + far > side * 3 / 4,
        f"flaps of {flap:g} mm would come to a point on sides of {side:.1f} mm",
        "Use narrower flaps, a wider waist or a larger star.",
    )
    refuse(seam > side, f"the glue flap is wider than a wall of {side:.1f} mm", "Use a narrower seam.")
    refuse(2 * seam * SLANT > height / 2, "the glue flap tapers to a point", "Use a narrower seam.")
    tip, waist = _turns(ring)
    refuse(
        waist < math.radians(10),
        f"inner corners at {d['waist']:g} % of the radius make no star of {n // 2} points",
        f"Use a waist of at most {100 * math.cos(math.pi / (n // 2) + math.radians(5)) / math.cos(math.radians(5)):.0f} %.",
    )
    refuse(
        waist > math.radians(82),
        "the star's points stand too close for the base to hang on its wall",
        "Use a wider waist, or fewer points.",
    )
    blank = Blank(sketch.name)
    # The drawing shows the inside: a tip is a valley, an inner corner a mountain.
    styles = (FoldStyle("mountain", math.degrees(waist)), FoldStyle("valley", math.degrees(tip)))
    for k in range(n):
        blank.box(k * side, 0, (k + 1) * side, height)
        blank.way((k * side, 0), (k * side, height), styles[k % 2])
    blank.sketch.edge("lid rim" if lid else "box rim", (side, 0), (2 * side, 0))
    blank.flap((0, height), (0, 0), seam, seam * SLANT)
    # The base hangs on the last wall, whose free end is an inner corner: the next point of the star has room there.
    corners = _laid(ring, np.array([(n - 1) * side, 0.0]), np.array([n * side, 0.0]))
    blank.panel(*(pair(p) for p in corners), name="lid" if lid else "base")
    for k, (p, q) in enumerate(pairwise(corners)):
        if k:
            blank.flap(pair(q), pair(p), flap, *((near, far) if k % 2 == 0 else (far, near)))
            blank.way(pair(p), pair(q), SQUARE)
    return sketch.above(blank.finish(), top, d["apart"] if top else 0.0)


def _turns(ring: Points) -> tuple[float, float]:
    """How far a wall turns from the one before at a tip, and back at an inner corner, radians."""
    sides = np.diff(np.vstack((ring, ring[:1])), axis=0)
    a, b = sides, np.roll(sides, -1, axis=0)
    turn = np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1))
    return float(turn.max()), float(-turn.min())


def _laid(ring: Points, p: Points, q: Points) -> Points:
    """The star walked clockwise from an inner corner, moved so that its last side runs from p to q, (n, 2)."""
    clockwise = np.roll(ring[::-1], 1, axis=0)
    own, to = clockwise[0] - clockwise[-1], q - p
    turn = complex(*to) / complex(*own)
    spun = (clockwise @ [1, 1j] - complex(*clockwise[-1])) * turn + complex(*p)
    return np.column_stack((spun.real, spun.imag))


def draw_star(d: Values) -> Sketch:
    """Draw a star-shaped box and its lid.

    Parameters
    ----------
    d
        `points`; inside `radius` to the points, `waist` in percent of it to the inner corners, inside `height`, `lid` inside height
        of the lid, `flap`, `seam`, `play`, `apart`, `caliper`, mm.
    """
    refuse(d["lid"] > d["height"] + d["caliper"], "the lid is higher than the box", "Use a lower lid.")
    sketch = Sketch("star-box")
    top = _add_star(sketch, d, 0.0, lid=False)
    _add_star(sketch, d, top, lid=True)
    sketch.note = f"{d['play']:g} mm of play on each side between box and lid in card of {d['caliper']:g} mm"
    return sketch


def _expect_star(d: Values) -> Expected:
    """Its area is half the round about it times the distance of its sides from the middle."""
    area, volume, seam, flap = 0.0, 0.0, d["seam"], d["flap"]
    for lid in (False, True):
        ring, height, far = _walls(d, lid)
        n, side = len(ring), math.dist(ring[0], ring[1])
        step = ring[1] - ring[0]
        base = n * side * abs(float(ring[0][0] * step[1] - ring[0][1] * step[0])) / side / 2
        area += n * side * height + base + seam * (height - seam * SLANT)
        area += (n - 2) * flap * (side - (flap * _TIP + far) / 2)
        volume = volume or base * height
    return Expected(verdicts=(Verdict.OPEN_BOX,) * 2, area=area, volume=volume)


STAR = KindOfTemplate(
    name="star-box",
    title="star-shaped box with a lid",
    dimensions=(
        Dimension("points", 5, "number of points", least=4, most=6, count=True),
        Dimension("radius", 60, "inside, from the middle to the points", least=25, most=300),
        Dimension("waist", 60, "inner corners, in percent of the radius", least=45, most=75, count=True),
        Dimension("height", 30, "inside height", least=12, most=300),
        lid_height(15, least=12, most=300),
        Dimension("flap", 7, "depth of the flaps round the base", least=GLUE, most=40),
        Dimension("seam", 9, "width of the glue flaps", least=GLUE, most=40),
        play_between(0.5, "between box and lid"),
        PIECES_APART,
        CALIPER,
    ),
    draw=draw_star,
    source="a star whose sides lie p from its middle is larger by s all round when it is (p + s) / p times as large (plain geometry)",
    expect=_expect_star,
    faces=("lid", "base"),
    pieces=("box", "lid"),
    edges=("lid rim", "box rim"),
    reliefs=True,
)
