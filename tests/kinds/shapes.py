"""Twenty kinds that folding had not seen before they were written: chests, cake boxes, bottles, bridges, hives.

What must come of each is worked out beside it by plane and solid geometry.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from tests.kinds.cartons import dust, lid, starts, tube
from tests.kinds.draw import XY, Net, Rng, size
from tests.kinds.trays import area, corners, cross, regular
from tests.kinds.tubes import _beside, polygon_area, prism


def _frustum(rise: float, a: float, b: float) -> float:
    return rise / 3 * (a + b + math.sqrt(a * b))


def _ring(p: np.ndarray, q: np.ndarray, n: int) -> list[XY]:
    """Corners of a regular polygon on the left of one of its sides."""
    side, corners = q - p, [p, q]
    for k in range(1, n - 1):
        a = 2 * math.pi * k / n
        step = np.array(
            [side[0] * math.cos(a) - side[1] * math.sin(a), side[0] * math.sin(a) + side[1] * math.cos(a)]
        )
        corners.append(corners[-1] + step)
    return [(float(x), float(y)) for x, y in corners]


def doubled_partition(rng: Rng) -> Any:
    """Tray whose base rises to a partition of two layers."""
    a, b, w, h = size(rng, 35, 60), size(rng, 35, 60), size(rng, 50, 90), size(rng, 20, 32)
    net = Net()
    x = [0, a, a + h, a + 2 * h, a + 2 * h + b]
    for k in range(4):
        net.rect(x[k], 0, x[k + 1], w, role="body" if k in (0, 3) else "wall")
    net.rect(-h, 0, 0, w).rect(x[4], 0, x[4] + h, w)
    for long, r in ((x[0], x[1]), (x[3], x[4])):
        net.rect(long, -h, r, 0).rect(long, w, r, w + h)
    for cx, sx in ((0, -1), (x[4], 1)):
        for cy, sy in ((0, -1), (w, 1)):
            p, q = (cx, cy), (cx + sx * h, cy)
            net.flap(*((q, p) if sx * sy < 0 else (p, q)), 9, 2.5)
    return net, net.want("open", (a + b) * w * h)


def cake_box(rng: Rng) -> Any:
    """Six corners: a tray, a lid on its back wall, the lid's walls outside; tabs on both fronts."""
    long, w, h = size(rng, 70, 120), size(rng, 60, 100), size(rng, 25, 40)
    net = cross(long, w, h)
    for x, y, sx, sy in corners(long, w):
        p, q = (x, y), (x, y + sy * h)
        net.flap(*((p, q) if sx * sy < 0 else (q, p)), min(12, h - 4), 3)
    y0 = w + h
    net.rect(0, y0, long, y0 + w)
    lip = h - 6
    net.rect(0, y0 + w, long, y0 + w + lip)
    net.flap((0, y0), (0, y0 + w), lip, 14, far=0)
    net.flap((long, y0 + w), (long, y0), lip, 0, far=14)
    for x, s in ((0, -1), (long, 1)):
        p, q = (x, y0 + w), (x, y0 + w + lip)
        net.flap(*((p, q) if s < 0 else (q, p)), 10, 2.5)
    return net, net.want("closed", long * w * h, (long, w, h))


def tied_pyramid(rng: Rng) -> Any:
    """A pyramid whose four sides have a hole for a ribbon near the tip."""
    w, slant = size(rng, 50, 80), size(rng, 70, 110)
    net = Net().rect(0, 0, w, w)
    base = [(0, 0), (w, 0), (w, w), (0, w)]
    for k in range(4):
        p, q = np.array(base[(k + 1) % 4]), np.array(base[k])
        u = (q - p) / w
        n = np.array([-u[1], u[0]])
        tip = (p + q) / 2 + slant * n
        net.add(tuple(p), tuple(q), tuple(tip))
        c = tip - 0.25 * slant * n
        net.window(
            *[
                (float(c[0] + 2.5 * math.cos(t)), float(c[1] + 2.5 * math.sin(t)))
                for t in np.arange(12) * math.pi / 6
            ]
        )
    return net, net.want("closed", w * w * math.sqrt(slant**2 - w * w / 4) / 3)


