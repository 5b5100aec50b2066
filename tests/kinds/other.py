"""Bags, gable tops, envelopes, cards and patterns, each with what must come of it."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from tests.kinds.cartons import dust, lid, starts, tube
from tests.kinds.draw import XY, Net, Rng, arc, size
from tests.kinds.trays import Made, area


def _petals(net: Net, n: int, side: float, y: float, up: int, petal: float) -> None:
    """Above every wall a petal to the middle, and a pleat half on either side."""
    for k in range(n):
        a, b, tip = (k * side, y), ((k + 1) * side, y), ((k + 0.5) * side, y + up * petal)
        net.add(a, b, tip)
        net.add(a, tip, (k * side, y + up * petal), role="gusset")
        net.add(b, ((k + 1) * side, y + up * petal), tip, role="gusset")


def gathered(rng: Rng, *, bottom: bool, frill: bool = False) -> Made:
    """A tube gathered to a point by pleats; the other end open, or closed by a panel.

    The petals meet over the middle: their height above the walls is that of a right triangle
    with the petal as its longest side and the section's inner radius as its shortest.
    """
    n = int(rng.choice([4, 4, 5, 6]))
    side, height = size(rng, 30, 50), size(rng, 40, 80)
    radius = side / (2 * math.tan(math.pi / n))
    petal = radius * rng.uniform(1.15, 1.5)
    net = tube([side] * n, height, 9.0, right=True, taper=4.0)
    _petals(net, n, side, height, 1, petal)
    if frill:
        deep = size(rng, 8, 15)
        y = height + petal
        for k in range(n):
            mid = (k + 0.5) * side
            net.rect(k * side, y, mid, y + deep, role="gusset").rect(
                mid, y, (k + 1) * side, y + deep, role="gusset"
            )
            net.slit((mid, y), (mid, y + deep))
    if bottom:
        points = _on_side((side, 0.0), (2 * side, 0.0), n)
        net.add(*points, role="closure")
    rise = math.sqrt(petal**2 - radius**2)
    volume = area(n, side) * (height + rise / 3)
    return net, net.want("closed" if bottom else "open", volume)


def _on_side(p: XY, q: XY, n: int) -> list[XY]:
    """A regular polygon below the side p to q."""
    side = q[0] - p[0]
    r = side / (2 * math.sin(math.pi / n))
    mid = ((p[0] + q[0]) / 2, p[1] - side / (2 * math.tan(math.pi / n)))
    start = math.pi / 2 + math.pi / n
    ring = [
        (
            mid[0] + r * math.cos(start + 2 * math.pi * k / n),
            mid[1] + r * math.sin(start + 2 * math.pi * k / n),
        )
        for k in range(n)
    ]
    ring[0], ring[-1] = p, q
    return ring


def gathered_open(rng: Rng) -> Made:
    return gathered(rng, bottom=False)


def gathered_closed(rng: Rng) -> Made:
    return gathered(rng, bottom=True)


def frill(rng: Rng) -> Made:
    """Above every pleat a strip with the pleat's fold, slit from the next at the petal's tip."""
    return gathered(rng, bottom=True, frill=True)


def gable(rng: Rng, *, fin: float, handle: bool = False, bottom: str = "sealed") -> Made:
    """Walls, a roof of two slopes whose ends fold in between them, a fin above.

    With slopes of length s over a section of width w and depth d the ridge lies at
    g = sqrt(s^2 - d^2 / 4). The ends' tips come in d / 2 at the ridge's height, so each end takes
    a tetrahedron of volume d^2 g / 12 from the prism d g w / 2.
    """
    d = size(rng, 35, 55)
    w, h = d + size(rng, 0.5, 30), size(rng, 40, 90)
    s = d * rng.uniform(0.6, 0.75)
    g = math.sqrt(s**2 - d**2 / 4)
    net = tube((w, d, w, d), h)
    x = starts(w, d)
    for k in range(4):
        a, b, mid = x[k], x[k + 1], (x[k] + x[k + 1]) / 2
        top = h + s
        if k % 2 == 0:
            net.rect(a, h, b, top)
            net.rect(a, top, b, top + fin, role="layer")
            if handle:
                y = top + fin / 2
                net.window((mid - 9, y - 3), (mid + 9, y - 3), (mid + 9, y + 3), (mid - 9, y + 3))
        else:
            net.add((a, h), (b, h), (mid, top))
            net.add((a, h), (mid, top), (a, top), role="gusset").add(
                (b, h), (b, top), (mid, top), role="gusset"
            )
            net.rect(a, top, mid, top + fin, role="gusset").rect(mid, top, b, top + fin, role="gusset")
    if bottom == "sealed":
        for k, deep in ((0, d), (2, 0.8 * d), (1, min(20.0, 0.45 * w)), (3, min(20.0, 0.45 * w))):
            net.rect(x[k] + (0.5 if k else 0.0), 0, x[k + 1] - 0.5, -deep, role="closure")
    elif bottom == "tuck":
        lid(net, x[0], x[1], 0.0, -1, d, 12.0)
        dust(net, x[1], x[2], 0.0, -1, 0.4 * w)
        dust(net, x[3], x[4], 0.0, -1, 0.4 * w)
    volume = w * d * h + d * g * w / 2 - d * d * g / 6
    return net, net.want("closed" if bottom != "open" else "open", volume)


def milk_carton(rng: Rng) -> Made:
    return gable(rng, fin=size(rng, 8, 14))


def gable_box(rng: Rng) -> Made:
    return gable(rng, fin=size(rng, 18, 25), handle=True, bottom="tuck")


def gable_open(rng: Rng) -> Made:
    return gable(rng, fin=size(rng, 8, 14), bottom="open")


def gusseted_bag(rng: Rng) -> Made:
    """A bag with a score down the middle of each side and a block bottom of four glued flaps.

    It stands as a block, but its sides may fold in: "movable" is as right as an open box.
    """
    w, d, h = size(rng, 60, 110), size(rng, 30, 50), size(rng, 90, 160)
    x = starts(w, d)
    net = tube((w,), h)
    net.rect(x[1], 0, x[1] + d / 2, h).rect(x[1] + d / 2, 0, x[2], h).rect(x[2], 0, x[3], h)
    net.rect(x[3], 0, x[3] + d / 2, h).rect(x[3] + d / 2, 0, x[4], h)
    for k, deep in ((0, 0.75 * d), (2, 0.75 * d)):
        net.rect(x[k], 0, x[k + 1], -deep, role="closure")
    for k in (1, 3):
        net.rect(x[k] + 0.5, 0, x[k] + d / 2, -0.5 * d, role="closure").rect(
            x[k] + d / 2, 0, x[k + 1] - 0.5, -0.5 * d, role="closure"
        )
    return net, net.want("open|movable", w * d * h, (w, d, h))


def envelope_four(rng: Rng) -> Made:
    """Four triangular flaps to the middle; the lower a little longer."""
    w, h = size(rng, 80, 150), size(rng, 60, 110)
    net = Net().rect(0, 0, w, h)
    net.add((0, 0), (w / 2, -0.55 * h), (w, 0), role="glue").add(
        (0, h), (w, h), (w / 2, h + 0.52 * h), role="tuck"
    )
    net.add((0, 0), (0, h), (-0.42 * w, h / 2), role="glue").add(
        (w, 0), (w + 0.42 * w, h / 2), (w, h), role="glue"
    )
    return net, net.want("flat")


def envelope_pocket(rng: Rng) -> Made:
    """Front, a back folded up on it, two glue flaps at its sides, a closing flap."""
    w, h = size(rng, 80, 160), size(rng, 60, 110)
    net = Net().rect(0, 0, w, h).rect(0, 0, w, -(h - 4))
    net.flap((0, 0), (0, h), 12.0, 5.0).flap((w, h), (w, 0), 12.0, 5.0)
    net.flap((0, h), (w, h), 0.4 * h, 0.2 * w, role="tuck")
    return net, net.want("flat")


def envelope_square_flaps(rng: Rng) -> Made:
    """Side flaps, a lower and an upper flap with rounded corners."""
    w, h = size(rng, 90, 160), size(rng, 70, 120)
    net = Net().rect(0, 0, w, h)
    net.flap((0, 0), (0, h), 18.0, 4.0).flap((w, h), (w, 0), 18.0, 4.0)
    net.flap((w, 0), (0, 0), 0.7 * h, 2.0)
    net.add(*arc((0, h), (w, h), 0.35 * h), role="tuck")
    return net, net.want("flat")


def sleeve_for_a_card(rng: Rng) -> Made:
    """Two equal faces folded on one another, glue flaps on two sides."""
    w, h = size(rng, 70, 130), size(rng, 70, 130)
    net = Net().rect(0, 0, w, h).rect(0, h, w, 2 * h)
    net.flap((0, 0), (0, h), 9.0, 4.0).flap((w, h), (w, 0), 9.0, 4.0)
    return net, net.want("flat")


def pillow(rng: Rng) -> Made:
    """Two faces, a glue flap, lens-shaped ends on bowed scores; its size is that of no closed form."""
    w, h = size(rng, 50, 80), size(rng, 70, 120)
    bow = rng.uniform(0.14, 0.2) * w
    net = Net()
    for k in range(2):
        a, b = k * w, (k + 1) * w
        low, high = arc((a, 0), (b, 0), bow), arc((b, h), (a, h), bow)
        net.add(*low, *high)
        for p, q, inner in (((a, 0.0), (b, 0.0), low), ((b, h), (a, h), high)):
            net.add(*arc(p, q, -bow), *inner[::-1][1:-1], role="closure")
    net.flap((2 * w, h), (2 * w, 0), 9.0, 4.0)
    return net, net.want(
        "closed", loose=math.inf, doubt="a bent shape: the verdict is judged, the volume is not"
    )


def card_base(rng: Rng) -> Made:
    w, h = size(rng, 60, 130), size(rng, 60, 150)
    net = Net().rect(0, 0, w, h).rect(w, 0, 2 * w, h)
    return net, net.want("bends")


def gate_card(rng: Rng) -> Made:
    w, h = size(rng, 80, 140), size(rng, 60, 150)
    net = Net().rect(-w / 2, 0, 0, h).rect(0, 0, w, h).rect(w, 0, 1.5 * w, h)
    return net, net.want("bends|flat")


def zigzag_card(rng: Rng) -> Made:
    w, h, net = size(rng, 30, 60), size(rng, 60, 120), Net()
    for k in range(int(rng.integers(3, 7))):
        net.rect(k * w, 0, (k + 1) * w, h)
        if k:
            net.way((k * w, 0), (k * w, h), 1 if k % 2 else -1)
    return net, net.want("bends")


def divider_strip(rng: Rng) -> Made:
    """A slotted divider strip with a lug turned at each end."""
    w, h, n = size(rng, 25, 40), size(rng, 25, 50), int(rng.integers(2, 5))
    ring: list[XY] = [(0, 0), (n * w, 0), (n * w, h)]
    for k in range(n - 1, 0, -1):
        ring += [(k * w + 0.3, h), (k * w + 0.3, h / 2), (k * w - 0.3, h / 2), (k * w - 0.3, h)]
    net = Net().add(*ring, (0, h)).rect(-12, 0, 0, h).rect(n * w, 0, n * w + 12, h)
    return net, net.want("bends")


def slotted_plain(rng: Rng) -> Made:
    """A divider with slots and no score."""
    w, h, n = size(rng, 25, 40), size(rng, 25, 50), int(rng.integers(2, 5))
    ring: list[XY] = [(0, 0), (n * w, 0), (n * w, h)]
    for k in range(n - 1, 0, -1):
        ring += [(k * w + 0.3, h), (k * w + 0.3, h / 2), (k * w - 0.3, h / 2), (k * w - 0.3, h)]
    net = Net().add(*ring, (0, h))
    return net, net.want("flat")


def tag(rng: Rng) -> Made:
    w, h = size(rng, 30, 60), size(rng, 50, 90)
    net = Net().add((0, 0), (w, 0), (w, h - 8), (w - 8, h), (8, h), (0, h - 8))
    net.window(
        *arc((w / 2 - 2.5, h - 8), (w / 2 + 2.5, h - 8), 2.5),
        *arc((w / 2 + 2.5, h - 8), (w / 2 - 2.5, h - 8), 2.5)[1:-1],
    )
    return net, net.want("flat")


def tent(rng: Rng) -> Made:
    """A tent card with a foot and a glue flap: a tube of three walls."""
    w, slope, foot = size(rng, 70, 120), size(rng, 45, 80), size(rng, 30, 55)
    net = Net().rect(0, 0, w, foot).rect(0, foot, w, foot + slope).rect(0, foot + slope, w, foot + 2 * slope)
    net.flap((0, foot + 2 * slope), (w, foot + 2 * slope), 10.0, 3.0)
    half = foot / 2
    return net, net.want("open", w * half * math.sqrt(slope**2 - half**2))


def miura(rng: Rng) -> Made:
    """Parallelograms in rows that lean to and fro: folds flat, closes nothing."""
    columns, rows = int(rng.integers(3, 6)), int(rng.integers(3, 6))
    w, h, lean = size(rng, 18, 28), size(rng, 18, 28), rng.uniform(5, 9)
    net = Net()

    def at(i: int, j: int) -> XY:
        return (i * w, j * h + (lean if i % 2 else 0.0))

    for i in range(columns):
        for j in range(rows):
            net.add(at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1))
    for i in range(columns):
        for j in range(1, rows):
            net.way(at(i, j), at(i + 1, j), 1 if j % 2 else -1)
    for i in range(1, columns):
        for j in range(rows):
            net.way(at(i, j), at(i, j + 1), (1 if (i + j) % 2 else -1))
    if rng.random() < 0.5:
        net.ways.clear()
    return net, net.want("bends")


def diamonds(rng: Rng) -> Made:
    """Rows of triangles: every inner corner has six scores, nothing has to close."""
    columns, rows = int(rng.integers(3, 6)), int(rng.integers(2, 5))
    w, h = size(rng, 20, 30), size(rng, 14, 24)
    net = Net()
    for j in range(rows):
        shift, back = (0.0, w / 2) if j % 2 == 0 else (w / 2, 0.0)
        low = [(i * w + shift, j * h) for i in range(columns + 1)]
        high = [(i * w + back, (j + 1) * h) for i in range(columns + 1)]
        for i in range(columns):
            if shift < back:
                net.add(low[i], low[i + 1], high[i]).add(low[i + 1], high[i + 1], high[i])
            else:
                net.add(low[i], low[i + 1], high[i + 1]).add(low[i], high[i + 1], high[i])
    return net, net.want("bends")


def one_corner(rng: Rng) -> Made:
    """A square with four scores from one inner point: a pattern of one corner."""
    s = size(rng, 60, 100)
    c = np.array([s * rng.uniform(0.35, 0.65), s * rng.uniform(0.35, 0.65)])
    cut = [(s * t, 0.0) for t in (rng.uniform(0.2, 0.8),)] + [
        (s, s * rng.uniform(0.2, 0.8)),
        (s * rng.uniform(0.2, 0.8), s),
        (0.0, s * rng.uniform(0.2, 0.8)),
    ]
    square = [(0.0, 0.0), (s, 0.0), (s, s), (0.0, s)]
    net = Net()
    for k in range(4):
        net.add(tuple(c), cut[k - 1], square[k], cut[k])
    return net, net.want("bends")


OTHERS: dict[str, Callable[[Rng], Made]] = {
    "gathered end": gathered_open,
    "gathered end, bottom panel": gathered_closed,
    "gathered end with frill": frill,
    "milk carton": milk_carton,
    "gable box with handle": gable_box,
    "gable top, open below": gable_open,
    "bag with side folds": gusseted_bag,
    "envelope, four flaps": envelope_four,
    "envelope, pocket": envelope_pocket,
    "envelope, square flaps": envelope_square_flaps,
    "sleeve for a card": sleeve_for_a_card,
    "pillow pack": pillow,
    "card base": card_base,
    "gate card": gate_card,
    "zigzag card": zigzag_card,
    "divider strip with lugs": divider_strip,
    "divider, slots only": slotted_plain,
    "swing tag": tag,
    "tent card with foot": tent,
    "pattern of parallelograms": miura,
    "pattern of triangles": diamonds,
    "pattern of one corner": one_corner,
}
