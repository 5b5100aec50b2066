"""A blank put together from panels: sides that two panels share are folds, what is left is the outline."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cutprep.geometry.curves.flatten import arc
from cutprep.model.lines import Points
from cutprep.template.sketch import Sketch

XY = tuple[float, float]
#: Corners of neighbouring panels nearer than this are one, mm; the outline is rounded to a tenth of it.
_SAME = 1e-6
_GRID = _SAME / 10


@dataclass(frozen=True, slots=True)
class FoldStyle:
    """How folds go: which way, and how far where it is said.

    Attributes
    ----------
    kind
        "valley" (towards the viewer, who sees the inside) or "mountain".
    degrees
        How far it folds, where folding on the screen could take it for something else.
    """

    kind: str = "valley"
    degrees: float | None = None


VALLEY = FoldStyle()
#: A fold that is folded over until it lies flat.
OVER = FoldStyle("valley", 180.0)
SQUARE = FoldStyle("valley", 90.0)


class Blank:
    """A blank while it is being laid out; all coordinates are mm, y up, the inside of the card towards the viewer.

    Panels lie side by side and never on one another. Every side that two panels share is a valley fold unless a
    `way` is laid along it.
    """

    def __init__(self, name: str, sagitta: float | None = None) -> None:
        self.sketch = Sketch(name, sagitta)
        self._panels: list[Points] = []
        self._ways: list[tuple[Points, Points, FoldStyle]] = []
        self._round: list[tuple[Points, float]] = []

    def panel(self, *corners: XY, name: str = "", turned: bool = False) -> Blank:
        """Lay a panel by its corners; one with a name is a face, which can take a window or a text, `turned` upside down."""
        # On the grid on which panels are put together: else sides that are one may differ by a rounding.
        ring = np.round(np.array(corners, dtype=np.float64) / _GRID) * _GRID
        ring = ring[np.hypot(*(ring - np.roll(ring, 1, axis=0)).T) > _SAME]
        self._panels.append(ring)
        if name:
            self.sketch.face(name, ring, turned=turned)
        return self

    def box(
        self, x0: float, y0: float, x1: float, y1: float, name: str = "", *, turned: bool = False
    ) -> Blank:
        """Lay a rectangle between two opposite corners.

        Parameters
        ----------
        x0, y0, x1, y1
            The corners, mm.
        name
            Of a face.
        turned
            Its upper side lies below on the drawing.
        """
        return self.panel((x0, y0), (x1, y0), (x1, y1), (x0, y1), name=name, turned=turned)

    def flap(
        self, p: XY, q: XY, depth: float, lean: float = 0.0, far: float | None = None, name: str = ""
    ) -> Blank:
        """Lay a flap on the right of the side from p to q.

        Parameters
        ----------
        p, q
            Ends of the side that it hangs on.
        depth
            How far it reaches, mm.
        lean, far
            How far its free side is drawn in at p, and at q (as much), mm.
        """
        a, b = np.array(p), np.array(q)
        along = (b - a) / math.hypot(*(b - a))
        out = depth * np.array([along[1], -along[0]])
        end = lean if far is None else far
        return self.panel(p, pair(a + out + lean * along), pair(b + out - end * along), q, name=name)

    def way(self, p: XY, q: XY, way: FoldStyle) -> Blank:
        """Say how all folds on the stretch from p to q go."""
        self._ways.append((np.array(p), np.array(q), way))
        return self

    def round_corner(self, at: XY, radius: float) -> Blank:
        """Round a corner of the outline with an arc that touches both sides."""
        self._round.append((np.array(at), radius))
        return self

    def finish(self) -> Sketch:
        """Draw all of it: the outline, then the folds."""
        for ring in _rings(self._panels):
            self._draw_ring(ring)
        folds: dict[FoldStyle, list[Points]] = {}
        for p, q in _shared(self._panels):
            folds.setdefault(self._way_of(p, q), []).append(np.array([p, q]))
        for way, rows in folds.items():
            for row in _joined(rows):
                self.sketch.fold(row, way.kind, way.degrees)
        return self.sketch

    def _way_of(self, p: Points, q: Points) -> FoldStyle:
        found = VALLEY
        for a, b, way in self._ways:
            if _off(a, b, p) < 100 * _SAME and _off(a, b, q) < 100 * _SAME:
                found = way
        return found

    def _draw_ring(self, ring: Points) -> None:
        """Draw one outline: straight sides, and rounded corners."""
        sides = [(np.array([a, b]), False) for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True)]
        sides = _rounded(sides, self._round, self.sketch.sagitta)
        self.sketch.cut_path(sides)


def pair(point: Points) -> XY:
    """Turn a row, (2,), into a pair of plain numbers, mm."""
    return float(point[0]), float(point[1])


def _rings(panels: Sequence[Points]) -> list[Points]:
    """Outlines of what the panels cover together, card on the left, each (n, 2) without its first point again."""
    whole = shapely.union_all([shapely.Polygon(p) for p in panels], grid_size=_GRID)
    found = []
    for part in shapely.get_parts(whole):
        for k, ring in enumerate((part.exterior, *part.interiors)):
            points = shapely.get_coordinates(ring)[:-1]
            if shapely.is_ccw(ring) == bool(k):
                points = points[::-1]
            found.append(_corners_only(points))
    return found


def _corners_only(ring: Points) -> Points:
    before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    length = np.hypot(*before.T) * np.hypot(*after.T)
    return np.asarray(ring[np.abs(cross) > 1e-7 * length])


def _shared(panels: Sequence[Points]) -> list[tuple[Points, Points]]:
    """Stretches of side that two panels share."""
    begin = np.concatenate(panels)
    end = np.concatenate([np.roll(p, -1, axis=0) for p in panels])
    owner = np.repeat(np.arange(len(panels)), [len(p) for p in panels])
    along = (end - begin) / np.hypot(*(end - begin).T)[:, None]

    def aside(points: Points) -> Points:
        step = points[None] - begin[:, None]
        return np.asarray(np.abs(along[:, None, 0] * step[..., 1] - along[:, None, 1] * step[..., 0]))

    level = (aside(begin) < 100 * _SAME) & (aside(end) < 100 * _SAME)
    one, other = np.nonzero(level & (owner[:, None] < owner[None]))
    order = np.lexsort((other, one, owner[other], owner[one]))
    tried = (
        _overlap(begin[i], end[i], begin[j], end[j]) for i, j in zip(one[order], other[order], strict=True)
    )
    return [stretch for stretch in tried if stretch is not None]


def _overlap(a: Points, b: Points, c: Points, d: Points) -> tuple[Points, Points] | None:
    """What two straight sides share, as a stretch of the first; None for a point or nothing."""
    span = math.dist(a, b)
    along = (b - a) / span
    if any(abs(float(along[0] * r[1] - along[1] * r[0])) > 10 * _SAME for r in (c - a, d - a)):
        return None
    at = {0.0: a, span: b}
    first, last = sorted((float((c - a) @ along), float((d - a) @ along)))
    low, high = max(0.0, first), min(span, last)
    if high - low < 10 * _SAME:
        return None
    return at.get(low, a + low * along), at.get(high, a + high * along)


def _off(a: Points, b: Points, p: Points) -> float:
    """Distance of a point from a stretch, mm."""
    step = b - a
    t = min(1.0, max(0.0, float((p - a) @ step) / float(step @ step)))
    return math.dist(p, a + t * step)


def _joined(rows: list[Points]) -> list[Points]:
    """Join stretches that go straight on from one another."""
    rows = [row if tuple(row[0]) <= tuple(row[1]) else row[::-1] for row in rows]
    rows.sort(key=lambda row: (round(float(row[0][0]), 6), round(float(row[0][1]), 6)))
    found: list[Points] = []
    for row in rows:
        for k, old in enumerate(found):
            if math.dist(old[1], row[0]) < 10 * _SAME and _off(old[0], row[1], old[1]) < 10 * _SAME:
                found[k] = np.array([old[0], row[1]])
                break
        else:
            found.append(row)
    return found


def _rounded(
    sides: list[tuple[Points, bool]], corners: Sequence[tuple[Points, float]], sagitta: float
) -> list[tuple[Points, bool]]:
    """Put arcs in place of corners between two straight sides."""
    found = list(sides)
    arcs: dict[int, Points] = {}
    for at, radius in corners:
        for k in range(len(found)):
            before, after = found[k - 1], found[k]
            if math.dist(after[0][0], at) < 10 * _SAME and not before[1] and not after[1]:
                bend = fillet(before[0][0], after[0][0], after[0][-1], radius, sagitta)
                found[k - 1] = (np.array([before[0][0], bend[0]]), False)
                found[k] = (np.array([bend[-1], after[0][-1]]), False)
                arcs[k] = bend
    rows: list[tuple[Points, bool]] = []
    for k, side in enumerate(found):
        if k in arcs:
            rows.append((arcs[k], True))
        rows.append(side)
    return [row for row in rows if len(row[0]) > 2 or math.dist(row[0][0], row[0][-1]) > _SAME]


def fillet(a: Points, corner: Points, b: Points, radius: float, sagitta: float) -> Points:
    """Arc that touches the sides of a corner.

    Parameters
    ----------
    a, corner, b
        (2,) ndarray of float: the corner between its neighbours, mm.
    radius, sagitta
        Radius, and largest chord error, mm.

    Returns
    -------
    (n, 2) ndarray of float
        From the side towards `a` to the side towards `b`.
    """
    u, v = (a - corner) / math.dist(a, corner), (b - corner) / math.dist(b, corner)
    half = math.acos(max(-1.0, min(1.0, float(u @ v)))) / 2
    reach = radius / math.tan(half)
    middle = corner + (u + v) / math.hypot(*(u + v)) * radius / math.sin(half)
    start, end = corner + u * reach, corner + v * reach
    begin = math.atan2(*(start - middle)[::-1])
    turn = math.pi - 2 * half
    left = float(u[0] * v[1] - u[1] * v[0]) < 0
    points = arc(middle, radius, begin, turn if left else -turn, sagitta)
    points[0], points[-1] = start, end
    return points
