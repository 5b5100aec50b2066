"""Nets of solids: corners in space by closed forms, volume by the divergence theorem over their faces."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np
from scipy.spatial import ConvexHull

from tests.kinds.draw import Net, Rng, Want, size
from tests.nets import dual_edges, hang, unfold

Solid = tuple[np.ndarray, list[list[int]]]
PHI = (1 + math.sqrt(5)) / 2


def hull(points: Sequence[Sequence[float]] | np.ndarray) -> Solid:
    """Faces of a convex solid, counter-clockwise seen from outside; coplanar triangles merged."""
    v = np.array(points, float)
    found = ConvexHull(v)
    planes: dict[tuple[int, ...], set[int]] = {}
    scale = float(np.ptp(v, axis=0).max())
    normals: list[np.ndarray] = []
    for row, simplex in zip(found.equations, found.simplices, strict=True):
        unit = np.append(row[:3], row[3] / scale)
        k = next((i for i, n in enumerate(normals) if np.abs(n - unit).max() < 1e-6), len(normals))
        if k == len(normals):
            normals.append(unit)
        planes.setdefault((k,), set()).update(int(i) for i in simplex)
    faces = []
    for (k,), ids in planes.items():
        order = sorted(ids)
        centre = v[order].mean(axis=0)
        u = v[order[0]] - centre
        w = np.cross(normals[k][:3], u)
        faces.append(sorted(order, key=lambda i: math.atan2((v[i] - centre) @ w, (v[i] - centre) @ u)))
    return v, faces


def volume(solid: Solid) -> float:
    """Enclosed volume: a sixth of the triple products over fans of all faces."""
    v, faces = solid
    total = 0.0
    for f in faces:
        for a, b in pairwise(f[1:]):
            total += float(v[f[0]] @ np.cross(v[a], v[b]))
    return total / 6


def _shortest(v: np.ndarray) -> float:
    far = np.linalg.norm(v[:, None] - v[None], axis=2)
    return float(far[far > 1e-9].min())


def net_of(solid: Solid, rng: Rng, flaps: bool = False) -> Net | None:
    """Unfold along a tree by lot; None when twenty trees overlap themselves."""
    v, faces = solid
    edges = dual_edges(faces)
    for _ in range(20):
        weight = rng.random(len(edges))
        group, tree = list(range(len(faces))), []
        for k in np.argsort(weight):
            a, b = edges[k]
            if group[a] != group[b]:
                old, new = group[b], group[a]
                group = [new if g == old else g for g in group]
                tree.append((a, b))
        net = Net()
        for ring in unfold(v, faces, hang(tree)):
            net.add(*ring)
        if not net.overlaps():
            if flaps:
                _flaps(net, solid, tree)
            return net
    return None


def _flaps(net: Net, solid: Solid, tree: list[tuple[int, int]]) -> None:
    """Lay a glue flap on one of the two sides of each seam, where it has room."""
    faces = solid[1]
    order = [hang(tree)[0][0], *(child for _, child in hang(tree))]
    joined = {frozenset(e) for e in tree}
    for a, b in dual_edges(faces):
        if frozenset((a, b)) in joined:
            continue
        for face, other in ((a, b), (b, a)):
            ids = faces[face][::-1]
            ring = net.panels[order.index(face)]
            pair = set(faces[face]) & set(faces[other])
            k = next(k for k in range(len(ids)) if {ids[k], ids[(k + 1) % len(ids)]} == pair)
            p, q = ring[k], ring[(k + 1) % len(ring)]
            length = float(np.hypot(*(q - p)))
            trial = Net(list(net.panels), list(net.roles)).flap(
                tuple(q), tuple(p), min(5.0, 0.2 * length), 0.32 * length
            )
            if not trial.overlaps():
                net.panels, net.roles = trial.panels, trial.roles
                break


def _made(solid: Solid, rng: Rng, flaps: bool = False) -> tuple[Net, Want] | None:
    net = net_of(solid, rng, flaps)
    return None if net is None else (net, net.want("closed", volume(solid)))


def _ring(n: int, r: float, z: float, start: float = 0.0) -> list[tuple[float, float, float]]:
    return [
        (r * math.cos(start + 2 * math.pi * k / n), r * math.sin(start + 2 * math.pi * k / n), z)
        for k in range(n)
    ]


def _even(values: Sequence[float]) -> list[tuple[float, float, float]]:
    """All cyclic orders of three values with all signs."""
    found = set()
    for k in range(3):
        x, y, z = values[k % 3], values[(k + 1) % 3], values[(k + 2) % 3]
        found |= {(a * x, b * y, c * z) for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)}
    return sorted(found)


def _every(values: Sequence[float]) -> list[tuple[float, float, float]]:
    """All orders of three values with all signs."""
    return sorted(set(_even(values)) | set(_even(values[::-1])))


#: Corners of the regular and semi-regular solids (closed forms), edge length not 1.
KNOWN: dict[str, Callable[[], list[tuple[float, float, float]]]] = {
    "tetrahedron": lambda: [(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)],
    "cube": lambda: _every((1, 1, 1)),
    "octahedron": lambda: _every((1, 0, 0)),
    "dodecahedron": lambda: _every((1, 1, 1)) + _even((0, 1 / PHI, PHI)),
    "icosahedron": lambda: _even((0, 1, PHI)),
    "truncated tetrahedron": lambda: [p for p in _every((1, 1, 3)) if p[0] * p[1] * p[2] > 0],
    "cuboctahedron": lambda: _every((1, 1, 0)),
    "truncated cube": lambda: _every((math.sqrt(2) - 1, 1, 1)),
    "truncated octahedron": lambda: _every((0, 1, 2)),
    "rhombicuboctahedron": lambda: _every((1, 1, 1 + math.sqrt(2))),
    "truncated cuboctahedron": lambda: _every((1, 1 + math.sqrt(2), 1 + 2 * math.sqrt(2))),
    "icosidodecahedron": lambda: _even((0, 0, 2 * PHI)) + _even((1, PHI, PHI**2)),
    "truncated icosahedron": lambda: _even((0, 1, 3 * PHI)) + _even((1, 2 + PHI, 2 * PHI)) + _even((PHI, 2, PHI**3)),
    "truncated dodecahedron": lambda: _even((0, 1 / PHI, 2 + PHI)) + _even((1 / PHI, PHI, 2 * PHI)) + _even((PHI, 2, PHI + 1)),
    "rhombic dodecahedron": lambda: _every((1, 1, 1)) + _every((2, 0, 0)),
}  # fmt: skip


def known(names: Sequence[str], flaps: bool = False) -> Callable[[Rng], tuple[Net, Want] | None]:
    """One of some solids, its edge by lot."""

    def make(rng: Rng) -> tuple[Net, Want] | None:
        v = np.array(KNOWN[names[int(rng.integers(0, len(names)))]](), float)
        edge = size(rng, 22, 45)
        return _made(hull(v * (edge / _shortest(v))), rng, flaps)

    return make


def _of_rings(
    make: Callable[[Rng, int, float], list[tuple[float, float, float]]], low: int = 3, high: int = 9
) -> Callable[[Rng], tuple[Net, Want] | None]:
    def kind(rng: Rng) -> tuple[Net, Want] | None:
        n = int(rng.integers(low, high))
        r = size(rng, 25, 45)
        return _made(hull(make(rng, n, r)), rng)

    return kind


def pyramid(rng: Rng, n: int, r: float) -> list[tuple[float, float, float]]:
    return [*_ring(n, r, 0), (0.0, 0.0, size(rng, 25, 90))]


def frustum(rng: Rng, n: int, r: float) -> list[tuple[float, float, float]]:
    return _ring(n, r, 0) + _ring(n, rng.uniform(0.4, 0.85) * r, size(rng, 20, 80))


def antiprism(rng: Rng, n: int, r: float) -> list[tuple[float, float, float]]:
    return _ring(n, r, 0) + _ring(n, r, size(rng, 25, 60), math.pi / n)


def bipyramid(rng: Rng, n: int, r: float) -> list[tuple[float, float, float]]:
    return [*_ring(n, r, 0), (0.0, 0.0, size(rng, 25, 70)), (0.0, 0.0, -size(rng, 25, 70))]


def obelisk(rng: Rng, n: int, r: float) -> list[tuple[float, float, float]]:
    h = size(rng, 30, 80)
    return [*_ring(n, r, 0), *_ring(n, r, h), (0.0, 0.0, h + size(rng, 15, 50))]


def cupola(rng: Rng, n: int, r: float) -> list[tuple[float, float, float]]:
    a = 2 * r * math.sin(math.pi / n)
    big = a / (2 * math.sin(math.pi / (2 * n)))
    gap = big * math.cos(math.pi / (2 * n)) - r * math.cos(math.pi / n)
    h = math.sqrt(a * a - gap * gap)
    return _ring(n, r, h) + _ring(2 * n, big, 0, math.pi / (2 * n))


def gem(rng: Rng, n: int, r: float) -> list[tuple[float, float, float]]:
    """A frustum on a pyramid."""
    return [*_ring(n, 0.6 * r, size(rng, 12, 20)), *_ring(n, r, 0), (0.0, 0.0, -size(rng, 25, 50))]


def parallelepiped(rng: Rng) -> tuple[Net, Want] | None:
    edges = np.diag([size(rng, 30, 60), size(rng, 30, 60), size(rng, 30, 60)]) + rng.uniform(-12, 12, (3, 3))
    corner = [np.array([a, b, c]) @ edges for a in (0, 1) for b in (0, 1) for c in (0, 1)]
    return _made(hull(np.array(corner)), rng)


def block(rng: Rng) -> tuple[Net, Want] | None:
    """A block of three lengths along any tree."""
    a, b, c = (size(rng, 25, 90) for _ in range(3))
    solid = hull([(x, y, z) for x in (0, a) for y in (0, b) for z in (0, c)])
    net = net_of(solid, rng, flaps=bool(rng.random() < 0.5))
    return None if net is None else (net, net.want("closed", a * b * c, (a, b, c)))


def any_hull(rng: Rng) -> tuple[Net, Want] | None:
    """A convex solid with corners by lot near a ball."""
    n = int(rng.integers(6, 13))
    v = rng.normal(size=(n, 3))
    v = v / np.linalg.norm(v, axis=1)[:, None] * rng.uniform(38, 48, (n, 1))
    return _made(hull(v), rng)


def cut_block(rng: Rng) -> tuple[Net, Want] | None:
    """A block with one corner cut off."""
    a, b, c = (size(rng, 40, 80) for _ in range(3))
    i, j, k = (rng.uniform(0.3, 0.7) * s for s in (a, b, c))
    corner = [(x, y, z) for x in (0, a) for y in (0, b) for z in (0, c) if (x, y, z) != (a, b, c)]
    return _made(hull([*corner, (a - i, b, c), (a, b - j, c), (a, b, c - k)]), rng)


REGULAR = ("tetrahedron", "cube", "octahedron", "dodecahedron", "icosahedron")
HALF = tuple(k for k in KNOWN if k not in REGULAR)
SOLIDS: dict[str, Callable[[Rng], tuple[Net, Want] | None]] = {
    "regular solid": known(REGULAR),
    "regular solid, glue flaps": known(REGULAR, flaps=True),
    "semi-regular solid": known(HALF),
    "pyramid": _of_rings(pyramid),
    "frustum": _of_rings(frustum),
    "antiprism": _of_rings(antiprism),
    "bipyramid": _of_rings(bipyramid),
    "obelisk": _of_rings(obelisk),
    "cupola": _of_rings(cupola, 3, 6),
    "gem": _of_rings(gem, 4),
    "parallelepiped": parallelepiped,
    "block along any tree": block,
    "block with a corner cut off": cut_block,
    "convex solid by lot": any_hull,
}
