"""Nets drawn from dimensions, for the tests of folding: lines to cut, lines to score."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import combinations, pairwise

import numpy as np

from cutprep.model.drawing import Drawing
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Fold, Operation

XY = tuple[float, float]


@dataclass
class Sketch:
    """Cuts and scores under construction; mm, y up."""

    name: str = "net"
    cuts: list[list[XY]] = field(default_factory=list)
    scores: list[list[XY]] = field(default_factory=list)
    folds: list[int] = field(default_factory=list)
    layers: list[str] = field(default_factory=list)

    def cut(self, *points: XY) -> Sketch:
        self.cuts.append([tuple(map(float, p)) for p in points])
        return self

    def ring(self, *points: XY) -> Sketch:
        return self.cut(*points, points[0])

    def score(self, *points: XY, fold: int = 0, layer: str = "score") -> Sketch:
        self.scores.append([tuple(map(float, p)) for p in points])
        self.folds.append(fold)
        self.layers.append(layer)
        return self

    def take_score(self, k: int = -1) -> list[XY]:
        """Take a score away and give it back."""
        del self.folds[k], self.layers[k]
        return self.scores.pop(k)

    def drawing(self) -> Drawing:
        elements = (Element(layer="cut"), *(Element(layer=name) for name in self.layers))
        lines = Lines.of(
            [*self.cuts, *self.scores],
            operation=[Operation.CUT] * len(self.cuts) + [Operation.SCORE] * len(self.scores),
            fold=[Fold.UNSAID] * len(self.cuts) + self.folds,
            source=[0] * len(self.cuts) + list(range(1, len(self.scores) + 1)),
            elements=elements,
        )
        return Drawing(name=self.name, lines=lines)


def from_faces(faces: list[list[XY]], name: str = "net", digits: int = 6) -> Sketch:
    """Draw polygons laid side by side: a side that two share is a score, any other a cut."""
    sides: dict[tuple[XY, XY], list[tuple[XY, XY]]] = {}

    def key(p: XY) -> XY:
        return (round(p[0], digits) + 0.0, round(p[1], digits) + 0.0)

    for face in faces:
        for p, q in zip(face, [*face[1:], face[0]], strict=True):
            a, b = key(p), key(q)
            sides.setdefault((min(a, b), max(a, b)), []).append((p, q))
    sketch = Sketch(name)
    for runs in sides.values():
        (sketch.cut if len(runs) == 1 else sketch.score)(*runs[0])
    return sketch


def tray(
    length: float = 210,
    width: float = 150,
    wall: float = 30,
    taper: float = 4,
    *,
    reach: float | None = None,
    far_wall: float | None = None,
    bare: bool = False,
) -> Sketch:
    """A tray from a blank: four walls, a glue flap at each end of the long walls.

    `reach` is how far the flaps go, `far_wall` the height of the wall at the top of the drawing
    when it differs, `bare` leaves the flaps away.
    """
    s = Sketch("tray")
    x0, x1, y0, y1 = wall, length - wall, wall, width - wall
    top = y1 + (wall if far_wall is None else far_wall)
    s.score((x0, y0), (x1, y0)).score((x1, y0), (x1, y1)).score((x1, y1), (x0, y1)).score((x0, y1), (x0, y0))
    ends = [
        ((x0, 0.0), (x0, y0), -1.0),
        ((x1, 0.0), (x1, y0), 1.0),
        ((x0, y1), (x0, top), -1.0),
        ((x1, y1), (x1, top), 1.0),
    ]
    far = wall - 2 if reach is None else reach
    for low, high, out in ends:
        if bare:
            s.cut(low, high)
            continue
        s.score(low, high)
        s.cut(low, (low[0] + out * far, low[1] + taper), (high[0] + out * far, high[1] - taper), high)
    s.cut((x0, 0), (x1, 0)).cut((x0, top), (x1, top))
    s.cut((x0, y0), (0, y0), (0, y1), (x0, y1)).cut((x1, y0), (length, y0), (length, y1), (x1, y1))
    return s


def ngon_tray(n: int, side: float = 60, wall: float = 20) -> Sketch:
    """A regular base with a plain wall on every side."""
    radius = side / (2 * math.sin(math.pi / n))
    base = [
        (radius * math.cos(2 * math.pi * k / n), radius * math.sin(2 * math.pi * k / n)) for k in range(n)
    ]
    faces: list[list[XY]] = [base]
    for k in range(n):
        p, q = np.array(base[k]), np.array(base[(k + 1) % n])
        u = (q - p) / np.hypot(*(q - p))
        out = wall * np.array([u[1], -u[0]])
        faces.append([tuple(q), tuple(p), tuple(p + out), tuple(q + out)])
    return from_faces(faces, f"{n}-sided tray")


def hex_prism(side: float = 40, height: float = 90, flap: float = 10, slope: float = 8) -> Sketch:
    """A hexagonal jar carton: six walls in a strip, both ends on the third wall, 11 glue flaps."""
    s = Sketch("hexagonal carton")
    for k in range(1, 6):
        s.score((k * side, 0), (k * side, height))
    s.score((6 * side, 0), (6 * side, height))
    s.cut((0, 0), (0, height))
    s.cut((6 * side, 0), (6 * side + flap, slope), (6 * side + flap, height - slope), (6 * side, height))
    hinge = 2
    ends = {True: (height, 1.0), False: (0.0, -1.0)}
    for y, up in ends.values():
        for k in range(6):
            x0, x1 = k * side, (k + 1) * side
            if k == hinge:
                s.score((x0, y), (x1, y))
                corner = [(x0, y), (x1, y)]
                points = _regular_on(corner[0], corner[1], 6, up)
                s.cut(*points[1:], points[0])
            else:
                s.score((x0, y), (x1, y))
                s.cut((x0, y), (x0 + slope, y + up * flap), (x1 - slope, y + up * flap), (x1, y))
    return s


def _regular_on(p: XY, q: XY, n: int, up: float) -> list[XY]:
    """Corners of a regular polygon on the side p to q, lying above (up = 1) or below."""
    points = [np.array(p), np.array(q)]
    step = np.array(q) - np.array(p)
    for k in range(1, n - 1):
        a = up * 2 * math.pi * k / n
        c, s = math.cos(a), math.sin(a)
        points.append(points[-1] + np.array([c * step[0] - s * step[1], s * step[0] + c * step[1]]))
    return [tuple(map(float, v)) for v in points]


def unfold(vertices: np.ndarray, faces: list[list[int]], tree: list[tuple[int, int]]) -> list[list[XY]]:
    """Lay the faces of a solid flat along pairs (face, face hung on it), the first root first.

    Faces run counter-clockwise seen from outside; the flat net shows the inside, so that a
    valley closes it.
    """
    flat: dict[int, dict[int, np.ndarray]] = {}

    def own(face: int) -> dict[int, np.ndarray]:
        ids = faces[face][::-1]
        p = vertices[ids]
        u = (p[1] - p[0]) / np.linalg.norm(p[1] - p[0])
        n = np.cross(p[1] - p[0], p[2] - p[1])
        v = np.cross(n / np.linalg.norm(n), u)
        return {i: np.array([(q - p[0]) @ u, (q - p[0]) @ v]) for i, q in zip(ids, p, strict=True)}

    flat[tree[0][0] if tree else 0] = own(tree[0][0] if tree else 0)
    for parent, child in tree:
        here, there = own(child), flat[parent]
        a, b = [i for i in faces[child] if i in faces[parent]][:2]
        d, e = here[b] - here[a], there[b] - there[a]
        c = (d @ e) / (d @ d)
        s = (d[0] * e[1] - d[1] * e[0]) / (d @ d)
        turn = np.array([[c, -s], [s, c]])
        flat[child] = {i: there[a] + turn @ (q - here[a]) for i, q in here.items()}
    return [[tuple(map(float, flat[f][i])) for i in faces[f][::-1]] for f in flat]


def solid(name: str, edge: float = 1.0) -> tuple[np.ndarray, list[list[int]]]:
    """One of the five regular solids: vertices, and faces counter-clockwise seen from outside."""
    phi = (1 + math.sqrt(5)) / 2
    signs = [(a, b, c) for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)]
    points = {
        "tetrahedron": [(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)],
        "cube": signs,
        "octahedron": [(1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)],
        "icosahedron": [p for a in (-1, 1) for b in (-phi, phi) for p in ((0, a, b), (a, b, 0), (b, 0, a))],
        "dodecahedron": signs
        + [p for a in (-1 / phi, 1 / phi) for b in (-phi, phi) for p in ((0, a, b), (a, b, 0), (b, 0, a))],
    }[name]
    v = np.array(points, float)
    return hull(v * (edge / _shortest(v)))


def _shortest(v: np.ndarray) -> float:
    far = np.linalg.norm(v[:, None] - v[None], axis=2)
    return float(far[far > 1e-9].min())


def hull(v: np.ndarray) -> tuple[np.ndarray, list[list[int]]]:
    """Faces of a convex solid, triangles in one plane merged, counter-clockwise from outside."""
    planes: list[tuple[np.ndarray, float]] = []
    n = len(v)
    for i in range(n):
        for j in range(i + 1, n):
            for k in range(j + 1, n):
                normal = np.cross(v[j] - v[i], v[k] - v[i])
                size = np.linalg.norm(normal)
                if size < 1e-9:
                    continue
                normal = normal / size
                d = float(normal @ v[i])
                out = v @ normal - d
                if out.max() > 1e-7 and out.min() < -1e-7:
                    continue
                if out.max() > 1e-7:
                    normal, d = -normal, -d
                if not any(abs(d - e) < 1e-7 and np.abs(normal - m).max() < 1e-7 for m, e in planes):
                    planes.append((normal, d))
    faces = []
    for normal, d in planes:
        ids = [i for i in range(n) if abs(v[i] @ normal - d) < 1e-6]
        centre = v[ids].mean(axis=0)
        u = v[ids[0]] - centre
        w = np.cross(normal, u)
        faces.append(sorted(ids, key=lambda i: math.atan2((v[i] - centre) @ w, (v[i] - centre) @ u)))
    return v, faces


def dual_edges(faces: list[list[int]]) -> list[tuple[int, int]]:
    """Pairs of faces that share a side."""
    return [
        (a, b)
        for a in range(len(faces))
        for b in range(a + 1, len(faces))
        if len(set(faces[a]) & set(faces[b])) == 2
    ]


def breadth_first(faces: list[list[int]], root: int = 0) -> list[tuple[int, int]]:
    """A tree of faces that spreads evenly from one."""
    return hang(dual_edges(faces), root)


def hang(edges: list[tuple[int, int]], root: int = 0) -> list[tuple[int, int]]:
    """Order the edges of a tree (or pick one from a graph) as (parent, child) from a root."""
    beside: dict[int, list[int]] = {}
    for a, b in edges:
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    order, seen, queue = [], {root}, [root]
    for face in queue:
        for other in sorted(beside.get(face, [])):
            if other not in seen:
                seen.add(other)
                queue.append(other)
                order.append((face, other))
    return order


def spanning_trees(edges: list[tuple[int, int]], count: int) -> list[list[tuple[int, int]]]:
    """Every spanning tree of a small graph, by trying every choice of edges."""
    found = []
    for choice in combinations(edges, count - 1):
        group = list(range(count))

        def root(i: int, group: list[int] = group) -> int:
            while group[i] != i:
                i = group[i]
            return i

        for a, b in choice:
            ra, rb = root(a), root(b)
            if ra == rb:
                break
            group[ra] = rb
        else:
            found.append(list(choice))
    return found


def net_of(name: str, edge: float) -> Sketch:
    """An unfolded regular solid."""
    v, faces = solid(name, edge)
    return from_faces(unfold(v, faces, breadth_first(faces)), name)


def tuck_end(
    width: float = 60,
    depth: float = 30,
    height: float = 90,
    *,
    glue: float = 10,
    tuck: float = 14,
    lid: float | None = None,
    last: float | None = None,
    dust: float | None = None,
    relief: float = 0.0,
    taper: float = 3.0,
) -> Sketch:
    """A tuck-end carton: four walls, a glue flap, two lids with tuck flaps, four dust flaps.

    `lid` is the depth of the upper lid, `last` the width of the last wall, `dust` the reach of
    the dust flaps where they differ; `relief` narrows the upper lid at both ends, `taper` the tuck
    flaps at their tips.
    """
    s = Sketch("tuck-end carton")
    x = [0, width, width + depth, 2 * width + depth, 2 * width + depth + (depth if last is None else last)]
    for k in (1, 2, 3):
        s.score((x[k], 0), (x[k], height))
    s.score((x[0], 0), (x[0], height))
    s.cut((x[0], 0), (x[0] - glue, 3), (x[0] - glue, height - 3), (x[0], height))
    s.cut((x[4], 0), (x[4], height))
    for y, up, place in ((height, 1, 0), (0, -1, 2)):
        deep = depth if lid is None or up < 0 else lid
        r = relief if up > 0 else 0.0
        a, b = x[place] + r, x[place + 1] - r
        if r:
            s.cut((x[place], y), (a, y)).cut((b, y), (x[place + 1], y))
        s.score((a, y), (b, y)).score((a, y + up * deep), (b, y + up * deep))
        tip = y + up * (deep + tuck)
        s.cut((a, y), (a, y + up * deep), (a + taper, tip), (b - taper, tip), (b, y + up * deep), (b, y))
        other = 2 - place
        s.cut((x[other], y), (x[other + 1], y))
        for k in (1, 3):
            c, d = x[k], x[k + 1]
            reach = y + up * (min(0.75 * depth, width / 2 - 2) if dust is None else dust)
            s.score((c, y), (d, y))
            s.cut((c, y), (c + 3, reach), (d - 3, reach), (d, y))
    return s


def webbed_tray(length: float = 100, width: float = 70, slant: float = 40, flare: float = 7) -> Sketch:
    """A tray with leaning walls and webbed corners: each corner folds in two halves, uncut."""
    s = Sketch("webbed tray")
    hx, hy = length / 2, width / 2
    for sx in (-1, 1):
        s.score((sx * hx, -hy), (sx * hx, hy))
    for sy in (-1, 1):
        s.score((-hx, sy * hy), (hx, sy * hy))
    outline: list[XY] = []
    for sx, sy in ((1, 1), (-1, 1), (-1, -1), (1, -1)):
        corner = (sx * hx, sy * hy)
        end_a = (sx * (hx + slant), sy * (hy + flare))
        end_b = (sx * (hx + flare), sy * (hy + slant))
        middle = ((end_a[0] + end_b[0]) / 2, (end_a[1] + end_b[1]) / 2)
        s.score(corner, end_a).score(corner, end_b).score(corner, middle)
        outline += [end_a, middle, end_b] if sx * sy > 0 else [end_b, middle, end_a]
    s.ring(*outline)
    return s


def gathered(width: float = 50, height: float = 60, petal: float = 35, glue: float = 10) -> Sketch:
    """A square tube whose bottom is gathered to a point by pleats between four petals."""
    s = Sketch("gathered bag")
    for k in range(4):
        if k:
            s.score((k * width, 0), (k * width, height)).score((k * width, 0), (k * width, -petal))
        s.score((k * width, 0), ((k + 1) * width, 0))
        s.score((k * width, 0), ((k + 0.5) * width, -petal)).score(
            ((k + 0.5) * width, -petal), ((k + 1) * width, 0)
        )
    end = 4 * width
    s.score((end, 0), (end, height))
    s.cut(
        (0, 0),
        (0, height),
        (end, height),
        (end + glue, height - 4),
        (end + glue, 4),
        (end, 0),
        (end, -petal),
        (0, -petal),
        (0, 0),
    )
    return s


def frustum_net(n: int = 4, bottom: float = 60, top: float = 40, height: float = 50) -> Sketch:
    """A closed regular frustum."""

    def ring(side: float, z: float) -> list[tuple[float, float, float]]:
        r = side / (2 * math.sin(math.pi / n))
        return [(r * math.cos(2 * math.pi * k / n), r * math.sin(2 * math.pi * k / n), z) for k in range(n)]

    v, faces = hull(np.array(ring(bottom, 0.0) + ring(top, height)))
    return from_faces(unfold(v, faces, breadth_first(faces)), f"{n}-sided frustum")


def pyramid_net(n: int = 4, side: float = 60, height: float = 50) -> Sketch:
    """A closed regular pyramid."""
    r = side / (2 * math.sin(math.pi / n))
    points = [(r * math.cos(2 * math.pi * k / n), r * math.sin(2 * math.pi * k / n), 0.0) for k in range(n)]
    v, faces = hull(np.array([*points, (0.0, 0.0, height)]))
    base = max(range(len(faces)), key=lambda f: len(faces[f]))
    return from_faces(unfold(v, faces, breadth_first(faces, base)), f"{n}-sided pyramid")


def open_cube(edge: float = 40) -> Sketch:
    """Five faces of a cube."""
    e = edge
    faces = [[(0, 0), (e, 0), (e, e), (0, e)]]
    for dx, dy in ((e, 0), (-e, 0), (0, e), (0, -e)):
        faces.append([(x + dx, y + dy) for x, y in faces[0]])
    return from_faces([[(float(x), float(y)) for x, y in f] for f in faces], "open cube")


def arc(p: XY, q: XY, bow: float, count: int = 24) -> list[XY]:
    """Points of a circular arc from p to q that bows out to the left by `bow`."""
    a, b = np.array(p), np.array(q)
    d = b - a
    c = float(np.hypot(*d))
    radius = (c * c / 4 + bow * bow) / (2 * bow)
    left = np.array([-d[1], d[0]]) / c
    centre = (a + b) / 2 + left * (bow - radius)
    start = math.atan2(*(a - centre)[::-1])
    sweep = -2 * math.asin(min(1.0, c / (2 * abs(radius)))) * (1 if bow > 0 else -1)
    return [
        (
            float(centre[0] + abs(radius) * math.cos(start + sweep * k / count)),
            float(centre[1] + abs(radius) * math.sin(start + sweep * k / count)),
        )
        for k in range(count + 1)
    ]


def pillow(length: float = 90, width: float = 60, bow: float = 12) -> Sketch:
    """A pillow pack: two faces and a glue flap, with lens-shaped ends on curved scores."""
    s = Sketch("pillow pack")
    for k in range(2):
        x = k * width
        s.score(*arc((x, 0), (x + width, 0), bow))
        s.score(*arc((x + width, length), (x, length), bow))
        s.cut(*arc((x, 0), (x + width, 0), -bow))
        s.cut(*arc((x + width, length), (x, length), -bow))
    s.score((width, 0), (width, length)).score((2 * width, 0), (2 * width, length))
    s.cut((0, 0), (0, length))
    s.cut((2 * width, 0), (2 * width + 10, 3), (2 * width + 10, length - 3), (2 * width, length))
    return s


def roughen(
    drawing: Drawing,
    noise: float,
    gap: float,
    rng: np.random.Generator,
    *,
    doubled: float = 0.2,
    split: float = 0.2,
    shortened: float = 0.15,
) -> Drawing:
    """Draw a net badly: every run on its own, ends off, some twice, some in two, some too short."""
    lines = drawing.lines
    runs: list[tuple[np.ndarray, int]] = []
    for i in range(len(lines)):
        p = lines.points(i)
        for a, b in pairwise(p):
            for _ in range(1 + (rng.random() < doubled)):
                if rng.random() < split:
                    m = a + (b - a) * rng.uniform(0.3, 0.7)
                    runs += [(np.array([a, m]), i), (np.array([m, b]), i)]
                else:
                    runs.append((np.array([a, b]), i))
    rough = []
    for straight, i in runs:
        run = straight + rng.uniform(-noise, noise, (2, 2))
        size = float(np.hypot(*(run[1] - run[0])))
        if rng.random() < shortened and size > 4 * gap:
            run[1] = run[1] - (run[1] - run[0]) / size * gap
        rough.append((run[::-1] if rng.random() < 0.5 else run, i))
    order = rng.permutation(len(rough))
    picked = [rough[k] for k in order]
    return Drawing(
        name=drawing.name,
        lines=Lines.of(
            [r for r, _ in picked],
            operation=[int(lines.operation[i]) for _, i in picked],
            fold=[int(lines.fold[i]) for _, i in picked],
            source=[int(lines.source[i]) for _, i in picked],
            elements=lines.elements,
        ),
    )


def drum(n: int = 64, side: float = 8, height: float = 40, flap: float = 6) -> Sketch:
    """A round box of n flat walls: two n-sided ends, a glue flap on every other wall's ends."""
    s = Sketch(f"{n}-sided drum")
    for k in range(1, n + 1):
        s.score((k * side, 0), (k * side, height))
    s.cut((0, 0), (0, height))
    s.cut((n * side, 0), (n * side + flap, 2), (n * side + flap, height - 2), (n * side, height))
    hinge = n // 2
    slope = min(0.3 * side, 2.0)
    for y, up in ((height, 1.0), (0.0, -1.0)):
        for k in range(n):
            x0, x1 = k * side, (k + 1) * side
            s.score((x0, y), (x1, y))
            if k == hinge:
                points = _regular_on((x0, y), (x1, y), n, up)
                s.cut(*points[1:], points[0])
            elif abs(k - hinge) > n // 3:  # nearer the end panel a flap would lie under it
                s.cut((x0, y), (x0 + slope, y + up * flap), (x1 - slope, y + up * flap), (x1, y))
            else:
                s.take_score()
                s.cut((x0, y), (x1, y))
    return s


