"""Kinds of carton, tube and sleeve, each with what must come of it by plane arithmetic."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from tests.kinds.draw import Net, Rng, Want, arc, size
from tests.kinds.trays import Made


def tube(
    widths: Sequence[float], height: float, glue: float = 10.0, right: bool = False, taper: float = 3.0
) -> Net:
    """Walls side by side from x = 0, and a glue flap at one end (none with glue = 0)."""
    net, x = Net(), 0.0
    for width in widths:
        net.rect(x, 0, x + width, height)
        x += width
    if glue:
        net.flap(*(((x, height), (x, 0.0)) if right else ((0.0, 0.0), (0.0, height))), glue, taper)
    return net


def lid(
    net: Net, x0: float, x1: float, y: float, up: int, depth: float, tuck: float, taper: float = 3.0
) -> None:
    """Lay a lid with its tuck flap above (up = 1) or below a wall."""
    tip = y + up * depth
    net.rect(x0, y, x1, tip, role="closure")
    net.flap(*(((x0, tip), (x1, tip)) if up > 0 else ((x1, tip), (x0, tip))), tuck, taper, role="tuck")


def dust(net: Net, x0: float, x1: float, y: float, up: int, depth: float, taper: float = 3.0) -> None:
    """Lay a dust flap on a wall's end."""
    net.flap(*(((x0, y), (x1, y)) if up > 0 else ((x1, y), (x0, y))), depth, taper, role="dust")


def carton_size(rng: Rng) -> tuple[float, float, float]:
    width, depth, height = size(rng, 40, 90), size(rng, 20, 38), size(rng, 50, 140)
    return width, depth, height


def starts(width: float, depth: float) -> list[float]:
    """Left ends of the four walls, and the right end of the last."""
    return [0.0, width, width + depth, 2 * width + depth, 2 * (width + depth)]


def tuck_end(rng: Rng, top: int, bottom: int | None) -> tuple[Net, float, float, float]:
    """Four walls, lids on walls `top` and `bottom`, dust flaps beside them."""
    width, depth, height = carton_size(rng)
    x = starts(width, depth)
    net = tube((width, depth, width, depth), height)
    tuck = min(size(rng, 10, 16), 0.6 * depth)
    for y, up, at in ((height, 1, top), (0.0, -1, bottom)):
        if at is None:
            continue
        lid(net, x[at], x[at + 1], y, up, depth, tuck)
        for k in (1, 3):
            dust(net, x[k], x[k + 1], y, up, min(0.6 * depth, width / 2 - 2))
    return net, width, depth, height


def straight_tuck(rng: Rng) -> Made:
    net, w, d, h = tuck_end(rng, 0, 0)
    return net, net.want("closed", w * d * h, (w, d, h))


def reverse_tuck(rng: Rng) -> Made:
    net, w, d, h = tuck_end(rng, 0, 2)
    return net, net.want("closed", w * d * h, (w, d, h))


def square_tuck(rng: Rng) -> Made:
    """Tuck and dust flaps that don't narrow: plain rectangles."""
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = tube((w, d, w, d), h, taper=0.0)
    for y, up, at in ((h, 1, 0), (0.0, -1, 2)):
        lid(net, x[at], x[at + 1], y, up, d, 0.5 * d, 0.0)
        for k in (1, 3):
            net.rect(x[k] + 1, y, x[k + 1] - 1, y + up * min(0.6 * d, w / 2 - 2), role="dust")
    return net, net.want("closed", w * d * h, (w, d, h))


def seal_end(rng: Rng, second: float, minor: float) -> Made:
    """Closing flaps on all walls at both ends: the first as deep as the end, the third `second` of it."""
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = tube((w, d, w, d), h)
    for y, up in ((h, 1), (0.0, -1)):
        for k, deep in ((0, d if second != 0.5 else d / 2), (2, second * d), (1, minor), (3, minor)):
            reach = min(deep, w / 2) if k % 2 else deep
            room = 0.0 if k == 0 else 1.0
            net.rect(x[k] + room, y, x[k + 1] - room, y + up * reach, role="closure")
    return net, net.want("closed", w * d * h, (w, d, h))


def seal_full(rng: Rng) -> Made:
    return seal_end(rng, 1.0, size(rng, 14, 25))


def seal_part(rng: Rng) -> Made:
    return seal_end(rng, rng.uniform(0.55, 0.9), size(rng, 12, 20))


def seal_meeting(rng: Rng) -> Made:
    """Outer flaps that meet in the middle (FEFCO 0201)."""
    return seal_end(rng, 0.5, size(rng, 10, 18))


