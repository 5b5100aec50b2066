"""Kinds of tray, drawer and lidded box, each with what must come of it by plane arithmetic."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from cutprep.model.operation import Operation
from tests.kinds.draw import XY, Net, Rng, Stroke, Want, arc, size

Made = tuple[Net, Want]


def dimensions(rng: Rng) -> tuple[float, float, float]:
    """Length, width and height of a tray, the height below 0.45 of the width."""
    length, width = size(rng, 60, 220), size(rng, 50, 160)
    return length, width, min(size(rng, 12, 45), math.floor(0.9 * min(length, width)) / 2)


def cross(length: float, width: float, height: float) -> Net:
    """A base and four plain walls."""
    net = Net().rect(0, 0, length, width)
    net.rect(0, -height, length, 0).rect(0, width, length, width + height)
    return net.rect(-height, 0, 0, width).rect(length, 0, length + height, width)


def corners(length: float, width: float) -> list[tuple[float, float, float, float]]:
    """Corners of the base with the signs of the directions away from it."""
    return [(0, 0, -1, -1), (length, 0, 1, -1), (length, width, 1, 1), (0, width, -1, 1)]


def square_tabs(
    rng: Rng, ways: Callable[[int], str], sizes: tuple[float, float, float] | None = None
) -> Made:
    """A tray from its blank: each corner square slit along its horizontal or its vertical score."""
    length, width, height = sizes or dimensions(rng)
    net = cross(length, width, height)
    for k, (x, y, sx, sy) in enumerate(corners(length, width)):
        net.rect(x, y, x + sx * height, y + sy * height, role="glue")
        net.slit((x, y), (x + sx * height, y) if ways(k) == "h" else (x, y + sy * height))
    return net, net.want("open", length * width * height, (length, width, height))


def tabs_horizontal(rng: Rng) -> Made:
    return square_tabs(rng, lambda k: "h")


def tabs_vertical(rng: Rng) -> Made:
    return square_tabs(rng, lambda k: "v")


def tabs_lines_through(rng: Rng) -> Made:
    """The same with all four scores drawn from edge to edge, and the slits over them.

    A slit over a score can't be told from a score that was cut by mistake, so it does not count.
    """
    net, want = tabs_horizontal(rng)
    for slit in net.slits:
        net.extra.append(Stroke(np.array(slit, float), Operation.SCORE))
    return net, replace(want, doubt="a slit over a score may be a mistake")


def tabs_mixed(rng: Rng) -> Made:
    ways = ["hv"[int(v)] for v in rng.integers(0, 2, 4)]
    return square_tabs(rng, lambda k: ways[k])


def tabs_pinwheel(rng: Rng) -> Made:
    return square_tabs(rng, lambda k: "hvhv"[k])


def blank_of_the_fair(rng: Rng) -> Made:
    """A blank of 8 1/4 x 5 3/4 in with walls of 1 1/8 in, slit either way."""
    way = "hv"[int(rng.integers(0, 2))]
    wall = 28.575
    return square_tabs(rng, lambda k: way, (209.55 - 2 * wall, 146.05 - 2 * wall, wall))


def shallow_lid(rng: Rng) -> Made:
    way = "hv"[int(rng.integers(0, 2))]
    return square_tabs(rng, lambda k: way, (size(rng, 60, 160), size(rng, 50, 120), size(rng, 8, 14)))


def tapered_flaps(rng: Rng) -> Made:
    """Glue flaps that narrow, on the ends of two walls."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    reach, inset = min(height, width / 2) - 2, rng.uniform(1.0, 4.0)
    for x, y, sx, sy in corners(length, width):
        p, q = (x, y), (x, y + sy * height)
        net.flap(*((p, q) if sx * sy < 0 else (q, p)), reach, inset)
    return net, net.want("open", length * width * height, (length, width, height))