def globe(gores: int = 20, bands: int = 10, radius: float = 60) -> Sketch:
    """A paper globe: gores of flat pieces, joined at the band above the equator."""
    phi = np.linspace(-math.pi / 2, math.pi / 2, bands + 1)
    half = 2 * radius * np.cos(phi) * math.sin(math.pi / gores) / 2
    z, rho = radius * np.sin(phi), radius * np.cos(phi) * math.cos(math.pi / gores)
    slant = np.hypot(np.diff(z), np.diff(rho))
    middle = bands // 2
    heights = np.concatenate(([0.0], np.cumsum(slant)))
    faces: list[list[XY]] = []
    wide, narrow, tall = half[middle], half[middle + 1], slant[middle]
    # Trapezoids side by side make an arc: each is turned about where their slanted sides meet.
    apex = tall * wide / (wide - narrow) if wide > narrow else 0.0
    step = 2 * math.atan2(wide, apex) if apex else 0.0
    for g in range(gores):
        a = step * g
        centre = np.array([0.0, heights[middle] + apex])
        c, sn = math.cos(a), math.sin(a)

        def put(x: float, y: float, c: float = c, sn: float = sn, centre: np.ndarray = centre) -> XY:
            d = np.array([x, y]) - centre
            return (float(centre[0] + c * d[0] - sn * d[1]), float(centre[1] + sn * d[0] + c * d[1]))

        for b in range(bands):
            low, high = half[b], half[b + 1]
            face = [(-low, heights[b]), (low, heights[b]), (high, heights[b + 1]), (-high, heights[b + 1])]
            if low < 1e-9:
                face = [face[0], face[2], face[3]]
            if high < 1e-9:
                face = face[:3]
            faces.append([put(x, y) for x, y in face])
    return from_faces(faces, f"globe of {gores} gores")


