"""Kinds of box, carton and tray as the trade folds them, each with what must come of it by solid geometry."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from tests.kinds.boxes import _block, gable_ends
from tests.kinds.cartons import carton_size, dust, lid, starts, tube
from tests.kinds.draw import XY, Net, Rng, arc, size
from tests.kinds.trays import (
    Made,
    _flared,
    _leaning,
    area,
    corners,
    cross,
    dimensions,
    prismatoid,
    regular,
    rolled,
)


def _corner_tabs(net: Net, length: float, width: float, height: float, reach: float = 11.0) -> None:
    """A narrowing glue flap on both ends of the two long walls."""
    for x, y, sx, sy in corners(length, width):
        p, q = (x, y), (x, y + sy * height)
        net.flap(*((p, q) if sx * sy < 0 else (q, p)), min(reach, width / 2 - 2), 2.0)


def triangle_tabs(rng: Rng) -> Made:
    """Half of each corner square is left on one wall, as a triangle, and glued to the other."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    for x, y, sx, sy in corners(length, width):
        net.add((x, y), (x, y + sy * height), (x + sx * 0.9 * height, y + sy * height), role="glue")
    return _block(net, "open", length, width, height)


def tabs_on_both_walls(rng: Rng) -> Made:
    """A small triangular tab on either side of every corner."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    for x, y, sx, sy in corners(length, width):
        one = (x + sx * 0.4 * height, y + sy * 0.6 * height)
        two = (x + sx * 0.6 * height, y + sy * 0.4 * height)
        net.add((x, y), (x, y + sy * height), one, role="glue")
        net.add((x, y), (x + sx * height, y), two, role="glue")
    return _block(net, "open", length, width, height)


def slits_as_gaps(rng: Rng) -> Made:
    """Corner squares parted from the next wall by a gap of up to a millimetre: two lines a slit."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    gap = rng.uniform(0.3, 1.0)
    for x, y, sx, sy in corners(length, width):
        net.rect(x, y + sy * gap, x + sx * height, y + sy * height, role="glue")
    return _block(net, "open", length, width, height)


