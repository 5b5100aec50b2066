"""Bags, cups, cards and inserts as makers fold them, each with what must come of it by plane geometry."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from typing import Any

from tests.kinds.cartons import starts, tube
from tests.kinds.draw import XY, Net, Rng, size
from tests.kinds.trays import Made, corners, cross, dimensions


def _bag_walls(w: float, d: float, h: float) -> tuple[Net, list[float]]:
    """Front, side in two halves, back, side in two halves, a glue flap."""
    x = [0.0, w, w + d / 2, w + d, 2 * w + d, 2 * w + 1.5 * d, 2 * (w + d)]
    net = Net()
    for a, b in pairwise(x):
        net.rect(a, 0, b, h)
    net.flap((0, 0), (0, h), 10.0, 3.0)
    return net, x


def gift_bag(rng: Rng) -> Made:
    """Side folds, a hem turned in above, four bottom flaps parted by slits."""
    w, d, h = size(rng, 70, 120), size(rng, 34, 56), size(rng, 100, 160)
    net, x = _bag_walls(w, d, h)
    hem = min(size(rng, 12, 25), 0.4 * d)
    for a, b in pairwise(x):
        net.rect(a + 0.3, h, b - 0.3, h + hem, role="layer")
    for a, b, deep in (
        (x[0], x[1], 0.75 * d),
        (x[3], x[4], 0.75 * d),
        (x[1], x[3], 0.5 * d),
        (x[4], x[6], 0.5 * d),
    ):
        net.rect(a + 0.5, 0, b - 0.5, -deep, role="closure")
    return net, net.want("open|movable", w * d * h, (w, d, h))


def parcel_bag(rng: Rng, *, creased: bool = True) -> Made:
    """A bag whose bottom is folded like a parcel: no slits, a score of 45 degrees in every corner.

    Front and back flaps lie in the base; between their corner scores and the edges of the sides'
    flaps the card lies double. The scores down the sides are for laying it flat.
    """
    w, d, h = size(rng, 80, 120), size(rng, 34, 56), size(rng, 90, 150)
    deep = 0.6 * d
    net = Net()
    x = starts(w, d)
    if creased:
        net, _ = _bag_walls(w, d, h)
    else:
        net = tube((w, d, w, d), h)
    for k in (0, 2):
        a, b = x[k], x[k + 1]
        net.add((a, 0), (b, 0), (b - deep, -deep), (a + deep, -deep), role="closure")
        net.add((a, 0), (a + deep, -deep), (a, -deep), role="gusset")
        net.add((b, 0), (b, -deep), (b - deep, -deep), role="gusset")
    for k in (1, 3):
        net.rect(x[k], 0, x[k + 1], -deep, role="closure")
    return net, net.want("open|movable", w * d * h, (w, d, h))


def parcel_box(rng: Rng) -> Made:
    return parcel_bag(rng, creased=False)


def cone_cup(rng: Rng) -> Made:
    """Triangles round one tip and a glue flap: a cup of four sides and more, nothing holds its section."""
    n = int(rng.integers(4, 10))
    edge = size(rng, 60, 110)
    tip = math.radians(rng.uniform(0.5, 0.85) * min(60.0, 300.0 / n))
    at = [(edge * math.cos(k * tip), edge * math.sin(k * tip)) for k in range(n + 1)]
    net = Net()
    for k in range(n):
        net.add((0, 0), at[k], at[k + 1])
    net.flap(at[0], (0, 0), 7.0, 5.0, far=20.0)
    return net, net.want("movable")


def cone_three(rng: Rng) -> Made:
    """Three triangles round one tip: a stiff corner, open at its flat rim."""
    a, b, c = size(rng, 50, 70), size(rng, 55, 75), size(rng, 60, 80)
    edge = max(a, b, c) * rng.uniform(0.9, 1.3)
    net, heading = Net(), 0.0
    points: list[XY] = [(edge, 0.0)]
    for side in (a, b, c):
        heading += 2 * math.asin(side / 2 / edge)
        points.append((edge * math.cos(heading), edge * math.sin(heading)))
    for k in range(3):
        net.add((0, 0), points[k], points[k + 1])
    net.flap(points[0], (0, 0), 7.0, 4.0, far=10.0)
    s = (a + b + c) / 2
    base = math.sqrt(s * (s - a) * (s - b) * (s - c))
    round_ = a * b * c / (4 * base)
    return net, net.want("open", base * math.sqrt(edge**2 - round_**2) / 3)


def tetra_pack(rng: Rng) -> Made:
    """A strip of four equal triangles, glue flaps at its ends: a tetrahedron with equal opposite edges.

    Volume of such a tetrahedron: sqrt((a2 + b2 - c2)(b2 + c2 - a2)(c2 + a2 - b2) / 72).
    """
    side, rise = size(rng, 50, 80), 0.0
    rise = side * rng.uniform(0.75, 1.1)
    net = Net()
    for k in range(4):
        a = k * side / 2
        if k % 2 == 0:
            net.add((a, 0), (a + side, 0), (a + side / 2, rise))
        else:
            net.add((a + side / 2, 0), (a + side, rise), (a, rise))
    net.flap((0, 0), (side / 2, rise), 8.0, 6.0)
    net.flap((side, 0), (0, 0), 8.0, 6.0).flap((side / 2, rise), (1.5 * side, rise), 8.0, 6.0)
    a2, b2 = side**2, side**2 / 4 + rise**2
    return net, net.want("closed", math.sqrt((2 * b2 - a2) * a2 * a2 / 72))


def header_card(rng: Rng) -> Made:
    """A header folded over a bag's top: one score, a hole through both leaves."""
    w, h = size(rng, 60, 120), size(rng, 30, 50)
    net = Net().rect(0, 0, w, h).rect(0, h, w, 2 * h)
    for y in (0.6 * h, 1.4 * h):
        net.window((w / 2 - 4, y - 3), (w / 2 + 4, y - 3), (w / 2 + 4, y + 3), (w / 2 - 4, y + 3))
    return net, net.want("bends|flat")


