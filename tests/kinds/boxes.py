"""Kinds of lidded and locked box as makers fold them, each with what must come of it by solid geometry."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from tests.kinds.cartons import carton_size, dust, lid, starts, tube
from tests.kinds.draw import XY, Net, Rng, Want, arc, size
from tests.kinds.trays import Made, area, corners, cross, dimensions, regular
from tests.kinds.tubes import _beside, polygon_area


def fan_of_walls(rng: Rng, n: int) -> tuple[Net, tuple[float, float, float], tuple[list[XY], list[XY]]]:
    """n leaning walls side by side in a fan, a glue flap: their sides below and above, their slant, and the corners of both."""
    low, slant = size(rng, 25, 40), size(rng, 40, 80)
    tilt = math.radians(rng.uniform(3.0, min(9.0, 100.0 / n)))
    high = low + 2 * slant * math.tan(tilt)
    reach = low / (2 * math.sin(tilt))
    far = reach + slant / math.cos(tilt)
    angle = [2 * tilt * k for k in range(n + 1)]
    inner = [(reach * math.cos(a), reach * math.sin(a)) for a in angle]
    outer = [(far * math.cos(a), far * math.sin(a)) for a in angle]
    net = Net()
    for k in range(n):
        net.add(inner[k], outer[k], outer[k + 1], inner[k + 1])
    net.flap(outer[0], inner[0], 8.0, 3.0)
    return net, (low, high, slant), (inner, outer)


def gable_ends(net: Net, inside: tuple[float, float, float], rise: float) -> None:
    """On either end of a base a wall up to the ridge, with glue flaps for the walls and the roof."""
    length, width, height = inside
    for x, s in ((0.0, -1), (length, 1)):
        eave, top = x + s * height, x + s * (height + rise)
        net.add((x, 0), (x, width), (eave, width), (top, width / 2), (eave, 0))
        for y, t in ((0.0, -1), (width, 1)):
            p, q = (x, y), (eave, y)
            net.flap(*((p, q) if s * t > 0 else (q, p)), 8.0, 3.0)
            p, q = (eave, y), (top, width / 2)
            net.flap(*((p, q) if s * t > 0 else (q, p)), 7.0, 3.0, far=3.0)


def _block(net: Net, verdict: str, a: float, b: float, c: float) -> Made:
    return net, net.want(verdict, a * b * c, (a, b, c))


def mailer(rng: Rng) -> Made:
    """Side walls rolled over dust flaps of front and back, the lid on the back wall with a tuck and ears."""
    length, width = size(rng, 90, 180), size(rng, 70, 130)
    height, rim = size(rng, 22, 40), float(rng.choice([0.0, 1.5]))
    net = cross(length, width, height)
    for x, s in ((0.0, -1), (length, 1)):
        at = x + s * height
        if rim:
            net.rect(at, 0, at + s * rim, width, role="layer")
            at += s * rim
        net.rect(at, 0.5, at + s * (height - 0.5), width - 0.5, role="layer")
    reach = min(20.0, width / 2 - 4)
    for x, s in ((0.0, -1), (length, 1)):
        net.rect(x, -height + 1, x + s * reach, -1, role="dust")
        net.rect(x, width + 1, x + s * reach, width + height - 1, role="dust")
    y = width + height
    net.rect(0, y, length, y + width)
    tuck = 0.7 * height
    net.flap((0, y + width), (length, y + width), tuck, 2.0, role="tuck")
    net.flap((0, y), (0, y + width), tuck, 6.0, role="tuck", far=3.0)
    net.flap((length, y + width), (length, y), tuck, 3.0, role="tuck", far=6.0)
    return _block(net, "closed", length, width, height)


def lock_tabs(rng: Rng) -> Made:
    """Long walls doubled over a narrow rim; tongues of the inner layer stand in slots of the base."""
    length, width, height = size(rng, 80, 160), size(rng, 70, 120), size(rng, 20, 32)
    rim, tongue = 1.0, size(rng, 12, 20)
    net = cross(length, width, height)
    a, b = length / 2 - tongue / 2, length / 2 + tongue / 2
    for y, s in ((0.0, -1), (width, 1)):
        top = y + s * height
        net.rect(0, top, length, top + s * rim, role="layer")
        low = top + s * rim
        end = low + s * height
        net.add((0, low), (length, low), (length, end), (b, end), (b, end + s * 2), (a, end + s * 2), (a, end), (0, end),
                role="layer")  # fmt: skip
        inner = y - s * rim
        net.window(
            (a - 0.5, inner - 0.6), (b + 0.5, inner - 0.6), (b + 0.5, inner + 0.6), (a - 0.5, inner + 0.6)
        )
    for x, s in ((0.0, -1), (length, 1)):
        for y, t in ((0.0, -1), (width, 1)):
            net.rect(x + s * 1.0, y, x + s * (height - 1.0), y + t * 18.0, role="dust")
    return _block(net, "open", length, width, height)


def hollow_walls(rng: Rng) -> Made:
    """Two hollow walls: outer layer, top, inner layer, foot. Inside is what lies between the inner layers."""
    length, width, height = size(rng, 90, 160), size(rng, 80, 140), size(rng, 18, 30)
    thick, foot = size(rng, 8, 14), 10.0
    net = cross(length, width, height)
    for y, s in ((0.0, -1), (width, 1)):
        at = y + s * height
        for deep, role in ((thick, "layer"), (height, "layer"), (foot, "layer")):
            net.rect(0, at, length, at + s * deep, role=role)
            at += s * deep
    for x, s in ((0.0, -1), (length, 1)):
        for y, t in ((0.0, -1), (width, 1)):
            net.flap(
                *(((x, y), (x + s * height, y)) if s * t > 0 else ((x + s * height, y), (x, y))), 7.0, 1.0
            )
    return _block(net, "open", length, width - 2 * thick, height)


def one_wall_doubled(rng: Rng) -> Made:
    """A tray with glue tabs; only its front wall is turned in."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    net.rect(0.5, -height, length - 0.5, -2 * height + 1, role="layer")
    for x, y, sx, sy in corners(length, width):
        p, q = (x, y), (x + sx * height, y)
        net.flap(*((q, p) if sx * sy < 0 else (p, q)), min(11.0, height - 1), 2.0)
    return _block(net, "open", length, width, height)