def slits_as_rectangles(rng: Rng) -> Made:
    """The same, every gap a closed rectangle of its own: the sliver within is waste."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    gap = rng.uniform(0.3, 0.8)
    for x, y, sx, sy in corners(length, width):
        net.rect(x, y + sy * gap, x + sx * height, y + sy * height, role="glue")
        far = x + sx * height
        net.window((x, y), (far, y), (far, y + sy * gap), (x, y + sy * gap))
    return _block(net, "open", length, width, height)


def frustum_box(rng: Rng) -> Made:
    """Walls that lean inwards, a lid on one of them with three tucks."""
    length, width, slant = size(rng, 70, 130), size(rng, 60, 100), size(rng, 30, 55)
    lean = rng.uniform(0.15, 0.35) * min(slant, width / 2)
    height = math.sqrt(slant**2 - lean**2)
    net = _leaning(length, width, slant, -lean)
    for x, y, sx, sy in corners(length, width):
        p, q = (x, y), (x - sx * lean, y + sy * slant)
        net.flap(*((p, q) if sx * sy < 0 else (q, p)), 8.0, 4.0)
    a, b = length - 2 * lean, width - 2 * lean
    y = width + slant
    net.rect(lean, y, lean + a, y + b, role="closure")
    tuck = 9.0
    net.flap((lean, y + b), (lean + a, y + b), tuck, 4.0, role="tuck")
    net.flap((lean, y), (lean, y + b), tuck, 8.0, role="tuck", far=4.0)
    net.flap((lean + a, y + b), (lean + a, y), tuck, 4.0, role="tuck", far=8.0)
    return net, net.want("closed", prismatoid(length, width, -lean, height))


def webbed_sides(rng: Rng) -> Made:
    """A many-sided tray with a web of two halves at every corner."""
    n = int(rng.integers(5, 9))
    side, wall = size(rng, 35, 60), size(rng, 12, 25)
    base = regular(n, side)
    net = Net().add(*base)
    ends: list[tuple[XY, XY]] = []
    for k in range(n):
        net.flap(base[(k + 1) % n], base[k], wall, role="body")
        q, p = net.panels[-1][2], net.panels[-1][3]
        ends.append(((float(q[0]), float(q[1])), (float(p[0]), float(p[1]))))
    for k in range(n):
        v, a, b = base[(k + 1) % n], ends[k][1], ends[(k + 1) % n][0]
        m = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        net.add(v, a, m, role="gusset").add(v, m, b, role="gusset")
    return net, net.want("open", area(n, side) * wall)


def tuck_top(rng: Rng) -> Made:
    """A box from a cross: corner tabs, a lid with a tuck on the back wall, dust flaps on the side walls."""
    length, width, height = size(rng, 60, 130), size(rng, 50, 90), size(rng, 25, 45)
    net = cross(length, width, height)
    _corner_tabs(net, length, width, height)
    lid(net, 0, length, width + height, 1, width, min(14.0, height - 4))
    for x, s in ((0.0, -1), (length, 1)):
        p, q = (x + s * height, 0.0), (x + s * height, width)
        net.flap(*((p, q) if s < 0 else (q, p)), min(0.4 * length, 25.0), 3.0, role="dust")
    return _block(net, "closed", length, width, height)


def lid_tray(rng: Rng) -> Made:
    """Base and lid in one piece: the lid is a low tray on the back wall, its walls over those of the base."""
    length, width, height = size(rng, 60, 130), size(rng, 50, 90), size(rng, 25, 40)
    deep = min(size(rng, 10, 16), height - 6)
    net = cross(length, width, height)
    _corner_tabs(net, length, width, height)
    y = width + height
    net.rect(0, y, length, y + width)
    top = y + width
    net.rect(0, top, length, top + deep, role="layer")
    net.rect(-deep, y + 1, 0, top, role="layer").rect(length, y + 1, length + deep, top, role="layer")
    net.flap((0, top), (0, top + deep), 8.0, 1.5, role="layer")
    net.flap((length, top + deep), (length, top), 8.0, 1.5, role="layer")
    return _block(net, "closed", length, width, height)


def desk_box(rng: Rng) -> Made:
    """Low in front, high behind, a sloping lid on the back wall with a tuck."""
    length, width = size(rng, 60, 130), size(rng, 50, 100)
    low, high = size(rng, 20, 30), size(rng, 35, 60)
    net = Net().rect(0, 0, length, width).rect(0, -low, length, 0).rect(0, width, length, width + high)
    net.add((0, 0), (0, width), (-high, width), (-low, 0))
    net.add((length, 0), (length + low, 0), (length + high, width), (length, width))
    for x, s in ((0.0, -1), (length, 1)):
        for y, t, h in ((0.0, -1, low), (width, 1, high)):
            p, q = (x, y), (x, y + t * h)
            top = 3.0 if t < 0 else max(3.0, 2.0 + 9.0 * (high - low) / width)
            near, far = (3.0, top) if s * t < 0 else (top, 3.0)
            net.flap(*((p, q) if s * t < 0 else (q, p)), 9.0, near, far=far)
    y, slope = width + high, math.hypot(width, high - low)
    lid(net, 0, length, y, 1, slope, 0.6 * low)
    return net, net.want("closed", length * width * (low + high) / 2)


def pail(rng: Rng) -> Made:
    """Leaning walls with webbed corners, and closing flaps above on all four."""
    length, width, slant, flare, height = _flared(rng)
    net = _leaning(length, width, slant, flare)
    for x, y, sx, sy in corners(length, width):
        a, b = (x + sx * slant, y + sy * flare), (x + sx * flare, y + sy * slant)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        net.add((x, y), a, middle, role="gusset").add((x, y), middle, b, role="gusset")
    across, along = width + 2 * flare, length + 2 * flare
    for y, s in ((-slant, -1), (width + slant, 1)):
        net.rect(-flare + 0.5, y, length + flare - 0.5, y + s * across / 2, role="closure")
    for x, s in ((-slant, -1), (length + slant, 1)):
        net.rect(x, -flare + 0.5, x + s * min(0.35 * along, 30.0), width + flare - 0.5, role="closure")
    return net, net.want("closed", prismatoid(length, width, flare, height))


def scalloped(rng: Rng) -> Made:
    """A small base, walls that lean out with glue flaps, every rim an arc."""
    low, slant = size(rng, 40, 60), size(rng, 70, 110)
    flare = rng.uniform(0.1, 0.2) * slant
    net = _leaning(low, low, slant, flare)
    high = low + 2 * flare
    for k in range(1, 5):
        p, q, a, b = (tuple(map(float, v)) for v in net.panels[k])
        net.panels[k] = Net().add(p, q, *arc(a, b, -0.16 * high)).panels[0]  # type: ignore[arg-type]
    for x, y, sx, sy in corners(low, low):
        p, q = (x, y), (x + sx * flare, y + sy * slant)
        net.flap(*((p, q) if sx * sy < 0 else (q, p)), 8.0, 4.0)
    return net, net.want("open", prismatoid(low, low, flare, math.sqrt(slant**2 - flare**2)), loose=0.01)


def carrier(rng: Rng) -> Made:
    """A house-shaped carrier: both roof halves go on in an upright handle with a hole."""
    length, width, height = size(rng, 70, 110), size(rng, 50, 80), size(rng, 40, 70)
    rise, fin = rng.uniform(0.35, 0.6) * width, size(rng, 25, 35)
    slope = math.hypot(width / 2, rise)
    net = Net().rect(0, 0, length, width)
    for y, s in ((0.0, -1), (width, 1)):
        eave = y + s * height
        ridge = eave + s * slope
        net.rect(0, y, length, eave).rect(0, eave, length, ridge)
        net.rect(0, ridge, length, ridge + s * fin, role="header")
        mid, at = length / 2, ridge + s * fin / 2
        net.window((mid - 12, at - 5), (mid + 12, at - 5), (mid + 12, at + 5), (mid - 12, at + 5))
    gable_ends(net, (length, width, height), rise)
    return net, net.want("closed", length * width * (height + rise / 2))


def tucks_many_sided(rng: Rng) -> Made:
    """A six- or eight-sided carton: at either end a lid with a tuck, and dust flaps."""
    n = int(rng.choice([6, 8]))
    side, height = size(rng, 25, 38), size(rng, 50, 100)
    net = tube([side] * n, height)
    apothem = side / (2 * math.tan(math.pi / n))
    for y, up, k in ((height, 1, 1), (0.0, -1, n - 2)):
        middle = ((k + 0.5) * side, y + up * apothem)
        net.add(*regular(n, side, middle, math.pi / 2 - math.pi / n), role="closure")
        x0, tip = k * side, y + up * 2 * apothem
        p, q = (x0, tip), (x0 + side, tip)
        net.flap(*((p, q) if up > 0 else (q, p)), 12.0, 2.0, role="tuck")
        for j in range(0, n, 2):
            if abs(j - k) > 2:  # room beside the lid
                dust(net, j * side, (j + 1) * side, y, up, 9.0, 6.0)
    return net, net.want("closed", area(n, side) * height)


def overlapping_ends(rng: Rng) -> Made:
    """A regular tube whose end flaps all reach beyond the middle, one over another; a base panel below."""
    n = int(rng.choice([4, 5, 6]))
    side, height = size(rng, 30, 45), size(rng, 50, 90)
    net = tube([side] * n, height)
    apothem = side / (2 * math.tan(math.pi / n))
    deep = 1.2 * apothem
    for k in range(n):
        a, b = k * side + 0.3, (k + 1) * side - 0.3
        inset = 0.0 if n == 4 else 0.12 * side
        net.add(
            (a, height), (b, height), (b - inset, height + deep), (a + inset, height + deep), role="closure"
        )
    k = n // 2
    net.add(*regular(n, side, ((k + 0.5) * side, -apothem), math.pi / 2 - math.pi / n), role="closure")
    return net, net.want("closed", area(n, side) * height)


def slit_locks(rng: Rng) -> Made:
    """A tuck-end carton; the lids' scores end in short slits that catch the shoulders of the dust flaps."""
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = tube((w, d, w, d), h)
    slit = 5.0
    for y, up, at in ((h, 1, 0), (0.0, -1, int(rng.choice([0, 2])))):
        tip = y + up * d
        net.rect(x[at], y, x[at + 1], tip, role="closure")
        deep = 0.5 * d
        ring = [(x[at], tip), (x[at + 1], tip), (x[at + 1], tip + up * 0.4 * deep),
                (x[at + 1] - 4, tip + up * deep), (x[at] + 4, tip + up * deep), (x[at], tip + up * 0.4 * deep)]  # fmt: skip
        net.add(*ring, role="tuck")
        net.slit((x[at], tip), (x[at] + slit, tip)).slit((x[at + 1] - slit, tip), (x[at + 1], tip))
        for k in (1, 3):
            a, b, reach = x[k], x[k + 1], min(0.6 * d, w / 2 - 2)
            net.add((a, y), (b, y), (b - 1, y + up * 0.35 * reach), (b - 0.3 * d, y + up * reach), (a + 0.5, y + up * reach),
                    (a + 0.5, y + up * 2.0), role="dust")  # fmt: skip
    return _block(net, "closed", w, d, h)


