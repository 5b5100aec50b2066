"""Kinds as people draw them by hand: dashes, lines twice, every panel a rectangle, ends short or too long.

Each comes with what must come of it by plane and solid geometry; how it is drawn changes nothing in that.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from cutprep.model.operation import Operation
from tests.kinds.cartons import dust, lid, starts, tube
from tests.kinds.draw import XY, Net, Rng, Stroke, size
from tests.kinds.trays import corners, cross, regular
from tests.kinds.tubes import _beside, prism

#: A dash and the gap after it, mm.
DASH, GAP = 3.0, 1.5
#: How far a hand misses a corner, mm.
SHORT = 0.12
#: What that may cost of a size, as a share.
ROUGH = 5e-3


@dataclass
class ByHand(Net):
    """A net whose lines are drawn in a hand's way."""

    way: str = ""

    def strokes(self, *, join: bool = True) -> list[Stroke]:
        """Lines of the net, drawn in that way."""
        return [s for stroke in super().strokes(join=join) for s in WAYS[self.way](stroke)]


def dashed(stroke: Stroke) -> list[Stroke]:
    """Scores as dashes, each a segment by itself; the last ends wherever the pattern ends."""
    if stroke.operation is not Operation.SCORE or len(stroke.points) != 2:
        return [stroke]
    a, b = stroke.points
    long = float(np.hypot(*(b - a)))
    u = (b - a) / long
    at = np.arange(0.0, long - 0.05, DASH + GAP)
    return [replace(stroke, points=np.array([a + t * u, a + min(t + DASH, long) * u])) for t in at]


def doubled(stroke: Stroke) -> list[Stroke]:
    """Every line twice, the second the other way round."""
    return [stroke, replace(stroke, points=stroke.points[::-1])]


def short(stroke: Stroke) -> list[Stroke]:
    """Open lines: each ends a little before its corner."""
    return [_longer(stroke, -SHORT)]


def beyond(stroke: Stroke) -> list[Stroke]:
    """Each line runs a little beyond its corner."""
    return [_longer(stroke, SHORT)]


def _longer(stroke: Stroke, by: float) -> Stroke:
    xy = stroke.points.copy()
    if len(xy) < 2 or (xy[0] == xy[-1]).all():
        return stroke
    for end, beside in ((0, 1), (-1, -2)):
        u = xy[end] - xy[beside]
        xy[end] = xy[end] + by * u / np.hypot(*u)
    return replace(stroke, points=xy)


WAYS: dict[str, Callable[[Stroke], list[Stroke]]] = {
    "dashed": dashed,
    "doubled": doubled,
    "short": short,
    "beyond": beyond,
}


def by_hand(net: Net, way: str) -> ByHand:
    """Draw a net in a hand's way."""
    return ByHand(net.panels, net.roles, net.slits, net.extra, net.ways, net.tears, way)


def slanted(net: Net, p: XY, q: XY, depth: float, turn: float = 60.0) -> None:
    """A tab on the free side of p to q, its ends cut at an angle from that side."""
    a, b = np.array(p), np.array(q)
    beside = (a + b) / 2 + 0.1 * np.array([a[1] - b[1], b[0] - a[0]]) / np.hypot(*(b - a))
    taken = any(shapely.Polygon(ring).covers(shapely.Point(beside)) for ring in net.panels)
    net.flap(*((q, p) if taken else (p, q)), depth, depth / math.tan(math.radians(turn)))


def chest(rng: Rng) -> Any:
    """Chest: front, base, back in a strip, a lid of three facets, its lip inside the front; ends in two pieces."""
    long, w, h = size(rng, 70, 120), size(rng, 40, 60), size(rng, 25, 40)
    facet = w / 2
    rise = facet * math.sin(math.radians(60))
    net = Net()
    y = [0, h, h + w, 2 * h + w, 2 * h + w + facet, 2 * h + w + 2 * facet, 2 * h + w + 3 * facet]
    for a, b in itertools.pairwise(y):
        net.rect(0, a, long, b)
    net.flap((0, y[6]), (long, y[6]), 12, 4, role="tuck")
    for x, s in ((0.0, -1), (long, 1)):
        net.rect(x, y[1], x + s * h, y[2])
        ring = [
            (x, y[4]), (x, y[5]),
            (x + s * rise, y[5] + facet / 2), (x + s * rise, y[4] - facet / 2),
        ]  # fmt: skip
        net.add(*ring)
        for a, b in ((y[0], y[1]), (y[2], y[3])):
            p, q = ((x, a), (x, b)) if s < 0 else ((x, b), (x, a))
            slanted(net, p, q, 9.0)
    area = w * h + (w + facet) / 2 * rise
    return by_hand(net, "dashed"), net.want("closed", area * long)