def window_and_platform(rng: Rng) -> Any:
    """A carton with a window, and a platform with a hole that stands in it."""
    w, d, h = size(rng, 60, 90), size(rng, 34, 50), size(rng, 60, 90)
    x = starts(w, d)
    net = tube((w, d, w, d), h)
    for y, up in ((h, 1), (0.0, -1)):
        lid(net, x[0], x[1], y, up, d, 14)
        for k in (1, 3):
            dust(net, x[k], x[k + 1], y, up, 0.55 * d)
    net.window((x[2] + 10, 15), (x[3] - 10, 15), (x[3] - 10, h - 15), (x[2] + 10, h - 15))
    leg, pw = size(rng, 15, 22), w - 1
    two = Net().rect(0, 0, leg, d - 1).rect(leg, 0, leg + pw, d - 1).rect(leg + pw, 0, 2 * leg + pw, d - 1)
    two.window((leg + 15, 10), (leg + pw - 15, 10), (leg + pw - 15, d - 11), (leg + 15, d - 11))
    return _beside(net, two), (net.want("closed", w * d * h, (w, d, h)), two.want("bends"))


def hinged_polygon(rng: Rng, *, lips: bool = False) -> Any:
    """A tray over a regular polygon, its lid on one wall."""
    n = 3 if lips else int(rng.integers(4, 9))
    s, h = size(rng, 40, 60), size(rng, 18, 28)
    base = regular(n, s)
    net = Net().add(*base)
    for k in range(n):
        net.flap(base[(k + 1) % n], base[k], h, role="body")
    wall = net.panels[1]
    ring = _ring(wall[3], wall[2], n)
    net.add(*ring, role="closure")
    for k in range(1, n if lips else 1):
        net.flap(ring[(k + 1) % n], ring[k], 10, 9, role="tuck")
    return net, net.want("closed", area(n, s) * h)


def hinged_triangle(rng: Rng) -> Any:
    """A flat three-cornered box, its lid with two lips."""
    return hinged_polygon(rng, lips=True)


def pail_with_lid(rng: Rng) -> Any:
    """Walls lean out from a square base; the lid hangs on one and has a lip on the other side."""
    a, rise = size(rng, 40, 60), size(rng, 35, 55)
    b = a + size(rng, 10, 20)
    e = (b - a) / 2
    slant = math.hypot(rise, e)
    net = Net().rect(0, 0, a, a)
    base = [(0, 0), (a, 0), (a, a), (0, a)]
    for k in range(4):
        net.flap(base[(k + 1) % 4], base[k], slant, -e, role="body")
        ring = net.panels[-1]
        if k % 2:
            net.flap(tuple(ring[2]), tuple(ring[1]), 8, 4)
            net.flap(tuple(ring[0]), tuple(ring[3]), 8, 4)
    top = net.panels[1]
    p, q = top[3], top[2]
    net.flap(tuple(p), tuple(q), b, 0, role="closure")
    far = net.panels[-1]
    net.flap(tuple(far[3]), tuple(far[2]), 12, 3, role="tuck")
    return net, net.want("closed", _frustum(rise, a * a, b * b))


def plus_tray(rng: Rng) -> Any:
    """A tray over a plus, walls in a strip."""
    s, h = size(rng, 24, 34), size(rng, 14, 20)
    ring = [
        (s, 0),
        (2 * s, 0),
        (2 * s, s),
        (3 * s, s),
        (3 * s, 2 * s),
        (2 * s, 2 * s),
        (2 * s, 3 * s),
        (s, 3 * s),
        (s, 2 * s),
        (0, 2 * s),
        (0, s),
        (s, s),
    ]
    net = prism(ring, h, 0, top=False)
    return net, net.want("open", 5 * s * s * h)


def bridge(rng: Rng) -> Any:
    """A bridge: a block with an arch of six chords under it."""
    w, h, deep = size(rng, 80, 110), size(rng, 40, 55), size(rng, 25, 45)
    foot = size(rng, 14, 20)
    r = w / 2 - foot
    arch = [(w / 2 - r * math.cos(t), 0.8 * min(r, h - 8) * math.sin(t)) for t in np.linspace(0, math.pi, 7)]
    ring = [(0, 0), *arch, (w, 0), (w, h), (0, h)]
    net = prism(ring, deep, len(ring) - 2)
    return net, net.want("closed", polygon_area(ring) * deep)


def crystal(rng: Rng) -> Any:
    """Six walls, six triangles above, six below: a quartz."""
    n = int(rng.integers(5, 8))
    s, h = size(rng, 20, 32), size(rng, 40, 70)
    net = tube([s] * n, h, 8, right=True)
    apothem = s / (2 * math.tan(math.pi / n))
    vol = area(n, s) * h
    for y, up in ((h, 1), (0.0, -1)):
        rise = size(rng, 15, 35)
        slant = math.hypot(apothem, rise)
        vol += area(n, s) * rise / 3
        for k in range(n):
            tip = ((k + 0.5) * s, y + up * slant)
            p, q = (k * s, y), ((k + 1) * s, y)
            net.add(*((p, q, tip) if up > 0 else (q, p, tip)))
    return net, net.want("closed", vol)