def handle_holes(rng: Rng) -> Made:
    """A drawer with rolled walls; a handle hole goes through both layers of either."""
    net, want = rolled(rng, foot=float(rng.choice([0.0, 10.0])))
    assert want.inside is not None
    length, width, height = want.inside
    half = 12.0
    for y, s in ((0.0, -1), (width, 1)):
        for at in (0.5, 1.5):
            low, high = y + s * (at * height - 4), y + s * (at * height + 4)
            net.window(
                (length / 2 - half, low),
                (length / 2 + half, low),
                (length / 2 + half, high),
                (length / 2 - half, high),
            )
    return net, want


def frame_box(rng: Rng) -> Made:
    """A shadow box: all four walls hollow, their tops mitred, a foot on the base."""
    length, width, height = size(rng, 100, 160), size(rng, 90, 130), size(rng, 15, 25)
    thick, foot = size(rng, 10, 16), 8.0
    net = cross(length, width, height)
    for y, s in ((0.0, -1), (width, 1)):
        a = y + s * height
        b = a + s * thick
        net.add((0, a), (length, a), (length - thick, b), (thick, b), role="layer")
        net.rect(thick, b, length - thick, b + s * height, role="layer")
        net.flap(*(((thick, b + s * height), (length - thick, b + s * height)) if s > 0 else ((length - thick, b + s * height), (thick, b + s * height))),
                 foot, foot, role="layer")  # fmt: skip
    for x, s in ((0.0, -1), (length, 1)):
        a = x + s * height
        b = a + s * thick
        net.add((a, 0), (a, width), (b, width - thick), (b, thick), role="layer")
        net.rect(b, thick, b + s * height, width - thick, role="layer")
        tip = b + s * height
        net.flap(
            *(((tip, thick), (tip, width - thick)) if s < 0 else ((tip, width - thick), (tip, thick))),
            foot,
            foot,
            role="layer",
        )
    return _block(net, "open", length - 2 * thick, width - 2 * thick, height)