def auto_bottom(rng: Rng) -> Made:
    """A tuck lid above; below, two deep flaps, each with a glued corner beyond a score of 45 degrees."""
    w, d, h = carton_size(rng)
    w = max(w, d + 10)
    x = starts(w, d)
    net = tube((w, d, w, d), h)
    lid(net, x[0], x[1], h, 1, d, min(14.0, 0.6 * d))
    for k in (1, 3):
        dust(net, x[k], x[k + 1], h, 1, min(0.6 * d, w / 2 - 2))
    deep = 0.5 * d
    for k in (0, 2):
        a, b = x[k], x[k + 1]
        net.add((a + 0.5, 0), (b, 0), (b - deep, -deep), (a + 0.5, -deep), role="closure")
        net.add((b, 0), (b - 1.0, -deep), (b - deep, -deep), role="glue")
    for k in (1, 3):
        a, b = x[k], x[k + 1]
        net.add((a + 0.5, 0), (b - 0.5, 0), (b - 0.5, -0.45 * d), (a + 0.4 * d, -0.45 * d), role="closure")
    return _block(net, "closed", w, d, h)


def one_end(rng: Rng) -> Made:
    """A carton closed by a tuck end below, open above."""
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = tube((w, d, w, d), h)
    lid(net, x[2], x[3], 0.0, -1, d, min(13.0, 0.6 * d))
    for k in (1, 3):
        dust(net, x[k], x[k + 1], 0.0, -1, min(0.6 * d, w / 2 - 2))
    return _block(net, "open", w, d, h)


def seal_one_end(rng: Rng) -> Made:
    """A tube with four glued flaps below, open above."""
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = tube((w, d, w, d), h)
    for k, deep in ((0, d), (2, 0.8 * d), (1, 0.4 * w), (3, 0.4 * w)):
        net.rect(x[k] + 0.5, 0, x[k + 1] - 0.5, -deep, role="closure")
    return _block(net, "open", w, d, h)


def display_front(rng: Rng) -> Made:
    """A tuck-end carton with a tear line: level on the front, slanting over both sides to the back's corners."""
    w, d, h = carton_size(rng)
    x = starts(w, d)
    low, high = 0.35 * h, rng.uniform(0.6, 0.8) * h
    net = Net()
    rings: list[list[XY]] = [
        [(x[0], low), (x[1], low)], [(x[1], low), (x[2], high)], [], [(x[3], high), (x[4], low)],
    ]  # fmt: skip
    for k, line in enumerate(rings):
        a, b = x[k], x[k + 1]
        if not line:
            net.rect(a, 0, b, h)
            continue
        (_, ya), (_, yb) = line
        net.add((a, 0), (b, 0), (b, yb), (a, ya)).add((a, ya), (b, yb), (b, h), (a, h))
        net.tears.append((line[0], line[1]))
    net.add((0, 0), (0, low), (-10, low), (-10, 3), role="glue").add(
        (0, low), (0, h), (-10, h - 3), (-10, low), role="glue"
    )
    net.slit((0, low), (-10, low))
    for y, up, place in ((h, 1, 2), (0.0, -1, 2)):
        lid(net, x[place], x[place + 1], y, up, d, 0.5 * d)
        for k in (1, 3):
            dust(net, x[k], x[k + 1], y, up, 0.5 * d)
    return _block(net, "closed", w, d, h)


