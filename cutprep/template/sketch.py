"""Drawing with words of the trade: cut, valley, mountain, mark. Collects lines, gives a drawing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from cutprep.geometry.curves.flatten import circle as flat_circle
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Element, Flags, Lines, Points
from cutprep.model.operation import Fold, Operation
from cutprep.model.text import TextPlace
from cutprep.tolerance import SAGITTA

#: Names of the layers that templates are drawn on; `classify` understands each of them.
LAYERS: tuple[tuple[str, Operation, Fold], ...] = (
    ("cut", Operation.CUT, Fold.UNSAID),
    ("score valley", Operation.SCORE, Fold.VALLEY),
    ("score mountain", Operation.SCORE, Fold.MOUNTAIN),
    ("draw", Operation.DRAW, Fold.UNSAID),
    ("guide", Operation.GUIDE, Fold.UNSAID),
    ("perforate", Operation.PERFORATE, Fold.UNSAID),
)
_KINDS = {"valley": 1, "mountain": 2}
#: Points closer than this are one: arithmetic that meets itself again may differ in the last bits.
_SAME = 1e-6
#: Angles below this carry their unit, degrees.
_SMALL_ANGLE = 15.0


@dataclass(frozen=True, slots=True, eq=False)
class Aids:
    """What a picture of a template shows beside its drawing.

    Attributes
    ----------
    spans
        Where dimensions lie that no two corners show, by name, (2, 2) mm.
    lines
        What they are measured from, (n, 2) mm each.
    """

    spans: Mapping[str, Points]
    lines: tuple[Points, ...]


class Sketch:
    """A template while it is being drawn; all coordinates are mm, y up."""

    def __init__(self, name: str, sagitta: float | None = None) -> None:
        self.name = name
        self.sagitta = SAGITTA if sagitta is None else sagitta
        self._lines: list[Points] = []
        self._curved: list[Flags] = []
        self._layer: list[int] = []
        self._angle: list[str] = []
        self.faces: dict[str, Points] = {}
        self.turned: set[str] = set()
        #: Free edges by name, and folds of tuck flaps, (2, 2) mm each.
        self.edges: dict[str, Points] = {}
        self.behind: dict[str, float] = {}
        self.locks: list[Points] = []
        self._taken: list[BaseGeometry] = []
        #: What only a picture shows: where a dimension lies that no two corners show, (2, 2) mm, and lines that it is measured from.
        self.spans: dict[str, Points] = {}
        self.aids: list[Points] = []
        self.note = ""
        self._names: dict[int, str] = {}
        #: Whether it is read on the side that the drawing shows.
        self.read_inside = False
        self.texts: list[TextPlace] = []

    def face(self, name: str, corners: Points, *, turned: bool = False) -> None:
        """Name a panel by its corners, (n, 2), mm: it can take a window or a text; `turned`: its upper side is below on the drawing."""
        self.faces[name] = corners
        if turned:
            self.turned.add(name)

    def edge(self, name: str, p: ArrayLike, q: ArrayLike, *, behind: float | None = None) -> None:
        """Name a free edge of the outline by its ends, mm: it can take a thumb notch.

        Parameters
        ----------
        name, p, q
            Its name, and its ends, mm; of a bowed edge two points from which its crest lies in the middle.
        behind
            Radius of a notch behind which flaps still close what must be closed, and do not show, mm; None where no flap lies.
        """
        self.edges[name] = np.array([p, q], dtype=np.float64)
        if behind is not None:
            self.behind[name] = behind

    def lock(self, p: ArrayLike, q: ArrayLike) -> None:
        """Say that the fold of a tuck flap runs from p to q, mm: it can take slit locks."""
        self.locks.append(np.array([p, q], dtype=np.float64))

    def span(self, name: str, p: ArrayLike, q: ArrayLike) -> None:
        """Say where a dimension lies, by its ends, mm: pictures letter it there."""
        self.spans[name] = np.array([p, q], dtype=np.float64)

    def aid(self, *points: ArrayLike) -> None:
        """Give pictures a line, through points, mm, that a dimension is measured from; the drawing has none."""
        self.aids.append(np.array([np.asarray(p, dtype=np.float64) for p in points]))

    def room(self, name: str, margin: float) -> shapely.Polygon:
        """Where something may be cut into a face or written on it: a margin inside it, mm, and off what is there already."""
        room = shapely.Polygon(self.faces[name]).buffer(-margin, join_style="mitre")
        free = shapely.difference(room, shapely.union_all([shape.buffer(margin) for shape in self._taken]))
        return max(shapely.get_parts(free), key=lambda part: part.area, default=shapely.Polygon())

    def take(self, shape: BaseGeometry) -> None:
        """Keep what comes later off a shape."""
        self._taken.append(shape)

    def fold(self, points: Points, kind: str = "valley", degrees: float | None = None) -> None:
        """Draw a straight fold: "valley" or "mountain".

        Parameters
        ----------
        points
            (n, 2) ndarray of float, mm.
        kind
            One of the two words.
        degrees
            See `valley`.
        """
        self._add(points, _KINDS[kind])
        if degrees is not None:
            # A small bare number behind a name is taken for a count.
            self._angle[-1] = f" {round(degrees, 4):g}" + (" deg" if degrees < _SMALL_ANGLE else "")

    def cut(self, *points: ArrayLike, closed: bool = False) -> None:
        """Cut along points; `closed` goes back to the first one."""
        self._add(points, 0, closed)

    def valley(self, *points: ArrayLike, degrees: float | None = None) -> None:
        """Score a fold that closes towards the viewer.

        Parameters
        ----------
        degrees
            How far it folds, where folding on the screen could take it for something else; it is written
            behind the layer's name.
        """
        self.fold(np.array([np.asarray(p, dtype=np.float64) for p in points]), "valley", degrees)

    def mountain(self, *points: ArrayLike) -> None:
        """Score a fold that closes away from the viewer."""
        self._add(points, 2)

    def fold_over(self, *points: ArrayLike) -> None:
        """Score a valley that is folded over until it lies flat."""
        self.valley(*points, degrees=180)

    def valley_curve(self, points: Points) -> None:
        """Score a curved valley fold along the chords of a curve, (n, 2), mm."""
        curved = np.ones(len(points), bool)
        curved[[0, -1]] = False
        self._append(points, curved, 1)

    def perforate(self, *points: ArrayLike) -> None:
        """Perforate along points, so that the card tears there."""
        self._add(points, 5)

    def mark(self, *points: ArrayLike) -> None:
        """Draw a thin guide line, which no tool works."""
        self._add(points, 4)

    def write(self, points: Points) -> None:
        """Draw a stroke with the pen, (n, 2), mm."""
        self._append(points, np.zeros(len(points), bool), 3)

    def place_text(self, words: str, middle: Points, height: float, *, turned: bool = False) -> None:
        """Mark where each copy gets a text of its own.

        Parameters
        ----------
        words
            With names in braces.
        middle
            (2,) ndarray of float, mm.
        height
            Of its capitals, mm.
        turned
            Written upside down.
        """
        at = (float(middle[0]), float(middle[1]) + (height / 2 if turned else -height / 2))
        element = Element(tag="template", ident=f"{self.name}-text", layer="draw")
        turn = 180.0 if turned else 0.0
        self.texts.append(TextPlace(words, at, height, element, turn=turn, anchor="middle"))

    def hole(self, centre: tuple[float, float], radius: float) -> None:
        """Cut a round hole, off which options keep."""
        points = flat_circle(centre, radius, self.sagitta)
        self.take(shapely.Polygon(points))
        curved = np.ones(len(points), bool)
        self._append(points, curved, 0)

    def window(self, ring: Points, curved: Flags) -> None:
        """Cut a hole along a closed ring, (n, 2), mm, whose last point is its first; `curved` tells chords of curves."""
        self._append(ring, curved, 0)

    def cut_path(self, pieces: Iterable[tuple[ArrayLike, bool]]) -> None:
        """Cut one closed line put together from runs of points.

        Parameters
        ----------
        pieces
            Runs as ((n, 2) points, whether they are chords of a curve); each run begins where the
            one before it ended, and the last one ends where the first began.
        """
        points: list[Points] = []
        curved: list[Flags] = []
        for run, is_curve in pieces:
            row = np.asarray(run, dtype=np.float64)
            flags = np.full(len(row), is_curve)
            flags[[0, -1]] = False
            points.append(row[:-1])
            curved.append(flags[:-1])
        ring, flags = np.vstack([*points, points[0][:1]]), np.append(np.concatenate(curved), False)
        keep = _told_apart(ring)
        self._append(ring[keep], flags[keep], 0)

    def _add(self, points: Iterable[ArrayLike], layer: int, closed: bool = False) -> None:
        rows = np.array([np.asarray(p, dtype=np.float64) for p in points])
        if closed:
            rows = np.vstack((rows, rows[:1]))
        rows = rows[_told_apart(rows)]
        self._append(rows, np.zeros(len(rows), bool), layer)

    def _append(self, points: Points, curved: Flags, layer: int) -> None:
        self._lines.append(points)
        self._curved.append(curved)
        self._layer.append(layer)
        self._angle.append("")

    def add(self, other: Sketch) -> None:
        """Add another sketch's lines and faces as they stand."""
        self._lines += other._lines
        self._curved += other._curved
        self._layer += other._layer
        self._angle += other._angle
        self.faces |= other.faces
        self.turned |= other.turned
        self.edges |= other.edges
        self.behind |= other.behind
        self.locks += other.locks
        self._taken += other._taken
        self.spans |= other.spans
        self.aids += other.aids

    def above(self, other: Sketch, top: float, apart: float) -> float:
        """Add another sketch above what is drawn, its left edge at 0; gives its upper edge, mm."""
        every = np.concatenate(other._lines)
        move = np.array([-every[:, 0].min(), top + apart - every[:, 1].min()])
        other._move(lambda points: points + move)
        self.add(other)
        return float(every[:, 1].max() + move[1])

    def _move(self, moved: Callable[[Points], Points]) -> None:
        self._lines = [moved(points) for points in self._lines]
        self.faces = {name: moved(points) for name, points in self.faces.items()}
        self.edges = {name: moved(points) for name, points in self.edges.items()}
        self.locks = [moved(points) for points in self.locks]
        self.spans = {name: moved(points) for name, points in self.spans.items()}
        self.aids = [moved(points) for points in self.aids]
        self._taken = [shapely.transform(shape, moved) for shape in self._taken]

    def rings(self) -> list[int]:
        """Which lines are closed cuts."""
        return [
            i
            for i, (points, layer) in enumerate(zip(self._lines, self._layer, strict=True))
            if layer == 0 and len(points) > 3 and (points[0] == points[-1]).all()
        ]

    def line(self, i: int) -> tuple[Points, Flags]:
        """Points of a line, (n, 2) mm, and which are chords of a curve."""
        return self._lines[i], self._curved[i]

    def folds(self) -> list[int]:
        """Which lines are folds."""
        return [i for i, layer in enumerate(self._layer) if layer in _KINDS.values()]

    def straight_folds(self) -> list[int]:
        """Which lines are folds from one point to another."""
        return [i for i in self.folds() if len(self._lines[i]) == 2]

    def redraw(self, i: int, points: Points, curved: Flags) -> None:
        """Give a line another course: points, (n, 2) mm, and which are chords of a curve."""
        self._lines[i], self._curved[i] = points, curved

    def redraw_fold(self, i: int, runs: Sequence[Points]) -> None:
        """Put shorter straight runs, (2, 2) mm each, in the place of a fold; at least one."""
        self._lines[i] = runs[0]
        for run in runs[1:]:
            self._append(run, np.zeros(2, bool), self._layer[i])
            self._angle[-1] = self._angle[i]

    def show_outside(self) -> None:
        """Turn a drawing that shows the inside over, so that the pen writes outside: valleys become mountains."""
        if 1 not in self._layer or self.read_inside:
            return
        over = np.array([-1.0, 1.0])
        self._move(lambda points: points * over)
        self._layer = [{1: 2, 2: 1}.get(layer, layer) for layer in self._layer]
        self.note = "; ".join(filter(None, (self.note, "the drawing shows the outside of the card")))

    def seen(self) -> Aids:
        """What a picture shows beside the drawing, moved as that is."""
        corner = np.concatenate(self._lines).min(axis=0)
        return Aids(
            {name: points - corner for name, points in self.spans.items()},
            tuple(points - corner for points in self.aids),
        )

    def name_pieces(self, names: Sequence[str]) -> None:
        """Name the outlines of the pieces, in the order in which they were drawn; one piece alone needs no name."""
        rings = {i: shapely.Polygon(self._lines[i]) for i in self.rings()}
        outer = [i for i, ring in rings.items() if not any(o.contains_properly(ring) for o in rings.values())]
        if len(outer) > 1:
            self._names = dict(zip(outer, names, strict=False))

    def drawing(self) -> Drawing:
        """Give the finished drawing, moved so that its lower left is the origin."""
        elements = tuple(
            Element(
                tag="template",
                ident=f"{self.name}-{LAYERS[layer][0].replace(' ', '-')}-{i + 1}",
                layer=LAYERS[layer][0] + angle,
                label=self._names.get(i, ""),
            )
            for i, (layer, angle) in enumerate(zip(self._layer, self._angle, strict=True))
        )
        lines = Lines.of(
            self._lines,
            operation=[int(LAYERS[layer][1]) for layer in self._layer],
            fold=[int(LAYERS[layer][2]) for layer in self._layer],
            source=list(range(len(self._layer))),
            curved=self._curved,
            elements=elements,
        )
        left, bottom, right, top = lines.bounds
        moved = lines.transform([[1, 0, -left], [0, 1, -bottom]])
        return Drawing(
            self.name,
            moved,
            page=(right - left, top - bottom),
            texts=tuple(place.moved(-left, -bottom) for place in self.texts),
            unit_mm=1.0,
            unit_named=True,
            scale_note="drawn from dimensions in mm" + (f"; {self.note}" if self.note else ""),
        )


def _told_apart(points: Points) -> Flags:
    """Which points to keep: those that lie off the one before them; both ends always stay."""
    keep = np.append(True, np.hypot(*np.diff(points, axis=0).T) > _SAME)
    if not keep[-1] and len(points) > 2:
        keep[-2], keep[-1] = False, True
    return np.asarray(keep)
