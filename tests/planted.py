"""Random drawings with known faults: what is planted, where, and how large.

A drawing is a field of cells. In each lies one part (a blank with folds and perhaps a hole, or a
disc), cleanly drawn or with one fault; beside them lie decoys that look like faults and are none. Lines
are split, turned round and shuffled, and the whole is moved and turned, so that nothing in it is
special. The figures come from the construction, not from the checks.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from cutprep.model.drawing import Drawing
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Operation

CELL = 70.0
CUT, SCORE, PERFORATE, DRAW = (
    int(o) for o in (Operation.CUT, Operation.SCORE, Operation.PERFORATE, Operation.DRAW)
)


@dataclass(frozen=True)
class Fault:
    """One planted fault: its code, a line along which it lies, its figure (None: not compared)."""

    code: str
    where: np.ndarray
    measure: float | None = None


@dataclass
class Sketch:
    """Lines of one cell, in its own coordinates."""

    rng: np.random.Generator
    lines: list[np.ndarray] = field(default_factory=list)
    operation: list[int] = field(default_factory=list)
    fold: list[int] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    def add(self, points: object, operation: int, fold: int = 0) -> None:
        """Draw a line; some are split in pieces."""
        points = np.asarray(points, float)
        pieces = [points]
        straight = len(points) == 2 and np.hypot(*(points[1] - points[0])) > 8
        if straight and self.rng.random() < 0.3:
            k = int(self.rng.integers(2, 4))
            marks = [points[0] + (points[1] - points[0]) * t for t in np.linspace(0, 1, k + 1)]
            pieces = [np.array(marks[i : i + 2]) for i in range(k)]
        for piece in pieces:
            self.lines.append(piece)
            self.operation.append(operation)
            self.fold.append(fold)

    def outline(self, corners: object, *, whole: bool | None = None) -> None:
        """Draw a closed outline, as one line or side by side."""
        corners = np.asarray(corners, float)
        ring = np.vstack((corners, corners[:1]))
        if self.rng.random() < 0.5 if whole is None else whole:
            self.lines.append(ring)
            self.operation.append(CUT)
            self.fold.append(0)
            return
        for a, b in pairwise(ring):
            self.add([a, b], CUT)


def arc(
    centre: tuple[float, float], radius: float, begin: float, end: float, sagitta: float = 0.02
) -> np.ndarray:
    """Chords of an arc, degrees."""
    step = np.degrees(2 * np.arccos(1 - min(sagitta / radius, 1.0)))
    n = max(int(np.ceil(abs(end - begin) / step)), 1)
    t = np.radians(np.linspace(begin, end, n + 1))
    return np.column_stack((centre[0] + radius * np.cos(t), centre[1] + radius * np.sin(t)))


def circle(
    centre: tuple[float, float], radius: float, start: float = 0.0, sagitta: float = 0.02
) -> np.ndarray:
    """Chords of a closed circle."""
    ring = arc(centre, radius, start, start + 360, sagitta)
    ring[-1] = ring[0]
    return ring


@dataclass(frozen=True)
class Blank:
    """A rectangular part with a fold from bottom to top at x, from (0, 0) to (w, h)."""

    w: float
    h: float
    x: float

    @property
    def corners(self) -> list[tuple[float, float]]:
        """Its corners, counter-clockwise."""
        return [(0, 0), (self.w, 0), (self.w, self.h), (0, self.h)]


def blank(s: Sketch, *, fold: bool = True, whole: bool | None = None, draw: bool = True) -> Blank:
    """Draw a rectangular part with a fold."""
    w, h = s.rng.uniform(26, 48, 2)
    b = Blank(w, h, float(w * s.rng.uniform(0.35, 0.65)))
    if draw:
        s.outline(b.corners, whole=whole)
    if fold:
        s.add([(b.x, 0), (b.x, h)], SCORE, int(s.rng.integers(-1, 2)))
    return b


def clean(s: Sketch) -> None:
    """Draw a part without a fault."""
    if s.rng.random() < 0.3:
        r = s.rng.uniform(8, 24)
        s.lines.append(circle((25, 25), r, s.rng.uniform(0, 360)))
        s.operation.append(CUT)
        s.fold.append(0)
        return
    b = blank(s)
    if s.rng.random() < 0.5:
        s.lines.append(circle((b.x / 2, b.h / 2), s.rng.uniform(1.5, b.x / 2 - 3)))
        s.operation.append(CUT)
        s.fold.append(0)
    if s.rng.random() < 0.3:
        s.add([(b.x, b.h / 2), (b.w, b.h / 2)], SCORE)
    if s.rng.random() < 0.3:
        s.add([(b.w, b.h * 0.25), (b.w - 4, b.h * 0.25)], CUT)


def double_whole(s: Sketch) -> None:
    """A side drawn twice, a little off."""
    b = blank(s, whole=False)
    off = s.rng.uniform(-0.04, 0.04)
    line = np.array([(0, off), (b.w, off)])[:: s.rng.choice([1, -1])]
    s.add(line, CUT)
    s.faults.append(Fault("doubled-line", line, b.w))


def double_part(s: Sketch) -> None:
    """A stretch of a closed outline drawn again."""
    b = blank(s, whole=True)
    begin, end = np.sort(s.rng.uniform(1, b.w - 1, 2))
    end = min(max(end, begin + 1.0), b.w)
    off = s.rng.uniform(-0.04, 0.04)
    line = np.array([(begin, off), (end, off)])[:: s.rng.choice([1, -1])]
    s.add(line, CUT)
    s.faults.append(Fault("doubled-line", line, end - begin))


def double_corner(s: Sketch) -> None:
    """A chain of two sides drawn again as one line."""
    b = blank(s, whole=False)
    line = np.array([(b.w * 0.3, 0), (b.w, 0), (b.w, b.h * 0.6)])[:: s.rng.choice([1, -1])]
    s.lines.append(line)
    s.operation.append(CUT)
    s.fold.append(0)
    s.faults.append(Fault("doubled-line", line, b.w * 0.7 + b.h * 0.6))


def double_circle(s: Sketch) -> None:
    """A circle drawn again as arcs, or as another polygon."""
    r = s.rng.uniform(2, 22)
    s.lines.append(circle((25, 25), r))
    s.operation.append(CUT)
    s.fold.append(0)
    start = s.rng.uniform(0, 360)
    if s.rng.random() < 0.5:
        again = [circle((25, 25), r, start, sagitta=s.rng.uniform(0.004, 0.02))]
    else:
        again = [arc((25, 25), r, start + 90 * k, start + 90 * k + 90) for k in range(4)]
    for line in again:
        s.lines.append(line[:: s.rng.choice([1, -1])])
        s.operation.append(CUT)
        s.fold.append(0)
    s.faults.append(Fault("doubled-line", again[0], 2 * np.pi * r))


def double_arc(s: Sketch) -> None:
    """A stretch of a circle drawn again."""
    r = s.rng.uniform(4, 22)
    s.lines.append(circle((25, 25), r, s.rng.uniform(0, 360)))
    s.operation.append(CUT)
    s.fold.append(0)
    start, sweep = s.rng.uniform(0, 360), s.rng.uniform(30, 200)
    off = s.rng.uniform(-0.03, 0.03)
    line = arc((25, 25), r + off, start, start + sweep)
    s.lines.append(line)
    s.operation.append(CUT)
    s.fold.append(0)
    s.faults.append(Fault("doubled-line", line, np.radians(sweep) * (r + off)))


def triple(s: Sketch) -> None:
    """A fold drawn three times."""
    b = blank(s, fold=False)
    for _ in range(3):
        s.add([(b.x, 0), (b.x, b.h)][:: s.rng.choice([1, -1])], SCORE)
    s.faults.append(Fault("doubled-line", np.array([(b.x, 0), (b.x, b.h)]), 2 * b.h))


def across(s: Sketch) -> None:
    """A score under a side."""
    b = blank(s)
    begin = s.rng.uniform(0, b.h - 6)
    end = s.rng.uniform(begin + 2, b.h)
    line = np.array([(b.w, begin), (b.w, end)])
    s.add(line, SCORE)
    s.faults.append(Fault("doubled-across-operations", line, end - begin))


def conflict(s: Sketch) -> None:
    """A mountain on a valley."""
    b = blank(s, fold=False)
    for fold in (-1, 1):
        s.add([(b.x, 0), (b.x, b.h)], SCORE, fold)
    line = np.array([(b.x, 0), (b.x, b.h)])
    s.faults += [Fault("doubled-line", line, b.h), Fault("fold-conflict", line, b.h)]


def near(s: Sketch) -> None:
    """A side drawn again beside itself."""
    b = blank(s)
    off = s.rng.uniform(0.16, 0.5)
    begin = s.rng.uniform(1, 5)
    end = s.rng.uniform(begin + 5, b.h - 1)
    line = np.array([(b.w - off, begin), (b.w - off, end)])
    s.add(line, CUT)
    s.faults.append(Fault("near-double", line, off))


def gap(s: Sketch) -> None:
    """A side that begins too late, at a corner or in its middle."""
    b = blank(s, draw=False)
    width = s.rng.uniform(0.1, 0.75)
    c = np.array(b.corners, float)
    for k in (1, 2, 3):
        s.add([c[k], c[(k + 1) % 4]], CUT)
    at = 0.0 if s.rng.random() < 0.5 else s.rng.uniform(5, b.w - 6)
    if at:
        s.add([(0, 0), (at, 0)], CUT)
    s.add([(at + width, 0), (b.w, 0)], CUT)
    s.faults.append(Fault("gap", np.array([(at, 0), (at + width, 0)]), width))


def open_outline(s: Sketch) -> None:
    """A side that is missing in part."""
    b = blank(s, draw=False)
    width = s.rng.uniform(1.2, 15)
    c = np.array(b.corners, float)
    s.lines.append(np.vstack(([(width, 0)], c[1:], c[:1])))
    s.operation.append(CUT)
    s.fold.append(0)
    s.faults.append(Fault("open-outline", np.array([(0, 0), (width, 0)]), width))


def _fold_end(s: Sketch, off: float) -> tuple[Blank, np.ndarray]:
    b = blank(s, fold=False)
    end = np.array((b.x, b.h + off))
    s.add(np.array([(b.x, 0.0), end])[:: s.rng.choice([1, -1])], SCORE)
    return b, end


def past(s: Sketch) -> None:
    """A fold that runs past the outline."""
    off = s.rng.uniform(0.2, 2.8)
    _, end = _fold_end(s, off)
    s.faults.append(Fault("score-past-outline", np.array([end, end]), off))


def short(s: Sketch) -> None:
    """A fold that stops short of the outline."""
    off = s.rng.uniform(0.2, 2.8)
    _, end = _fold_end(s, -off)
    s.faults.append(Fault("score-short-of-outline", np.array([end, end]), off))


def in_panel(s: Sketch) -> None:
    """A fold that ends in mid-panel."""
    _, end = _fold_end(s, -s.rng.uniform(4, 20))
    s.faults.append(Fault("score-ends-in-panel", np.array([end, end])))


def over_hole(s: Sketch) -> None:
    """A fold across a hole."""
    b = blank(s)
    r = s.rng.uniform(2, 6)
    s.lines.append(circle((b.x, b.h / 2), r, s.rng.uniform(0, 360)))
    s.operation.append(CUT)
    s.fold.append(0)
    s.faults.append(Fault("score-over-hole", np.array([(b.x, b.h / 2 - r), (b.x, b.h / 2 + r)]), 2 * r))


def severed(s: Sketch) -> None:
    """A slit across a fold."""
    b = blank(s)
    y = b.h * s.rng.uniform(0.3, 0.7)
    s.add([(b.x - 4, y - 1), (b.x + 5, y + 1)], CUT)
    s.faults.append(Fault("cut-across-score", np.array([(b.x, y - 2), (b.x, y + 2)])))


def beside_cut(s: Sketch) -> None:
    """A fold right beside a side."""
    b = blank(s)
    off = s.rng.uniform(0.75, 1.3)
    line = np.array([(b.w - off, 0), (b.w - off, b.h)])
    s.add(line, SCORE)
    s.faults.append(Fault("score-near-cut", line, off))


def strip(s: Sketch) -> None:
    """A hole close to a side."""
    b = blank(s)
    off = s.rng.uniform(0.7, 1.35)
    a, y = s.rng.uniform(3, 8), s.rng.uniform(3, b.h - 12)
    s.outline([(off, y), (off + a, y), (off + a, y + a), (off, y + a)])
    s.faults.append(Fault("thin-strip", np.array([(off / 2, y), (off / 2, y + a)]), off))


def crumb(s: Sketch) -> None:
    """A line too short to be meant."""
    b = blank(s)
    size, turn = s.rng.uniform(0.02, 0.28), s.rng.uniform(0, 6.28)
    at = np.array((b.x / 2, b.h * 0.4))
    line = np.array([at, at + size * np.array((np.cos(turn), np.sin(turn)))])
    s.add(line, CUT)
    s.faults.append(Fault("crumb", line, size))


def stub(s: Sketch) -> None:
    """A short cut that stands alone."""
    b = blank(s)
    size = s.rng.uniform(0.4, 2.8)
    line = np.array([(b.x / 2, b.h * 0.4), (b.x / 2, b.h * 0.4 + size)])
    s.add(line, CUT)
    s.faults.append(Fault("stub", line, size))


def crossing(s: Sketch) -> None:
    """A slit that runs out over the outline."""
    b = blank(s)
    y = b.h * s.rng.uniform(0.3, 0.7)
    s.add([(b.w - 5, y), (b.w + s.rng.uniform(1, 5), y)], CUT)
    s.faults.append(Fault("crossing-cuts", np.array([(b.w, y), (b.w, y)]), 1.0))


def bow(s: Sketch) -> None:
    """An outline that crosses itself."""
    w, h = s.rng.uniform(20, 40, 2)
    # In one line: two triangles that touch in the middle are no crossing.
    s.outline([(0, 0), (w, h), (w, 0), (0, h)], whole=True)
    s.faults.append(Fault("self-crossing", np.array([(w / 2, h / 2), (w / 2, h / 2)]), 1.0))


def tight(s: Sketch) -> None:
    """A hole in which no blade can turn."""
    b = blank(s)
    r = s.rng.uniform(0.15, 0.45)
    ring = circle((b.x / 2, b.h / 2), r, sagitta=0.005)
    s.lines.append(ring)
    s.operation.append(CUT)
    s.fold.append(0)
    s.faults.append(Fault("hole-too-small", ring, None))


def flat_crossing(s: Sketch) -> None:
    """A decoy: two pen lines that cross at a flat angle."""
    turn = np.radians(s.rng.uniform(0.8, 4))
    s.add([(0, 20), (50, 20)], DRAW)
    s.add([(0, 20 - 25 * np.tan(turn)), (50, 20 + 25 * np.tan(turn))], DRAW)


def parallels(s: Sketch) -> None:
    """A decoy: folds and pen lines 0.7 mm apart."""
    b = blank(s, fold=False)
    for k in range(4):
        s.add([(b.x + 0.7 * k, 0), (b.x + 0.7 * k, b.h)], SCORE)


def fan(s: Sketch) -> None:
    """A decoy: pen lines that leave one point at flat angles, and two arcs that cross."""
    for k in range(4):
        turn = np.radians(2.0 * k)
        s.add([(0, 0), (50 * np.cos(turn), 50 * np.sin(turn))], DRAW)
    for y in (30.0, -60.0):
        sign = 1 if y > 0 else -1
        s.lines.append(arc((25, 40 + sign * 99.5), 100, -90 * sign - 12, -90 * sign + 12))
        s.operation.append(DRAW)
        s.fold.append(0)


def dashes(s: Sketch) -> None:
    """A decoy: a perforation drawn dash by dash."""
    b = blank(s, fold=False)
    y = 1.0
    while y + 3 < b.h - 1:
        s.lines.append(np.array([(b.x, y), (b.x, y + 3)]))
        s.operation.append(CUT)
        s.fold.append(0)
        y += 3.6


def slot(s: Sketch) -> None:
    """A decoy: a part with a slot as wide as the card is thick."""
    w, h = s.rng.uniform(26, 40, 2)
    x, d, c = w / 2, h / 2, s.rng.uniform(0.3, 0.55)
    s.outline([(0, 0), (w, 0), (w, h), (x + c, h), (x + c, d), (x, d), (x, h), (0, h)])


def lattice(s: Sketch) -> None:
    """A decoy: a honeycomb with every edge drawn once."""
    a = 5.0
    edges = set()
    for i in range(4):
        for j in range(4):
            centre = np.array((a * np.sqrt(3) * (i + j / 2) + 5, a * 1.5 * j + 5))
            t = np.radians(np.arange(6) * 60 + 30)
            ring = [tuple(np.round(centre + a * np.array((np.cos(x), np.sin(x))), 6)) for x in t]
            edges |= {tuple(sorted((ring[k], ring[(k + 1) % 6]))) for k in range(6)}
    for edge in sorted(edges):
        s.lines.append(np.array(edge))
        s.operation.append(CUT)
        s.fold.append(0)


PLANT: dict[str, Callable[[Sketch], None]] = {
    f.__name__: f
    for f in (
        double_whole, double_part, double_corner, double_circle, double_arc, triple, across, conflict, near, gap,
        open_outline, past, short, in_panel, over_hole, severed, beside_cut, strip, crumb, stub, crossing, bow, tight,
    )
}  # fmt: skip
DECOYS = (flat_crossing, parallels, fan, dashes, slot, lattice)


def drawing(
    seed: int, *, plant: tuple[str, ...] | None = None, cells: int = 6
) -> tuple[Drawing, list[Fault]]:
    """Make a random drawing and the faults that were planted in it.

    Parameters
    ----------
    plant
        Names of the faults; some at random when None.
    cells
        How many parts there are, decoys not counted.
    """
    rng = np.random.default_rng(seed)
    if plant is None:
        plant = tuple(rng.choice(sorted(PLANT), rng.integers(0, 5)))
    makers = [PLANT[name] for name in plant] + [clean] * max(cells - len(plant), 1)
    makers += list(rng.choice(np.array(DECOYS, dtype=object), 2))
    columns = int(np.ceil(np.sqrt(len(makers))))
    turn = np.radians(rng.uniform(0, 360)) if rng.random() < 0.7 else 0.0
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    shift = rng.uniform(0, 200, 2)
    lines: list[np.ndarray] = []
    operation: list[int] = []
    fold: list[int] = []
    faults: list[Fault] = []
    for k, maker in enumerate(makers):
        sketch = Sketch(rng)
        maker(sketch)
        base = np.array(((k % columns) * CELL * 1.3, (k // columns) * CELL * 1.3))
        lines += [(points + base) @ spin.T + shift for points in sketch.lines]
        operation += sketch.operation
        fold += sketch.fold
        faults += [Fault(f.code, (f.where + base) @ spin.T + shift, f.measure) for f in sketch.faults]
    order = rng.permutation(len(lines))
    turned = rng.random(len(lines)) < 0.5
    names = {CUT: "cut", SCORE: "score", PERFORATE: "perforate", DRAW: "pen"}
    elements = tuple(
        Element(file="planted.svg", line=i + 2, tag="path", ident=f"p{i}", layer=names[operation[j]])
        for i, j in enumerate(order)
    )
    made = Lines.of(
        [lines[j][::-1] if turned[j] else lines[j] for j in order],
        operation=[operation[j] for j in order],
        fold=[fold[j] for j in order],
        source=list(range(len(order))),
        elements=elements,
    )
    return Drawing("planted", made), faults
