"""Kinds of gift wrap, favour, lantern, cover and paper bag, each with what must come of it by solid geometry."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from typing import Any

from tests.kinds.boxes import fan_of_walls
from tests.kinds.cartons import starts, tube
from tests.kinds.draw import XY, Net, Rng, Want, arc, size
from tests.kinds.paper import _bag_walls
from tests.kinds.solids import _made, _ring, antiprism, frustum, gem, hull
from tests.kinds.trays import Made, area, regular
from tests.kinds.tubes import _beside


def pyramid_crossed(rng: Rng) -> Made:
    """A base with a triangle on every side, a glue flap on one edge of each."""
    n = int(rng.integers(3, 9))
    side = size(rng, 30, 55)
    apothem = side / (2 * math.tan(math.pi / n))
    slant = apothem * rng.uniform(1.3, 2.2)
    base = regular(n, side)
    net = Net().add(*base)
    for k in range(n):
        p, q = base[k], base[(k + 1) % n]
        mid = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
        out = math.hypot(*mid)
        tip = (mid[0] * (1 + slant / out), mid[1] * (1 + slant / out))
        net.add(p, tip, q)
        deep = min(5.0, 0.12 * side)
        net.flap(q, tip, deep, 9.0, far=max(9.0, 1.1 * deep / math.tan(2 * math.atan(side / 2 / slant))))
    rise = math.sqrt(slant**2 - apothem**2)
    return net, net.want("closed", area(n, side) * rise / 3)


def pyramid_petals(rng: Rng) -> Made:
    """Triangles round one tip and a glue flap; below each a petal that reaches the middle of the base."""
    n = int(rng.integers(4, 8))
    side = size(rng, 35, 55)
    radius = side / (2 * math.sin(math.pi / n))
    edge = radius * rng.uniform(1.4, 2.2)
    tip = 2 * math.asin(side / 2 / edge)
    at = [(edge * math.cos(k * tip), edge * math.sin(k * tip)) for k in range(n + 1)]
    apothem = side / (2 * math.tan(math.pi / n))
    net = Net()
    for k in range(n):
        net.add((0, 0), at[k], at[k + 1])
        mid = ((at[k][0] + at[k + 1][0]) / 2, (at[k][1] + at[k + 1][1]) / 2)
        far = 1 + apothem / math.hypot(*mid)
        net.add(at[k], (mid[0] * far, mid[1] * far), at[k + 1], role="closure")
    net.flap(at[0], (0, 0), 7.0, 4.0, far=8.0 / math.tan(tip))
    return net, net.want("closed", area(n, side) * math.sqrt(edge**2 - radius**2) / 3)


def tube_to_a_point(rng: Rng, *, windows: bool = False) -> Made:
    """A regular tube that ends above in triangles up to one tip, with glue flaps; a base panel below."""
    n = int(rng.choice([4, 5, 6]))
    side, height = size(rng, 30, 45), size(rng, 50, 90)
    net = tube([side] * n, height)
    apothem = side / (2 * math.tan(math.pi / n))
    slant = apothem * rng.uniform(1.3, 1.9)
    for k in range(n):
        a, b, tip = (k * side, height), ((k + 1) * side, height), ((k + 0.5) * side, height + slant)
        net.add(a, b, tip)
        net.flap(a, tip, 3.5, 7.0, far=5.0)
        if windows:
            x, y = (k + 0.5) * side, height / 2
            net.window((x - 7, y - 15), (x + 7, y - 15), (x + 7, y + 15), (x - 7, y + 15))
    k = n // 2
    net.add(*regular(n, side, ((k + 0.5) * side, -apothem), math.pi / 2 - math.pi / n), role="closure")
    rise = math.sqrt(slant**2 - apothem**2)
    return net, net.want("closed", area(n, side) * (height + rise / 3))


def lantern(rng: Rng) -> Made:
    return tube_to_a_point(rng, windows=True)


def lantern_open(rng: Rng) -> Made:
    """A tube with a large window in every wall, a base with glue flaps on all sides, open above."""
    n = int(rng.choice([4, 6]))
    side, height = size(rng, 40, 60), size(rng, 70, 120)
    net = tube([side] * n, height)
    apothem = side / (2 * math.tan(math.pi / n))
    for k in range(n):
        x0, x1 = k * side + 7, (k + 1) * side - 7
        net.window(
            (x0, 8),
            (x1, 8),
            (x1, height - 8),
            *arc((x1, height - 8), (x0, height - 8), -6)[1:-1],
            (x0, height - 8),
        )
    k = 1
    base = regular(n, side, ((k + 0.5) * side, -apothem), math.pi / 2 - math.pi / n)
    net.add(*base, role="closure")
    for j in range(n):
        p, q = base[j], base[(j + 1) % n]
        if max(p[1], q[1]) < -1:
            net.flap(q, p, 6.0, 5.0)
    return net, net.want("open", area(n, side) * height)


def twisted(rng: Rng) -> Made:
    """A twisted box: a strip of triangles to and fro, a regular end panel on either edge, a glue flap.

    The section in the middle is a regular polygon of twice as many sides, its corners the middles
    of the slanting edges.
    """
    n = int(rng.integers(3, 8))
    side = size(rng, 30, 45)
    r = side / (2 * math.sin(math.pi / n))
    apothem = side / (2 * math.tan(math.pi / n))
    height = size(rng, 30, 60)
    deep = math.sqrt(height**2 + (r - apothem) ** 2)
    net = Net()
    for k in range(n):
        x = k * side
        net.add((x, 0), (x + side, 0), (x + side / 2, deep))
        net.add((x + side, 0), (x + 1.5 * side, deep), (x + side / 2, deep))
    tip = 2 * math.atan(side / 2 / deep)  # of the triangle that the flap lies on, where the flap begins
    net.flap((0, 0), (side / 2, deep), 7.0, max(8.0, 7.0 / math.tan(tip) + 0.3), far=9.0)
    k = n // 2
    net.add(*regular(n, side, ((k + 0.5) * side, -apothem), math.pi / 2 - math.pi / n), role="closure")
    net.add(*regular(n, side, ((k + 1) * side, deep + apothem), -math.pi / 2 - math.pi / n), role="closure")
    rho = r * math.cos(math.pi / (2 * n))
    middle = n * rho**2 * math.sin(math.pi / n)
    return net, net.want("closed", height / 6 * (2 * area(n, side) + 4 * middle))


def tapered_tube(rng: Rng) -> Made:
    """Leaning walls side by side in a fan, a glue flap, an end panel above and below: a truncated pyramid."""
    n = int(rng.integers(4, 8))
    net, (low, high, slant), (inner, outer) = fan_of_walls(rng, n)
    for ring, side, k, way in ((inner, low, n // 2, -1.0), (outer, high, n // 2, 1.0)):
        (ax, ay), (bx, by) = ring[k], ring[k + 1]
        out = math.atan2(ay + by, ax + bx)
        apothem, r = side / (2 * math.tan(math.pi / n)), side / (2 * math.sin(math.pi / n))
        mid = math.hypot((ax + bx) / 2, (ay + by) / 2) + way * apothem
        start = out + (math.pi if way > 0 else 0.0) + math.pi / n
        net.add(*[
            (mid * math.cos(out) + r * math.cos(start + 2 * math.pi * j / n),
             mid * math.sin(out) + r * math.sin(start + 2 * math.pi * j / n))
            for j in range(n)
        ], role="closure")  # fmt: skip
    a0, a1 = area(n, low), area(n, high)
    lean = (high - low) / (2 * math.tan(math.pi / n))
    rise = math.sqrt(slant**2 - lean**2)
    return net, net.want("closed", rise / 3 * (a0 + a1 + math.sqrt(a0 * a1)))


def book_jacket(rng: Rng) -> Made:
    """Flap, cover, spine, cover, flap."""
    w, h, spine, flap = size(rng, 70, 110), size(rng, 100, 160), size(rng, 8, 20), size(rng, 30, 50)
    net, x = Net(), 0.0
    for wide in (flap, w, spine, w, flap):
        net.rect(x, 0, x + wide, h)
        x += wide
    return net, net.want("bends|flat")


def folder_with_spine(rng: Rng) -> Made:
    w, h, spine = size(rng, 70, 110), size(rng, 100, 160), size(rng, 5, 20)
    net = Net().rect(0, 0, w, h).rect(w, 0, w + spine, h).rect(w + spine, 0, 2 * w + spine, h)
    return net, net.want("bends|flat")


def envelope_side_seams(rng: Rng) -> Made:
    """Side flaps that meet behind the middle, a lower flap over them, a pointed flap to close."""
    w, h = size(rng, 100, 160), size(rng, 70, 110)
    net = Net().rect(0, 0, w, h)
    net.flap((0, 0), (0, h), 0.52 * w, 3.0).flap((w, h), (w, 0), 0.46 * w, 3.0)
    net.flap((w, 0), (0, 0), 0.35 * h, 3.0)
    net.add((0, h), (w, h), (w / 2 + 6, h + 0.5 * h), (w / 2 - 6, h + 0.5 * h), role="tuck")
    return net, net.want("flat")


def pay_envelope(rng: Rng) -> Made:
    """Front and back side by side, a glue flap along the seam and one below, a flap to close on a short side."""
    w, h = size(rng, 50, 80), size(rng, 90, 140)
    net = Net().rect(0, 0, w, h).rect(w, 0.5, 2 * w, h - 4)
    net.flap((0, 0), (0, h), 11.0, 6.0)
    net.flap((w, 0), (0, 0), 13.0, 4.0)
    net.flap((0, h), (w, h), 22.0, 5.0, role="tuck")
    return net, net.want("flat")


def tote(rng: Rng, *, strip: bool = False) -> Made:
    """A square bag: hem turned in above, four glued flaps below; the hem in four strips or in one."""
    w, d, h = size(rng, 70, 110), size(rng, 35, 60), size(rng, 90, 150)
    hem = min(size(rng, 15, 25), 0.4 * d)
    x = starts(w, d)
    net = tube((w, d, w, d), h)
    room = 0.0 if strip else 0.4
    for a, b in pairwise(x):
        net.rect(a + room, h, b - room, h + hem, role="layer")
    for k, deep in ((0, 0.9 * d), (2, 0.7 * d), (1, 0.45 * d), (3, 0.45 * d)):
        net.rect(x[k] + 0.5, 0, x[k + 1] - 0.5, -deep, role="closure")
    for k in (0, 2):
        for y in (h - hem / 2, h + hem / 2):
            mid = (x[k] + x[k + 1]) / 2
            net.window((mid - 12, y - 2), (mid + 12, y - 2), (mid + 12, y + 2), (mid - 12, y + 2))
    return net, net.want("open|movable", w * d * h, (w, d, h))


def tote_one_strip(rng: Rng) -> Made:
    return tote(rng, strip=True)


def gift_bag_one_strip(rng: Rng) -> Made:
    """Side folds that run through the hem: the hem is one strip, folded with the bag."""
    w, d, h = size(rng, 70, 120), size(rng, 34, 56), size(rng, 100, 160)
    net, x = _bag_walls(w, d, h)
    hem = min(size(rng, 12, 25), 0.4 * d)
    for a, b in pairwise(x):
        net.rect(a, h, b, h + hem, role="layer")
    for a, b, deep in (
        (x[0], x[1], 0.75 * d), (x[3], x[4], 0.75 * d), (x[1], x[3], 0.5 * d), (x[4], x[6], 0.5 * d),
    ):  # fmt: skip
        net.rect(a + 0.5, 0, b - 0.5, -deep, role="closure")
    return net, net.want("open|movable", w * d * h, (w, d, h))


def thumb_sleeve(rng: Rng) -> Made:
    """A sleeve with a half-round thumb cut at both ends of its two broad walls."""
    w, d, h = size(rng, 50, 90), size(rng, 12, 30), size(rng, 60, 110)
    x = starts(w, d)
    net = tube((w, d, w, d), h, taper=4.0, right=bool(rng.random() < 0.5))
    r = 9.0
    for k in (0, 2):
        a, b, m = x[k], x[k + 1], (x[k] + x[k + 1]) / 2
        low, high = arc((m - r, 0), (m + r, 0), r), arc((m + r, h), (m - r, h), r)
        net.panels[k] = Net().add((a, 0), *low, (b, 0), (b, h), *high, (a, h)).panels[0]
    return net, net.want("movable")


def star_relief(rng: Rng) -> Made:
    """Triangles round a tip with folds to and fro: a star in relief, nothing holds its shape."""
    n = int(rng.integers(4, 7))
    outer = size(rng, 50, 70)
    inner = outer * rng.uniform(0.5, 0.6)
    tip = math.radians(rng.uniform(0.8, 0.92) * 180 / n)
    net, at = Net(), []
    for k in range(2 * n + 1):
        r = outer if k % 2 == 0 else inner
        at.append((r * math.cos(k * tip), r * math.sin(k * tip)))
    for k in range(2 * n):
        net.add((0, 0), at[k], at[k + 1])
        if k:
            net.way((0.0, 0.0), at[k], 1 if k % 2 else -1)
    net.flap(at[0], (0, 0), 5.0, 4.0, far=20.0)
    return net, net.want("movable|bends")


def band_and_base(rng: Rng) -> tuple[Net, tuple[Want, ...]]:
    """A strip of six walls with tabs below, and the base it is glued to, in one drawing."""
    side, height = size(rng, 22, 38), size(rng, 30, 70)
    strip = tube([side] * 6, height)
    for k in range(6):
        strip.flap(((k + 1) * side, 0), (k * side, 0), 7.0, 6.0, role="glue")
    base = Net().add(*regular(6, side - 0.5))
    return _beside(strip, base), (strip.want("movable"), base.want("flat"))


def _flapped(
    make: Callable[[Rng, int, float], list[tuple[float, float, float]]], low: int
) -> Callable[[Rng], Any]:
    def kind(rng: Rng) -> Any:
        n = int(rng.integers(low, 8))
        return _made(hull(make(rng, n, size(rng, 30, 45))), rng, flaps=True)

    return kind


def top_of_a_spindle(rng: Rng) -> Any:
    """A double pyramid with glue flaps."""
    n, r, h = int(rng.integers(3, 8)), size(rng, 28, 42), size(rng, 30, 60)
    ring: list[tuple[float, float, float]] = [*_ring(n, r, 0), (0.0, 0.0, h), (0.0, 0.0, -h)]
    return _made(hull(ring), rng, flaps=True)


def card_with_panel(rng: Rng) -> Made:
    """A card whose front is cut short of its back, with a narrow flap that tucks over the front."""
    w, h = size(rng, 60, 100), size(rng, 90, 140)
    lip: XY = (w + 12, h)
    net = Net().rect(0, 0, w, h).rect(-w + 8, 0, 0, h).rect(w, 0, lip[0], h)
    return net, net.want("bends|flat")


GIFTS: dict[str, Callable[[Rng], Any]] = {
    "pyramid, crossed, glue flaps": pyramid_crossed,
    "pyramid, base of petals": pyramid_petals,
    "tube up to a point": tube_to_a_point,
    "lantern up to a point": lantern,
    "lantern, open above": lantern_open,
    "twisted box from a strip": twisted,
    "tapered tube, both ends closed": tapered_tube,
    "double pyramid, glue flaps": top_of_a_spindle,
    "frustum, glue flaps": _flapped(frustum, 3),
    "antiprism, glue flaps": _flapped(antiprism, 3),
    "gem, glue flaps": _flapped(gem, 4),
    "bag, square, hem in strips": tote,
    "bag, square, hem in one strip": tote_one_strip,
    "gift bag, hem in one strip": gift_bag_one_strip,
    "sleeve, thumb cuts": thumb_sleeve,
    "star in relief": star_relief,
    "band with tabs, and its base": band_and_base,
    "envelope, side seams": envelope_side_seams,
    "envelope, open at a short side": pay_envelope,
    "book jacket": book_jacket,
    "folder with spine": folder_with_spine,
    "card with a lip": card_with_panel,
}