def clamshell(rng: Rng) -> Any:
    """Two trays on one spine, the second a lid over the first."""
    long, w, h = size(rng, 70, 110), size(rng, 50, 80), size(rng, 18, 30)
    net = Net()
    y0 = w + h
    for y in (0.0, y0):
        net.rect(0, y, long, y + w)
        for x, s in ((0.0, -1), (long, 1)):
            net.rect(x, y, x + s * h, y + w)
    net.rect(0, w, long, w + h).rect(0, -h, long, 0).rect(0, y0 + w, long, y0 + w + h)
    for x, s in ((0.0, -1), (long, 1)):
        for a, t in ((0.0, -1), (y0 + w, 1)):
            p, q = (x, a), (x, a + t * h)
            slanted(net, *((p, q) if s * t < 0 else (q, p)), 9.0)
    return by_hand(net, "short"), net.want("closed|open", long * w * h, (long, w, h))


def seed_packet(rng: Rng) -> Any:
    """A flat packet: side tabs and a base tab on the back, a tongue above."""
    w, h = size(rng, 60, 90), size(rng, 80, 120)
    net = Net().rect(0, 0, w, h).rect(0, -h + 10, w, 0)
    slanted(net, (w, h), (0, h), 20, 75)
    for p, q in (((0, 0), (0, -h + 10)), ((w, -h + 10), (w, 0))):
        slanted(net, *(q, p), 10, 70)
    return by_hand(net, "doubled"), net.want("flat")


def school_cube(rng: Rng) -> Any:
    """The cube of the schoolbook: a cross of six squares, seven slanted tabs."""
    a = size(rng, 30, 60)
    net = Net()
    for k in range(4):
        net.rect(k * a, 0, (k + 1) * a, a)
    net.rect(a, a, 2 * a, 2 * a).rect(a, -a, 2 * a, 0)
    slanted(net, (4 * a, a), (4 * a, 0), 8)
    for k in (0, 2, 3):
        slanted(net, ((k + 1) * a, a), (k * a, a), 8)
        slanted(net, (k * a, 0), ((k + 1) * a, 0), 8)
    return by_hand(net, "short"), net.want("closed", a**3, (a, a, a))


def school_pyramid(rng: Rng) -> Any:
    """A square pyramid: four triangles round the base, a tab on each."""
    a, s = size(rng, 40, 70), size(rng, 55, 90)
    net = Net().rect(0, 0, a, a)
    m = a / 2
    tips = [((0, 0), (a, 0), (m, -s)), ((a, 0), (a, a), (a + s, m)), ((a, a), (0, a), (m, a + s)), ((0, a), (0, 0), (-s, m))]  # fmt: skip
    tipped = math.degrees(
        2 * math.atan(m / s)
    )  # a tab cut less sharply than that stands out beside the next tip
    for p, q, tip in tips:
        net.add(p, q, tip)
        slanted(net, tip, q, 8, min(35.0, tipped - 2.0))
    return by_hand(net, "dashed"), net.want("closed", a * a * math.sqrt(s * s - m * m) / 3)


def school_prism(rng: Rng) -> Any:
    """A triangular prism: three walls, two triangles on the middle one, five tabs."""
    a, h = size(rng, 35, 60), size(rng, 60, 110)
    net = Net()
    for k in range(3):
        net.rect(k * a, 0, (k + 1) * a, h)
    rise = a * math.sqrt(3) / 2
    for y, t in ((h, 1), (0.0, -1)):
        tip = (1.5 * a, y + t * rise)
        net.add((a, y), (2 * a, y), tip)
        sides = [((2 * a, y), tip), (tip, (a, y))]
        for p, q in sides:
            slanted(net, *((q, p) if t > 0 else (p, q)), 8, 50)
    slanted(net, (3 * a, h), (3 * a, 0), 9)
    return by_hand(net, "beyond"), net.want("closed", a * rise / 2 * h)