def straight_narrow_tabs(rng: Rng) -> Made:
    """Rectangular glue tabs, a little narrower than the wall, on two walls."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    reach, room = size(rng, 8, 14), rng.uniform(0.5, 1.5)
    reach = min(reach, width / 2 - 2)
    for x, y, sx, sy in corners(length, width):
        net.rect(x, y + sy * room, x + sx * reach, y + sy * (height - room), role="glue")
    return net, net.want("open", length * width * height, (length, width, height))


def bare_tray(rng: Rng) -> Made:
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    return net, net.want("open", length * width * height, (length, width, height))


def webbed_upright(rng: Rng) -> Made:
    """Corner squares left on, each with a diagonal score from the base's corner."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    for x, y, sx, sy in corners(length, width):
        a, b, far = (x + sx * height, y), (x, y + sy * height), (x + sx * height, y + sy * height)
        net.add((x, y), a, far, role="gusset").add((x, y), far, b, role="gusset")
    return net, net.want("open", length * width * height, (length, width, height))


def _flared(rng: Rng) -> tuple[float, float, float, float, float]:
    length, width = size(rng, 60, 160), size(rng, 50, 120)
    slant = size(rng, 20, 40)
    flare = rng.uniform(0.1, 0.35) * slant
    return length, width, slant, flare, math.sqrt(slant**2 - flare**2)


def prismatoid(length: float, width: float, flare: float, height: float) -> float:
    """Volume between two rectangles, the upper larger by `flare` all round."""
    low = length * width
    mid = (length + flare) * (width + flare)
    high = (length + 2 * flare) * (width + 2 * flare)
    return height / 6 * (low + 4 * mid + high)


def _leaning(length: float, width: float, slant: float, flare: float) -> Net:
    net = Net().rect(0, 0, length, width)
    net.flap((length, 0), (0, 0), slant, -flare, role="body").flap(
        (0, width), (length, width), slant, -flare, role="body"
    )
    return net.flap((0, 0), (0, width), slant, -flare, role="body").flap(
        (length, width), (length, 0), slant, -flare, role="body"
    )


def webbed_leaning(rng: Rng) -> Made:
    """Leaning walls with webbed corners."""
    length, width, slant, flare, height = _flared(rng)
    net = _leaning(length, width, slant, flare)
    for x, y, sx, sy in corners(length, width):
        a = (x + sx * slant, y + sy * flare)
        b = (x + sx * flare, y + sy * slant)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        net.add((x, y), a, middle, role="gusset").add((x, y), middle, b, role="gusset")
    rim = (length + 2 * flare, width + 2 * flare, height)
    return net, net.want("open", prismatoid(length, width, flare, height), rim)


def leaning_bare(rng: Rng) -> Made:
    length, width, slant, flare, height = _flared(rng)
    net = _leaning(length, width, slant, flare)
    return net, net.want(
        "open", prismatoid(length, width, flare, height), (length + 2 * flare, width + 2 * flare, height)
    )


def leaning_flaps(rng: Rng) -> Made:
    """Leaning walls; glue flaps on the slanted ends of two walls."""
    length, width, slant, flare, height = _flared(rng)
    net = _leaning(length, width, slant, flare)
    for x, y, sx, sy in corners(length, width):
        p, q = (x, y), (x + sx * flare, y + sy * slant)
        net.flap(*((p, q) if sx * sy < 0 else (q, p)), 9.0, 4.0)
    return net, net.want(
        "open", prismatoid(length, width, flare, height), (length + 2 * flare, width + 2 * flare, height)
    )


def regular(n: int, side: float, middle: XY = (0.0, 0.0), start: float = 0.0) -> list[XY]:
    """Corners of a regular polygon, counter-clockwise."""
    r = side / (2 * math.sin(math.pi / n))
    return [
        (
            middle[0] + r * math.cos(start + 2 * math.pi * k / n),
            middle[1] + r * math.sin(start + 2 * math.pi * k / n),
        )
        for k in range(n)
    ]


def area(n: int, side: float) -> float:
    """Area of a regular polygon."""
    return n * side**2 / (4 * math.tan(math.pi / n))


