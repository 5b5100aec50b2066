"""Nets drawn from dimensions, for the tests of folding: lines to cut, lines to score."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

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


def tray(length: float = 210, width: float = 150, wall: float = 30, taper: float = 4) -> Sketch:
    """A tray from a blank: four walls, a glue flap at each end of the short walls."""
    x0, x1, y0, y1 = wall, length - wall, wall, width - wall
    s = Sketch("tray")
    s.score((x0, y0), (x1, y0)).score((x1, y0), (x1, y1)).score((x1, y1), (x0, y1)).score((x0, y1), (x0, y0))
    t = taper
    # flaps hang on the ends of the long walls' ... sides at x0 and x1, reaching outwards
    s.score((x0, 0), (x0, y0)).score((x1, 0), (x1, y0)).score((x0, y1), (x0, width)).score(
        (x1, y1), (x1, width)
    )
    reach = wall - 2
    s.cut(
        (x0, 0), (x1, 0), (x1 + reach, t), (x1 + reach, y0 - t), (x1, y0), (length, y0), (length, y1), (x1, y1),
        (x1 + reach, y1 + t), (x1 + reach, width - t), (x1, width), (x0, width), (x0 - reach, width - t),
        (x0 - reach, y1 + t), (x0, y1), (0, y1), (0, y0), (x0, y0), (x0 - reach, y0 - t), (x0 - reach, t), (x0, 0),
    )  # fmt: skip
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
