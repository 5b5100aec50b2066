"""Kinds of box, tray, tube, pocket and card that folding had not seen before they were written.

Each comes with what must come of it by plane and solid geometry.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.spatial import ConvexHull

from cutprep.model.operation import Operation
from tests.kinds.cartons import carton_size, dust, lid, starts, tube
from tests.kinds.draw import Net, Rng, Stroke, arc, size
from tests.kinds.trays import area, corners, cross, dimensions, prismatoid, regular
from tests.kinds.tubes import _beside, prism


def _tabs(net: Net, long: float, w: float, h: float, reach: float = 9.0, inset: float = 2.5) -> None:
    for x, y, sx, sy in corners(long, w):
        p, q = (x, y), (x, y + sy * h)
        net.flap(*((p, q) if sx * sy < 0 else (q, p)), min(reach, h - 2), inset)


def petal_top(rng: Rng) -> Any:
    """Square box, four half-round flaps over one another."""
    w, h = size(rng, 40, 80), size(rng, 30, 70)
    net = cross(w, w, h)
    _tabs(net, w, w, h)
    for p, q in (((w, -h), (0, -h)), ((0, w + h), (w, w + h)), ((-h, 0), (-h, w)), ((w + h, w), (w + h, 0))):
        net.add(p, q, *arc(q, p, -(w / 2 - 0.5))[1:-1], role="closure")
    return net, net.want("closed", w * w * h, (w, w, h))


def tray_over_l(rng: Rng) -> Any:
    """An L-shaped tray: walls in a strip, base on the longest."""
    a, b, c, d, h = (
        size(rng, 60, 90),
        size(rng, 60, 90),
        size(rng, 25, 40),
        size(rng, 25, 40),
        size(rng, 15, 24),
    )
    base = [(0, 0), (a, 0), (a, c), (d, c), (d, b), (0, b)]
    net = prism(base, h, 0, top=False)
    return net, net.want("open", (a * c + d * (b - c)) * h)


def ridge_tray(rng: Rng) -> Any:
    """Two compartments: the base rises to a ridge in its middle."""
    long, w, h, r = size(rng, 60, 90), size(rng, 60, 90), size(rng, 22, 35), size(rng, 14, 20)
    net = Net()
    y = [0, long / 2, long / 2 + r, long / 2 + 2 * r, long + 2 * r]
    for a, b in pairwise(y):
        net.rect(0, a, w, b)
    net.rect(0, -h, w, 0).rect(0, y[4], w, y[4] + h)
    for a, b in ((y[0], y[1]), (y[3], y[4])):
        net.rect(-h, a, 0, b).rect(w, a, w + h, b)
    for s, x in ((-1, 0.0), (1, w)):
        for yy, t in ((0.0, -1), (y[4], 1)):
            net.rect(x + s * 1.5, yy, x + s * (h - 1.5), yy + t * 10, role="glue")
    if rng.random() < 0.5:
        for a, b, f in ((y[1], y[1], 1), (y[2], y[2], -1), (y[3], y[3], 1)):
            net.way((0, a), (w, b), f)
    return net, net.want("open", long * w * h)


def beers(rng: Rng) -> Any:
    """Pre-glued corners: glue flaps with a diagonal score in the long walls for shipping flat."""
    long, w, h = dimensions(rng)
    net = Net().rect(0, 0, long, w)
    for yy, t in ((0.0, -1), (w, 1)):
        net.add((0, yy), (long, yy), (long - h, yy + t * h), (h, yy + t * h)) if t > 0 else net.add(
            (long, yy), (0, yy), (h, yy + t * h), (long - h, yy + t * h)
        )
        net.add((0, yy), (h, yy + t * h), (0, yy + t * h))
        net.add((long, yy), (long, yy + t * h), (long - h, yy + t * h))
    net.rect(-h, 0, 0, w).rect(long, 0, long + h, w)
    for x, y, sx, sy in corners(long, w):
        net.flap(
            *(((x + sx * h, y), (x, y)) if sx * sy < 0 else ((x, y), (x + sx * h, y))), min(0.7 * h, 14), 2.0
        )
    return net, net.want("open", long * w * h, (long, w, h))


def five_panel(rng: Rng) -> Any:
    """Five panels side by side, the fifth over the first; ends closed by flaps on all."""
    long, w, d = size(rng, 90, 160), size(rng, 40, 60), size(rng, 20, 38)
    widths = [w, d, w, d, w]
    net = tube(widths, long, 0.0)
    x = np.concatenate(([0], np.cumsum(widths)))
    for y, up in ((long, 1), (0.0, -1)):
        for k, deep in ((0, d), (1, 0.45 * w), (2, d), (3, 0.45 * w)):
            net.rect(x[k] + 0.5, y, x[k + 1] - 0.5, y + up * deep, role="closure")
    return net, net.want("closed", long * w * d, (long, w, d))


def book_wrap(rng: Rng) -> Any:
    """Base, walls, upper flaps that meet in the middle."""
    long, w, h = size(rng, 90, 150), size(rng, 60, 90), size(rng, 20, 40)
    net = cross(long, w, h)
    net.rect(0, -h, long, -h - w / 2, role="closure").rect(0, w + h, long, w + h + w / 2, role="closure")
    net.rect(-h, 0.5, -h - 0.35 * long, w - 0.5, role="closure").rect(
        long + h, 0.5, long + h + 0.35 * long, w - 0.5, role="closure"
    )
    for s, x in ((-1, 0.0), (1, long)):
        for yy, t in ((0.0, -1), (w, 1)):
            net.rect(x + s * 1, yy, x + s * (h - 1), yy + t * 12, role="glue")
    return net, net.want("closed", long * w * h, (long, w, h))


def _tuck2(net: Net, w: float, d: float, h: float, x: list[float]) -> None:
    tuck = min(12.0, 0.6 * d)
    for y, up in ((h, 1), (0.0, -1)):
        lid(net, x[2], x[3], y, up, d, tuck)
        for k in (1, 3):
            dust(net, x[k], x[k + 1], y, up, min(0.6 * d, w / 2 - 2))


def tear_strip(rng: Rng) -> Any:
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = Net()
    a, b = 0.7 * h, 0.7 * h + 9
    for k in range(4):
        for lo, hi in ((0, a), (a, b), (b, h)):
            net.rect(x[k], lo, x[k + 1], hi)
    for lo, hi in ((0, a), (a, b), (b, h)):
        net.add(
            (0, lo),
            (0, hi),
            (-10, hi - (3 if hi == h else 0)),
            (-10, lo + (3 if lo == 0 else 0)),
            role="glue",
        )
    net.tears += [((-10, a), (x[4], a)), ((-10, b), (x[4], b))]
    _tuck2(net, w, d, h, x)
    return net, net.want("closed", w * d * h, (w, d, h))


def thumb_notch(rng: Rng) -> Any:
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = Net()
    r = min(9.0, w / 5)
    m = w / 2
    net.add(
        (0, 0),
        *arc((m - r, 0), (m + r, 0), r, 10),
        (w, 0),
        (w, h),
        *arc((m + r, h), (m - r, h), r, 10),
        (0, h),
    )
    net.rect(x[1], 0, x[2], h).rect(x[2], 0, x[3], h).rect(x[3], 0, x[4], h)
    net.flap((x[4], h), (x[4], 0), 10, 3)
    _tuck2(net, w, d, h, x)
    return net, net.want("closed", w * d * h, (w, d, h))


def stepped_dust(rng: Rng) -> Any:
    """Dust flaps with a step and a slant as the trade draws them; tuck with slit and shoulders; glue flap slanted."""
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = tube((w, d, w, d), h, 11.0, taper=5.0)
    tuck = min(13.0, 0.6 * d)
    deep = min(0.6 * d, w / 2 - 2)
    for y, up in ((h, 1), (0.0, -1)):
        lid(net, x[0] + 0.3, x[1] - 0.3, y, up, d - 0.3, tuck, 3.0)
        for k, toward in ((1, -1), (3, 1)):
            a, b = x[k] + 0.5, x[k + 1] - 0.5
            s = min(4.0, 0.2 * d)
            near = [
                (a, y),
                (b, y),
                (b, y + up * 0.35 * deep),
                (b - s, y + up * 0.35 * deep),
                (b - s, y + up * deep),
                (a + 0.35 * deep, y + up * deep),
                (a, y + up * 0.1),
            ]
            if toward > 0:
                near = [(a + b - px, py) for px, py in near][::-1]
            if up < 0:
                near = near[::-1]
            net.add(*near, role="dust")
    return net, net.want("closed", w * d * h, (w, d, h), loose=0.02)


def glue_pieces(rng: Rng) -> Any:
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = tube((w, d, w, d), h, 0.0)
    n = int(rng.integers(2, 4))
    g = 4.0
    s = (h - (n - 1) * g) / n
    for k in range(n):
        net.flap((0, k * (s + g)), (0, k * (s + g) + s), 9.0, 2.5)
    _tuck2(net, w, d, h, x)
    return net, net.want("closed", w * d * h, (w, d, h))


def tapered_tucks(rng: Rng) -> Any:
    """Leaning tube in a fan: large lid above, base below."""
    low = size(rng, 35, 50)
    slant = size(rng, 50, 90)
    flare = size(rng, 4, 9)
    high = low + 2 * flare
    net = Net()
    at = np.zeros(2)
    heading = 0.0
    tilt = math.atan2(flare, slant)
    for k in range(4):
        u = np.array([math.cos(heading), math.sin(heading)])
        v = np.array([-u[1], u[0]])
        p, q = at, at + low * u
        top_q = q + math.hypot(slant, 0) * v + flare * u
        top_p = p + slant * v - flare * u
        net.add(tuple(p), tuple(q), tuple(top_q), tuple(top_p))
        if k == 1:
            net.flap(tuple(top_p), tuple(top_q), high, 0, role="closure")
            r = net.panels[-1]
            net.flap(tuple(r[3]), tuple(r[2]), 10, 3, role="tuck")
            net.flap(tuple(q), tuple(p), low, 0, role="closure")
            r = net.panels[-1]
            net.flap(tuple(r[3]), tuple(r[2]), 10, 3, role="tuck")
        if k in (0, 2):
            net.flap(tuple(top_p), tuple(top_q), 0.4 * high, 3, role="dust")
            net.flap(tuple(q), tuple(p), 0.4 * low, 3, role="dust")
        at = q
        heading -= 2 * tilt
        if k == 0:
            first = (tuple(p), tuple(top_p))
    net.flap(first[0], first[1], 9, 3)
    rise = math.sqrt(slant**2 - flare**2)
    return net, net.want("closed", prismatoid(low, low, flare, rise))


def scoop(rng: Rng) -> Any:
    long, w, h = size(rng, 60, 100), size(rng, 50, 80), size(rng, 25, 45)
    net = Net().rect(0, 0, w, long).rect(0, long, w, long + h)
    net.add((0, 0), (0, long), (-h, long)).add((w, long), (w, 0), (w + h, long))
    net.flap((0, long), (0, long + h), 9, 0.5, far=1.0 + 10 * h / long).flap(
        (w, long + h), (w, long), 9, 1.0 + 10 * h / long, far=0.5
    )
    return net, net.want("open", long * w * h / 2)


def lip_outside(rng: Rng) -> Any:
    """Hinged lid whose lip lies outside on the front wall."""
    long, w, h = size(rng, 70, 120), size(rng, 50, 80), size(rng, 22, 40)
    net = cross(long, w, h)
    _tabs(net, long, w, h)
    net.rect(0, w + h, long, 2 * w + h, role="closure")
    net.add(
        (0, 2 * w + h),
        (long, 2 * w + h),
        (long - 8, 2 * w + h + 0.7 * h),
        (8, 2 * w + h + 0.7 * h),
        role="tuck",
    )
    return net, net.want("closed", long * w * h, (long, w, h))


def petal_envelope(rng: Rng) -> Any:
    w = size(rng, 70, 120)
    net = Net().rect(0, 0, w, w)
    for p, q in (((w, 0), (0, 0)), ((0, w), (w, w)), ((0, 0), (0, w)), ((w, w), (w, 0))):
        net.add(p, q, *arc(q, p, -(w / 2 - 1))[1:-1], role="closure")
    return net, net.want("flat")


def cd_pocket(rng: Rng) -> Any:
    w = size(rng, 120, 130)
    net = Net().rect(0, 0, w, w).rect(0, -w, w, 0)
    net.flap((0, -w), (0, 0), 12, 4).flap((w, 0), (w, -w), 12, 4)
    return net, net.want("flat")


def corner_mark(rng: Rng) -> Any:
    """Bookmark for a corner: square halves fold to a pocket."""
    a = size(rng, 40, 60)
    net = Net().rect(0, 0, a, a)
    net.add((0, a), (a, a), (0, 2 * a), role="glue")
    net.add((a, a), (a, 0), (2 * a, 0), role="glue")
    return net, net.want("flat")


def place_card(rng: Rng) -> Any:
    """Tent card; a shape above the fold is cut free and stands up."""
    w, h = size(rng, 70, 100), size(rng, 35, 55)
    r = min(w / 5, 0.6 * h)
    m = w / 2
    net = Net()
    bow = arc((m + r, h), (m - r, h), -r, 12)
    net.add((0, 0), (w, 0), (w, h), *bow, (0, h))
    net.add((0, h), *bow[::-1], (w, h), (w, 2 * h), (0, 2 * h))
    net.slits += [(bow[k], bow[k + 1]) for k in range(len(bow) - 1)]
    return net, net.want("bends|flat")


def popup_stairs(rng: Rng) -> Any:
    """Card with a flight of steps between two cuts."""
    w, h = size(rng, 100, 140), size(rng, 70, 100)
    s = size(rng, 10, 15)
    n = int(rng.integers(2, 4))
    x0, x1 = 0.25 * w, 0.75 * w
    y = [h - n * s + k * s for k in range(2 * n + 1)]
    net = Net()
    net.add((0, 0), (w, 0), (w, h), (x1, h), (x1, y[0]), (x0, y[0]), (x0, h), (0, h))
    net.add((0, 2 * h), (0, h), (x0, h), (x0, y[-1]), (x1, y[-1]), (x1, h), (w, h), (w, 2 * h))
    for k in range(2 * n):
        net.rect(x0, y[k], x1, y[k + 1])
    for x in (x0, x1):
        net.slit((x, y[0]), (x, y[-1]))
    for k in range(2 * n + 1):
        net.way((x0, y[k]), (x1, y[k]), 1 if k % 2 == 0 else -1)
    return net, net.want("bends|open|movable")


def cracker(rng: Rng) -> Any:
    a = size(rng, 16, 24)
    body, end, waist = size(rng, 60, 90), size(rng, 30, 45), size(rng, 14, 18)
    net = Net()
    ys = [0, end, end + waist, end + waist + body, end + 2 * waist + body, 2 * end + 2 * waist + body]
    H = ys[-1]
    for k in range(6):
        net.rect(k * a, 0, (k + 1) * a, H)
    net.flap((0, 0), (0, H), 9, 3)
    # diamonds across the scores at the waists
    for k in range(1, 6):
        for m in ((ys[1] + ys[2]) / 2, (ys[3] + ys[4]) / 2):
            net.extra.append(
                Stroke(
                    np.array(
                        [
                            (k * a, m - waist / 2),
                            (k * a + a / 4, m),
                            (k * a, m + waist / 2),
                            (k * a - a / 4, m),
                            (k * a, m - waist / 2),
                        ]
                    ),
                    Operation.CUT,
                )
            )
    want = net.want("movable")
    return net, want


def bag_handles(rng: Rng) -> Any:
    w, d, h = size(rng, 80, 120), size(rng, 40, 60), size(rng, 110, 160)
    net = Net()
    x = [0, w, w + d / 2, w + d, 2 * w + d, 2 * w + 1.5 * d, 2 * w + 2 * d]
    for a, b in pairwise(x):
        net.rect(a, 0, b, h)
    net.flap((0, 0), (0, h), 12, 4)
    for a, b, deep in (
        (x[0], x[1], 0.7 * d),
        (x[1], x[3], 0.45 * w),
        (x[3], x[4], 0.7 * d),
        (x[4], x[6], 0.45 * w),
    ):
        net.rect(a + 0.5, 0, b - 0.5, -min(deep, d * 0.95), role="closure")
    for m in (w / 2, 1.5 * w + d):
        net.window((m - 15, h - 25), (m + 15, h - 25), (m + 15, h - 15), (m - 15, h - 15))
    return net, net.want("open", w * d * h, (w, d, h))


def partition(rng: Rng, lids: bool = False) -> Any:
    """Tube; the strip goes on inside: half a wall, a partition, a glue flap."""
    w, d, h = size(rng, 60, 90), size(rng, 25, 40), size(rng, 40, 90)
    widths = [w, d, w, d, w / 2, d]
    net = tube(widths, h, 0.0)
    x = np.concatenate(([0], np.cumsum(widths)))
    net.flap((x[6], h), (x[6], 0), 10, 3)
    if lids:
        t = min(12.0, 0.6 * d)
        for y, up in ((h, 1), (0.0, -1)):
            lid(net, x[2], x[3], y, up, d, t)
            for k in (1, 3):
                dust(net, x[k], x[k + 1], y, up, 0.4 * d)
        return net, net.want("closed", w * d * h, (w, d, h))
    return net, net.want("movable|open")


def partition_tucks(rng: Rng) -> Any:
    return partition(rng, True)


def antiprism_bowl(rng: Rng) -> Any:
    n = int(rng.integers(4, 8))
    a = size(rng, 30, 45)
    base = regular(n, a)
    net = Net().add(*base)
    hgt = 0.8 * a
    for k in range(n):
        p, q = base[(k + 1) % n], base[k]
        u = (np.array(q) - np.array(p)) / a
        v = np.array([-u[1], u[0]])
        apex = (np.array(p) + np.array(q)) / 2 + hgt * v
        net.add(p, q, tuple(apex))
        # the next triangle stands on its tip, on the side from q to the apex
        e = np.array(apex) - np.array(q)
        L = float(np.hypot(*e))
        # its upper edge is a side of a regular polygon 1.12 times as large, turned by half a side
        r = a / (2 * math.sin(math.pi / n))
        r2 = 1.12 * r
        b = 2 * r2 * math.sin(math.pi / n)
        ang = 2 * math.asin(b / 2 / L)
        c, s_ = math.cos(ang), math.sin(ang)
        f = np.array([c * e[0] - s_ * e[1], s_ * e[0] + c * e[1]])
        f1 = np.array([c * e[0] + s_ * e[1], -s_ * e[0] + c * e[1]])
        third = (
            f
            if np.hypot(*(np.array(q) + f - np.array(p))) > np.hypot(*(np.array(q) + f1 - np.array(p)))
            else f1
        )
        net.add(q, tuple(np.array(q) + third), tuple(apex))
    apo = a / (2 * math.tan(math.pi / n))
    rise2 = hgt**2 - (r2 - apo) ** 2
    if rise2 <= 0:
        return None
    rise = math.sqrt(rise2)
    pts = [(*p, 0.0) for p in regular(n, a)]
    cx = np.mean([p[0] for p in base])
    cy = np.mean([p[1] for p in base])
    top = []
    for k in range(n):
        m = (np.array(base[k]) + np.array(base[(k + 1) % n])) / 2 - np.array([cx, cy])
        m = m / np.hypot(*m) * r2
        top.append((cx + m[0], cy + m[1], rise))
    vol = ConvexHull(np.array(pts + top)).volume
    return net, net.want("open|movable", vol)


def raised_lugs(rng: Rng) -> Any:
    """Tray; two lugs cut out of its base stand up."""
    long, w, h = size(rng, 90, 140), size(rng, 70, 100), size(rng, 20, 35)
    net = cross(long, w, h)
    _tabs(net, long, w, h)
    for x in (long / 3, 2 * long / 3):
        ring = [(x, w / 2 - 12), (x - 14, w / 2 - 12), (x - 14, w / 2 + 12), (x, w / 2 + 12)]
        net.extra.append(Stroke(np.array(ring), Operation.CUT))
        net.extra.append(Stroke(np.array([ring[-1], ring[0]]), Operation.SCORE))
    want = net.want("open", long * w * h, (long, w, h))
    return net, replace(want, panels=want.panels + 2)


def crown(rng: Rng) -> Any:
    n = int(rng.integers(5, 9))
    a, h, t = size(rng, 22, 34), size(rng, 30, 60), size(rng, 12, 18)
    base = regular(n, a)
    net = Net().add(*base)
    for k in range(n):
        p, q = np.array(base[(k + 1) % n]), np.array(base[k])
        u = (q - p) / a
        v = np.array([-u[1], u[0]])
        m = (p + q) / 2
        net.add(tuple(p), tuple(q), tuple(q + h * v), tuple(m + (h + t) * v), tuple(p + h * v))
        net.flap(tuple(q + h * v), tuple(q), 5, 2, far=5 / math.tan(2 * math.pi / n) + 1.0)
    return net, net.want("open", area(n, a) * h, loose=math.inf)


def ginger(rng: Rng) -> Any:
    """House walls with two gables; a roof of two slopes beside."""
    w, long, h, g = size(rng, 50, 70), size(rng, 60, 90), size(rng, 35, 50), size(rng, 20, 35)
    net = Net()
    x = [0, w, w + long, 2 * w + long, 2 * w + 2 * long]
    for k in range(4):
        if k % 2 == 0:
            net.add((x[k], 0), (x[k + 1], 0), (x[k + 1], h), ((x[k] + x[k + 1]) / 2, h + g), (x[k], h))
        else:
            net.rect(x[k], 0, x[k + 1], h)
    net.flap((0, 0), (0, h), 9, 3)
    net.add((x[1], 0), (x[2], 0), (x[2], -w), (x[1], -w))
    net.flap((x[2], -w), (x[1], -w), 9, 3)
    net.window((w / 2 - 8, 0.3 * h), (w / 2 + 8, 0.3 * h), (w / 2 + 8, 0.75 * h), (w / 2 - 8, 0.75 * h))
    s = math.hypot(w / 2, g) + 6
    roof = Net().rect(0, 0, long + 12, s).rect(0, s, long + 12, 2 * s)
    return _beside(net, roof), (net.want("open", loose=math.inf), roof.want("bends"))


def basket(rng: Rng) -> Any:
    """Tray with a handle that goes on from one long wall over to the other."""
    long, w, h, r, b = (
        size(rng, 90, 130),
        size(rng, 60, 90),
        size(rng, 25, 40),
        size(rng, 40, 60),
        size(rng, 18, 26),
    )
    net = cross(long, w, h)
    _tabs(net, long, w, h)
    x0, x1 = long / 2 - b / 2, long / 2 + b / 2
    y = w + h
    net.rect(x0, y, x1, y + r).rect(x0, y + r, x1, y + r + w).rect(x0, y + r + w, x1, y + 2 * r + w)
    net.rect(x0, y + 2 * r + w, x1, y + 2 * r + w + 15, role="glue")
    # the far leg and what is glued are one panel
    net.panels[-2] = Net().rect(x0, y + r + w, x1, y + 2 * r + w + 15).panels[0]
    net.panels.pop()
    net.roles.pop()
    return net, net.want("open", long * w * h, (long, w, h))


def basket_two(rng: Rng) -> Any:
    long, w, h = size(rng, 90, 130), size(rng, 60, 90), size(rng, 25, 40)
    net = cross(long, w, h)
    _tabs(net, long, w, h)
    strip = Net().rect(0, 0, 18, 15).rect(0, 15, 18, 100).rect(0, 100, 18, 115)
    return _beside(net, strip), (net.want("open", long * w * h, (long, w, h)), strip.want("bends"))


def star_tray(rng: Rng) -> Any:
    """A cross-shaped tray."""
    a, h = size(rng, 22, 32), size(rng, 15, 24)
    base = [
        (a, 0),
        (2 * a, 0),
        (2 * a, a),
        (3 * a, a),
        (3 * a, 2 * a),
        (2 * a, 2 * a),
        (2 * a, 3 * a),
        (a, 3 * a),
        (a, 2 * a),
        (0, 2 * a),
        (0, a),
        (a, a),
    ]
    net = prism(base, h, 0, top=False)
    return net, net.want("open", 5 * a * a * h)


def rhombic_tray(rng: Rng) -> Any:
    a, b, h = size(rng, 60, 90), size(rng, 50, 80), size(rng, 18, 30)
    t = math.radians(rng.uniform(60, 78))
    base = [(0, 0), (a, 0), (a + b * math.cos(t), b * math.sin(t)), (b * math.cos(t), b * math.sin(t))]
    net = Net().add(*base)
    for k in range(4):
        net.flap(base[(k + 1) % 4], base[k], h, 0, role="body")
        r = net.panels[-1]
        if k % 2 == 0:
            net.flap(tuple(r[2]), tuple(r[1]), 8, 3.5).flap(tuple(r[0]), tuple(r[3]), 8, 3.5)
    return net, net.want("open", a * b * math.sin(t) * h)


def tent_door(rng: Rng) -> Any:
    """A-frame: floor, two slopes; back triangle; two half doors in front."""
    w, long = size(rng, 60, 90), size(rng, 70, 110)
    s = w * rng.uniform(0.8, 1.1)
    rise = math.sqrt(s * s - w * w / 4)
    net = Net().rect(0, 0, long, w).rect(0, w, long, w + s).rect(0, -s, long, 0)
    net.flap((0, w + s), (long, w + s), 9, 3)
    net.add((0, 0), (0, w), (-rise, w / 2))
    net.flap((-rise, w / 2), (0, w), 7, 5).flap((0, 0), (-rise, w / 2), 7, 5)
    # half doors on the slopes: right triangles on the edge of each
    for sign, y0, y1 in ((1, w, w + s), (-1, 0.0, -s)):
        c = (w / 2) / s
        foot_along = c * (w / 2)
        away = (w / 2) * math.sqrt(1 - c * c)
        p = (long + away, y0 + sign * foot_along)
        net.add(*([(long, y0), p, (long, y1)] if sign > 0 else [(long, y1), p, (long, y0)]))
    return net, net.want("closed", w * rise / 2 * long)


def gusset_ends(rng: Rng) -> Any:
    """Carton whose ends are folded in with webs: no cut edge at its corners."""
    w, d, h = size(rng, 50, 80), size(rng, 24, 36), size(rng, 60, 110)
    x = starts(w, d)
    net = tube((w, d, w, d), h, 10.0)
    m = d / 2
    for y, s in ((h, 1), (0.0, -1)):
        for k in (0, 2):
            net.rect(x[k], y, x[k + 1], y + s * m, role="closure")
        for k in (1, 3):
            c = (x[k] + m, y + s * m)
            net.add((x[k], y), (x[k + 1], y), c, role="gusset")
            net.add((x[k], y), c, (x[k], y + s * m), role="gusset").add(
                (x[k + 1], y), (x[k + 1], y + s * m), c, role="gusset"
            )
    return net, net.want("closed", w * d * h, (w, d, h))


def hexagon_slide(rng: Rng) -> Any:
    """Hexagonal sleeve of two wide and four narrow walls."""
    a, b, long = size(rng, 40, 60), size(rng, 18, 26), size(rng, 60, 100)
    net = tube([a, b, b, a, b, b], long, 9.0)
    return net, net.want("movable")


def half_drop(rng: Rng) -> Any:
    """Carton: sleeve with one tuck, other end a glued full overlap of two walls, no flaps."""
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = tube((w, d, w, d), h, right=True)
    net.rect(x[0], 0, x[1], -d, role="closure")
    net.rect(x[2], 0, x[3], -d, role="closure")
    lid(net, x[0], x[1], h, 1, d, min(12, 0.6 * d))
    for k in (1, 3):
        dust(net, x[k], x[k + 1], h, 1, 0.5 * d)
    return net, net.want("closed", w * d * h, (w, d, h))


def short_tube(rng: Rng) -> Any:
    """Walls of 2.5, 1, 2.5 and 0.5 in, and a lap."""
    i = 25.4
    h = size(rng, 60, 90)
    net = tube([2.5 * i, 1 * i, 2.5 * i, 0.5 * i], h, 0.5 * i)
    return net, net.want("movable")


def corner_shelf(rng: Rng) -> Any:
    """Half a pyramid: three right triangles round a corner and base."""
    a = size(rng, 40, 70)
    net = Net().add((0, 0), (a, 0), (0, a))
    net.add((a, 0), (0, 0), (0, -a))
    net.add((0, 0), (0, a), (-a, 0))
    s = a * math.sqrt(2)
    p, q = np.array((0, a), float), np.array((a, 0), float)
    u = (q - p) / s
    v = np.array([-u[1], u[0]])
    net.add((0, a), (a, 0), tuple((p + q) / 2 + v * s * math.sqrt(3) / 2))
    return net, net.want("closed", a**3 / 6)


def box_two_lids(rng: Rng) -> Any:
    """Tray with two half lids hinged on its short walls, a tongue on one."""
    long, w, h = size(rng, 90, 140), size(rng, 60, 90), size(rng, 25, 40)
    net = cross(long, w, h)
    for s, x in ((-1, 0.0), (1, long)):
        net.rect(x + s * h, 0, x + s * (h + long / 2), w, role="closure")
    for x, y, sx, sy in corners(long, w):
        p, q = (x, y), (x, y + sy * h)
        net.flap(*((p, q) if sx * sy < 0 else (q, p)), 9, 2.5)
    x = long + h + long / 2
    net.panels[-5] = (
        Net()
        .add(
            (long + h, 0),
            (x, 0),
            (x, w / 2 - 10),
            (x + 10, w / 2 - 10),
            (x + 10, w / 2 + 10),
            (x, w / 2 + 10),
            (x, w),
            (long + h, w),
        )
        .panels[0]
    )
    return net, net.want("closed", long * w * h, (long, w, h))


def slope_front(rng: Rng) -> Any:
    """Wedge: prism with triangular ends, tabs on the ends."""
    long, d, h = size(rng, 70, 120), size(rng, 40, 60), size(rng, 30, 50)
    ring = [(0, 0), (d, 0), (0, h)]
    net = prism(ring, long, 0)
    return net, net.want("closed", d * h / 2 * long)


CRAFTS: dict[str, Callable[[Rng], Any]] = {
    "box, petals over the top": petal_top,
    "tray over an L": tray_over_l,
    "tray with a ridge": ridge_tray,
    "tray, pre-glued corners": beers,
    "five-panel wrap": five_panel,
    "book wrap": book_wrap,
    "carton, tear strip": tear_strip,
    "carton, thumb notches": thumb_notch,
    "carton, stepped dust flaps": stepped_dust,
    "carton, glue flap in pieces": glue_pieces,
    "leaning tube, tucks": tapered_tucks,
    "scoop": scoop,
    "box, lid's lip outside": lip_outside,
    "petal envelope": petal_envelope,
    "pocket, open above": cd_pocket,
    "corner bookmark": corner_mark,
    "place card": place_card,
    "pop-up stairs": popup_stairs,
    "cracker": cracker,
    "bag, punched handles": bag_handles,
    "sleeve with a partition": partition,
    "carton with a partition": partition_tucks,
    "bowl of triangles": antiprism_bowl,
    "tray, lugs raised": raised_lugs,
    "crown": crown,
    "house and roof": ginger,
    "basket, handle in one": basket,
    "basket and handle": basket_two,
    "tray over a star": star_tray,
    "tray over a rhomb": rhombic_tray,
    "tent with doors": tent_door,
    "carton, webbed ends": gusset_ends,
    "sleeve of six, two wide": hexagon_slide,
    "carton, overlap below": half_drop,
    "tube, last wall half": short_tube,
    "corner of a cube": corner_shelf,
    "tray, two half lids": box_two_lids,
    "wedge with end tabs": slope_front,
}