def seal_and_tuck(rng: Rng) -> Made:
    """Tuck lid above, four glued flaps below."""
    net, w, d, h = tuck_end(rng, 0, None)
    x = starts(w, d)
    for k, deep in ((0, d), (2, 0.8 * d), (1, 0.4 * w), (3, 0.4 * w)):
        net.rect(x[k] + 0.5, 0, x[k + 1] - 0.5, -deep, role="closure")
    return net, net.want("closed", w * d * h, (w, d, h))


def snap_lock(rng: Rng) -> Made:
    """Bottom of four flaps that hook into one another, tuck lid above."""
    net, w, d, h = tuck_end(rng, 0, None)
    x = starts(w, d)
    net.add(
        (x[0], 0),
        (x[0] + 1, -0.6 * d),
        (x[0] + 0.25 * w, -0.6 * d),
        (x[0] + 0.3 * w, -0.45 * d),
        (x[0] + 0.7 * w, -0.45 * d),
        (x[0] + 0.75 * w, -0.6 * d),
        (x[1] - 1, -0.6 * d),
        (x[1], 0),
        role="closure",
    )
    net.add(
        (x[2], 0),
        (x[2] + 0.08 * w, -0.5 * d),
        (x[2] + 0.3 * w, -0.5 * d),
        (x[2] + 0.32 * w, -0.8 * d),
        (x[2] + 0.68 * w, -0.8 * d),
        (x[2] + 0.7 * w, -0.5 * d),
        (x[3] - 0.08 * w, -0.5 * d),
        (x[3], 0),
        role="closure",
    )
    for k, flip in ((1, False), (3, True)):
        ring = [(0.0, 0.0), (2.0, -0.4 * w), (0.5 * d, -0.4 * w), (d - 1, -0.2 * w), (d, 0.0)]
        points = [(x[k] + (d - a if flip else a), b) for a, b in ring]
        net.add(*points, role="closure")
    return net, net.want("closed", w * d * h, (w, d, h))


def tear_line(rng: Rng) -> Made:
    """A perforation round a tuck-end carton, across all walls and the glue flap."""
    w, d, h = carton_size(rng)
    at = rng.uniform(0.55, 0.75) * h
    x = starts(w, d)
    net = Net()
    for k, width in enumerate((w, d, w, d)):
        net.rect(x[k], 0, x[k] + width, at).rect(x[k], at, x[k] + width, h)
    net.add((0, 0), (0, at), (-10, at), (-10, 3), role="glue").add(
        (0, at), (0, h), (-10, h - 3), (-10, at), role="glue"
    )
    if rng.random() < 0.7:
        net.tears.append(((-10.0, at), (x[4], at)))
    for y, up, place in ((h, 1, 0), (0.0, -1, 2)):
        lid(net, x[place], x[place + 1], y, up, d, 0.5 * d)
        for k in (1, 3):
            dust(net, x[k], x[k + 1], y, up, 0.5 * d)
    return net, net.want("closed", w * d * h, (w, d, h))


def tear_corner(rng: Rng) -> Made:
    """A decorative score across one wall of a tuck-end carton, from side to side."""
    w, d, h = carton_size(rng)
    x = starts(w, d)
    low, high = 0.3 * h, rng.uniform(0.4, 0.7) * h
    net = tube((w, d, w, d), h)
    net.panels[2] = Net().add((x[2], 0), (x[3], 0), (x[3], high), (x[2], low)).panels[0]
    net.add((x[2], low), (x[3], high), (x[3], h), (x[2], h))
    for y, up, place in ((h, 1, 0), (0.0, -1, 0)):
        lid(net, x[place], x[place + 1], y, up, d, 0.5 * d)
        for k in (1, 3):
            dust(net, x[k], x[k + 1], y, up, 0.5 * d)
    return net, net.want("closed", w * d * h, (w, d, h))


def domed(rng: Rng) -> Made:
    """A tuck-end carton; the upper tuck flap hangs on a bowed score."""
    net, w, d, h = tuck_end(rng, 0, 2)
    bow = rng.uniform(0.6, 1.5)
    curve = arc((w, h + d), (0, h + d), -bow)
    k = next(k for k, r in enumerate(net.roles) if r == "closure")
    tip = net.panels[k + 1]
    net.panels[k] = Net().add((0, h), (w, h), *curve).panels[0]
    net.panels[k + 1] = (
        Net().add(*curve[::-1], (w - 3, float(tip[:, 1].max())), (3, float(tip[:, 1].max()))).panels[0]
    )
    return net, net.want("closed", w * d * h, (w, d, h), loose=0.05)


