"""Kinds of box, tray and carton as makers draw them, written before folding had seen them.

Each comes with what must come of it by plane and solid geometry.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np

from cutprep.model.operation import Operation
from tests.kinds.cartons import carton_size, dust, lid, starts, tube
from tests.kinds.draw import XY, Net, Rng, Stroke, Want, arc, size
from tests.kinds.other import _on_side, _petals
from tests.kinds.solids import _made, _ring, hull
from tests.kinds.trays import Made, area, corners, cross, dimensions, prismatoid, regular
from tests.kinds.tubes import _beside


def rim_turned_in(rng: Rng, out: float = -1.0) -> Made:
    """Walls with glue tabs; beyond each a ledge, mitred at its ends, that folds level over the opening."""
    length, width, height = size(rng, 80, 180), size(rng, 70, 140), size(rng, 18, 40)
    ledge = min(size(rng, 8, 16), height - 4)
    net = cross(length, width, height)
    sides: list[tuple[XY, XY]] = [
        ((length, -height), (0, -height)),
        ((0, width + height), (length, width + height)),
        ((-height, 0), (-height, width)),
        ((length + height, width), (length + height, 0)),
    ]
    for p, q in sides:
        inset = ledge if out < 0 else 0.0
        net.flap(p, q, ledge, inset, role="ledge")
        if out > 0:
            net.way(p, q, -1)
    for a, b in (((0, 0), (length, 0)), ((0, width), (length, width)), ((0, 0), (0, width)), ((length, 0), (length, width))):  # fmt: skip
        if out > 0:
            net.way(a, b, 1)
    for x, y, sx, sy in corners(length, width):
        p, q = (x, y), (x, y + sy * height)
        net.flap(*((p, q) if sx * sy < 0 else (q, p)), min(9.0, height / 2), 2.5)
        if out > 0:
            net.way(p, q, 1)
    return net, net.want("open", length * width * height, (length, width, height))


def rim_turned_out(rng: Rng) -> Made:
    """The same with ledges that fold outwards, as is drawn."""
    return rim_turned_in(rng, out=1.0)


def magazine_file(rng: Rng) -> Made:
    """A tube of four walls, sealed below; the sides slope from a high back to a low front."""
    w, d = size(rng, 50, 80), size(rng, 35, 60)
    low = size(rng, 40, 60)
    high = low + size(rng, 25, 60)
    x = starts(w, d)
    net = Net()
    tops = (high, high, low, low, high)
    for k in range(4):
        net.add((x[k], 0), (x[k + 1], 0), (x[k + 1], tops[k + 1]), (x[k], tops[k]))
    net.flap((0, 0), (0, high), 10.0, 3.0, far=2.0 + 10.0 * (high - low) / d)
    for k, deep in ((0, d), (2, 0.8 * d), (1, 0.45 * w), (3, 0.45 * w)):
        net.rect(x[k] + 0.5, 0, x[k + 1] - 0.5, -deep, role="closure")
    return net, net.want("open", w * d * (low + high) / 2)


def with_door(rng: Rng) -> Made:
    """A carton with a door cut on three sides in its front wall, scored on the fourth."""
    net, w, d, h = _tucked(rng)
    x0, x1, y0, y1 = 0.25 * w, 0.7 * w, 0.35 * h, 0.65 * h
    ring = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    at = int(rng.integers(0, 4))
    ring = ring[at:] + ring[:at]
    net.extra.append(Stroke(np.array(ring, float), Operation.CUT))
    net.extra.append(Stroke(np.array([ring[-1], ring[0]], float), Operation.SCORE))
    want = net.want("closed", w * d * h, (w, d, h))
    return net, replace(want, panels=want.panels + 1)


def _tucked(rng: Rng) -> tuple[Net, float, float, float]:
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = tube((w, d, w, d), h)
    tuck = min(12.0, 0.6 * d)
    for y, up in ((h, 1), (0.0, -1)):
        lid(net, x[2], x[3], y, up, d, tuck)
        for k in (1, 3):
            dust(net, x[k], x[k + 1], y, up, min(0.6 * d, w / 2 - 2))
    return net, w, d, h


def rhombic_carton(rng: Rng) -> Made:
    """A tube whose section is a parallelogram, tuck ends of the same shape."""
    a, b, h = size(rng, 40, 70), size(rng, 25, 40), size(rng, 50, 110)
    corner = math.radians(rng.uniform(62, 80) if rng.random() < 0.5 else rng.uniform(100, 118))
    x = starts(a, b)
    net = tube((a, b, a, b), h)
    vx, vy = -b * math.cos(corner), b * math.sin(corner)
    deep = min(0.4 * b, 0.4 * a)
    for y, up in ((h, 1.0), (0.0, -1.0)):
        p, q = (x[0], y), (x[1], y)
        far_q, far_p = (q[0] + vx, q[1] + up * vy), (p[0] + vx, p[1] + up * vy)
        net.add(p, q, far_q, far_p, role="closure")
        net.flap(*((far_p, far_q) if up > 0 else (far_q, far_p)), 10.0, 6.0, role="tuck")
        for k in (1, 3):
            dust(net, x[k], x[k + 1], y, int(up), deep, 0.7 * deep)
    return net, net.want("closed", a * b * math.sin(corner) * h)


def popcorn(rng: Rng) -> Made:
    """Four leaning walls side by side, wide and narrow by turns, overlapping flaps below, an arched rim."""
    w, d, rise = size(rng, 45, 70), size(rng, 30, 44), size(rng, 70, 120)
    flare = rng.uniform(4.0, 12.0)
    slant = math.hypot(rise, flare)
    arched = bool(rng.random() < 0.5)
    net = Net()
    p = np.array([0.0, 0.0])
    heading, edge = 0.0, math.hypot(slant, flare)
    lean = math.atan2(slant, -flare)
    q = p + edge * np.array([math.cos(lean), math.sin(lean)])
    first = (tuple(p), tuple(q))
    bottoms: list[tuple[XY, XY]] = []
    for k in range(4):
        low = (w, d)[k % 2]
        u = np.array([math.cos(heading), math.sin(heading)])
        v = np.array([-u[1], u[0]])
        p2 = p + low * u
        q2 = p2 + slant * v + flare * u
        top = [tuple(q2), tuple(q)]
        if arched and k % 2 == 0:
            top = arc(tuple(q2), tuple(q), -6.0)  # type: ignore[arg-type]
        net.add(tuple(p), tuple(p2), *top)  # type: ignore[arg-type]
        bottoms.append((tuple(p), tuple(p2)))  # type: ignore[arg-type]
        # the next wall: its left edge is this wall's right one
        right = math.atan2(*(q2 - p2)[::-1])
        heading = right - math.atan2(slant, -flare)
        p, q = p2, q2
    net.flap(first[0], first[1], 10.0, 3.0)  # type: ignore[arg-type]
    for k, deep in ((0, d), (2, 0.75 * d), (1, 0.42 * w), (3, 0.42 * w)):
        a, b = bottoms[k]
        net.flap(b, a, deep, 0.4 + deep * flare / slant, role="closure")
    return net, net.want("open", prismatoid(w, d, flare, rise))


def ballotin(rng: Rng) -> Made:
    """A base with leaning walls and glue tabs; on every wall a flap that closes the top."""
    w, d, slant = size(rng, 60, 100), size(rng, 40, 60), size(rng, 40, 70)
    flare = rng.uniform(0.06, 0.18) * slant
    rise = math.sqrt(slant**2 - flare**2)
    top_w, top_d = w + 2 * flare, d + 2 * flare
    net = Net().rect(0, 0, w, d)
    walls: list[tuple[XY, XY, float]] = [
        ((w, 0), (0, 0), top_d),
        ((0, d), (w, d), 0.7 * top_d),
        ((0, 0), (0, d), 0.4 * top_w),
        ((w, d), (w, 0), 0.4 * top_w),
    ]
    for k, (p, q, deep) in enumerate(walls):
        net.flap(p, q, slant, -flare, role="body")
        ring = net.panels[-1]
        far_q, far_p = tuple(ring[2]), tuple(ring[3])
        net.flap(far_p, far_q, deep, 0.3 if k < 2 else 1.0, role="closure")  # type: ignore[arg-type]
        if k < 2:
            net.flap(far_q, tuple(q), 8.0, 4.0).flap(tuple(p), far_p, 8.0, 4.0)  # type: ignore[arg-type]
    return net, net.want("closed", prismatoid(w, d, flare, rise))


def johnson_like(rng: Rng) -> Any:
    """Pyramids, cupolas and prisms put together, all edges equal: many corners of the net are straight angles."""
    n = int(rng.integers(3, 6))
    a = size(rng, 25, 45)
    r = a / (2 * math.sin(math.pi / n))
    tip = math.sqrt(max(a * a - r * r, 0.0))
    turn = a * math.sqrt(1 - 1 / (4 * math.cos(math.pi / (2 * n)) ** 2))
    sort = str(
        rng.choice(["elongated pyramid", "elongated double", "turned pyramid", "turned double", "double"])
    )
    low = [*_ring(n, r, 0)]
    if sort == "double":
        points = [*low, (0.0, 0.0, tip), (0.0, 0.0, -tip)]
    else:
        high = turn if sort.startswith("turned") else a
        points = [*low, *_ring(n, r, high, math.pi / n if sort.startswith("turned") else 0.0)]
        points.append((0.0, 0.0, high + tip))
        if sort.endswith("double"):
            points.append((0.0, 0.0, -tip))
    return _made(hull(points), rng, flaps=bool(rng.random() < 0.3))


def augmented_prism(rng: Rng) -> Any:
    """A prism with a square pyramid on one or two of its sides, all edges equal, where that is convex."""
    n = int(rng.choice([3, 5, 6]))
    a = size(rng, 25, 40)
    r, apothem = a / (2 * math.sin(math.pi / n)), a / (2 * math.tan(math.pi / n))
    points: list[tuple[float, float, float]] = [*_ring(n, r, 0), *_ring(n, r, a)]
    most = {3: 3, 5: 2, 6: 2}[n]
    sides = {3: (0, 1, 2), 5: (0, 2), 6: (0, 3)}[n]
    for k in sides[: int(rng.integers(1, most + 1))]:
        at = (2 * k + 1) * math.pi / n
        far = apothem + a / math.sqrt(2)
        points.append((far * math.cos(at), far * math.sin(at), a / 2))
    return _made(hull(points), rng)


def crosswise(rng: Rng) -> Any:
    """A box whose base is long one way and whose top the other: four leaning trapezoids."""
    w, d, h = size(rng, 60, 90), size(rng, 25, 45), size(rng, 30, 70)
    v, e = size(rng, 25, 45), size(rng, 50, 80)
    low = [(x, y, 0.0) for x in (-w / 2, w / 2) for y in (-d / 2, d / 2)]
    high = [(x, y, h) for x in (-v / 2, v / 2) for y in (-e / 2, e / 2)]
    return _made(hull([*low, *high]), rng, flaps=bool(rng.random() < 0.6))


def skew_pyramid(rng: Rng) -> Any:
    """A pyramid over any polygon on a circle, its tip off the middle."""
    n = int(rng.integers(3, 7))
    at = np.sort(2 * math.pi * (np.arange(n) + rng.uniform(-0.25, 0.25, n)) / n)
    r = size(rng, 28, 45)
    tip = (float(rng.uniform(-0.4, 0.4) * r), float(rng.uniform(-0.4, 0.4) * r), size(rng, 30, 70))
    ring = [(r * math.cos(t), r * math.sin(t), 0.0) for t in at.tolist()]
    return _made(hull([*ring, tip]), rng, flaps=bool(rng.random() < 0.6))


def chamfered(rng: Rng) -> Any:
    """A block with one long edge planed off, with glue flaps."""
    w, d, h = size(rng, 40, 70), size(rng, 30, 50), size(rng, 30, 60)
    a, b = rng.uniform(0.25, 0.6) * w, rng.uniform(0.25, 0.6) * h
    section = [(0, 0), (w, 0), (w, h - b), (w - a, h), (0, h)]
    return _made(hull([(x, y, z) for x, z in section for y in (0.0, d)]), rng, flaps=True)


def relief_with_feet(rng: Rng) -> Made:
    """A shallow pyramid of triangles round a tip, with feet to glue it to a card, drawn or not; four or more can move."""
    n = int(rng.integers(4, 9))
    side = size(rng, 25, 40)
    r = side / (2 * math.sin(math.pi / n))
    edge = r * rng.uniform(1.1, 1.4)
    tip = 2 * math.asin(side / 2 / edge)
    at = [(edge * math.cos(k * tip), edge * math.sin(k * tip)) for k in range(n + 1)]
    net = Net()
    told = bool(rng.random() < 0.5)
    for k in range(n):
        net.add((0, 0), at[k], at[k + 1])
        net.flap(at[k + 1], at[k], 7.0, 6.0, role="foot")
        if told:
            net.way(at[k], at[k + 1], -1).way((0, 0), at[k], 1)
    net.flap(at[0], (0, 0), 6.0, 3.0, far=6.0 / math.tan(tip / 1.2))
    rise = math.sqrt(edge**2 - r**2)
    return net, net.want("open|movable", area(n, side) * rise / 3)


def gathered_both_ends(rng: Rng) -> Made:
    """A tube gathered to a point at either end."""
    n = int(rng.choice([4, 5, 6]))
    side, height = size(rng, 30, 45), size(rng, 40, 80)
    radius = side / (2 * math.tan(math.pi / n))
    petal = radius * rng.uniform(1.15, 1.5)
    net = tube([side] * n, height, 9.0, right=True, taper=4.0)
    _petals(net, n, side, height, 1, petal)
    _petals(net, n, side, 0.0, -1, petal)
    rise = math.sqrt(petal**2 - radius**2)
    return net, net.want("closed", area(n, side) * (height + 2 * rise / 3))


def three_pieces(rng: Rng) -> tuple[Net, tuple[Want, ...]]:
    """A drawer with square tabs, its sleeve, and a divider with lugs, in one drawing."""
    length, width, height = size(rng, 70, 120), size(rng, 45, 70), size(rng, 15, 22)
    drawer = cross(length, width, height)
    for x, y, sx, sy in corners(length, width):
        drawer.rect(x, y, x + sx * height, y + sy * height, role="glue")
        drawer.slit((x, y), (x + sx * height, y))
    sleeve = tube((width + 1, height + 1, width + 1, height + 1), length)
    strip = Net().rect(0, 0, width - 1, height - 2)
    strip.rect(-9, 0, 0, height - 2, role="glue").rect(width - 1, 0, width + 8, height - 2, role="glue")
    net = _beside(_beside(drawer, sleeve), strip)
    return net, (
        drawer.want("open", length * width * height, (length, width, height)),
        sleeve.want("movable"),
        strip.want("bends"),
    )


def shoulder_box(rng: Rng) -> tuple[Net, tuple[Want, ...]]:
    """A base, a lid and a collar that stands in the base, in one drawing."""
    length, width = size(rng, 50, 80), size(rng, 40, 60)
    deep, shallow = size(rng, 25, 35), size(rng, 12, 18)
    parts = []
    for wall in (deep, shallow):
        tray = cross(length, width, wall)
        for x, y, sx, sy in corners(length, width):
            p, q = (x, y), (x, y + sy * wall)
            tray.flap(*((p, q) if sx * sy < 0 else (q, p)), min(9.0, wall - 2), 2.0)
        parts.append((tray, tray.want("open", length * width * wall, (length, width, wall))))
    collar = tube((length - 1.5, width - 1.5, length - 1.5, width - 1.5), deep + 8)
    parts.append((collar, collar.want("movable")))
    net = _beside(_beside(parts[0][0], parts[1][0]), parts[2][0])
    return net, tuple(w for _, w in parts)


def hooked_band(rng: Rng) -> Made:
    """A band whose two ends hook into one another by slits half across."""
    w, d, h = size(rng, 50, 90), size(rng, 15, 30), size(rng, 25, 45)
    net = tube((w, d, w, d), h, glue=0.0)
    x = 2 * (w + d)
    net.rect(x, 0, x + 0.6 * w, h, role="glue")
    for at, (low, high) in ((0.3 * w, (0.0, h / 2)), (x + 0.3 * w, (h / 2, h))):
        net.extra.append(Stroke(np.array([(at, low), (at, high)]), Operation.CUT))
    return net, net.want("movable")


def calendar(rng: Rng) -> Made:
    """A desk calendar stand: two slopes, a base in two halves that lap, a tongue in a slit."""
    wide, slope, base = size(rng, 100, 160), size(rng, 70, 110), size(rng, 45, 65)
    net = Net().rect(0, 0, wide, slope).rect(0, slope, wide, 2 * slope)
    net.rect(0, 2 * slope, wide, 2 * slope + base)
    net.rect(2, 0, wide - 2, -0.6 * base, role="glue")
    y = 2 * slope + 0.6 * base
    net.extra.append(Stroke(np.array([(wide / 3, y), (2 * wide / 3, y)]), Operation.CUT))
    high = math.sqrt(slope**2 - base**2 / 4)
    return net, net.want("open", wide * base * high / 2)


def reverse_with_allowances(rng: Rng) -> Made:
    """A carton as it is really drawn: one wall narrower, lids short, dust flaps' scores set back, reliefs."""
    w, d, h = carton_size(rng)
    x = [0.0, w, w + d, 2 * w + d, 2 * w + 2 * d - 0.5]
    net = Net()
    back = 0.5
    for k in range(4):
        top = h - (back if k % 2 else 0.0)
        low = back if k % 2 else 0.0
        net.add((x[k], low), (x[k + 1], low), (x[k + 1], top), (x[k], top))
    net.flap((0, 0.5), (0, h - 0.5), 11.0, 3.0)
    for y, up, at in ((h, 1, 0), (0.0, -1, 2)):
        lid(net, x[at] + 0.4, x[at + 1] - 0.4, y, up, d - 0.5, min(12.0, 0.6 * d), 2.0)
        for k in (1, 3):
            dust(net, x[k] + 0.7, x[k + 1] - 0.7, y - up * back, up, min(0.6 * d, w / 2 - 2), 4.0)
    return net, net.want("closed", w * d * h, (w, d, h), loose=0.03)