def school_tetrahedron(rng: Rng) -> Any:
    """A regular tetrahedron from one large triangle, three tabs."""
    a = size(rng, 45, 80)
    r = math.sqrt(3) / 2 * a
    net = Net().add((0, 0), (a, 0), (a / 2, r)).add((a, 0), (2 * a, 0), (1.5 * a, r))
    net.add((a, 0), (1.5 * a, r), (a / 2, r)).add((a / 2, r), (1.5 * a, r), (a, 2 * r))
    slanted(net, (0, 0), (a, 0), 8, 50)
    slanted(net, (2 * a, 0), (1.5 * a, r), 8, 50)
    slanted(net, (a, 2 * r), (a / 2, r), 8, 50)
    return by_hand(net, "doubled"), net.want("closed", a**3 / (6 * math.sqrt(2)))


def window_box(rng: Rng) -> Any:
    """A trough: base, two walls that lean out, upright ends glued to them."""
    long, w, s = size(rng, 90, 150), size(rng, 30, 50), size(rng, 30, 45)
    lean = math.radians(float(rng.uniform(10, 25)))
    up, out = s * math.cos(lean), s * math.sin(lean)
    net = Net().rect(0, 0, long, w).rect(0, w, long, w + s).rect(0, -s, long, 0)
    for x, t in ((0.0, -1), (long, 1)):
        net.add((x, 0), (x, w), (x + t * up, w + out), (x + t * up, -out))
        for p, q in (((x, w), (x + t * up, w + out)), ((x + t * up, -out), (x, 0))):
            slanted(net, *((q, p) if t < 0 else (p, q))[::-1], 9)
    return by_hand(net, "beyond"), net.want("open", (w + out) * up * long)


def ballot_box(rng: Rng) -> Any:
    """A closed box with a slot in its lid, every seam with a tab."""
    w, d, h = size(rng, 60, 90), size(rng, 45, 70), size(rng, 60, 100)
    x = starts(w, d)
    net = tube((w, d, w, d), h)
    net.rect(x[0], h, x[1], h + d).rect(x[2], 0, x[3], -d)
    slanted(net, (x[1], h + d), (x[0], h + d), 10)
    slanted(net, (x[1], h), (x[1], h + d), 10)
    slanted(net, (x[0], h + d), (x[0], h), 10)
    slanted(net, (x[2], -d), (x[3], -d), 10)
    slanted(net, (x[3], -d), (x[3], 0), 10)
    slanted(net, (x[2], 0), (x[2], -d), 10)
    net.window(
        (w / 4, h + d / 2 - 2), (3 * w / 4, h + d / 2 - 2), (3 * w / 4, h + d / 2 + 2), (w / 4, h + d / 2 + 2)
    )
    net.panels = list(net.panels)
    return by_hand(net, "short"), net.want("closed", w * d * h, (w, d, h))


def birdhouse(rng: Rng) -> Any:
    """Front with a round hole; five walls round it, a back like it, tabs."""
    w, h, deep = size(rng, 45, 70), size(rng, 40, 60), size(rng, 35, 60)
    rise = w / 2
    base = [(0.0, 0.0), (w, 0.0), (w, h), (w / 2, h + rise), (0.0, h)]
    net = prism(base, deep, 0)
    net.window(*((w / 2 + 8 * math.cos(t), deep + h * 0.6 + 8 * math.sin(t)) for t in np.linspace(0, 2 * math.pi, 33)[:-1]))  # fmt: skip
    return by_hand(net, "dashed"), net.want("closed", (w * h + w * rise / 2) * deep)


def jar_carton(rng: Rng) -> Any:
    """Tuck carton, a round hole in its lid for the neck of the jar."""
    w, d, h = size(rng, 45, 65), size(rng, 45, 60), size(rng, 60, 90)
    x = starts(w, d)
    net = tube((w, d, w, d), h)
    for y, up, at in ((h, 1, 0), (0.0, -1, 2)):
        lid(net, x[at], x[at + 1], y, up, d, 14)
        for k in (1, 3):
            dust(net, x[k], x[k + 1], y, up, min(0.25 * d, w / 2 - 2))
    r = 0.3 * d
    net.window(*((w / 2 + r * math.cos(t), h + d / 2 + r * math.sin(t)) for t in np.linspace(0, 2 * math.pi, 41)[:-1]))  # fmt: skip
    return by_hand(net, "short"), net.want("closed", w * d * h, (w, d, h))