def pocket_folder(rng: Rng) -> Made:
    """Two covers, a pocket below each that is turned up, a glue flap beside each pocket."""
    w, h, deep = size(rng, 70, 110), size(rng, 100, 150), size(rng, 25, 40)
    net = Net().rect(0, 0, w, h).rect(w, 0, 2 * w, h)
    net.rect(0, 0, w - 1, -deep, role="layer").rect(w + 1, 0, 2 * w, -deep, role="layer")
    net.flap((0, -deep), (0, 0), 8.0, 3.0, role="glue", far=3.0)
    net.flap((2 * w, 0), (2 * w, -deep), 8.0, 3.0, role="glue", far=3.0)
    return net, net.want("bends|flat")


def three_fold(rng: Rng) -> Made:
    """A leaflet of three or four leaves rolled up: all scores one way."""
    w, h, n = size(rng, 50, 90), size(rng, 90, 160), int(rng.integers(3, 5))
    net, x = Net(), 0.0
    for k in range(n):
        wide = w - 1.0 * k
        net.rect(x, 0, x + wide, h)
        x += wide
    return net, net.want("bends|flat|movable|open")


def step_card(rng: Rng) -> Made:
    """A stand: four leaves with scores to and fro."""
    w, net, x = size(rng, 70, 120), Net(), 0.0
    for k, deep in enumerate((size(rng, 50, 70), size(rng, 20, 30), size(rng, 20, 30), size(rng, 50, 70))):
        net.rect(x, 0, x + deep, w)
        if k:
            net.way((x, 0.0), (x, w), -1 if k % 2 else 1)
        x += deep
    return net, net.want("bends")