def rolled_thick(rng: Rng) -> Made:
    """A drawer for thick card: long walls rolled in over a rim of 2 mm, drawn with allowances."""
    length, width, height = size(rng, 90, 160), size(rng, 70, 110), size(rng, 20, 30)
    net = cross(length, width, height)
    rim = 2.0
    for y, s in ((0.0, -1), (width, 1)):
        a, b, c = y + s * height, y + s * (height + rim), y + s * (2 * height + rim - 1.0)
        net.rect(0, a, length, b, role="layer").rect(1, b, length - 1, c, role="layer")
    for x, s in ((0.0, -1), (length, 1)):
        for y, t in ((0.0, -1), (width, 1)):
            net.rect(x + s * 1.5, y, x + s * (height - 1.5), y + t * 16.0, role="layer")
    inner = width - 2 * rim
    return net, net.want("open", length * inner * height, (length, inner, height))


def many_sided_rolled(rng: Rng) -> Made:
    """A regular base whose walls are doubled: each inner wall a little narrower, with slanted ends."""
    n = int(rng.integers(5, 9))
    side, wall = size(rng, 30, 50), size(rng, 14, 24)
    base = regular(n, side)
    net = Net().add(*base)
    for k in range(n):
        net.flap(base[(k + 1) % n], base[k], wall, role="body")
        ring = net.panels[-1]
        p, q = tuple(ring[3]), tuple(ring[2])
        net.flap(p, q, wall - 1.0, 1.5, role="layer")  # type: ignore[arg-type]
    return net, net.want("open", area(n, side) * wall)