def honeycomb_tray(rng: Rng) -> Any:
    """A six-sided tray; each wall has one tab, cut at a slant at one end only."""
    a, h = size(rng, 30, 55), size(rng, 15, 30)
    base = regular(6, a)
    net = Net().add(*base)
    for k in range(6):
        p, q = np.array(base[(k + 1) % 6]), np.array(base[k])
        net.flap(tuple(p), tuple(q), h, role="body")
        u = (q - p) / a
        n = np.array([-u[1], u[0]])
        net.add(
            tuple(p), tuple(p + h * n), tuple(p + (h - 1) * n - 9 * u), tuple(p + 7 * n - 9 * u), role="glue"
        )
    area = 1.5 * math.sqrt(3) * a * a
    return by_hand(net, "doubled"), net.want("open", area * h)


def shoe_box(rng: Rng) -> Any:
    """Box and lid in one drawing, corner squares slit, scores dashed."""
    long, w, h = size(rng, 70, 120), size(rng, 50, 80), size(rng, 25, 40)
    found = []
    for grow, deep in ((0.0, h), (1.0, 14.0)):
        net = cross(long + grow, w + grow, deep)
        for x, y, sx, sy in corners(long + grow, w + grow):
            net.rect(x, y, x + sx * deep, y + sy * deep, role="glue")
            net.slit((x, y), (x + sx * deep, y))
        found.append(
            (net, net.want("open", (long + grow) * (w + grow) * deep, (long + grow, w + grow, deep)))
        )
    (a, one), (b, two) = found
    return by_hand(_beside(a, b), "dashed"), (one, two)


def slide_box(rng: Rng) -> Any:
    """A drawer with slanted tabs and its sleeve, both drawn line by line, lines a little too long."""
    long, w, h = size(rng, 70, 110), size(rng, 40, 60), size(rng, 18, 26)
    net = cross(long, w, h)
    for x, y, sx, sy in corners(long, w):
        p, q = (x, y), (x, y + sy * h)
        slanted(net, *((p, q) if sx * sy < 0 else (q, p)), 9)
    outer = tube((w + 1, h + 1, w + 1, h + 1), long, 10)
    return by_hand(_beside(net, outer), "beyond"), (
        net.want("open", long * w * h, (long, w, h)),
        outer.want("movable"),
    )


def neck_hanger(rng: Rng) -> Any:
    """A folded tag with a hole for a bottle's neck."""
    w, h = size(rng, 50, 80), size(rng, 60, 100)
    net = Net().rect(0, 0, w, h).rect(0, h, w, 2 * h)
    net.window(*((w / 2 + 14 * math.cos(t), h + h / 2 + 14 * math.sin(t)) for t in np.linspace(0, 2 * math.pi, 33)[:-1]))  # fmt: skip
    return by_hand(net, "beyond"), net.want("bends")


def leaflet(rng: Rng) -> Any:
    """A leaflet of four pages, folded to and fro, the last half as wide; scores dashed."""
    w, h, net = size(rng, 40, 60), size(rng, 80, 120), Net()
    x = 0.0
    for k, wide in enumerate((w, w, w, w / 2)):
        net.rect(x, 0, x + wide, h)
        if k:
            net.way((x, 0), (x, h), 1 if k % 2 else -1)
        x += wide
    return by_hand(net, "dashed"), net.want("bends|flat")


def lunch_tote(rng: Rng) -> Any:
    """Open carton with a sealed base, its two broad walls with a hand hole above."""
    w, d, h = size(rng, 70, 100), size(rng, 35, 50), size(rng, 70, 110)
    up = 35.0
    x = starts(w, d)
    net = Net()
    for k, high in enumerate((h + up, h, h + up, h)):
        ring = [(x[k], 0), (x[k + 1], 0), (x[k + 1], h)]
        if high > h:
            ring += [(x[k + 1] - 15, h + up), (x[k] + 15, h + up)]
        net.add(*ring, (x[k], h))
        if high > h:
            m = (x[k] + x[k + 1]) / 2
            net.window((m - 15, h + 12), (m + 15, h + 12), (m + 15, h + 25), (m - 15, h + 25))
    net.flap((0, 0), (0, h), 11, 4)
    for k, deep in ((0, d), (2, 0.7 * d), (1, 0.4 * w), (3, 0.4 * w)):
        net.rect(
            x[k] + (k > 0), 0, x[k + 1] - (k > 0), -min(deep, d if k % 2 == 0 else 0.45 * w), role="closure"
        )
    return by_hand(net, "doubled"), net.want("open", w * d * h, (w, d, h))