def envelope_box(rng: Rng) -> Made:
    """A flat box closed like an envelope: walls round a base, flaps beyond them that cover it."""
    w, h, t = size(rng, 90, 160), size(rng, 70, 120), size(rng, 8, 16)
    net = cross(w, h, t)
    net.rect(1, -t, w - 1, -t - 0.6 * h, role="closure").rect(
        1, h + t, w - 1, h + t + 0.55 * h, role="closure"
    )
    net.rect(-t, 1, -t - 0.2 * w, h - 1, role="closure").rect(
        w + t, 1, w + t + 0.2 * w, h - 1, role="closure"
    )
    return _block(net, "closed", w, h, t)


def house_crossed(rng: Rng) -> Made:
    """A base with four walls round it; pitched gables with tabs, one roof half on each long wall."""
    length, width, height = size(rng, 50, 90), size(rng, 40, 70), size(rng, 30, 60)
    rise = rng.uniform(0.35, 0.7) * width
    slope = math.hypot(width / 2, rise)
    net = Net().rect(0, 0, length, width)
    for y, s in ((0.0, -1), (width, 1)):
        eave = y + s * height
        net.rect(0, y, length, eave).rect(0, eave, length, eave + s * slope)
    ridge = width + height + slope
    net.flap((0, ridge), (length, ridge), 9.0, 3.0, role="tuck")
    gable_ends(net, (length, width, height), rise)
    return net, net.want("closed", length * width * (height + rise / 2))


def slice_of_cake(rng: Rng) -> Made:
    """A wedge: triangular base, two long walls, a back wall, and the lid on the back wall with two tucks."""
    side, back, height = size(rng, 80, 130), size(rng, 40, 70), size(rng, 35, 60)
    deep = math.sqrt(side**2 - back**2 / 4)
    net = Net().add((0, 0), (back, 0), (back / 2, deep))
    net.flap((0, 0), (back / 2, deep), height, role="body").flap(
        (back / 2, deep), (back, 0), height, role="body"
    )
    net.rect(0, 0, back, -height)
    net.flap((0, -height), (0, 0), 8.0, 2.0).flap((back, 0), (back, -height), 8.0, 2.0)
    y = -height
    net.add((0, y), (back / 2, y - deep), (back, y))
    net.flap((back / 2, y - deep), (0, y), 0.5 * height, 8.0, role="tuck", far=10.0)
    net.flap((back, y), (back / 2, y - deep), 0.5 * height, 10.0, role="tuck", far=8.0)
    return net, net.want("closed", back * deep / 2 * height)


def pyramid_fan(rng: Rng) -> Made:
    """Triangles round one tip, a glue flap, the base on one of them with tuck flaps on its other sides."""
    n = int(rng.integers(3, 7))
    side = size(rng, 35, 60)
    radius = side / (2 * math.sin(math.pi / n))
    edge = radius * rng.uniform(1.4, 2.2)
    tip = 2 * math.asin(side / 2 / edge)
    at = [(edge * math.cos(k * tip), edge * math.sin(k * tip)) for k in range(n + 1)]
    net = Net()
    for k in range(n):
        net.add((0, 0), at[k], at[k + 1])
    # Where the wall's foot is sharp, so is the flap's: else it stands out below the base.
    foot = 8.5 / math.tan(math.acos(side / 2 / edge))
    net.flap(at[0], (0, 0), 8.0, max(4.0, foot), far=max(12.0, 9.0 / math.tan(tip)))
    k = n // 2
    (ax, ay), (bx, by) = at[k], at[k + 1]
    u, v = ((bx - ax) / side, (by - ay) / side), ((by - ay) / side, -(bx - ax) / side)
    ring = [(0.0, 0.0), (side, 0.0)]
    turn = 2 * math.pi / n
    for j in range(1, n - 1):
        px, py = ring[-1]
        ring.append((px + side * math.cos(j * turn), py + side * math.sin(j * turn)))
    base = [(ax + p * u[0] + q * v[0], ay + p * u[1] + q * v[1]) for p, q in ring]
    net.add(*base, role="closure")
    for j in range(1, n):
        net.flap(base[j], base[(j + 1) % n], 7.0, 12.0 if n == 3 else 8.0, role="tuck")
    height = math.sqrt(edge**2 - radius**2)
    return net, net.want("closed", area(n, side) * height / 3)


