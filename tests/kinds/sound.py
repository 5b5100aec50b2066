"""Sound templates for planting faults into, and whole nets that are wrong."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.kinds.cartons import dust, lid, starts, tube
from tests.kinds.draw import Net
from tests.kinds.trays import corners, cross, regular
from tests.kinds.tubes import prism

L, W, H = 150.0, 90.0, 30.0  # tray
A, D, T = 60.0, 30.0, 90.0  # carton
X = starts(A, D)
SIDE, TALL = 40.0, 90.0  # hexagonal box


def tray(
    *, far: float = H, reach: float = 26.0, skip: Sequence[int] = (), deep: dict[int, float] | None = None
) -> Net:
    """A tray with narrowing flaps on its long walls; `far` is the height of the upper wall."""
    net = Net().rect(0, 0, L, W).rect(0, -H, L, 0).rect(0, W, L, W + far)
    net.rect(-H, 0, 0, W).rect(L, 0, L + H, W)
    for k, (x, y, sx, sy) in enumerate(corners(L, W)):
        if k in skip:
            continue
        p, q = (x, y), (x, y + sy * (H if sy < 0 else far))
        net.flap(*((p, q) if sx * sy < 0 else (q, p)), (deep or {}).get(k, reach), 3.0)
    return net


def square_tray(height: float = H) -> Net:
    """A tray with square tabs slit along the horizontal scores; one short wall may be lower."""
    net = cross(L, W, H)
    net.panels[3] = Net().rect(-height, 0, 0, W).panels[0]
    for x, y, sx, sy in corners(L, W):
        net.rect(x, y, x + sx * H, y + sy * H, role="glue").slit((x, y), (x + sx * H, y))
    return net


def carton(
    *,
    glue: float = 10.0,
    upper: float = D,
    dusts: float = 18.0,
    last: float = D,
    walls: Sequence[float] = (A, D, A, D),
) -> Net:
    """A reverse-tuck carton."""
    widths = [*walls[:-1], last if len(walls) == 4 else walls[-1]]
    net = tube(widths, T, glue)
    x = [0.0, *np.cumsum(widths).tolist()]
    lid(net, x[0], x[1], T, 1, upper, 14.0)
    if len(walls) > 3:
        lid(net, x[2], x[3], 0.0, -1, D, 14.0)
    for y, up in ((T, 1), (0.0, -1)):
        for k in (1, 3):
            if k < len(walls):
                dust(net, x[k], x[k + 1], y, up, dusts)
    return net


def hexagon(n: int = 6, *, glue: float = 9.0, narrow: float = 0.0, cap: float = SIDE) -> Net:
    """A hexagonal box; a wall may be narrow, the ends too large, or the number of walls wrong."""
    net = prism(regular(6, SIDE), TALL, 2, glue=glue) if n == 6 and not narrow and cap == SIDE else Net()
    if net.panels:
        return net
    widths = [SIDE] * n
    widths[4] -= narrow
    net = tube(widths, TALL, glue, right=True)
    x = [0.0, *np.cumsum(widths).tolist()]
    sound = prism(regular(6, SIDE), TALL, 2, glue=glue)
    hexagons = [r for r, role in zip(sound.panels, sound.roles, strict=True) if role == "closure"]
    for ring in hexagons:
        base = np.array([x[2] + SIDE / 2, TALL if ring[:, 1].max() > TALL else 0.0])
        net.panels.append(
            base + (ring - base) * np.array([1.0, 1.0]) if cap == SIDE else _grown(ring, base, cap / SIDE)
        )
        net.roles.append("closure")
    for y, up in ((TALL, 1), (0.0, -1)):
        for k in (0, 4, 5):
            if k < n:
                dust(net, x[k], x[k + 1], y, up, 7.0, 6.0)
    return net


def _grown(ring: np.ndarray, base: np.ndarray, share: float) -> np.ndarray:
    """An end polygon grown away from its hinge: the hinge stays, the rest is too large."""
    on = np.abs(ring[:, 1] - base[1]) < 1e-6
    return np.where(on[:, None], ring, base + (ring - base) * share)


def slip() -> Net:
    """A slipcase with glue flaps."""
    net = Net().rect(0, 0, 80, 110).rect(80, 0, 100, 110).rect(100, 0, 180, 110)
    net.rect(0, 110, 80, 130).rect(0, -20, 80, 0)
    return net.flap((0, 130), (80, 130), 9.0, 3.0).flap((80, -20), (0, -20), 9.0, 3.0)


def webbed(shift: float = 0.0) -> Net:
    """A webbed tray; the middle score of one corner may be off at the outline."""
    net = cross(L, W, H)
    for k, (x, y, sx, sy) in enumerate(corners(L, W)):
        far = (x + sx * H, y + sy * H)
        if k == 2 and shift:
            tip = (far[0] - shift, far[1])
            net.add((x, y), (x + sx * H, y), far, tip, role="gusset").add(
                (x, y), tip, (x, y + sy * H), role="gusset"
            )
        else:
            net.add((x, y), (x + sx * H, y), far, role="gusset").add(
                (x, y), far, (x, y + sy * H), role="gusset"
            )
    return net


def slip_bare() -> Net:
    net = slip()
    del net.panels[5], net.roles[5]
    return net


def rim_flap() -> Net:
    return tray(skip=(0,)).flap((-H, 0), (-H, W), 12.0, 4.0)


def two_flaps() -> Net:
    return tray(deep={0: 8.0}).flap((0, 0), (-H, 0), 8.0, 9.0, far=3.0)


def no_wall() -> Net:
    net = tray()
    del net.panels[3], net.roles[3]
    return net


def wrong_lid() -> Net:
    net = tube((A, D, A, D), T)
    lid(net, X[1], X[2], T, 1, D, 14.0)
    lid(net, X[2], X[3], 0.0, -1, D, 14.0)
    for y, up in ((T, 1), (0.0, -1)):
        dust(net, X[3], X[4], y, up, 18.0)
    dust(net, X[1], X[2], 0.0, -1, 18.0)
    return net