def raised_handles(rng: Rng) -> Made:
    """A tray whose short walls rise to handles with a slot each; glue tabs on the long walls."""
    length, width, height = size(rng, 90, 180), size(rng, 70, 130), size(rng, 25, 45)
    net = cross(length, width, height)
    rise = 0.25 * width
    for k, (x, s) in ((3, (0.0, -1.0)), (4, (length, 1.0))):
        top = x + s * height
        bow = arc((top, width), (top, 0.0), rise if s > 0 else -rise)
        net.panels[k] = Net().add((x, 0), *bow[::-1], (x, width)).panels[0]
        at, mid = top + s * 2.0, width / 2
        net.window((at, mid - 14), (at + s * 6, mid - 14), (at + s * 6, mid + 14), (at, mid + 14))
    for x, y, sx, sy in corners(length, width):
        p, q = (x, y), (x, y + sy * height)
        net.flap(*((p, q) if sx * sy < 0 else (q, p)), 11.0, 2.5)
    return net, net.want("open", length * width * height, (length, width, height))


def no_dust_flaps(rng: Rng) -> Made:
    """A carton with tuck lids and no dust flaps."""
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = tube((w, d, w, d), h, right=bool(rng.random() < 0.5))
    at = (0, 2)[int(rng.integers(0, 2))]
    lid(net, x[0], x[1], h, 1, d, min(14.0, 0.6 * d))
    lid(net, x[at], x[at + 1], 0.0, -1, d, min(14.0, 0.6 * d))
    return net, net.want("closed", w * d * h, (w, d, h))


