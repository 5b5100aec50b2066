"""Nets of boxes laid polygon by polygon, with shapely and plain geometry alone: rectangles, regular polygons, triangles.

How far flaps are drawn in is the templates' own choice (common practice, no published source): by tan 15 degrees, 0.268, of
their depth, or at an angle.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise

import numpy as np
import shapely
from shapely import Polygon, affinity, box

from cutprep.template.dimensions import Values

XY = tuple[float, float]
Net = list[Polygon]
LEAN = 0.268


def wing(p: XY, q: XY, depth: float, at_p: float, at_q: float | None = None) -> Polygon:
    """A flap on the right of the way from p to q, drawn in at both ends."""
    a, b = complex(*p), complex(*q)
    along = (b - a) / abs(b - a)
    out = -1j * along * depth
    far = (a + at_p * along + out, b - (at_p if at_q is None else at_q) * along + out)
    return Polygon([p, (far[0].real, far[0].imag), (far[1].real, far[1].imag), q])


def ngon(p: XY, q: XY, n: int) -> list[XY]:
    """Corners of the regular n-gon on the right of the side from p to q: p spun about its middle."""
    step = complex(*q) - complex(*p)
    centre = (complex(*p) + complex(*q)) / 2 - 0.5j * step / math.tan(math.pi / n)
    spun = [(complex(*p) - centre) * np.exp(2j * np.pi * k / n) + centre for k in range(n)]
    return [(one.real, one.imag) for one in spun]


def tray(length: float, width: float, height: float, tab: float, t: float) -> Net:
    a, b, h = length + t, width + t, height + t / 2
    lean = min(LEAN * tab, h / 4)
    tabs = [wing(p, q, tab, lean) for x in (-h, a) for p, q in (((x, 0), (x + h, 0)), ((x + h, b), (x, b)))]
    return [
        box(0, 0, a, b),
        box(0, -h, a, 0),
        box(0, b, a, b + h),
        box(-h, 0, 0, b),
        box(a, 0, a + h, b),
        *tabs,
    ]


def tray_of(d: Values) -> Net:
    return tray(d["length"], d["width"], d["height"], d["tab"], d["caliper"])


def over(d: Values, length: float, width: float, height: float) -> Net:
    """A tray round something with tabs in its long walls: walls, those tabs, and play."""
    t, play = d["caliper"], d["play"]
    tab = min(d["tab"], height + t / 2 - 1)
    return tray(length + 2 * t + 2 * play, width + 4 * t + 2 * play, height, tab, t)


def tube(walls: Sequence[float], height: float, seam: float, lean: float | None = None) -> Net:
    """Walls in a row, a glue flap on the last."""
    x = list(accumulate(walls, initial=0.0))
    flap = wing((x[-1], 0), (x[-1], height), seam, LEAN * seam if lean is None else lean)
    return [*(box(a, 0, b, height) for a, b in pairwise(x)), flap]


def four(length: float, width: float, t: float) -> list[float]:
    """Four walls between creases; the last lies under the flap."""
    return [length + t, width + t, length + t, width]


def slant_of(n: int) -> float:
    return min(math.radians(50), 2 * math.pi / n - math.radians(12))


def hinged(d: Values) -> Net:
    t, tab, tuck = d["caliper"], d["tab"], d["tuck"]
    a, b, h = d["length"] + t, d["width"] + t, d["height"] + t
    lean, lid, ease = min(LEAN * tab, h / 4), d["width"] + t / 2, t + 0.5
    net = [box(0, -h, a, b + h), box(-h, 0, a + h, b)]
    for low in (-h, b):
        net += [wing((0, low + h), (0, low), tab, lean), wing((a, low), (a, low + h), tab, lean)]
    top = b + h + lid
    return [*net, box(0, b + h, a, top), wing((a - ease, top), (ease, top), tuck, LEAN * tuck)]


def exploding(d: Values) -> list[Net]:
    t, found = d["caliper"], []
    for k in range(int(d["layers"])):
        s, h = d["side"] - 2 * k * d["step"] + t, d["height"] - k * d["step"] + t / 2
        found.append([box(0, -h, s, s + h), box(-h, 0, s + h, s)])
    return [*found, over(d, d["side"], d["side"], d["lid"])]


def polygon_box(d: Values) -> list[Net]:
    n, t = int(d["sides"]), d["caliper"]
    found = []
    for radius, high in (
        ((d["width"] + t) / 2, d["height"] + t / 2),
        ((d["width"] + t) / 2 + 2 * t + d["play"], d["lid"] + t / 2),
    ):
        side = 2 * radius * math.tan(math.pi / n)
        tab = min(d["tab"], high / 2 * math.tan(slant_of(n)))
        wall = [
            box(0, 0, side, high),
            wing((side, 0), (side, high), tab, tab / math.tan(slant_of(n)), min(LEAN * tab, high / 4)),
        ]
        middle = (side / 2, -radius)
        found.append(
            [
                Polygon(ngon((0, 0), (side, 0), n)),
                *(affinity.rotate(p, 360 * k / n, origin=middle) for k in range(n) for p in wall),
            ]
        )
    return found


def pyramid(d: Values) -> Net:
    """Its base and triangles; a flap on the edge of each, at angles that its neighbours leave."""
    n, flap = int(d["sides"]), d["flap"]
    side = d["width"] * math.tan(math.pi / n)
    slant = math.hypot(d["height"], d["width"] / 2)
    foot = math.degrees(math.atan2(slant, side / 2))
    ends = [min(50.0, 180 * (1 + 2 / n) - 2 * foot - 8, foot - 3), min(50.0, 180 - 2 * foot - 3)]
    low, high = (flap / math.tan(math.radians(end)) for end in ends)
    wall = [
        Polygon([(0, 0), (side, 0), (side / 2, slant)]),
        wing((side, 0), (side / 2, slant), flap, low, high),
    ]
    middle = (side / 2, -d["width"] / 2)
    turned = [affinity.rotate(one, 360 * k / n, origin=middle) for k in range(n) for one in wall]
    return [Polygon(ngon((0, 0), (side, 0), n)), *turned]


def beside(d: Values, right: float, height: float) -> Polygon:
    """A glue flap whose ends fall back beside flaps round a base: 2 degrees from them, or level where they end."""
    steep = math.tan(slant_of(int(d["sides"])) + math.radians(2))
    drop = d["seam"] * steep
    if drop > height / 4:
        drop = min(drop, d["flap"] + 0.5)
    ends = [(0.0, 0.0), (drop / steep, drop), (d["seam"], drop)]
    return Polygon([(right + x, y) for x, y in ends] + [(right + x, height - y) for x, y in reversed(ends)])


def capped(d: Values, height: float, caps: int) -> Net:
    """n walls in a row, the last under the flap, and a base on one of them with flaps on its other sides; or a lid as well."""
    n, t = int(d["sides"]), d["caliper"]
    side, angle = (d["width"] + t) * math.tan(math.pi / n), slant_of(n)
    corners, lean = ngon((0, 0), (side, 0), n), d["flap"] / math.tan(angle)
    # Counter-clockwise from p: each next side has the polygon on its left.
    flaps = [wing(p, q, d["flap"], lean) for p, q in pairwise(corners[:n])]
    net = [Polygon(corners), *flaps]
    middle = (side / 2, height / 2)
    both = [*net, *(affinity.rotate(one, 180, origin=middle) for one in net)] if caps > 1 else net
    return [*both, box(-side, 0, (n - 1) * side - t, height), beside(d, (n - 1) * side - t, height)]


def gathered(d: Values) -> Net:
    h = d["height"] + d["caliper"] / 2
    net = capped(d, h, 1)
    left, _, right, _ = net[-2].bounds
    return [*net, box(left, h, right, h + d["gather"])]


def slice_of(d: Values) -> Net:
    n, t, flap = int(d["slices"]), d["caliper"], d["flap"]
    half, h = math.pi / n, d["height"] + t
    x, y = d["radius"] * math.cos(half), d["radius"] * math.sin(half)
    wide = Polygon([(0, 0), (x, -y), (x, y)]).buffer(t / 2, join_style="mitre", mitre_limit=50)
    left, low, right, high = wide.bounds
    side, back = math.hypot(right - left, high), high - low
    triangle = Polygon([(0, h), (back / 2, h + right - left), (back, h)])
    tip = (back / 2, h + right - left)
    far, near = flap / math.tan(half), 0.6 * flap
    flaps = [wing(tip, (back, h), -flap, far, near), wing((0, h), tip, -flap, near, far)]
    lean = max(flap + 1, d["seam"] * math.tan(half) + 0.5 + t)
    lid = [triangle, *flaps]
    base = [affinity.scale(one, 1, -1, origin=(0, h / 2)) for one in lid]
    wall = wing((back + side - t, 0), (back + side - t, h), d["seam"], lean)
    return [*lid, *base, box(-side, 0, back + side - t, h), wall]


def drawer(d: Values) -> list[Net]:
    """The sleeve's inside: the drawer's outside, tabs and flap counted, and play; half a circle off its rim."""
    t, play = d["caliper"], d["play"]
    across = (d["width"] + 4 * t + 2 * play, d["height"] + 2 * t + 2 * play)
    deep = d["length"] + 2 * t
    sleeve = tube(four(*across, t), deep, d["seam"])
    sleeve[2] -= shapely.Point(sleeve[2].centroid.x, deep).buffer(d["notch"], quad_segs=400)
    return [tray_of(d), sleeve]