def many_sided(rng: Rng) -> Made:
    """A regular base of 3 to 10 sides with plain walls."""
    n = int(rng.integers(3, 11))
    side, wall = size(rng, 30, 60), size(rng, 12, 40)
    net = Net().add(*regular(n, side))
    base = regular(n, side)
    for k in range(n):
        net.flap(base[(k + 1) % n], base[k], wall, role="body")
    return net, net.want("open", area(n, side) * wall)


def many_sided_tabs(rng: Rng) -> Made:
    """A regular base of 4 to 8 sides, a glue flap at one end of every wall."""
    n = int(rng.integers(4, 9))
    side, wall = size(rng, 30, 60), size(rng, 15, 30)
    base = regular(n, side)
    net = Net().add(*base)
    reach = min(6.0, 0.3 * wall)
    room = 1.0 + reach * max(0.0, 1 / math.tan(2 * math.pi / n))  # the next wall stands close by
    for k in range(n):
        net.flap(base[(k + 1) % n], base[k], wall, role="body")
        q, p = net.panels[-1][1], net.panels[-1][2]
        net.flap(tuple(p), tuple(q), reach, 1.5, far=room)
    return net, net.want("open", area(n, side) * wall)


def bowl(rng: Rng) -> Made:
    """A regular base with leaning walls."""
    n = int(rng.integers(3, 9))
    side, slant = size(rng, 30, 60), size(rng, 15, 40)
    flare = rng.uniform(0.05, 0.3) * slant * math.tan(math.pi / n)
    base = regular(n, side)
    net = Net().add(*base)
    for k in range(n):
        net.flap(base[(k + 1) % n], base[k], slant, -flare, role="body")
    out = flare / math.tan(math.pi / n)
    height = math.sqrt(slant**2 - out**2)
    low, high = area(n, side), area(n, side + 2 * flare)
    return net, net.want("open", height / 3 * (low + high + math.sqrt(low * high)))


def tilted_rim(rng: Rng) -> Made:
    """Front wall low, back wall high, the rim a tilted plane."""
    length, width = size(rng, 60, 160), size(rng, 50, 120)
    low, high = size(rng, 15, 25), size(rng, 32, 60)
    net = Net().rect(0, 0, length, width).rect(0, -low, length, 0).rect(0, width, length, width + high)
    net.add((0, 0), (0, width), (-high, width), (-low, 0)).add(
        (length, 0), (length + low, 0), (length + high, width), (length, width)
    )
    return net, net.want("open", length * width * (low + high) / 2)


def rolled(rng: Rng, *, foot: float = 0.0, tabs: bool = True) -> Made:
    """Long walls turned in over tabs of the short walls; with a foot on the base, or without."""
    length, width = size(rng, 80, 180), size(rng, 70, 140)
    height = size(rng, 20, 32)
    net = cross(length, width, height)
    inner = height if foot else height - rng.uniform(0.5, 2.0)
    for y, s in ((0.0, -1), (width, 1)):
        top, end = y + s * height, y + s * (height + inner)
        net.rect(0, top, length, end, role="layer")
        if foot:
            net.flap(
                *(((0.0, end), (length, end)) if s > 0 else ((length, end), (0.0, end))),
                foot,
                2.0,
                role="layer",
            )
    if tabs:
        reach = min(size(rng, 12, 25), length / 2 - 3)
        for x, s in ((0.0, -1), (length, 1)):
            for y, t in ((0.0, -1), (width, 1)):
                net.rect(x + s * 1.0, y, x + s * (height - 1.0), y + t * reach, role="layer")
    return net, net.want("open", length * width * height, (length, width, height))


def rolled_plain(rng: Rng) -> Made:
    return rolled(rng)


def rolled_foot(rng: Rng) -> Made:
    return rolled(rng, foot=size(rng, 8, 15))


def rolled_without_tabs(rng: Rng) -> Made:
    return rolled(rng, tabs=False)