def v_notched_tabs(rng: Rng) -> Made:
    """A tray from its blank; a narrow wedge is cut out beside each square tab."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    way = bool(rng.random() < 0.5)
    lean = math.tan(math.radians(rng.uniform(2.0, 6.0)))
    for x, y, sx, sy in corners(length, width):
        if way:
            p, q = (x, y), (x, y + sy * height)
            far, near = (x + sx * height, y + sy * height), (x + sx * height, y + sy * lean * height)
        else:
            p, q = (x, y), (x + sx * height, y)
            far, near = (x + sx * height, y + sy * height), (x + sx * lean * height, y + sy * height)
        net.add(p, q, far, near, role="glue")
    return net, net.want("open", length * width * height, (length, width, height))


def low_tabs(rng: Rng) -> Made:
    """Glue tabs on the lower two thirds of the wall ends, a corner rounded off each."""
    length, width, height = size(rng, 80, 200), size(rng, 60, 140), size(rng, 25, 45)
    net = cross(length, width, height)
    reach = size(rng, 8, 14)
    for x, y, sx, sy in corners(length, width):
        a, b = y + sy * 0.05 * height, y + sy * 0.65 * height
        bow = arc((x + sx * (reach - 4), b), (x + sx * reach, b - sy * 4), -1.2 if sx * sy < 0 else 1.2, 6)
        net.add((x, a), (x, b), *bow, (x + sx * reach, a), role="glue")
    return net, net.want("open", length * width * height, (length, width, height))


def uneven_sleeve(rng: Rng) -> Made:
    """A tube of four walls, none alike, open at both ends."""
    low, high = size(rng, 60, 80), size(rng, 40, 55)
    net = tube((low, size(rng, 20, 28), high, size(rng, 30, 38)), size(rng, 40, 90))
    return net, net.want("movable")


def wallet_envelope(rng: Rng) -> Made:
    """Front, a back folded up on it with glue flaps at its sides, a flap with a tongue in a slit of the back."""
    w, h = size(rng, 100, 160), size(rng, 70, 110)
    net = Net().rect(0, 0, w, h)
    net.rect(0.5, 0, w - 0.5, -0.85 * h)
    net.flap((0.5, -0.85 * h), (0.5, 0), 12.0, 4.0).flap((w - 0.5, 0), (w - 0.5, -0.85 * h), 12.0, 4.0)
    mid, deep = w / 2, 0.45 * h
    net.add(
        (0, h), (w, h), (w - 14, h + deep), (mid + 12, h + deep), (mid + 9, h + deep + 9), (mid - 9, h + deep + 9),
        (mid - 12, h + deep), (14, h + deep), role="tuck",
    )  # fmt: skip
    y = -(h - deep - 1.0)
    net.extra.append(Stroke(np.array([(mid - 14, y), (mid + 14, y)]), Operation.CUT))
    return net, net.want("flat")


def concertina_album(rng: Rng) -> Made:
    """Covers, pages in a zigzag drawn as such, a glue flap."""
    w, h = size(rng, 40, 70), size(rng, 60, 100)
    n = int(rng.integers(4, 8))
    net = Net()
    for k in range(n):
        net.rect(k * w, 0, (k + 1) * w, h)
        if k:
            net.way((k * w, 0), (k * w, h), 1 if k % 2 else -1)
    net.flap((0, 0), (0, h), 9.0, 4.0)
    net.way((0, 0), (0, h), -1)
    return net, net.want("bends|flat")


def matchbook(rng: Rng) -> Made:
    """Lip, front, top, back of a book of matches."""
    w, h, spine, lip = size(rng, 38, 60), size(rng, 45, 60), size(rng, 4, 8), size(rng, 9, 14)
    net, y = Net(), 0.0
    for deep in (lip, spine, h, spine, h - lip / 2):
        net.rect(0, y, w, y + deep)
        y += deep
    return net, net.want("bends|flat")


def stairs(rng: Rng) -> Made:
    """A display of three steps: a strip of treads and risers round it, two sides with glue flaps."""
    wide, tread, riser = size(rng, 60, 110), size(rng, 22, 32), size(rng, 18, 26)
    n = int(rng.integers(2, 4))
    outline: list[XY] = [(0, 0), (n * tread, 0)]
    for k in range(n):
        x = (n - k) * tread
        outline += [(x, (k + 1) * riser), (x - tread, (k + 1) * riser)]
    ring = [np.array(p, float) for p in outline]
    widths = [float(np.hypot(*(b - a))) for a, b in pairwise([*ring, ring[0]])]
    net = tube(widths, wide, glue=9.0)
    for y, up in ((wide, 1.0), (0.0, -1.0)):
        net.add(*[(x, y + up * z) for x, z in outline], role="body")
        cap = net.panels[-1]
        for a, b in pairwise([*cap, cap[0]]):
            if max(abs(a[1] - y), abs(b[1] - y)) < 1e-6:
                continue
            p, q = (b, a) if up > 0 else (a, b)
            trial = Net(list(net.panels), list(net.roles)).flap(tuple(p), tuple(q), 5.5, 6.5)
            if not trial.overlaps():
                net.panels, net.roles = trial.panels, trial.roles
    solid = riser * tread * n * (n + 1) / 2 * wide
    return net, net.want("closed", solid)


def any_section_tuck(rng: Rng) -> Made:
    """Four walls of any widths round a section on a circle, closed by end panels with a tuck flap each."""
    at = np.sort(math.pi / 2 * (np.arange(4) + rng.uniform(-0.22, 0.22, 4)))
    r = size(rng, 28, 40)
    ring = [(r * math.cos(t), r * math.sin(t)) for t in at.tolist()]
    widths = [math.dist(ring[k], ring[(k + 1) % 4]) for k in range(4)]
    h = size(rng, 50, 110)
    net = tube(widths, h)
    left = float(sum(widths[:1]))
    for y, up in ((h, 1.0), (0.0, -1.0)):
        cap = _laid(ring, 1, (left, y), up)
        net.add(*cap, role="closure")
        p, q = cap[2], cap[3]
        net.flap(*((q, p) if up > 0 else (p, q)), 10.0, 5.0, role="tuck")
    section = 0.5 * abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*ring, ring[0]])))
    return net, net.want("closed", section * h)


def _laid(ring: Sequence[XY], k: int, p: XY, up: float) -> list[XY]:
    """A polygon laid on its side k, from p to the right; `up` says to which side."""
    order = [ring[(k + j) % len(ring)] for j in range(len(ring))]
    (ax, ay), (bx, by) = order[0], order[1]
    size_ = math.hypot(bx - ax, by - ay)
    ux, uy = (bx - ax) / size_, (by - ay) / size_
    found = []
    for x, y in order:
        along, away = (x - ax) * ux + (y - ay) * uy, -(x - ax) * uy + (y - ay) * ux
        found.append((p[0] + along, p[1] + up * away))
    return found


def pencil(rng: Rng) -> Made:
    """A hexagonal tube with a tip of triangles and flaps that tuck in below, no flaps at the tip."""
    n = int(rng.choice([5, 6, 8]))
    side, height = size(rng, 18, 28), size(rng, 60, 120)
    net = tube([side] * n, height, 8.0)
    apothem = side / (2 * math.tan(math.pi / n))
    slant = apothem * rng.uniform(1.5, 2.5)
    for k in range(n):
        net.add((k * side, height), ((k + 1) * side, height), ((k + 0.5) * side, height + slant))
    at = n // 2
    cap = _on_side((at * side, 0.0), ((at + 1) * side, 0.0), n)
    net.add(*cap, role="closure")
    for k in range(n - 1):
        if k != at and rng.random() < 0.8:
            dust(net, k * side, (k + 1) * side, 0.0, -1, 6.0, 6.0 / math.tan(math.pi / n) if n < 5 else 5.0)
    rise = math.sqrt(slant**2 - apothem**2)
    return net, net.want("closed", area(n, side) * (height + rise / 3))


def trapezoid_lidded(rng: Rng) -> Made:
    """A box on a trapezoid base: walls on its sides with glue tabs, a hinged lid with lips."""
    low, high, deep, wall = size(rng, 70, 100), size(rng, 40, 60), size(rng, 40, 60), size(rng, 20, 32)
    base: list[XY] = [(-low / 2, 0), (low / 2, 0), (high / 2, deep), (-high / 2, deep)]
    net = Net().add(*base)
    for k in range(4):
        p, q = base[(k + 1) % 4], base[k]
        net.flap(p, q, wall, role="body")
        ring = net.panels[-1]
        if k % 2:
            net.flap(tuple(ring[2]), tuple(ring[1]), 8.0, 4.0).flap(tuple(ring[0]), tuple(ring[3]), 8.0, 4.0)  # type: ignore[arg-type]
        if k == 0:
            y = -wall
            top: list[XY] = [(-low / 2, y), (low / 2, y), (high / 2, y - deep), (-high / 2, y - deep)]
            net.add(*top, role="closure")
            net.flap(top[2], top[3], 10.0, 4.0, role="tuck")
    return net, net.want("closed", (low + high) / 2 * deep * wall)


MAKERS: dict[str, Callable[[Rng], Any]] = {
    "tray, rim turned in, mitred": rim_turned_in,
    "tray, rim turned out": rim_turned_out,
    "magazine file": magazine_file,
    "carton with a door in a wall": with_door,
    "carton over a parallelogram": rhombic_carton,
    "popcorn box": popcorn,
    "ballotin": ballotin,
    "pyramids and prisms of equal edges": johnson_like,
    "prism with pyramids on its sides": augmented_prism,
    "box long below and wide above": crosswise,
    "pyramid, tip off the middle": skew_pyramid,
    "block with an edge planed off": chamfered,
    "relief with feet": relief_with_feet,
    "tube gathered at both ends": gathered_both_ends,
    "drawer, sleeve and divider": three_pieces,
    "base, lid and collar": shoulder_box,
    "band, ends hooked": hooked_band,
    "calendar stand": calendar,
    "carton, reverse tuck with allowances": reverse_with_allowances,
    "drawer, rolled over a rim of 2 mm": rolled_thick,
    "tray, many-sided, walls doubled": many_sided_rolled,
    "tray, two raised handles": raised_handles,
    "carton, lids without dust flaps": no_dust_flaps,
    "tray, tabs with wedges cut out": v_notched_tabs,
    "tray, low rounded tabs": low_tabs,
    "sleeve, uneven walls": uneven_sleeve,
    "envelope, tongue in a slit": wallet_envelope,
    "concertina album": concertina_album,
    "book of matches": matchbook,
    "stairs": stairs,
    "carton over any section": any_section_tuck,
    "pencil box": pencil,
    "box on a trapezoid, lid": trapezoid_lidded,
}