def corner_tray(rng: Rng) -> Any:
    """A tray over a right triangle, slanted tabs."""
    a, b, h = size(rng, 60, 100), size(rng, 60, 100), size(rng, 18, 28)
    base = [(0.0, 0.0), (a, 0.0), (0.0, b)]
    net = Net().add(*base)
    for k in range(3):
        p, q = np.array(base[(k + 1) % 3]), np.array(base[k])
        net.flap(tuple(p), tuple(q), h, role="body")
        u = (q - p) / np.hypot(*(q - p))
        n = np.array([-u[1], u[0]])
        slanted(net, tuple(p), tuple(p + h * n), 8, 65)
    return by_hand(net, "short"), net.want("open", a * b / 2 * h)


def vase(rng: Rng) -> Any:
    """A five-sided vase that widens upwards: walls round the base, a tab on each."""
    a, s = size(rng, 25, 40), size(rng, 50, 80)
    b = a * float(rng.uniform(1.1, 1.35))
    base = regular(5, a)
    net = Net().add(*base)
    for k in range(5):
        p, q = np.array(base[(k + 1) % 5]), np.array(base[k])
        u = (q - p) / a
        n = np.array([-u[1], u[0]])
        m = (p + q) / 2
        one, two = m + s * n - b / 2 * u, m + s * n + b / 2 * u
        net.add(tuple(p), tuple(q), tuple(two), tuple(one))
        slanted(net, tuple(p), tuple(one), 8, 45)
    out = (b - a) / (2 * math.tan(math.pi / 5))
    high = math.sqrt(s * s - out * out)
    low, top = (5 * t * t / (4 * math.tan(math.pi / 5)) for t in (a, b))
    return by_hand(net, "dashed"), net.want("open", high / 3 * (low + top + math.sqrt(low * top)))


def letter_rack(rng: Rng) -> Any:
    """Base, a high back, a low front, sides that slope from one to the other, glued inside by tabs."""
    w, d, low, high = size(rng, 80, 120), size(rng, 30, 50), size(rng, 25, 40), size(rng, 60, 90)
    net = Net().rect(0, 0, w, d).rect(0, -low, w, 0).rect(0, d, w, d + high)
    for x, s in ((0.0, -1), (w, 1)):
        net.add((x, 0), (x, d), (x + s * high, d), (x + s * low, 0))
        slanted(net, *(((x, 0), (x + s * low, 0)) if s < 0 else ((x + s * low, 0), (x, 0)))[::-1], 9)
        slanted(net, *(((x + s * high, d), (x, d)) if s < 0 else ((x, d), (x + s * high, d)))[::-1], 9)
    return by_hand(net, "beyond"), net.want("open", w * d * (low + high) / 2)


def _as_drawn(kind: Callable[[Rng], Any]) -> Callable[[Rng], Any]:
    """Sizes may be off by what a hand's lines are off."""

    def made(rng: Rng) -> Any:
        net, want = kind(rng)
        if net.way in {"dashed", "doubled"}:
            return net, want
        wants = want if isinstance(want, tuple) else (want,)
        return net, tuple(replace(w, loose=max(w.loose, ROUGH)) for w in wants)

    return made


_KINDS: dict[str, Callable[[Rng], Any]] = {
    "chest, lid of three facets": chest,
    "two trays on a spine": clamshell,
    "seed packet": seed_packet,
    "cube of the schoolbook": school_cube,
    "pyramid of the schoolbook": school_pyramid,
    "prism of the schoolbook": school_prism,
    "tetrahedron of the schoolbook": school_tetrahedron,
    "window box": window_box,
    "ballot box": ballot_box,
    "birdhouse": birdhouse,
    "jar carton": jar_carton,
    "honeycomb tray": honeycomb_tray,
    "shoe box and lid": shoe_box,
    "slide box": slide_box,
    "neck hanger": neck_hanger,
    "leaflet, last page half": leaflet,
    "lunch tote": lunch_tote,
    "corner tray": corner_tray,
    "vase of five walls": vase,
    "letter rack": letter_rack,
}

HANDS = {name: _as_drawn(kind) for name, kind in _KINDS.items()}