def rolled_all_round(rng: Rng) -> Made:
    """All four walls turned in; tabs of the short walls between the long walls' layers."""
    length, width = size(rng, 80, 180), size(rng, 70, 140)
    height = size(rng, 20, 30)
    net = cross(length, width, height)
    inner = height - 1.0
    for y, s in ((0.0, -1), (width, 1)):
        net.rect(0, y + s * height, length, y + s * (height + inner), role="layer")
    for x, s in ((0.0, -1), (length, 1)):
        net.rect(x + s * height, 1, x + s * (height + inner), width - 1, role="layer")
        for y, t in ((0.0, -1), (width, 1)):
            net.rect(x + s * 1.0, y, x + s * (height - 1.0), y + t * 14.0, role="layer")
    return net, net.want("open", length * width * height, (length, width, height))


def header(rng: Rng) -> Made:
    """A tray whose back wall rises above the rim in an arch, uncut from the wall."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    rise = rng.uniform(0.15, 0.3) * length
    top = arc((length, width + height), (0, width + height), -rise)
    net.panels[2] = Net().add((0, width), (length, width), *top).panels[0]
    for x, y, sx, sy in corners(length, width):
        p, q = (x, y), (x + sx * height, y)
        net.flap(*((q, p) if sx * sy < 0 else (p, q)), min(12.0, height - 1), 2.0)
    return net, net.want("open", length * width * height, (length, width, height))


def folded_header(rng: Rng) -> Made:
    """A display tray whose back wall is doubled: a panel above it is turned over and glued behind it."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    rise = size(rng, 20, 40)
    net.panels[2] = Net().rect(0, width, length, width + height + rise).panels[0]
    net.rect(0, width + height + rise, length, width + height + 2 * rise - 1, role="layer")
    for x, y, sx, sy in corners(length, width):
        p, q = (x, y), (x + sx * height, y)
        net.flap(*((q, p) if sx * sy < 0 else (p, q)), min(12.0, height - 1), 2.0)
    return net, net.want("open", length * width * height, (length, width, height))


def notched(rng: Rng) -> Made:
    """A tray with a thumb notch in the rim of one wall."""
    length, width, height = dimensions(rng)
    net = cross(length, width, height)
    mid, r = length / 2, min(8.0, 0.4 * height)
    bow = arc((mid + r, width + height), (mid - r, width + height), 0.8 * r)
    net.panels[2] = (
        Net().add((0, width), (length, width), (length, width + height), *bow, (0, width + height)).panels[0]
    )
    for x, y, sx, sy in corners(length, width):
        p, q = (x, y), (x, y + sy * height)
        net.flap(*((p, q) if sx * sy < 0 else (q, p)), min(height, width / 2) - 2, 2.0)
    return net, net.want("open", length * width * height, (length, width, height), loose=0.01)


def sorted_size(want: Want) -> tuple[float, float, float]:
    """The lengths that a tray was made with."""
    assert want.inside is not None
    return want.inside


def windowed(rng: Rng) -> Made:
    """A tray with square tabs, a window in its base and one in a wall."""
    net, want = tabs_horizontal(rng)
    length, width, height = sorted_size(want)
    net.window(
        (0.2 * length, 0.2 * width),
        (0.8 * length, 0.2 * width),
        (0.8 * length, 0.8 * width),
        (0.2 * length, 0.8 * width),
    )
    net.window(
        *arc((0.4 * length, -0.5 * height), (0.6 * length, -0.5 * height), 0.3 * height),
        *arc((0.6 * length, -0.5 * height), (0.4 * length, -0.5 * height), 0.3 * height)[1:-1],
    )
    return net, want