def pop_up(rng: Rng) -> Made:
    """A card with a strip cut free at both sides that stands off it as a block."""
    w, h = size(rng, 80, 120), size(rng, 55, 80)
    up, out = size(rng, 12, 20), size(rng, 15, 25)
    a, b = 0.3 * w, 0.7 * w
    net = Net()
    net.add((0, 0), (w, 0), (w, h), (b, h), (b, h - out), (a, h - out), (a, h), (0, h))
    net.add((0, h), (a, h), (a, h + up), (b, h + up), (b, h), (w, h), (w, 2 * h), (0, 2 * h))
    net.rect(a, h - out, b, h - out + up).rect(a, h - out + up, b, h + up)
    for x in (a, b):
        net.slit((x, h - out), (x, h + up))
    return net, net.want("bends|movable|flat")


def insert_u(rng: Rng) -> Made:
    """An insert: a floor with holes, a leg on two sides, a lug on each leg."""
    a, b, h = size(rng, 70, 130), size(rng, 50, 90), size(rng, 15, 30)
    net = Net().rect(0, 0, a, b).rect(-h, 0, 0, b).rect(a, 0, a + h, b)
    net.rect(-h - 10, 0, -h, b).rect(a + h, 0, a + h + 10, b)
    net.window((0.3 * a, 0.3 * b), (0.7 * a, 0.3 * b), (0.7 * a, 0.7 * b), (0.3 * a, 0.7 * b))
    return net, net.want("bends|open|flat")


def webbed_drawn(rng: Rng) -> Made:
    """A tray with corner squares left on, its folds drawn: webs outside or inside."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    out = bool(rng.random() < 0.5)
    for x, y, sx, sy in corners(length, width):
        a, b, far = (x + sx * height, y), (x, y + sy * height), (x + sx * height, y + sy * height)
        net.add((x, y), a, far, role="gusset").add((x, y), far, b, role="gusset")
        net.way((x, y), a, -1 if out else 1).way((x, y), b, -1 if out else 1)
        net.way((x, y), far, 1 if out else -1)
    net.way((0, 0), (length, 0), 1).way((length, 0), (length, width), 1)
    net.way((0, width), (length, width), 1).way((0, 0), (0, width), 1)
    return net, net.want("open", length * width * height, (length, width, height))


def webbed_glued(rng: Rng) -> Made:
    """The corner square as one triangle and a glued half: the web lies flat on the short wall."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    for x, y, sx, sy in corners(length, width):
        a, b, far = (x + sx * height, y), (x, y + sy * height), (x + sx * height, y + sy * height)
        near = (x + sx * 0.7 * height, y + sy * height)
        net.add((x, y), a, far, role="gusset").add((x, y), far, near, b, role="gusset")
    return net, net.want("open", length * width * height, (length, width, height))


def flat_pattern(rng: Rng) -> Made:
    """A sheet of squares with every second diagonal: inner corners of six and four scores, nothing closes."""
    n, m, s = int(rng.integers(3, 5)), int(rng.integers(3, 5)), size(rng, 18, 26)
    net = Net()
    for i in range(n):
        for j in range(m):
            a, b, c, d = (
                (i * s, j * s),
                ((i + 1) * s, j * s),
                ((i + 1) * s, (j + 1) * s),
                (i * s, (j + 1) * s),
            )
            if (i + j) % 2:
                net.add(a, b, c).add(a, c, d)
            else:
                net.add(a, b, d).add(b, c, d)
    return net, net.want("bends")


PAPER: dict[str, Callable[[Rng], Any]] = {
    "gift bag, hem turned in": gift_bag,
    "gift bag, parcel bottom": parcel_bag,
    "tube, parcel bottom": parcel_box,
    "cone cup, many-sided": cone_cup,
    "cone of three sides": cone_three,
    "tetrahedron from a strip": tetra_pack,
    "header card": header_card,
    "folder with pockets": pocket_folder,
    "leaflet rolled up": three_fold,
    "stand, scores to and fro": step_card,
    "pop-up card": pop_up,
    "insert with legs and lugs": insert_u,
    "tray, webbed, folds drawn": webbed_drawn,
    "tray, webbed, web cut back": webbed_glued,
    "pattern of squares and diagonals": flat_pattern,
}