def round_tuck(rng: Rng) -> Made:
    """A tuck-end carton with round tuck flaps on straight scores."""
    w, d, h = carton_size(rng)
    x = starts(w, d)
    net = tube((w, d, w, d), h)
    for y, up, place in ((h, 1, 0), (0.0, -1, 2)):
        tip = y + up * d
        net.rect(x[place], y, x[place + 1], tip, role="closure")
        a, b = (x[place], tip), (x[place + 1], tip)
        bow = arc(a, b, up * min(0.5 * d, 0.3 * w))
        net.add(*bow, role="tuck")
        for k in (1, 3):
            dust(net, x[k], x[k + 1], y, up, 0.5 * d)
    return net, net.want("closed", w * d * h, (w, d, h))


def windowed(rng: Rng) -> Made:
    """A tuck-end carton with a window in its front, and one round the corner."""
    net, w, d, h = tuck_end(rng, 0, 2)
    x = starts(w, d)
    net.window(
        (x[2] + 0.2 * w, 0.2 * h),
        (x[2] + 0.8 * w, 0.2 * h),
        (x[2] + 0.8 * w, 0.6 * h),
        (x[2] + 0.2 * w, 0.6 * h),
    )
    return net, net.want("closed", w * d * h, (w, d, h))


def corner_window(rng: Rng) -> Made:
    """A tuck-end carton with a window across the score between two walls."""
    net, w, d, h = tuck_end(rng, 0, 0)
    x = starts(w, d)
    y0, y1 = 0.3 * h, 0.6 * h
    a, b = 0.3 * d, 0.3 * w
    net.panels[1] = np.array(
        [(x[1], 0), (x[2], 0), (x[2], y0), (x[2] - a, y0), (x[2] - a, y1), (x[2], y1), (x[2], h), (x[1], h)]
    )
    net.panels[2] = np.array(
        [(x[2], 0), (x[3], 0), (x[3], h), (x[2], h), (x[2], y1), (x[2] + b, y1), (x[2] + b, y0), (x[2], y0)]
    )
    return net, net.want("closed", w * d * h, (w, d, h))


def hang_tab(rng: Rng) -> Made:
    """A tuck-end carton whose back wall rises above the lid with a hole to hang it by."""
    net, w, d, h = tuck_end(rng, 0, 0)
    x = starts(w, d)
    rise = size(rng, 15, 30)
    net.panels[2] = np.array(
        [(x[2], 0), (x[3], 0), (x[3], h), (x[3] - 5, h + rise), (x[2] + 5, h + rise), (x[2], h)]
    )
    mid, y = (x[2] + x[3]) / 2, h + 0.6 * rise
    net.window(*arc((mid - 3, y), (mid + 3, y), 3), *arc((mid + 3, y), (mid - 3, y), 3)[1:-1])
    return net, net.want("closed", w * d * h, (w, d, h))


def fifth_panel(rng: Rng) -> Made:
    """The same with the rise doubled: a panel above it is turned over behind it."""
    net, w, d, h = tuck_end(rng, 0, 0)
    x = starts(w, d)
    rise = size(rng, 15, 25)
    net.panels[2] = np.array([(x[2], 0), (x[3], 0), (x[3], h + rise), (x[2], h + rise)])
    net.rect(x[2] + 1, h + rise, x[3] - 1, h + 2 * rise - 1, role="layer")
    return net, net.want("closed", w * d * h, (w, d, h))


CARTONS: dict[str, Callable[[Rng], tuple[Net, Want] | tuple[Net, tuple[Want, ...]]]] = {
    "carton, straight tuck": straight_tuck,
    "carton, reverse tuck": reverse_tuck,
    "carton, square flaps": square_tuck,
    "carton, round tuck flaps": round_tuck,
    "carton, bowed tuck score": domed,
    "carton, sealed, full flaps": seal_full,
    "carton, sealed, part overlap": seal_part,
    "carton, sealed, flaps meet": seal_meeting,
    "carton, tuck above, sealed below": seal_and_tuck,
    "carton, snap-lock bottom": snap_lock,
    "carton, tear line": tear_line,
    "carton, slanted score on a wall": tear_corner,
    "carton, window": windowed,
    "carton, window over a corner": corner_window,
    "carton, hang tab": hang_tab,
    "carton, hang tab doubled": fifth_panel,
}
