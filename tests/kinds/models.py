"""Kinds as makers of paper models fold them: letters, houses, a car, boats, bowls and barrels of facets.

Drawn before folding had seen one of them. What must come of each is worked out beside it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from tests.kinds.cartons import starts, tube
from tests.kinds.draw import XY, Net, Rng, size
from tests.kinds.hands import ROUGH, by_hand, slanted
from tests.kinds.trays import area, regular
from tests.kinds.tubes import polygon_area, prism


def _section(rng: Rng, ring: Sequence[XY], on: int, way: str) -> Any:
    """A closed prism over a section, both ends on one wall."""
    long = size(rng, 30, 70)
    net = prism(ring, long, on)
    rough = {"loose": ROUGH} if way in {"short", "beyond"} else {}
    want = net.want("closed", polygon_area(ring) * long, **rough)
    return (by_hand(net, way) if way else net), want


def letter_h(rng: Rng) -> Any:
    """The letter H as a box."""
    s, gap, up, bar = size(rng, 20, 28), size(rng, 20, 30), size(rng, 20, 30), size(rng, 18, 26)
    x, y = [0.0, s, s + gap, 2 * s + gap], [0.0, up, up + bar, 2 * up + bar]
    ring = [
        (x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[2], y[1]), (x[2], y[0]), (x[3], y[0]),
        (x[3], y[3]), (x[2], y[3]), (x[2], y[2]), (x[1], y[2]), (x[1], y[3]), (x[0], y[3]),
    ]  # fmt: skip
    return _section(rng, ring, 5, "short")


def letter_z(rng: Rng) -> Any:
    """The letter Z as a box."""
    w, t, h = size(rng, 60, 80), size(rng, 14, 18), size(rng, 70, 90)
    run = 1.5 * t
    ring = [(0.0, 0.0), (w, 0.0), (w, t), (run, t), (w, h - t), (w, h), (0.0, h), (0.0, h - t), (w - run, h - t), (0.0, t)]  # fmt: skip
    return _section(rng, ring, 0, "")


def car(rng: Rng) -> Any:
    """A car: bonnet, sloping windscreen, roof, boot."""
    long, low, high = size(rng, 90, 130), size(rng, 22, 30), size(rng, 45, 60)
    ring = [
        (0.0, 0.0), (long, 0.0), (long, low), (0.8 * long, low), (0.68 * long, high), (0.32 * long, high),
        (0.18 * long, low), (0.0, low),
    ]  # fmt: skip
    return _section(rng, ring, 0, "dashed")


def factory(rng: Rng) -> Any:
    """A hall under two teeth of a saw."""
    m, h, r = size(rng, 30, 45), size(rng, 30, 45), size(rng, 14, 24)
    ring = [(0.0, 0.0), (2 * m, 0.0), (2 * m, h), (m, h + r), (m, h), (0.0, h + r)]
    return _section(rng, ring, 0, "beyond")


def hipped_house(rng: Rng) -> Any:
    """Four walls, a floor, a hipped roof: two trapezoids and two triangles; tabs at every seam."""
    w, h, rise = size(rng, 40, 60), size(rng, 30, 50), size(rng, 15, 30)
    long = w + size(rng, 20, 50)
    inset = w / 2 * float(rng.uniform(0.7, 1.1))
    x = starts(long, w)
    net = tube((long, w, long, w), h)
    over, end = math.hypot(rise, w / 2), math.hypot(rise, inset)
    for k in (0, 2):
        a, b = (x[k] + inset, h + over), (x[k + 1] - inset, h + over)
        net.add((x[k], h), (x[k + 1], h), b, a)
        slanted(net, (x[k + 1], h), b, 6, 35)
        slanted(net, a, (x[k], h), 6, 35)
        if not k:
            slanted(net, b, a, 6, 50)
    for k in (1, 3):
        net.add((x[k], h), (x[k + 1], h), ((x[k] + x[k + 1]) / 2, h + end))
    net.rect(x[0], 0, x[1], -w)
    for p, q in (((x[0], 0.0), (x[0], -w)), ((x[0], -w), (x[1], -w)), ((x[1], -w), (x[1], 0.0))):
        slanted(net, p, q, 8)
    volume = long * w * h + w * rise * (3 * long - 2 * inset) / 6
    return net, net.want("closed", volume)


def turret(rng: Rng) -> Any:
    """A tower of five to seven walls under a pointed roof, its floor on one wall."""
    n = int(rng.integers(5, 8))
    a, h, s = size(rng, 18, 26), size(rng, 40, 70), size(rng, 40, 60)
    net = tube([a] * n, h)
    for k in range(n):
        tip = ((k + 0.5) * a, h + s)
        net.add((k * a, h), ((k + 1) * a, h), tip)
        slanted(net, ((k + 1) * a, h), tip, 4, 14)
    on = n // 2
    floor = [(on * a + p, -q) for p, q in _standing(n, a)]
    net.add(*floor)
    for k in range(1, n):  # cut clear of the walls beside the floor
        slanted(net, floor[k], floor[(k + 1) % n], 5, 40)
    inner = a / (2 * math.tan(math.pi / n))
    return net, net.want("closed", area(n, a) * (h + math.sqrt(s * s - inner * inner) / 3))


def _standing(n: int, side: float) -> list[XY]:
    """Corners of a regular polygon that stands on its side from (0, 0) to (side, 0)."""
    found, at, turn = [(0.0, 0.0)], np.zeros(2), 0.0
    for _ in range(n - 1):
        at = at + side * np.array([math.cos(turn), math.sin(turn)])
        found.append((float(at[0]), float(at[1])))
        turn += 2 * math.pi / n
    return found


def _walls_out(net: Net, base: Sequence[XY], out: float, slant: float, tab: float) -> list[tuple[XY, XY]]:
    """Walls that lean out by one angle all round a base, a tab on each; gives their upper sides."""
    ring = np.array(base, float)
    n = len(ring)
    tops = []
    for k in range(n):
        p, q = ring[k], ring[(k + 1) % n]
        u = (q - p) / np.hypot(*(q - p))
        away = np.array([u[1], -u[0]])
        halves = [_inside(ring, j) / 2 for j in (k, (k + 1) % n)]
        lower, upper = (out / math.tan(t) for t in halves)
        one, two = p + slant * away - lower * u, q + slant * away + upper * u
        net.add(tuple(q), tuple(p), tuple(one), tuple(two))
        free = math.degrees(math.pi - 2 * halves[1] - 2 * math.atan2(upper, slant))
        turn = min(50.0, free - 5.0)
        if tab / math.tan(math.radians(turn)) < 0.35 * slant:  # else there is no room: that seam is taped
            slanted(net, tuple(q), tuple(two), tab, turn)
        tops.append((tuple(one), tuple(two)))
    return tops


def _inside(ring: np.ndarray, k: int) -> float:
    """Inner angle at a corner of a convex ring."""
    a, b = ring[k - 1] - ring[k], ring[(k + 1) % len(ring)] - ring[k]
    return math.acos(float(a @ b) / float(np.hypot(*a) * np.hypot(*b)))


def boat(rng: Rng) -> Any:
    """A dish over a long hexagon, its walls leaning out alike."""
    m, long, b = size(rng, 25, 40), size(rng, 40, 70), size(rng, 18, 28)
    base = [(0.0, 0.0), (m, -b), (m + long, -b), (2 * m + long, 0.0), (m + long, b), (m, b)]
    h, lean = size(rng, 18, 28), math.radians(float(rng.uniform(8, 18)))
    out = h * math.tan(lean)
    net = Net().add(*base)
    _walls_out(net, base, out, h / math.cos(lean), 5.0)
    ring = np.array(base)
    around = float(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).sum())
    corners = sum(1 / math.tan(_inside(ring, k) / 2) for k in range(6))
    volume = h * (polygon_area(base) + around * out / 2 + corners * out * out / 3)
    return by_hand(net, "doubled"), net.want("open", volume)


def leaf_dish(rng: Rng) -> Any:
    """A tray over a kite."""
    w, one, two, h = size(rng, 25, 40), size(rng, 25, 40), size(rng, 50, 80), size(rng, 15, 25)
    base = [(0.0, -one), (w, 0.0), (0.0, two), (-w, 0.0)]
    net = Net().add(*base)
    _walls_out(net, base, 0.0, h, 7.0)
    return by_hand(net, "dashed"), net.want("open", w * (one + two) * h)


def pot(rng: Rng) -> Any:
    """A pot that widens upwards, four petals over it that meet in the middle."""
    a, h, lean = size(rng, 35, 50), size(rng, 35, 55), math.radians(float(rng.uniform(6, 14)))
    out, slant = h * math.tan(lean), h / math.cos(lean)
    base = [(0.0, 0.0), (a, 0.0), (a, a), (0.0, a)]
    net = Net().add(*base)
    b = a + 2 * out
    for one, two in _walls_out(net, base, out, slant, 7.0):
        p, q = np.array(one), np.array(two)
        u = (q - p) / b
        net.add(one, two, tuple((p + q) / 2 + b / 2 * np.array([u[1], -u[0]])), role="closure")
    return net, net.want("closed", h / 3 * (a * a + b * b + a * b))


def bowl(rng: Rng) -> Any:
    """A bowl of two rings of facets: the lower leans out, the upper stands upright."""
    n = int(rng.integers(5, 9))
    a, low, high = size(rng, 25, 35), size(rng, 15, 25), size(rng, 12, 20)
    lean = math.radians(float(rng.uniform(20, 35)))
    out = low * math.tan(lean)
    base = regular(n, a)
    net = Net().add(*base)
    b = a + 2 * out * math.tan(math.pi / n)
    for one, two in _walls_out(net, base, out, low / math.cos(lean), 4.0):
        p, q = np.array(one), np.array(two)
        v = high * np.array([q[1] - p[1], p[0] - q[0]]) / b
        net.add(one, two, tuple(q + v), tuple(p + v))
        slanted(net, two, tuple(q + v), 5, 55)
    lower, upper = area(n, a), area(n, b)
    return net, net.want("open", low / 3 * (lower + upper + math.sqrt(lower * upper)) + upper * high)


def barrel(rng: Rng) -> Any:
    """A barrel of staves of two facets round its base, the lid on one of them."""
    n = int(rng.integers(6, 9))
    a, h, lean = size(rng, 20, 28), size(rng, 25, 40), math.radians(float(rng.uniform(8, 16)))
    out, slant = h * math.tan(lean), h / math.cos(lean)
    base = regular(n, a)
    net = Net().add(*base)
    b = a + 2 * out * math.tan(math.pi / n)
    for k, (one, two) in enumerate(_walls_out(net, base, out, slant, 4.0)):
        p, q = np.array(one), np.array(two)
        u = (q - p) / b
        v = np.array([u[1], -u[0]])
        in_ = (b - a) / 2
        top = (p + in_ * u + slant * v, q - in_ * u + slant * v)
        net.add(one, two, tuple(top[1]), tuple(top[0]))
        slanted(net, two, tuple(top[1]), 4, 30)
        if not k:
            lid = [tuple(top[0] + x * u + y * v) for x, y in _standing(n, a)]
            net.add(*lid)
            for j in range(1, n):
                slanted(net, lid[j], lid[(j + 1) % n], 5)
    lower, upper = area(n, a), area(n, b)
    return net, net.want("closed", 2 * h / 3 * (lower + upper + math.sqrt(lower * upper)))


def castle(rng: Rng) -> Any:
    """A square tower, battlements round its rim."""
    w, h, t = size(rng, 35, 60), size(rng, 50, 80), size(rng, 6, 10)
    net = Net()
    for k in range(4):
        x = k * w
        teeth: list[XY] = []
        for j in range(5, 0, -1):
            up = h + t if j % 2 else h
            teeth += [(x + w * j / 5, up), (x + w * (j - 1) / 5, up)]
        net.add((x, 0), (x + w, 0), *teeth)
    net.flap((0, 0), (0, h), 9, 3)
    net.rect(w, 0, 2 * w, -w)
    for p, q in (((w, 0.0), (w, -w)), ((w, -w), (2 * w, -w)), ((2 * w, -w), (2 * w, 0.0))):
        slanted(net, p, q, 8)
    return by_hand(net, "short"), net.want("open", w * w * h, loose=math.inf)


def easel_card(rng: Rng) -> Any:
    """A card whose front is folded once more, so that it stands."""
    w, h = size(rng, 90, 130), size(rng, 90, 130)
    net = Net().rect(0, 0, w, h).rect(0, h, w, 1.5 * h).rect(0, 1.5 * h, w, 2 * h)
    return by_hand(net, "dashed"), net.want("bends|flat")


def purse(rng: Rng) -> Any:
    """Base, two walls that lean together, triangles at the ends, a flap over the front."""
    w, d, s = size(rng, 70, 110), size(rng, 30, 50), size(rng, 50, 80)
    net = Net().rect(0, 0, w, d).rect(0, -s, w, 0).rect(0, d, w, d + s)
    net.flap((0, d + s), (w, d + s), 0.5 * s, 12, role="tuck")
    for x, t in ((0.0, -1), (w, 1)):
        tip = (x + t * s * math.sqrt(1 - (d / 2 / s) ** 2), d / 2)
        ends = math.hypot(tip[0] - x, d / 2)
        assert abs(ends - s) < 1e-9
        net.add((x, 0), (x, d), tip)
        slanted(net, (x, 0), tip, 8, 40)
        slanted(net, (x, d), tip, 8, 40)
    return by_hand(net, "short"), net.want("closed", w * d / 2 * math.sqrt(s * s - d * d / 4), loose=ROUGH)


def doghouse(rng: Rng) -> Any:
    """A house whose front has a door down to the floor: the score there is in two pieces."""
    w, d, h, rise = size(rng, 45, 65), size(rng, 50, 80), size(rng, 30, 45), size(rng, 15, 25)
    roof = math.hypot(w / 2, rise)
    net = Net().rect(0, 0, w, d)
    a, b, up = 0.3 * w, 0.7 * w, 0.7 * h
    net.add((0, 0), (a, 0), (a, -up), (b, -up), (b, 0), (w, 0), (w, -h), (w / 2, -h - rise), (0, -h))
    net.add((0, d), (w, d), (w, d + h), (w / 2, d + h + rise), (0, d + h))
    for x, t in ((0.0, -1), (w, 1)):
        net.rect(x, 0, x + t * h, d).rect(x + t * h, 0, x + t * (h + roof), d)
        for y in (0.0, d):
            slanted(net, (x, y), (x + t * h, y), 7)
            slanted(net, (x + t * h, y), (x + t * (h + roof), y), 7)
    slanted(net, (w + h + roof, 0.0), (w + h + roof, d), 7)
    return by_hand(net, "beyond"), net.want("closed", (w * h + w * rise / 2) * d, loose=ROUGH)


MODELS: dict[str, Callable[[Rng], Any]] = {
    "letter H": letter_h,
    "letter Z": letter_z,
    "car": car,
    "factory": factory,
    "house, hipped roof": hipped_house,
    "turret": turret,
    "boat": boat,
    "dish over a kite": leaf_dish,
    "pot, petals over it": pot,
    "bowl of two rings": bowl,
    "barrel of staves": barrel,
    "castle tower": castle,
    "easel card": easel_card,
    "purse": purse,
    "doghouse": doghouse,
}