def fan_cup(rng: Rng) -> Made:
    """Leaning walls side by side in a fan, a glue flap, the small base on one with glue flaps: open above."""
    n = int(rng.integers(4, 9))
    net, (low, high, slant), (inner, _) = fan_of_walls(rng, n)
    k = n // 2
    (ax, ay), (bx, by) = inner[k], inner[k + 1]
    out = math.atan2(ay + by, ax + bx)
    apothem, r = low / (2 * math.tan(math.pi / n)), low / (2 * math.sin(math.pi / n))
    mid = math.hypot((ax + bx) / 2, (ay + by) / 2) - apothem
    base = [
        (mid * math.cos(out) + r * math.cos(out + math.pi / n + 2 * math.pi * j / n),
         mid * math.sin(out) + r * math.sin(out + math.pi / n + 2 * math.pi * j / n))
        for j in range(n)
    ]  # fmt: skip
    net.add(*base)
    for j in range(n - 1):
        p, q = base[j], base[j + 1]
        room = 1.5 + 4.0 / math.tan((math.pi - 2 * math.pi / n) / 2)
        if math.hypot((p[0] + q[0] - ax - bx) / 2, (p[1] + q[1] - ay - by) / 2) > 1.3 * low or n == 4:
            net.flap(q, p, 4.0, min(room, 0.3 * low))
    a0, a1 = area(n, low), area(n, high)
    lean = (high - low) / (2 * math.tan(math.pi / n))
    rise = math.sqrt(slant**2 - lean**2)
    return net, net.want("open", rise / 3 * (a0 + a1 + math.sqrt(a0 * a1)))


def petal_end(rng: Rng) -> Made:
    """A regular tube closed above by triangular petals that meet in the middle, a base panel below."""
    n = int(rng.integers(4, 9))
    side, height = size(rng, 25, 40), size(rng, 40, 90)
    net = tube([side] * n, height)
    apothem = side / (2 * math.tan(math.pi / n))
    for k in range(n):
        a, b = k * side, (k + 1) * side
        net.add((a, height), (b, height), ((a + b) / 2, height + apothem), role="closure")
    k = n // 2
    middle = ((k + 0.5) * side, -apothem)
    start = math.pi / 2 - math.pi / n
    net.add(*regular(n, side, middle, start), role="closure")
    return net, net.want("closed", area(n, side) * height)


def triangle_tuck(rng: Rng) -> Made:
    """A three-sided carton: a triangle with two tuck flaps at either end."""
    side, height = size(rng, 40, 70), size(rng, 80, 160)
    net = tube([side] * 3, height)
    rise = side * math.sqrt(3) / 2
    for y, up in ((height, 1), (0.0, -1)):
        a, b, tip = (side, y), (2 * side, y), (1.5 * side, y + up * rise)
        net.add(a, b, tip, role="closure")
        for p, q in ((a, tip), (tip, b)):
            net.flap(*((p, q) if up > 0 else (q, p)), 10.0, 8.0, role="tuck")
    return net, net.want("closed", area(3, side) * height)


def sided_box_and_lid(rng: Rng) -> tuple[Net, tuple[Want, ...]]:
    """A many-sided tray with glue tabs, and its larger, lower lid."""
    n = int(rng.choice([5, 6, 8]))
    side, wall, deep = size(rng, 30, 50), size(rng, 25, 40), size(rng, 12, 18)
    over = side + 1.5 * math.tan(math.pi / n)
    made = []
    for s, w in ((side, wall), (over, deep)):
        base = regular(n, s)
        net = Net().add(*base)
        for k in range(n):
            net.flap(base[(k + 1) % n], base[k], w, role="body")
            q, p = net.panels[-1][1], net.panels[-1][2]
            net.flap(tuple(p), tuple(q), 5.0, 1.5, far=2.0 + max(0.0, 5.0 / math.tan(2 * math.pi / n)))
        made.append((net, net.want("open", area(n, s) * w)))
    return _beside(made[0][0], made[1][0]), (made[0][1], made[1][1])


def tray_and_lid(rng: Rng) -> tuple[Net, tuple[Want, ...]]:
    """A tray with square tabs and its lid, 1.5 mm larger each way."""
    length, width, height = dimensions(rng)
    made = []
    for a, b, c in ((length, width, height), (length + 1.5, width + 1.5, min(height, 14.0))):
        net = cross(a, b, c)
        for x, y, sx, sy in corners(a, b):
            net.rect(x, y, x + sx * c, y + sy * c, role="glue").slit((x, y), (x + sx * c, y))
        made.append(_block(net, "open", a, b, c))
    return _beside(made[0][0], made[1][0]), (made[0][1], made[1][1])


