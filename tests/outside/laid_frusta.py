"""Nets of cups, treat boxes and stars, laid with shapely from the corners of the body that they become.

Corners of regular polygons lie on circles (Euclid, Elements IV), so a wall of a frustum is the quadrilateral between two
corners below and two above, laid flat by its sides and diagonal (Euclid I.22; the frustum: Weisstein, "Pyramidal Frustum",
MathWorld, from memory). How far flaps are drawn in and how round petals are is the templates' own choice (common practice, no published
source).
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import shapely
from shapely import Polygon, affinity, box

from cutprep.template.dimensions import Values
from tests.outside.laid_boxes import LEAN, Net, ngon, slant_of, wing

#: What keeps neighbours apart, radians.
CLEAR = math.radians(2)


def corner(n: int, across: float, k: int, z: float) -> np.ndarray:
    """A corner of a regular polygon whose inside radius is half of something, at a height."""
    turn, far = 2 * math.pi * k / n, across / 2 / math.cos(math.pi / n)
    return np.array([far * math.cos(turn), far * math.sin(turn), z])


def wall_of(d: Values, rise: float) -> Polygon:
    """A wall of the frustum from `base` to `width`, its lower side from (0, 0) on; `rise` calipers are added to the height."""
    n, t = int(d["sides"]), d["caliper"]
    a, b = (corner(n, d["base"] + t, k, 0.0) for k in (0, 1))
    q, p = (corner(n, d["width"] + t, k, d["height"] + rise * t) for k in (0, 1))
    low = math.dist(a, b)

    def flat(point: np.ndarray) -> tuple[float, float]:
        """Where a point at these distances from both ends of the lower side lies."""
        one, two = math.dist(a, point), math.dist(b, point)
        x = (one**2 - two**2 + low**2) / (2 * low)
        return x, math.sqrt(one**2 - x**2)

    return Polygon([(0, 0), (low, 0), flat(p), flat(q)])


def fan_of(d: Values, rise: float) -> tuple[Net, float, float]:
    """Walls apart from one another, the last a caliper less along its slanting edge; length of that, and half the angle of a wall."""
    n, t, wall = int(d["sides"]), d["caliper"], wall_of(d, rise)
    (_, b, p, q, _) = shapely.get_coordinates(wall)
    edge, half = math.dist(b, p), math.atan2(p[0] - b[0], p[1])
    strip = shapely.LineString([b + 2 * (b - p), p + 2 * (p - b)]).buffer(
        t, cap_style="flat", single_sided=True
    )
    walls = [affinity.translate(wall, k * 2 * math.dist(q, p), 0) for k in range(n - 1)]
    return [*walls, affinity.translate(wall - strip, -4 * math.dist(q, p), 0)], edge, half


def cup(d: Values) -> Net:
    n, flap, seam = int(d["sides"]), d["flap"], d["seam"]
    walls, edge, half = fan_of(d, 0.5)
    lean = slant_of(n) - 2 * half
    side = (d["base"] + d["caliper"]) * math.tan(math.pi / n)
    base = ngon((0, 0), (side, 0), n)
    hung = [wing(p, q, flap, flap / math.tan(lean)) for p, q in pairwise(base)]
    low = seam * max(LEAN, math.tan(lean - half + CLEAR))
    whole = [Polygon(base), *hung, wing((0, 900), (0, 900 + edge), seam, low, LEAN * seam)]
    return [*walls, *(affinity.translate(one, 0, -500) for one in whole)]


def petal(side: float, depth: float, lean: float) -> Polygon:
    """A flap whose outer corners are as round as there is room: drawn deeper, opened by a circle (shapely), and cut at its fold."""
    drawn = depth * math.tan(lean)
    room = min(depth / math.cos(lean), side / 2 - drawn)
    radius = room * math.tan((math.pi / 2 + lean) / 2)
    foot = 9 * drawn
    deep = Polygon([(-foot, -9 * depth), (side + foot, -9 * depth), (side - drawn, depth), (drawn, depth)])
    return deep.buffer(-radius).buffer(radius, quad_segs=4000) & box(-side, 0, 2 * side, depth + 1)


def treat_box(d: Values) -> Net:
    n, t, seam = int(d["sides"]), d["caliper"], d["seam"]
    walls, edge, half = fan_of(d, 1.0)
    inward = max(0.0, math.pi / 2 - math.pi * (n - 2) / n) + CLEAR
    deep = (d["base"] + t) / 2 + d["overlap"]
    drawn = deep * math.tan(max(inward, half + 2 * CLEAR))
    net = [*walls, wing((0, 900), (0, 900 + edge), seam, LEAN * seam)]
    for k, wall in enumerate(walls):
        (below, above) = (max(s) - min(s) for s in levels(wall))
        net.append(affinity.translate(wing((0, 0), (below, 0), deep, drawn), 500 * k, -500))
        net.append(affinity.translate(petal(above, d["petal"], inward), 500 * k, 1500))
    return net


def levels(wall: Polygon) -> tuple[list[float], list[float]]:
    """Where the corners on the lower and on the upper side of a wall lie along them."""
    xy = shapely.get_coordinates(wall)
    low, high = xy[:, 1].min(), xy[:, 1].max()
    return [x for x, y in xy if y < low + 1e-9], [x for x, y in xy if y > high - 1e-9]


def star(d: Values) -> list[Net]:
    """Box and lid: a star grown all round by shapely's mitred buffer, a wall for each side, flaps on all sides but two."""
    n, t, flap, seam = int(d["points"]), d["caliper"], d["flap"], d["seam"]
    radii = np.where(np.arange(2 * n) % 2, d["radius"], d["radius"] * d["waist"] / 100)
    spots = radii * np.exp(1j * np.pi * np.arange(2 * n) / n)
    found = []
    for more, inside in ((0.0, d["height"]), (2 * t + d["play"], d["lid"])):
        plain = Polygon(np.column_stack((spots.real, spots.imag)))
        base = plain.buffer(t / 2 + more, join_style="mitre", mitre_limit=50)
        ring = [
            complex(x, y) for x, y in shapely.get_coordinates(shapely.orient_polygons(base).exterior)[:-1]
        ]
        mean = sum(map(abs, ring)) / len(ring)
        if abs(ring[0]) > mean:
            ring = [*ring[1:], ring[0]]  # an inner corner first
        notch = abs(np.angle((ring[1] - ring[0]) / (ring[-1] - ring[0])))
        far, near = flap / math.tan(notch / 2 - CLEAR), 0.6 * flap
        flaps = [
            wing((p.real, p.imag), (q.real, q.imag), flap, *((near, far) if k % 2 == 0 else (far, near)))
            for k, (p, q) in enumerate(pairwise(ring[1:]))
        ]
        side, high = abs(ring[1] - ring[0]), inside + t / 2
        walls = [box(0, 0, 2 * n * side, high), wing((0, high), (0, 0), seam, LEAN * seam)]
        found.append([base, *flaps, *(affinity.translate(one, 0, 1000) for one in walls)])
    return found
