"""Kinds of sleeve, tube and prism, and of pieces in one drawing, each with what must come of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import shapely

from tests.kinds.cartons import dust, tube
from tests.kinds.draw import XY, Net, Rng, Want, size
from tests.kinds.trays import Made, area, regular


def sleeve(rng: Rng, n: int, glue: float, wide: bool = False) -> Made:
    """A tube of n walls, open at both ends."""
    height = size(rng, 40, 120)
    if n == 4:
        w, d = size(rng, 40, 90), size(rng, 20, 45)
        widths, section = [w, d, w, d], w * d
    else:
        side = size(rng, 18, 40)
        widths, section = [side] * n, area(n, side)
    net = tube(widths, height, widths[-1] - 1.0 if wide else glue, taper=0.0 if wide else 3.0)
    verdict = "open" if n == 3 else "movable"
    return net, net.want(verdict, section * height if n == 3 else None)


def sleeve_three(rng: Rng) -> Made:
    return sleeve(rng, 3, 10.0)


def sleeve_three_bare(rng: Rng) -> Made:
    return sleeve(rng, 3, 0.0)


def sleeve_four(rng: Rng) -> Made:
    return sleeve(rng, 4, 10.0)


def sleeve_four_bare(rng: Rng) -> Made:
    return sleeve(rng, 4, 0.0)


def sleeve_many(rng: Rng) -> Made:
    return sleeve(rng, int(rng.integers(5, 13)), 8.0)


def sleeve_many_bare(rng: Rng) -> Made:
    return sleeve(rng, int(rng.integers(5, 13)), 0.0)


def band(rng: Rng) -> Made:
    """A belly band: the fifth panel lies under the first, nearly as wide."""
    return sleeve(rng, 4, 0.0, wide=True)


def tube_with_tabs(rng: Rng) -> Made:
    """A tube of six walls with six end tabs above and below that meet nothing."""
    side, height = size(rng, 20, 40), size(rng, 40, 100)
    net = tube([side] * 6, height)
    for k in range(6):
        dust(net, k * side, (k + 1) * side, height, 1, 0.3 * side, 0.3 * side)
        dust(net, k * side, (k + 1) * side, 0.0, -1, 0.3 * side, 0.3 * side)
    return net, net.want("movable")


def lampshade(rng: Rng) -> Made:
    """A leaning tube, open at both ends: trapezoids side by side."""
    n = int(rng.integers(4, 9))
    low, slant = size(rng, 40, 60), size(rng, 40, 90)
    tilt = math.radians(rng.uniform(4.0, min(11.0, 140.0 / n)))
    high = low - 2 * slant * math.tan(tilt)
    net, at, heading = Net(), np.zeros(2), 0.0
    for _ in range(n):
        u = np.array([math.cos(heading), math.sin(heading)])
        v = np.array([-u[1], u[0]])
        p, q = at, at + low * u
        inset = (low - high) / 2
        net.add(tuple(p), tuple(q), tuple(q + slant * v - inset * u), tuple(p + slant * v + inset * u))
        at, heading = q, heading + 2 * tilt
    p, q = net.panels[-1][1], net.panels[-1][2]
    net.flap(tuple(q), tuple(p), 8.0, 3.0)
    return net, net.want("movable")


def prism(
    corner: Sequence[XY],
    height: float,
    cap_on: int,
    *,
    glue: float = 9.0,
    top: bool = True,
    flaps: bool = True,
    glue_right: bool = True,
) -> Net:
    """Walls of a prism in a strip, both ends (or one) on wall `cap_on`, glue flaps where they have room.

    The corners run counter-clockwise; the strip shows the outside, so the ends lie mirrored above.
    """
    ring = np.array(corner, float)
    n = len(ring)
    sides = np.roll(ring, -1, axis=0) - ring
    lengths = np.hypot(*sides.T)
    x = np.concatenate(([0.0], np.cumsum(lengths)))
    net = tube(list(lengths), height, glue, right=glue_right)
    u = sides[cap_on] / lengths[cap_on]
    rel = ring - ring[cap_on]
    along, away = rel @ u, rel @ np.array([-u[1], u[0]])
    ends = [(height, 1.0)] if not top else [(height, 1.0), (0.0, -1.0)]
    for y, up in ends:
        cap = [(float(x[cap_on] + a), float(y + up * b)) for a, b in zip(along, away, strict=True)]
        net.add(*cap, role="closure")
        shape = shapely.Polygon(cap).buffer(0.5)
        if not flaps:
            continue
        for k in range(n):
            if k == cap_on:
                continue
            a, b = (_interior(ring, j) for j in (k, (k + 1) % n))
            deep = min(7.0, 0.35 * lengths[k])
            one, two = (max(1.0, deep / math.tan(t / 2) + 0.6) for t in (a, b))
            if one + two > 0.85 * lengths[k]:
                continue
            p, q = (float(x[k]), y), (float(x[k + 1]), y)
            flap = Net().flap(
                *((p, q) if up > 0 else (q, p)), deep, one if up > 0 else two, far=two if up > 0 else one
            )
            if not shapely.Polygon(flap.panels[0]).intersects(shape):
                net.panels += flap.panels
                net.roles += flap.roles
    return net


def _interior(ring: np.ndarray, k: int) -> float:
    a, b = ring[k - 1] - ring[k], ring[(k + 1) % len(ring)] - ring[k]
    turn = math.atan2(b[0] * a[1] - b[1] * a[0], float(a @ b))
    return turn % (2 * math.pi)


def polygon_area(corner: Sequence[XY]) -> float:
    """Area by the trapezoid rule."""
    return (
        abs(sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(corner, [*corner[1:], corner[0]], strict=True))) / 2
    )


def prism_many(rng: Rng, top: bool = True, flaps: bool = True) -> Made:
    n = int(rng.integers(3, 11))
    side, height = size(rng, 22, 40), size(rng, 30, 100)
    net = prism(regular(n, side), height, int(rng.integers(1, n - 1)), top=top, flaps=flaps)
    return net, net.want("closed" if top else "open", area(n, side) * height)


def prism_no_flaps(rng: Rng) -> Made:
    return prism_many(rng, flaps=False)


def cup(rng: Rng) -> Made:
    return prism_many(rng, top=False)


def drum(rng: Rng) -> Made:
    n = int(rng.integers(12, 25))
    side, height = size(rng, 12, 16), size(rng, 25, 50)
    net = prism(regular(n, side), height, n // 2)
    return net, net.want("closed", area(n, side) * height)


def _prism_of(rng: Rng, corner: Sequence[XY], cap_on: int, flaps: bool = True) -> Made:
    height = size(rng, 30, 90)
    net = prism(corner, height, cap_on, flaps=flaps)
    return net, net.want("closed", polygon_area(corner) * height)


def house(rng: Rng) -> Made:
    w, h, r = size(rng, 40, 70), size(rng, 30, 60), size(rng, 15, 30)
    return _prism_of(rng, [(0, 0), (w, 0), (w, h), (w / 2, h + r), (0, h)], 0)


def wedge(rng: Rng) -> Made:
    w, h = size(rng, 30, 60), size(rng, 60, 110)
    return _prism_of(rng, [(0, 0), (w, 0), (w / 2, h)], 1)


def trapezoid(rng: Rng) -> Made:
    w, h, i = size(rng, 60, 90), size(rng, 30, 50), size(rng, 8, 18)
    return _prism_of(rng, [(0, 0), (w, 0), (w - i, h), (i, h)], 0)


def any_polygon(rng: Rng) -> Made:
    """A prism over a convex polygon with corners at random on an ellipse."""
    n = int(rng.integers(4, 8))
    t = (np.arange(n) + rng.uniform(-0.25, 0.25, n)) * 2 * math.pi / n
    return _prism_of(rng, [(45 * math.cos(a), 30 * math.sin(a)) for a in t], int(rng.integers(0, n)))


def ell(rng: Rng) -> Made:
    a, b, c, d = size(rng, 50, 90), size(rng, 20, 30), size(rng, 50, 90), size(rng, 20, 30)
    return _prism_of(rng, [(0, 0), (a, 0), (a, b), (d, b), (d, c), (0, c)], 0)


def you(rng: Rng) -> Made:
    a, b, c, d = size(rng, 70, 110), size(rng, 40, 60), size(rng, 15, 22), size(rng, 14, 20)
    return _prism_of(rng, [(0, 0), (a, 0), (a, b), (a - c, b), (a - c, d), (c, d), (c, b), (0, b)], 0)


def tee(rng: Rng) -> Made:
    a, b, c, d = size(rng, 70, 110), size(rng, 18, 28), size(rng, 20, 30), size(rng, 30, 50)
    m = a / 2
    ring = [
        (0, 0),
        (a, 0),
        (a, b),
        (m + c / 2, b),
        (m + c / 2, b + d),
        (m - c / 2, b + d),
        (m - c / 2, b),
        (0, b),
    ]
    return _prism_of(rng, ring, 0)


def plus(rng: Rng) -> Made:
    a, b = size(rng, 18, 30), size(rng, 15, 30)
    ring = [
        (b, 0),
        (b + a, 0),
        (b + a, b),
        (2 * b + a, b),
        (2 * b + a, b + a),
        (b + a, b + a),
        (b + a, 2 * b + a),
        (b, 2 * b + a),
        (b, b + a),
        (0, b + a),
        (0, b),
        (b, b),
    ]
    return _prism_of(rng, ring, 0)


def star(rng: Rng) -> Made:
    """A star-shaped box of 4 to 6 points; the ends hang on the last wall of the strip."""
    n = int(rng.integers(4, 7))
    outer, inner = size(rng, 40, 55), rng.uniform(0.55, 0.68)
    ring = [
        (
            (outer if k % 2 == 0 else inner * outer) * math.cos(math.pi * k / n),
            (outer if k % 2 == 0 else inner * outer) * math.sin(math.pi * k / n),
        )
        for k in range(2 * n)
    ]
    height = size(rng, 20, 40)
    ring = ring[1:] + ring[:1]  # the last wall ends in an inner corner, so the next point has room
    net = prism(ring, height, 2 * n - 1, flaps=False, glue_right=False)
    return net, net.want("closed", polygon_area(ring) * height)


def chevron(rng: Rng) -> Made:
    """A prism over an arrow head."""
    w, h, n = size(rng, 60, 90), size(rng, 50, 80), size(rng, 12, 22)
    return _prism_of(rng, [(0, 0), (w / 2, n), (w, 0), (w / 2, h)], 2, flaps=False)


def exploding(rng: Rng) -> tuple[Net, tuple[Want, ...]]:
    """A cross of five squares that falls open, and its lid."""
    side, deep = size(rng, 50, 90), size(rng, 15, 25)
    net = Net().rect(0, 0, side, side)
    for x, y in ((0, -side), (0, side), (-side, 0), (side, 0)):
        net.rect(x, y, x + side, y + side)
    one = net.want("open", side**3, (side, side, side))
    top = side + 2.0
    cover = (
        Net()
        .rect(0, 0, top, top)
        .rect(0, -deep, top, 0)
        .rect(0, top, top, top + deep)
        .rect(-deep, 0, 0, top)
        .rect(top, 0, top + deep, top)
    )
    for x, y, sx, sy in ((0, 0, -1, -1), (top, 0, 1, -1), (top, top, 1, 1), (0, top, -1, 1)):
        p, q = (x, y), (x, y + sy * deep)
        cover.flap(*((p, q) if sx * sy < 0 else (q, p)), 10.0, 2.0)
    both = _beside(net, cover)
    two = Want("open", len(cover.panels), top * top * deep, (top, top, deep))
    return both, (one, two)


def _beside(one: Net, two: Net, gap: float = 25.0) -> Net:
    right = max(float(p[:, 0].max()) for p in one.panels)
    left = min(float(p[:, 0].min()) for p in two.panels)
    moved = two.shifted(right - left + gap, 0)
    return Net(
        one.panels + moved.panels,
        one.roles + moved.roles,
        one.slits + moved.slits,
        one.extra + moved.extra,
        one.ways + moved.ways,
        one.tears + moved.tears,
    )


def matchbox(rng: Rng) -> tuple[Net, tuple[Want, ...]]:
    """A drawer and its sleeve in one drawing."""
    length, width, height = size(rng, 50, 90), size(rng, 34, 60), size(rng, 12, 20)
    play = 1.0
    outer = tube((width + play, height + play, width + play, height + play), length)
    drawer = (
        Net().rect(0, 0, length, width).rect(0, -height, length, 0).rect(0, width, length, width + height)
    )
    drawer.rect(-height, 0, 0, width).rect(length, 0, length + height, width)
    for x, y, sx, sy in ((0, 0, -1, -1), (length, 0, 1, -1), (length, width, 1, 1), (0, width, -1, 1)):
        p, q = (x, y), (x + sx * height, y)
        drawer.flap(*((q, p) if sx * sy < 0 else (p, q)), 9.0, 2.0)
    wants = (drawer.want("open", length * width * height, (length, width, height)), outer.want("movable"))
    return _beside(drawer, outer), wants


TUBES: dict[str, Callable[[Rng], tuple[Net, Want] | tuple[Net, tuple[Want, ...]]]] = {
    "sleeve, 3 walls, flap": sleeve_three,
    "sleeve, 3 walls": sleeve_three_bare,
    "sleeve, 4 walls, flap": sleeve_four,
    "sleeve, 4 walls": sleeve_four_bare,
    "sleeve, 5 to 12 walls, flap": sleeve_many,
    "sleeve, 5 to 12 walls": sleeve_many_bare,
    "belly band": band,
    "tube of six with end tabs": tube_with_tabs,
    "lampshade": lampshade,
    "prism, glue flaps": prism_many,
    "prism, no end flaps": prism_no_flaps,
    "cup, many-sided": cup,
    "drum": drum,
    "house": house,
    "wedge": wedge,
    "trapezoid box": trapezoid,
    "prism over any polygon": any_polygon,
    "prism, L": ell,
    "prism, U": you,
    "prism, T": tee,
    "prism, plus": plus,
    "prism, star": star,
    "prism, arrow head": chevron,
    "exploding box and lid": exploding,
    "drawer and sleeve": matchbox,
}
