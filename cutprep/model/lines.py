"""Lines: any number of polylines as columns, the value that every stage hands on.

The layout is that of ragged arrays in GeoArrow: one block of vertices, and offsets that say
where each line starts. A line is closed when its last point *is* its first, bit for bit, and
it has at least four points; nothing else stores closedness.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cutprep.model.operation import Fold, Operation

Points: TypeAlias = NDArray[np.float64]
Index: TypeAlias = NDArray[np.int64]
Codes: TypeAlias = NDArray[np.int8]
Sources: TypeAlias = NDArray[np.int32]
Flags: TypeAlias = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Element:
    """Where a line came from, and how it was drawn.

    Attributes
    ----------
    file, line
        Source file and line in it.
    tag, ident
        Element or entity type, and its id or handle.
    layer
        Chain of group names joined by "/" (SVG) or the layer's name (DXF).
    label
        A name given to the element itself, if any.
    colour
        Stroke colour as "#rrggbb", or None.
    dash
        Dash lengths, mm; empty for a solid line.
    width
        Stroke width, mm, or None.
    filled
        The element has a fill and no stroke.
    """

    file: str | None = None
    line: int | None = None
    tag: str = ""
    ident: str = ""
    layer: str = ""
    label: str = ""
    colour: str | None = None
    dash: tuple[float, ...] = ()
    width: float | None = None
    filled: bool = False

    @property
    def name(self) -> str:
        """Short name for messages, such as `path 'lid'`."""
        named = self.label or self.ident
        return f"{self.tag} '{named}'" if named else self.tag


@dataclass(frozen=True, slots=True)
class Line:
    """A light view of one line.

    Attributes
    ----------
    points
        (n, 2) ndarray of float, mm, y up; read-only.
    """

    points: Points
    closed: bool
    operation: Operation
    fold: Fold
    element: Element

    @property
    def layer(self) -> str:
        """Layer of the element this line came from."""
        return self.element.layer


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Polylines as columns; arrays are read-only and every method returns a new value.

    Attributes
    ----------
    xy
        (n, 2) ndarray of float: vertices, mm, y up.
    start
        (m + 1,) ndarray of int: line i is xy[start[i]:start[i + 1]].
    operation
        (m,) ndarray of int8: `Operation` codes.
    fold
        (m,) ndarray of int8: `Fold` codes; not 0 only on scores and perforations.
    source
        (m,) ndarray of int32: index into `elements`.
    curved
        (n,) ndarray of bool: the vertex lies inside a flattened curve, so it is no corner.
    elements
        What the lines came from.

    Raises
    ------
    ValueError
        When columns disagree, a line has fewer than two points, or a number is not finite.
    """

    xy: Points
    start: Index
    operation: Codes
    fold: Codes
    source: Sources
    curved: Flags
    elements: tuple[Element, ...] = (Element(),)

    def __post_init__(self) -> None:
        _freeze(self, "xy", self.xy, np.float64)
        _freeze(self, "start", self.start, np.int64)
        _freeze(self, "operation", self.operation, np.int8)
        _freeze(self, "fold", self.fold, np.int8)
        _freeze(self, "source", self.source, np.int32)
        _freeze(self, "curved", self.curved, np.bool_)
        n, m = len(self.xy), len(self.start) - 1
        if self.xy.shape != (n, 2):
            raise ValueError(f"xy has shape {self.xy.shape}; it must be (n, 2)")
        if m < 0 or self.start[0] != 0 or self.start[-1] != n:
            raise ValueError("start must begin with 0 and end with the number of vertices")
        if m and int(np.diff(self.start).min()) < 2:
            raise ValueError("a line has fewer than two points")
        if not (len(self.operation) == len(self.fold) == len(self.source) == m):
            raise ValueError("operation, fold and source must have one entry a line")
        if len(self.curved) != n:
            raise ValueError("curved must have one entry a vertex")
        if not np.isfinite(self.xy).all():
            raise ValueError("a coordinate is not finite")
        if m and not (self.source.min() >= 0 and self.source.max() < len(self.elements)):
            raise ValueError("a source lies outside the elements")
        folding = np.isin(self.operation, (Operation.SCORE, Operation.PERFORATE, Operation.UNPLACED))
        if bool((self.fold[~folding] != 0).any()):
            raise ValueError("only scores and perforations fold")

    @classmethod
    def empty(cls) -> Lines:
        """No lines at all."""
        return cls.of([])

    @classmethod
    def of(
        cls,
        polylines: Sequence[ArrayLike],
        *,
        operation: Operation | Sequence[int] = Operation.UNPLACED,
        fold: Fold | Sequence[int] = Fold.UNSAID,
        source: Sequence[int] | None = None,
        curved: Sequence[ArrayLike] | None = None,
        elements: tuple[Element, ...] = (Element(),),
    ) -> Lines:
        """Build lines from a sequence of (n, 2) arrays; codes may be one for all or one each.

        Parameters
        ----------
        polylines
            m arrays of (n, 2), mm.
        operation, fold
            One code for all, or (m,) of them.
        source
            (m,) indices into `elements`; None for the first.
        curved
            m arrays of (n,) bool: vertices within a flattened curve; None for none.
        elements
            Where lines came from.
        """
        arrays = [np.asarray(line, dtype=np.float64).reshape(-1, 2) for line in polylines]
        m = len(arrays)
        counts = np.array([len(a) for a in arrays], dtype=np.int64)
        xy = np.concatenate(arrays) if m else np.empty((0, 2))
        flags = np.concatenate([np.asarray(c, bool) for c in curved]) if curved else np.zeros(len(xy), bool)
        return cls(
            xy=xy,
            start=np.concatenate(([0], np.cumsum(counts))).astype(np.int64),
            operation=np.broadcast_to(np.asarray(operation, np.int8), (m,)),
            fold=np.broadcast_to(np.asarray(fold, np.int8), (m,)),
            source=np.zeros(m, np.int32) if source is None else np.asarray(source, np.int32),
            curved=flags,
            elements=elements,
        )

    def __len__(self) -> int:
        return len(self.start) - 1

    def __getitem__(self, i: int) -> Line:
        if not -len(self) <= i < len(self):
            raise IndexError(i)
        i %= len(self)
        points = self.points(i)
        return Line(
            points=points,
            closed=_is_closed(points),
            operation=Operation(int(self.operation[i])),
            fold=Fold(int(self.fold[i])),
            element=self.elements[int(self.source[i])],
        )

    def __iter__(self) -> Iterator[Line]:
        columns = (column.tolist() for column in (self.closed, self.operation, self.fold, self.source))
        for i, (closed, operation, fold, source) in enumerate(zip(*columns, strict=True)):
            yield Line(self.points(i), closed, Operation(operation), Fold(fold), self.elements[source])

    def points(self, i: int) -> Points:
        """Vertices of line i, (n, 2), a read-only view."""
        return self.xy[self.start[i] : self.start[i + 1]]

    def curves(self, i: int) -> Flags:
        """Curved flags of line i, a read-only view; (n,)."""
        return self.curved[self.start[i] : self.start[i + 1]]

    def element(self, i: int) -> Element:
        """The element line i came from."""
        return self.elements[int(self.source[i])]

    @property
    def counts(self) -> Index:
        """Vertices of each line, (m,)."""
        return np.diff(self.start)

    @property
    def closed(self) -> Flags:
        """Whether each line is closed, (m,)."""
        if not len(self):
            return np.zeros(0, bool)
        same = (self.xy[self.start[:-1]] == self.xy[self.start[1:] - 1]).all(axis=1)
        return np.asarray(same & (self.counts >= 4))

    @property
    def lengths(self) -> Points:
        """Length of each line, (m,), mm."""
        if not len(self):
            return np.zeros(0)
        steps = np.hypot(*np.diff(self.xy, axis=0).T)
        steps[self.start[1:-1] - 1] = 0.0
        return np.asarray(np.add.reduceat(np.append(steps, 0.0), self.start[:-1]))

    @property
    def boxes(self) -> Points:
        """Left, bottom, right, top of each line, (m, 4), mm."""
        if not len(self):
            return np.zeros((0, 4))
        heads = self.start[:-1]
        return np.hstack((np.minimum.reduceat(self.xy, heads), np.maximum.reduceat(self.xy, heads)))

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top over all vertices, mm; zeros when there are none."""
        if not len(self.xy):
            return (0.0, 0.0, 0.0, 0.0)
        (left, bottom), (right, top) = self.xy.min(axis=0), self.xy.max(axis=0)
        return (float(left), float(bottom), float(right), float(top))

    def take(self, index: ArrayLike, reverse: ArrayLike | None = None) -> Lines:
        """Pick lines in the order of an index or mask, turning some round.

        Parameters
        ----------
        index
            (k,) ndarray of int, or (m,) ndarray of bool.
        reverse
            (k,) ndarray of bool: the picked line runs backwards.
        """
        picked = np.asarray(index)
        picked = np.flatnonzero(picked) if picked.dtype == bool else picked.astype(np.int64)
        counts = self.counts[picked]
        start = np.concatenate(([0], np.cumsum(counts))).astype(np.int64)
        within = np.arange(start[-1]) - np.repeat(start[:-1], counts)
        if reverse is not None:
            backwards = np.repeat(np.asarray(reverse, bool), counts)
            within = np.where(backwards, np.repeat(counts, counts) - 1 - within, within)
        rows = np.repeat(self.start[:-1][picked], counts) + within
        return Lines(
            xy=self.xy[rows],
            start=start,
            operation=self.operation[picked],
            fold=self.fold[picked],
            source=self.source[picked],
            curved=self.curved[rows],
            elements=self.elements,
        )

    def transform(self, matrix: ArrayLike) -> Lines:
        """Apply a 2 x 3 affine matrix to every vertex; closed lines stay closed."""
        m = np.asarray(matrix, dtype=np.float64)
        xy = np.column_stack(
            (
                self.xy[:, 0] * m[0, 0] + self.xy[:, 1] * m[0, 1] + m[0, 2],
                self.xy[:, 0] * m[1, 0] + self.xy[:, 1] * m[1, 1] + m[1, 2],
            )
        )
        return replace(self, xy=xy)

    def with_operations(self, operation: ArrayLike, fold: ArrayLike | None = None) -> Lines:
        """Return the same lines with other operations, and other folds when given."""
        return replace(
            self,
            operation=np.broadcast_to(np.asarray(operation, np.int8), (len(self),)),
            fold=self.fold if fold is None else np.broadcast_to(np.asarray(fold, np.int8), (len(self),)),
        )

    @staticmethod
    def concat(parts: Sequence[Lines]) -> Lines:
        """Join several values into one; equal element tables are kept once."""
        parts = [p for p in parts if len(p)]
        if not parts:
            return Lines.empty()
        elements: list[Element] = []
        offsets: dict[int, int] = {}
        shifts = []
        for part in parts:
            known = offsets.get(id(part.elements))
            if known is None:
                known = offsets[id(part.elements)] = len(elements)
                elements.extend(part.elements)
            shifts.append(known)
        vertices = np.cumsum([0] + [len(p.xy) for p in parts])
        starts = [p.start[:-1] + v for p, v in zip(parts, vertices[:-1], strict=True)]
        return Lines(
            xy=np.concatenate([p.xy for p in parts]),
            start=np.concatenate([*starts, vertices[-1:]]),
            operation=np.concatenate([p.operation for p in parts]),
            fold=np.concatenate([p.fold for p in parts]),
            source=np.concatenate([p.source + s for p, s in zip(parts, shifts, strict=True)]),
            curved=np.concatenate([p.curved for p in parts]),
            elements=parts[0].elements if len(offsets) == 1 else tuple(elements),
        )


def _is_closed(points: Points) -> bool:
    return len(points) >= 4 and bool((points[0] == points[-1]).all())


def _freeze(owner: object, name: str, values: ArrayLike, dtype: type[np.generic]) -> None:
    given = np.asarray(values)
    array = np.ascontiguousarray(given, dtype=dtype)
    if array.flags.writeable:
        # A caller's own writable array would still change under us; ours is a copy then.
        array = array.copy() if array is given or array.base is not None else array
        array.flags.writeable = False
    object.__setattr__(owner, name, array)


__all__ = ["Codes", "Element", "Flags", "Index", "Line", "Lines", "Points", "Sources"]