def _staves(net: Net, n: int, sides: Sequence[float], rises: Sequence[float]) -> tuple[float, XY, XY]:
    """Staves round a base; what they enclose, and the far side of the last."""
    base = regular(n, sides[0])
    net.add(*base)
    vol = 0.0
    for k in range(n):
        p, q = base[(k + 1) % n], base[k]
        for a, b, rise in zip(sides, sides[1:], rises, strict=False):
            diff = abs(a - b) / (2 * math.tan(math.pi / n))
            net.flap(tuple(p), tuple(q), math.hypot(rise, diff), (a - b) / 2, role="body")
            p, q = tuple(net.panels[-1][3]), tuple(net.panels[-1][2])
    for a, b, rise in zip(sides, sides[1:], rises, strict=False):
        vol += _frustum(rise, area(n, a), area(n, b))
    return vol, p, q


def skep(rng: Rng) -> Any:
    """A straw hive: eight staves of three facets, open below when it stands on its head."""
    n = int(rng.integers(6, 9))
    s = size(rng, 24, 32)
    sides = [0.45 * s, 0.8 * s, s, 1.05 * s]
    net = Net()
    vol, _, _ = _staves(net, n, sides, [size(rng, 8, 10), size(rng, 14, 18), size(rng, 20, 26)])
    return net, net.want("open", vol)


def hopper(rng: Rng) -> Any:
    """A trough: two upright walls, two that slope outwards."""
    long, w, h, e = size(rng, 60, 90), size(rng, 35, 55), size(rng, 25, 40), size(rng, 10, 20)
    slant = math.hypot(h, e)
    net = Net().rect(0, 0, long, w)
    net.flap((long, 0), (0, 0), h, -e, role="body")
    net.flap((0, w), (long, w), h, -e, role="body")
    net.rect(-slant, 0, 0, w).rect(long, 0, long + slant, w)
    for x, sx in ((0, -1), (long, 1)):
        for y, sy in ((0, -1), (w, 1)):
            p, q = (x, y), (x + sx * slant, y)
            net.flap(*((q, p) if sx * sy < 0 else (p, q)), 8, 5)
    return net, net.want("open", w * h * (long + e))


def cut_corner_tray(rng: Rng) -> Any:
    """A tray over a rectangle with its corners cut off, a tab at every wall."""
    long, w, c, h = size(rng, 80, 120), size(rng, 60, 90), size(rng, 12, 20), size(rng, 15, 25)
    base = [(c, 0), (long - c, 0), (long, c), (long, w - c), (long - c, w), (c, w), (0, w - c), (0, c)]
    net = Net().add(*base)
    for k in range(8):
        net.flap(base[(k + 1) % 8], base[k], h, role="body")
        q, p = net.panels[-1][1], net.panels[-1][2]
        if k % 2 == 0:
            net.flap(tuple(p), tuple(q), 5, 2, far=6.5)
            r, t = net.panels[-2][0], net.panels[-2][3]
            net.flap(tuple(r), tuple(t), 5, 6.5, far=2)
    return net, net.want("open", (long * w - 2 * c * c) * h)


def mailbox(rng: Rng) -> Any:
    """A letter box: a base, two walls, a round top of eight chords."""
    w, h, deep = size(rng, 40, 60), size(rng, 20, 35), size(rng, 60, 90)
    top = [(w / 2 + w / 2 * math.cos(t), h + w / 2 * math.sin(t)) for t in np.linspace(0, math.pi, 9)]
    ring = [(0, 0), (w, 0), *top]
    net = prism(ring, deep, 0)
    return net, net.want("closed", polygon_area(ring) * deep)


def _aslant(rng: Rng, *, capped: bool) -> Any:
    n = int(rng.integers(4, 7))
    s, h, pitch = size(rng, 28, 40), size(rng, 60, 80), math.tan(math.radians(float(rng.uniform(15, 35))))
    ring = regular(n, s)
    z = [h + pitch * y for _, y in ring]
    net = Net()
    for k in range(n):
        net.add((k * s, 0), ((k + 1) * s, 0), ((k + 1) * s, z[(k + 1) % n]), (k * s, z[k]))
    net.flap((n * s, z[0]), (n * s, 0), 8, 4)
    net.add(*[(x, -y) for x, y in _ring(np.array((0.0, 0.0)), np.array((s, 0.0)), n)], role="closure")
    if capped:
        cap = np.array([(x, y, h + pitch * y) for x, y in ring])
        u = (cap[1] - cap[0]) / np.linalg.norm(cap[1] - cap[0])
        normal = np.array([0, -pitch, 1.0]) / math.hypot(1, pitch)
        v = np.cross(normal, u)
        rel = cap - cap[0]
        flat = np.column_stack((rel @ u, rel @ v))
        p, q = np.array((0.0, z[0])), np.array((s, z[1]))
        d = (q - p) / np.hypot(*(q - p))
        m = np.array([-d[1], d[0]])
        net.add(*[tuple(map(float, p + a * d + b * m)) for a, b in flat], role="closure")
    # the walls seen from outside run clockwise round the base seen from above: mirror image, same solid
    return net, net.want("closed" if capped else "open", area(n, s) * h)