def many_sided_lid(rng: Rng) -> Made:
    """A many-sided box with tabs, its lid on one wall with lips on the other sides."""
    n = int(rng.choice([5, 6, 8]))
    side, wall = size(rng, 30, 50), size(rng, 25, 40)
    base = regular(n, side, (0.0, 0.0), -math.pi / 2 - math.pi / n)
    net = Net().add(*base)
    for k in range(n):
        net.flap(base[(k + 1) % n], base[k], wall, role="body")
        q, p = net.panels[-1][1], net.panels[-1][2]
        net.flap(tuple(p), tuple(q), 5.0, 1.5, far=2.0 + max(0.0, 5.0 / math.tan(2 * math.pi / n)))
    apothem = side / (2 * math.tan(math.pi / n))
    top = regular(n, side, (0.0, -2 * apothem - wall), math.pi / 2 - math.pi / n)
    net.add(*top, role="closure")
    for k in range(1, n):
        net.flap(top[(k + 1) % n], top[k], 8.0, 6.0, role="tuck")
    return net, net.want("closed", area(n, side) * wall)


def counter_display(rng: Rng) -> Made:
    """A tray with a low front and a high back; its sides are low in front and slope up behind."""
    length, width = size(rng, 60, 140), size(rng, 60, 110)
    low, high, flat = size(rng, 15, 25), size(rng, 40, 70), rng.uniform(0.3, 0.6)
    net = Net().rect(0, 0, length, width).rect(0, -low, length, 0).rect(0, width, length, width + high)
    for x, s in ((0.0, -1), (length, 1)):
        net.add((x, 0), (x, width), (x + s * high, width), (x + s * low, flat * width), (x + s * low, 0))
        for y, t, h in ((0.0, -1, low), (width, 1, high)):
            p, q = (x, y), (x, y + t * h)
            top = 3.0 if t < 0 else max(3.0, 2.0 + 9.0 * (high - low) / (width - flat * width))
            near, far = (3.0, top) if s * t < 0 else (top, 3.0)
            net.flap(*((p, q) if s * t < 0 else (q, p)), 9.0, near, far=far)
    side = width * (flat * low + (1 - flat) * (low + high) / 2)
    return net, net.want("open", side * length)


TRADE: dict[str, Callable[[Rng], Any]] = {
    "tray, triangle tabs": triangle_tabs,
    "tray, tabs on both walls": tabs_on_both_walls,
    "tray, slits as gaps": slits_as_gaps,
    "tray, slits as thin rectangles": slits_as_rectangles,
    "tray, many-sided, webbed": webbed_sides,
    "tray, sides sloping up to the back": counter_display,
    "box, walls lean in, lid with tucks": frustum_box,
    "box, tuck lid and dust flaps from a cross": tuck_top,
    "box, lid a tray on the back wall": lid_tray,
    "box, sloping lid": desk_box,
    "box, many-sided, lid with lips": many_sided_lid,
    "pail, webbed, flaps above": pail,
    "cup, scalloped rim": scalloped,
    "carrier with roof and handle": carrier,
    "carton, many-sided, tuck ends": tucks_many_sided,
    "tube, flaps overlap in the middle": overlapping_ends,
    "carton, slit locks": slit_locks,
    "drawer, rolled, handle holes": handle_holes,
    "frame box, hollow walls all round": frame_box,
}