def thumb_slipcase(rng: Rng) -> Made:
    """A slipcase with a half-round thumb cut in both faces at the open edge."""
    width, height, depth = size(rng, 60, 120), size(rng, 80, 150), size(rng, 12, 30)
    r = min(9.0, 0.12 * height)
    mid, x1, x2 = height / 2, width + depth, 2 * width + depth
    net = Net().rect(width, 0, x1, height)
    net.add((0, 0), (width, 0), (width, height), (0, height), *arc((0, mid + r), (0, mid - r), r))
    net.add((x1, 0), (x2, 0), *arc((x2, mid - r), (x2, mid + r), r), (x2, height), (x1, height))
    for y, s in ((0.0, -1), (height, 1)):
        net.rect(0, y, width, y + s * depth)
        tip = y + s * depth
        net.flap(*(((0.0, tip), (width, tip)) if s > 0 else ((width, tip), (0.0, tip))), 9.0, 3.0)
    want = net.want("open", width * height * depth, (width, height, depth), loose=0.01)
    return net, want


def wall_tabs_inside(rng: Rng) -> Made:
    """A lid whose four walls carry one tab each, turning round: every wall alike."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    reach = min(12.0, 0.4 * width)
    for p, q in (
        ((0.0, -height), (0.0, 0.0)),
        ((length + height, 0.0), (length, 0.0)),
        ((length, width + height), (length, width)),
        ((-height, width), (0.0, width)),
    ):
        net.flap(p, q, reach, 2.0, far=1.0)
    return _block(net, "open", length, width, height)


def arched_window_carton(rng: Rng) -> Made:
    """A reverse-tuck carton with square tucks, a round window, and a glue flap as long as the wall."""
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = tube((w, d, w, d), h, 12.0, taper=0.0)
    for y, up, at in ((h, 1, 2), (0.0, -1, 0)):
        lid(net, x[at], x[at + 1], y, up, d, 0.6 * d, 0.0)
        for k in (1, 3):
            net.rect(x[k] + 1, y, x[k + 1] - 1, y + up * min(0.55 * d, w / 2 - 2), role="dust")
    cx, cy, r = w / 2, h / 2, 0.3 * min(w, h)
    net.window(*arc((cx - r, cy), (cx + r, cy), r), *arc((cx + r, cy), (cx - r, cy), r)[1:-1])
    return _block(net, "closed", w, d, h)


def five_sided_prism_lids(rng: Rng) -> Made:
    """A prism over a right trapezium, tuck flaps on the ends' free sides."""
    a, b, c, h = size(rng, 50, 80), size(rng, 30, 45), size(rng, 30, 45), size(rng, 60, 110)
    ring: list[XY] = [(0, 0), (a, 0), (b, c), (0, c)]
    lengths = [math.dist(ring[k], ring[(k + 1) % 4]) for k in range(4)]
    net = tube(lengths, h)
    for y, up in ((h, 1), (0.0, -1)):
        cap = [(p, y + up * q) for p, q in ring]
        net.add(*cap, role="closure")
        for k in (1, 2):
            p, q = cap[k], cap[k + 1]
            net.flap(*((q, p) if up > 0 else (p, q)), 8.0, 6.0, role="tuck")
    return net, net.want("closed", polygon_area(ring) * h)


BOXES: dict[str, Callable[[Rng], Any]] = {
    "mailer, rolled sides, lid with ears": mailer,
    "tray, rolled walls, tongues in slots": lock_tabs,
    "tray, hollow long walls": hollow_walls,
    "tray, front wall doubled": one_wall_doubled,
    "tray, one tab on each wall": wall_tabs_inside,
    "carton, auto bottom": auto_bottom,
    "carton, one end open": one_end,
    "carton, sealed below, open above": seal_one_end,
    "carton, display front torn off": display_front,
    "carton, square tucks, round window": arched_window_carton,
    "envelope box": envelope_box,
    "house with roof halves and gable tabs": house_crossed,
    "slice of cake with lid": slice_of_cake,
    "pyramid, fan with tuck base": pyramid_fan,
    "cup, walls in a fan": fan_cup,
    "tube closed by petals": petal_end,
    "three-sided carton, tucks": triangle_tuck,
    "trapezium carton, tucks": five_sided_prism_lids,
    "many-sided box and lid": sided_box_and_lid,
    "tray and lid": tray_and_lid,
    "slipcase, thumb cut": thumb_slipcase,
}
