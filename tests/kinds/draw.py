"""Nets from panels laid side by side, and what must come of them: the tools of the kinds.

A net is a list of flat panels, each with a role. A stretch of side that two panels share is a
score, unless it is named as a slit; any other is a cut. What must come of a net is worked out
beside it by arithmetic of its own, never by the code that folds.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
import shapely

from cutprep.model.drawing import Drawing
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Fold, Operation

XY = tuple[float, float]
Rng = np.random.Generator
#: Corners nearer than this are one, mm: the nets are drawn in floating point.
SAME = 1e-6


@dataclass(frozen=True)
class Want:
    """What must come of one part.

    Attributes
    ----------
    verdict
        "closed", "open" (flat rim), "movable", "flat" (folds lie flat) or "bends".
    panels
        Number of panels.
    volume
        mm3, or None where the net fixes none.
    inside
        Three lengths in any order, mm, or None where they are not those of a block.
    spare
        A point in every panel that is no wall, and its role.
    loose
        Share by which the volume may be off.
    doubt
        Why the kind does not count, or "".
    """

    verdict: str
    panels: int
    volume: float | None = None
    inside: tuple[float, float, float] | None = None
    spare: tuple[tuple[XY, str], ...] = ()
    loose: float = 1e-3
    doubt: str = ""


@dataclass(frozen=True)
class Stroke:
    """One line of a drawing."""

    points: np.ndarray
    operation: Operation
    fold: int = 0


@dataclass
class Net:
    """Panels under construction, mm, y up."""

    panels: list[np.ndarray] = field(default_factory=list)
    roles: list[str] = field(default_factory=list)
    slits: list[tuple[XY, XY]] = field(default_factory=list)
    extra: list[Stroke] = field(default_factory=list)
    ways: list[tuple[XY, XY, int]] = field(default_factory=list)
    tears: list[tuple[XY, XY]] = field(default_factory=list)

    def add(self, *points: XY, role: str = "body") -> Net:
        """Lay a panel."""
        ring = np.array(points, float)
        keep = np.hypot(*(ring - np.roll(ring, 1, axis=0)).T) > SAME
        self.panels.append(ring[keep])
        self.roles.append(role)
        return self

    def rect(self, x0: float, y0: float, x1: float, y1: float, role: str = "body") -> Net:
        """Lay a rectangle between two corners, in any order."""
        return self.add((x0, y0), (x1, y0), (x1, y1), (x0, y1), role=role)

    def flap(
        self, p: XY, q: XY, depth: float, inset: float = 0.0, role: str = "glue", far: float | None = None
    ) -> Net:
        """Lay a trapezoid on the left of the side from p to q; `inset` at p, `far` (or the same) at q."""
        a, b = np.array(p, float), np.array(q, float)
        u = (b - a) / np.hypot(*(b - a))
        n = depth * np.array([-u[1], u[0]])
        end = inset if far is None else far
        return self.add(p, q, tuple(b + n - end * u), tuple(a + n + inset * u), role=role)

    def slit(self, p: XY, q: XY) -> Net:
        """Cut a stretch of side that two panels share."""
        self.slits.append((p, q))
        return self

    def window(self, *ring: XY) -> Net:
        """Cut a hole."""
        self.extra.append(Stroke(np.array([*ring, ring[0]], float), Operation.CUT))
        return self

    def way(self, p: XY, q: XY, fold: int) -> Net:
        """Say which way the scores along a stretch fold."""
        self.ways.append((p, q, fold))
        return self

    def shifted(self, dx: float, dy: float) -> Net:
        """Return the net moved."""
        move = np.array([dx, dy])

        def put(p: XY) -> XY:
            return (p[0] + dx, p[1] + dy)

        return Net(
            [p + move for p in self.panels],
            list(self.roles),
            [(put(p), put(q)) for p, q in self.slits],
            [replace(s, points=s.points + move) for s in self.extra],
            [(put(p), put(q), f) for p, q, f in self.ways],
            [(put(p), put(q)) for p, q in self.tears],
        )

    @property
    def spare(self) -> tuple[tuple[XY, str], ...]:
        """A point in every panel that is no wall."""
        found = []
        for ring, role in zip(self.panels, self.roles, strict=True):
            if role != "body":
                point = shapely.Polygon(ring).representative_point()
                found.append(((point.x, point.y), role))
        return tuple(found)

    def want(
        self, verdict: str, volume: float | None = None, inside: Sequence[float] | None = None, **more: object
    ) -> Want:
        """State what must come of the net."""
        size = None if inside is None else (float(inside[0]), float(inside[1]), float(inside[2]))
        return Want(verdict, len(self.panels), volume, size, self.spare, **more)  # type: ignore[arg-type]

    def overlaps(self) -> bool:
        """Whether two panels lie on one another in the flat."""
        tree = shapely.STRtree([shapely.Polygon(p).buffer(-1e-3) for p in self.panels])
        a, b = tree.query(tree.geometries, predicate="intersects")
        return bool((a < b).any())

    def strokes(self, *, join: bool = True) -> list[Stroke]:
        """Lines of the net: every straight run once, scores and cuts apart, curves in one.

        Without joining, every stretch between two corners is a line by itself.
        """
        pieces = _pieces(self.panels)
        found = []
        for p, q, owners in pieces:
            cut = owners == 1 or any(_covers(s, p, q) for s in self.slits)
            way = next((f for a, b, f in self.ways if _covers((a, b), p, q)), 0)
            torn = any(_covers(t, p, q) for t in self.tears)
            sort = Operation.CUT if cut else Operation.PERFORATE if torn else Operation.SCORE
            found.append((p, q, sort, 0 if cut else way))
        lines = _joined(found) if join else [Stroke(np.array([p, q]), o, f) for p, q, o, f in found]
        return [*lines, *self.extra]


def _pieces(panels: Sequence[np.ndarray]) -> list[tuple[np.ndarray, np.ndarray, int]]:
    """Cut the sides of all panels where others end on them; each piece once, with its owners."""
    starts = np.concatenate(panels)
    ends = np.concatenate([np.roll(p, -1, axis=0) for p in panels])
    step = ends - starts
    size = np.hypot(*step.T)
    along = step / size[:, None]
    corners = np.unique(starts.round(7), axis=0)
    count: dict[tuple[int, ...], list[object]] = {}
    for a, b, u, s in zip(starts, ends, along, size, strict=True):
        rel = corners - a
        t = rel @ u
        off = np.abs(rel[:, 0] * u[1] - rel[:, 1] * u[0])
        on = np.sort(t[(off < 10 * SAME) & (t > SAME) & (t < s - SAME)])
        cuts = [0.0, *[float(v) for k, v in enumerate(on) if k == 0 or v - on[k - 1] > SAME], float(s)]
        for low, high in pairwise(cuts):
            p, q = a + low * u, (b if high == s else a + high * u)
            key = tuple(round(float(v) * 1e4) for v in (p + q) / 2)
            near = next((k for k in _around(key) if k in count), key)
            entry = count.setdefault(near, [p, q, 0])
            entry[2] = int(entry[2]) + 1  # type: ignore[call-overload]
    return [(p, q, n) for p, q, n in count.values()]  # type: ignore[misc]


def _around(key: tuple[int, ...]) -> Iterable[tuple[int, ...]]:
    for dx in (0, -1, 1):
        for dy in (0, -1, 1):
            yield (key[0] + dx, key[1] + dy)


def _covers(run: tuple[XY, XY], p: np.ndarray, q: np.ndarray) -> bool:
    a, b = np.array(run[0], float), np.array(run[1], float)
    u = (b - a) / np.hypot(*(b - a))
    for point in (p, q):
        d = point - a
        if abs(d[0] * u[1] - d[1] * u[0]) > 1e-4 or not -1e-4 < d @ u < np.hypot(*(b - a)) + 1e-4:
            return False
    return True


def _joined(pieces: list[tuple[np.ndarray, np.ndarray, Operation, int]]) -> list[Stroke]:
    """Join pieces of one sort that go straight on, and bends of up to 20 degrees where no other line meets."""
    ends: dict[tuple[int, int], list[int]] = {}

    def key(p: np.ndarray) -> tuple[int, int]:
        return (round(float(p[0]) * 1e3), round(float(p[1]) * 1e3))

    for k, (p, q, _, _) in enumerate(pieces):
        for end in (p, q):
            ends.setdefault(key(end), []).append(k)

    def following(k: int, end: np.ndarray, u: np.ndarray, left: set[int]) -> tuple[int, np.ndarray] | None:
        here = ends[key(end)]
        best = None
        for j in here:
            if j == k or j not in left or pieces[j][2:] != pieces[k][2:]:
                continue
            far = pieces[j][1] if key(pieces[j][0]) == key(end) else pieces[j][0]
            v = (far - end) / np.hypot(*(far - end))
            turn = math.degrees(math.acos(max(-1.0, min(1.0, float(u @ v)))))
            if turn < (20.0 if len(here) == 2 else 1e-3) and (best is None or turn < best[0]):
                best = (turn, j, far)
        return None if best is None else (best[1], best[2])

    found, left = [], set(range(len(pieces)))
    for k in range(len(pieces)):
        if k not in left:
            continue
        left.discard(k)
        chain = [pieces[k][0], pieces[k][1]]
        for _ in range(2):
            at = k
            while True:
                u = (chain[-1] - chain[-2]) / np.hypot(*(chain[-1] - chain[-2]))
                step = following(at, chain[-1], u, left)
                if step is None:
                    break
                at = step[0]
                left.discard(at)
                chain.append(step[1])
            chain.reverse()
        found.append(Stroke(_straightened(np.array(chain)), pieces[k][2], pieces[k][3]))
    return found


def _straightened(xy: np.ndarray) -> np.ndarray:
    keep = [0]
    for k in range(1, len(xy) - 1):
        u, v = xy[k] - xy[keep[-1]], xy[k + 1] - xy[k]
        if abs(u[0] * v[1] - u[1] * v[0]) > 1e-6 * np.hypot(*u) * np.hypot(*v):
            keep.append(k)
    return xy[[*keep, len(xy) - 1]]


@dataclass(frozen=True)
class Manner:
    """How a net is drawn; with `paths` lines of one sort that meet are drawn in one go, corners and all."""

    noise: float = 0.0
    turn: float = 0.0
    mirror: bool = False
    split: float = 0.15
    shuffle: bool = True
    paths: bool = False


def drawn(strokes: Sequence[Stroke], manner: Manner, rng: Rng, name: str = "net") -> Drawing:
    """Draw strokes: order and direction by lot, some in two or three, ends off by the noise."""
    runs: list[Stroke] = []
    for stroke in _in_one_go(strokes) if manner.paths else strokes:
        runs += _in_pieces(stroke, manner, rng)
    if manner.shuffle:
        runs = [runs[k] for k in rng.permutation(len(runs))]
        runs = [replace(s, points=s.points[::-1]) if rng.random() < 0.5 else s for s in runs]
    turn = math.radians(manner.turn)
    spin = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    flip = np.array([-1.0 if manner.mirror else 1.0, 1.0])
    placed = [(s.points * flip) @ spin.T for s in runs]
    words = {Operation.CUT: "cut", Operation.SCORE: "score", Operation.PERFORATE: "perforate"}
    elements = [
        Element(layer=words[s.operation] + {1: " valley", -1: " mountain"}.get(s.fold, "")) for s in runs
    ]
    return Drawing(
        name=name,
        lines=Lines.of(
            placed,
            operation=[int(s.operation) for s in runs],
            fold=[int(Fold(s.fold)) for s in runs],
            source=list(range(len(runs))),
            elements=tuple(elements),
        ),
    )


def _in_one_go(strokes: Sequence[Stroke]) -> list[Stroke]:
    """Lines of one sort, end to end, as one path each: an outline round, a base as a rectangle."""
    found: list[Stroke] = []
    for sort in sorted({(int(s.operation), s.fold) for s in strokes}):
        mine = [s for s in strokes if (int(s.operation), s.fold) == sort]
        merged = shapely.line_merge(shapely.MultiLineString([s.points for s in mine]))
        found += [replace(mine[0], points=shapely.get_coordinates(p)) for p in shapely.get_parts(merged)]
    return found


def placed(xy: XY, manner: Manner) -> XY:
    """Where a point of the net lies in its drawing."""
    a = math.radians(manner.turn)
    x, y = (-xy[0] if manner.mirror else xy[0]), xy[1]
    return (math.cos(a) * x - math.sin(a) * y, math.sin(a) * x + math.cos(a) * y)


def _in_pieces(stroke: Stroke, manner: Manner, rng: Rng) -> list[Stroke]:
    """A straight run in one to three pieces; a curve whole, or every chord by itself."""
    xy = stroke.points
    closed = len(xy) > 3 and bool((xy[0] == xy[-1]).all())
    if len(xy) > 2 and not manner.paths and rng.random() < 0.5:
        chains = [xy[k : k + 2] for k in range(len(xy) - 1)]
    elif len(xy) == 2 and rng.random() < manner.split and np.hypot(*(xy[1] - xy[0])) > 6.0:
        at = np.sort(rng.uniform(0.25, 0.75, int(rng.integers(1, 3))))
        points = [xy[0], *[xy[0] + t * (xy[1] - xy[0]) for t in at], xy[1]]
        chains = [np.array(pair) for pair in pairwise(points)]
    else:
        chains = [xy]
    if not manner.noise:
        return [replace(stroke, points=c) for c in chains]
    off = []
    for c in chains:
        moved = c + rng.uniform(-manner.noise, manner.noise, c.shape)
        if closed and len(chains) == 1:
            moved[-1] = moved[0]
        off.append(replace(stroke, points=moved))
    return off


def size(rng: Rng, low: float, high: float) -> float:
    """A length between two: whole half millimetres or eighths of an inch, by lot."""
    unit = 0.5 if rng.random() < 0.6 else 3.175
    return max(math.ceil(low / unit), round(rng.uniform(low, high) / unit)) * unit


def arc(p: XY, q: XY, bow: float, count: int = 16) -> list[XY]:
    """Points of a circular arc from p to q that bows out to the left by `bow` (right if below 0)."""
    a, b = np.array(p, float), np.array(q, float)
    d = b - a
    c = float(np.hypot(*d))
    left = np.array([-d[1], d[0]]) / c
    radius = (c * c / 4 + bow * bow) / (2 * abs(bow))
    half = math.asin(min(1.0, c / (2 * radius)))
    if abs(bow) > c / 2:
        half = math.pi - half
    side = 1.0 if bow > 0 else -1.0
    centre = (a + b) / 2 + left * side * (abs(bow) - radius)
    along = d / c
    points = []
    for k in range(count + 1):
        t = -half + 2 * half * k / count
        points.append(tuple(map(float, centre + radius * (math.sin(t) * along + math.cos(t) * side * left))))
    points[0], points[-1] = tuple(map(float, p)), tuple(map(float, q))
    return points  # type: ignore[return-value]