def hinged_lid(rng: Rng) -> Made:
    """A tray with its lid on the back wall; the lid's front and side lips go inside the walls."""
    length, width = size(rng, 60, 140), size(rng, 50, 100)
    height = size(rng, 18, 30)
    net = cross(length, width, height)
    for x, y, sx, sy in corners(length, width):
        p, q = (x, y), (x + sx * height, y)
        net.flap(*((q, p) if sx * sy < 0 else (p, q)), min(12.0, height - 1), 2.0)
    y0 = width + height
    net.rect(0, y0, length, y0 + width)
    lip = min(12.0, height - 3)
    net.flap((0, y0 + width), (length, y0 + width), lip, 2.0, role="tuck")
    return net, net.want("closed", length * width * height, (length, width, height))


def hinged_lid_lips(rng: Rng) -> Made:
    """The same with lips on three sides of the lid."""
    net, want = hinged_lid(rng)
    length, width, height = sorted_size(want)
    y0, lip = width + height, min(10.0, height - 4)
    net.flap((0, y0), (0, y0 + width), lip, 16.0, role="tuck", far=3.0)
    net.flap((length, y0 + width), (length, y0), lip, 3.0, role="tuck", far=16.0)
    return net, net.want("closed", length * width * height, (length, width, height))


def slipcase(rng: Rng) -> Made:
    """Two faces, three edges and glue flaps: a case that is open along one side."""
    width, height, depth = size(rng, 60, 120), size(rng, 80, 150), size(rng, 12, 30)
    net = (
        Net()
        .rect(0, 0, width, height)
        .rect(width, 0, width + depth, height)
        .rect(width + depth, 0, 2 * width + depth, height)
    )
    for y, s in ((0.0, -1), (height, 1)):
        net.rect(0, y, width, y + s * depth)
        tip = y + s * depth
        net.flap(*(((0.0, tip), (width, tip)) if s > 0 else ((width, tip), (0.0, tip))), 9.0, 3.0)
    return net, net.want("open", width * height * depth, (width, height, depth))


def matchbox_drawer(rng: Rng) -> Made:
    """A drawer whose short walls carry full-height tabs glued inside the long walls."""
    length, width, height = size(rng, 50, 90), size(rng, 32, 60), size(rng, 12, 20)
    net = cross(length, width, height)
    for x, s in ((0.0, -1), (length, 1)):
        for y, t in ((0.0, -1), (width, 1)):
            net.rect(x, y, x + s * height, y + t * 12.0, role="glue")
            net.slit((x, y), (x, y + t * 12.0))
    return net, net.want("open", length * width * height, (length, width, height))


TRAYS: dict[str, Callable[[Rng], Made]] = {
    "tray, square tabs slit across": tabs_horizontal,
    "tray, square tabs slit upright": tabs_vertical,
    "tray, square tabs, scores under the slits": tabs_lines_through,
    "tray, square tabs slit either way": tabs_mixed,
    "tray, square tabs slit in turn": tabs_pinwheel,
    "tray, blank of 8 1/4 x 5 3/4 in": blank_of_the_fair,
    "lid, shallow, square tabs": shallow_lid,
    "tray, narrowing glue flaps": tapered_flaps,
    "tray, straight narrow tabs": straight_narrow_tabs,
    "tray, no flaps": bare_tray,
    "tray, webbed, upright": webbed_upright,
    "tray, webbed, leaning": webbed_leaning,
    "tray, leaning, no flaps": leaning_bare,
    "tray, leaning, glue flaps": leaning_flaps,
    "tray, many-sided": many_sided,
    "tray, many-sided, glue flaps": many_sided_tabs,
    "bowl, many-sided": bowl,
    "tray, tilted rim": tilted_rim,
    "drawer, rolled walls": rolled_plain,
    "drawer, rolled walls with foot": rolled_foot,
    "drawer, rolled walls, no tabs": rolled_without_tabs,
    "drawer, rolled all round": rolled_all_round,
    "tray, arched header": header,
    "tray, header turned over": folded_header,
    "tray, thumb notch": notched,
    "tray, windows": windowed,
    "box with hinged lid and tuck": hinged_lid,
    "box with hinged lid and three lips": hinged_lid_lips,
    "slipcase": slipcase,
    "drawer, glued tabs on short walls": matchbox_drawer,
}