def aslant_closed(rng: Rng) -> Any:
    """A post of four to six walls cut aslant, both ends closed."""
    return _aslant(rng, capped=True)


def aslant_open(rng: Rng) -> Any:
    """A pencil pot cut aslant, open above."""
    return _aslant(rng, capped=False)


def bottle(rng: Rng) -> Any:
    """Four walls, four shoulders, a neck; a base on one wall."""
    w, d, h = size(rng, 44, 64), size(rng, 40, 60), size(rng, 60, 90)
    rise, neck, inset = size(rng, 15, 25), size(rng, 12, 20), size(rng, 10, 14)
    x, above = starts(w, d), h + math.hypot(rise, inset)
    net = tube((w, d, w, d), h, 8, right=True)
    for a, b in pairwise(x):
        net.add((a, h), (b, h), (b - inset, above), (a + inset, above))
        net.rect(a + inset, above, b - inset, above + neck)
        net.flap((b - inset, above + neck), (b - inset, above), 5, 2)
    net.rect(0, -d, w, 0)
    for p, q in (((0, -d), (0, 0)), ((w, 0), (w, -d)), ((w, -d), (0, -d))):
        net.flap(p, q, 8, 3)
    top = (w - 2 * inset) * (d - 2 * inset)
    middle = (w - inset) * (d - inset)  # the prismatoid's middle section
    return net, net.want("open", w * d * h + rise / 6 * (w * d + 4 * middle + top) + top * neck)


def hourglass(rng: Rng) -> Any:
    """Staves that lean in and out again, a lid on one of them."""
    n = int(rng.integers(4, 7))
    s = size(rng, 30, 45)
    net = Net()
    up = size(rng, 28, 45)
    vol, p, q = _staves(net, n, [s, 0.5 * s, s], [up, up])
    net.add(*_ring(np.array(p), np.array(q), n), role="closure")
    return net, net.want("closed", vol)


def roof_chest(rng: Rng) -> Any:
    """A roof-shaped box: one slope is the lid, with a tuck flap at the eaves; ends on the base."""
    b, rise, long = size(rng, 40, 60), size(rng, 30, 45), size(rng, 60, 100)
    s = math.hypot(rise, b / 2)
    net = Net().rect(0, 0, long, b)
    net.rect(0, b, long, b + s)
    net.rect(0, b + s, long, b + 2 * s, role="closure")
    net.flap((0, b + 2 * s), (long, b + 2 * s), 12, 3, role="tuck")
    for x, sx in ((0, -1), (long, 1)):
        net.add(
            *(((0, 0), (0, b), (-rise, b / 2))) if sx < 0 else ((long, b), (long, 0), (long + rise, b / 2))
        )
        p, q = (x, b), (x, b + s)
        net.flap(*((p, q) if sx < 0 else (q, p)), 8, 7)
    return net, net.want("closed", b * rise / 2 * long)


def hexagon_and_sleeve(rng: Rng) -> Any:
    """A six-sided tray and the sleeve that goes over it."""
    s, h = size(rng, 30, 45), size(rng, 30, 50)
    one = prism(regular(6, s), h, 0, top=False)
    two = tube([s + 1] * 6, h, 10)
    return _beside(one, two), (one.want("open", area(6, s) * h), two.want("movable"))


SHAPES: dict[str, Callable[[Rng], Any]] = {
    "tray, doubled partition": doubled_partition,
    "cake box, six corners": cake_box,
    "pyramid, holes for a ribbon": tied_pyramid,
    "carton with window, and platform": window_and_platform,
    "many-sided tray, hinged lid": hinged_polygon,
    "three-cornered box, lid with lips": hinged_triangle,
    "leaning walls, hinged lid": pail_with_lid,
    "tray over a plus": plus_tray,
    "bridge": bridge,
    "crystal": crystal,
    "skep": skep,
    "hopper": hopper,
    "tray, corners cut off, tabs": cut_corner_tray,
    "letter box": mailbox,
    "post cut aslant": aslant_closed,
    "pot cut aslant": aslant_open,
    "bottle": bottle,
    "hourglass": hourglass,
    "roof chest": roof_chest,
    "hexagon and sleeve": hexagon_and_sleeve,
}