def tube(*widths: float, height: float = 90, glue: float = 10) -> Sketch:
    """Walls side by side, a glue flap at the first, no ends."""
    s = Sketch("sleeve")
    x = [0.0]
    for width in widths:
        s.score((x[-1], 0), (x[-1], height))
        x.append(x[-1] + width)
    s.cut((0, 0), (x[-1], 0), (x[-1], height), (0, height))
    s.cut((0, 0), (-glue, 3), (-glue, height - 3), (0, height))
    return s


def sleeve(width: float = 60, depth: float = 30, height: float = 90, glue: float = 10) -> Sketch:
    """Four walls and a glue flap, no ends."""
    return tube(width, depth, width, depth, height=height, glue=glue)


def double_walled_tray(length: float = 150, width: float = 90, wall: float = 30, inner: float = 28) -> Sketch:
    """A tray whose long walls are turned in, with flaps on the short ones."""
    s = Sketch("double-walled tray")
    s.score((0, 0), (length, 0)).score((length, 0), (length, width)).score((length, width), (0, width)).score(
        (0, width), (0, 0)
    )
    for y, up in ((0, -1), (width, 1)):
        rim, end = y + up * wall, y + up * (wall + inner)
        s.score((0, rim), (length, rim))
        s.cut((0, y), (0, rim), (3, end), (length - 3, end), (length, rim), (length, y))
    for x, out in ((0, -1), (length, 1)):
        far = x + out * wall
        s.cut((x, 0), (far, 0)).cut((x, width), (far, width)).cut((far, 0), (far, width))
        for y, up in ((0, -1), (width, 1)):
            s.scores.append([(x, y), (far, y)]), s.folds.append(0), s.layers.append("score")
            k = s.cuts.index([(float(x), float(y)), (float(far), float(y))])
            s.cuts[k] = [
                (x + out * 0.0, float(y)),
                (x + out * 3.0, y + up * 20.0),
                (far - out * 3.0, y + up * 20.0),
                (float(far), float(y)),
            ]
    return s


def swing_tag(width: float = 40, height: float = 70) -> Sketch:
    """A tag with a hole, no score."""
    s = Sketch("swing tag").ring((0, 0), (width, 0), (width, height), (0, height))
    return s.cut(*arc((17, 60), (23, 60), 3, 12), *arc((23, 60), (17, 60), 3, 12)[1:])


def beside(*sketches: Sketch, gap: float = 20.0) -> Drawing:
    """Lay several nets side by side in one drawing."""
    moved, left = [], 0.0
    for s in sketches:
        lines = s.drawing().lines
        x0, _, x1, _ = lines.bounds
        moved.append(lines.transform([[1, 0, left - x0], [0, 1, 0]]))
        left += x1 - x0 + gap
    return Drawing(name="set", lines=Lines.concat(moved))
