"""Placing many different templates one by one on a sheet of cells, without no-fit polygons.

A sheet is a grid of square cells, kept as the bits of one large integer, row after row. A cell is
taken when a copy, widened by the gap, touches it. Where a further copy may lie is found for all
positions at once: its own cells are runs in rows; a run of n cells at a position is blocked when
one of the n cells from there on is taken, which doubling gives in log n steps; the whole copy is
blocked where one of its runs is. What is left is sure to be clear, since cells are counted as
taken when they are touched. The copy goes where a pull draws it, and is then slid down and left
by its true outline as far as it goes.

Work grows with rows times copies tried, not with pairs of templates.

References
----------
J. A. Bennell, J. F. Oliveira, "The geometry of nesting problems: a tutorial", European Journal of
Operational Research 184 (2008), 397-415, section 2 (raster methods).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import dataclass
from functools import partial

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.model.lines import Flags, Index, Points
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.meter import ROW, SLIDE
from cutprep.stages.nest.item.nofit import NoFit
from cutprep.stages.nest.item.pattern import PatternPlacement
from cutprep.stages.nest.item.shape import Box, Shape, matrix_of, shifted, transformed
from cutprep.stages.nest.item.usable_area import UsableArea
from cutprep.stages.nest.pack.greedy import Pull, costs_of, narrowed

#: Cells along the longer side of a sheet; a cell is at least so many mm.
_CELLS = 320
_LEAST_CELL = 0.25
#: Poses tried of templates that may be turned freely.
_MOST_POSES = 8
#: Placed copies whose cells are kept.
_MOST_KEPT = 500
#: Slides of a copy by its true outline: rounds of halving, and how far it goes, in cells.
_HALVINGS = 9
_REACH = 3.0
#: Kept beyond the gap, so that positions may be rounded afterwards, mm.
_SPARE = 2e-6  # not a tolerance: twice the rounding of positions
_HALF_DIAGONAL = math.sqrt(0.5)
_EQUAL = 1e-6  # not a tolerance: of poses that cost the same the first is taken
_NOWHERE = np.empty(0, np.int64), np.empty(0, np.int64)
_ROUNDING = 1e-9  # not a tolerance: rounding of quotients only


@dataclass(frozen=True, slots=True, eq=False)
class RasterItem:
    """A demand in a pose, as cells and as it is.

    Attributes
    ----------
    outline
        Drawn with few vertices, about the template's origin, mm.
    box
        Its box, mm.
    runs
        Row, first cell and number of cells of each run, from the box's lower left.
    corner
        Cells in which its lower left may lie on an empty sheet, as bits.
    """

    outline: BaseGeometry
    box: Box
    runs: tuple[tuple[int, int, int], ...]
    corner: int


@dataclass(frozen=True, slots=True, eq=False)
class _Cells:
    """The grid: its lower left and size, mm; the side of a cell, mm; columns and rows."""

    left: float
    bottom: float
    width: float
    height: float
    side: float
    columns: int
    rows: int

    def taken(self, area: BaseGeometry, wider: float = 0.0) -> int:
        """Cells that an area, widened, touches, as bits."""
        wide = area.buffer(wider + self.side * _HALF_DIAGONAL, quad_segs=4)
        inside = _sampled(wide, self.left, self.bottom, self.side, self.columns, self.rows)
        return _row_masks(inside)

    def corner(self, across: int, up: int) -> int:
        """The cells of the lower left corner, so many across and up, as bits."""
        inside = np.zeros((self.rows, self.columns), dtype=bool)
        inside[:up, :across] = True
        return _row_masks(inside)


class RasterBoard:
    """A sheet that is being filled by cells; it does what `greedy.Board` does, for many kinds at once.

    Parameters
    ----------
    shapes, allowed
        Shape and poses of each demand.
    usable
        The sheet.
    nofit
        Whose outlines of few vertices are used; none of its polygons is made.
    """

    def __init__(
        self, shapes: Sequence[Shape], allowed: Sequence[Sequence[Pose]], usable: UsableArea, nofit: NoFit
    ) -> None:
        self.shapes = shapes
        self.allowed: Sequence[Sequence[Pose]] = [_few(poses) for poses in allowed]
        self.usable = usable
        self.nofit = nofit
        self.meter = nofit.meter
        self.pulls = 2
        self.cells = _cells_of(usable.box)
        self._items: dict[tuple[int, Pose], RasterItem] = {}
        self._covered: dict[PatternPlacement, int] = {}
        self._kept_out = 0
        for area in usable.keep_out:
            self._kept_out |= self.cells.taken(area)
        self.empty()

    def fresh(self) -> RasterBoard:
        """An empty board that shares what is known of the sheet."""
        board = copy(self)
        board.empty()
        return board

    def empty(self) -> None:
        """Take all copies off."""
        self.placements: list[PatternPlacement] = []
        #: Cells from which one of the next 2^j is taken, for so many placements; it grows as it is needed.
        self._doubled: list[int] = []
        self._counted = -1

    def narrow(self, rng: np.random.Generator, most: int) -> None:
        """Keep only some poses of each demand that has many."""
        self.allowed = narrowed(self.allowed, rng, most)

    def item(self, demand: int, pose: Pose) -> RasterItem:
        """A demand in a pose, as cells."""
        key = (demand, pose)
        if key not in self._items:
            self._items[key] = _item_of(self.nofit.simple(demand), self.cells, pose)
        return self._items[key]

    def box(self, demand: int, pose: Pose) -> Box:
        """Box of a demand in a pose about its origin, mm."""
        return self.item(demand, pose).box

    def put(self, placement: PatternPlacement) -> None:
        """Place a copy."""
        self.placements.append(placement)

    def corners(self, demand: int, pose: Pose) -> Points:
        """Origins that a copy may have, (n, 2), mm."""
        row, column = self._clear(self.item(demand, pose))
        cells, box = self.cells, self.box(demand, pose)
        return np.column_stack(
            (cells.left + column * cells.side - box[0], cells.bottom + row * cells.side - box[1])
        )

    def best(self, demand: int, pull: Pull) -> tuple[float, PatternPlacement] | None:
        """The best placement for a demand, with its cost, or None when none is left."""
        best, found = math.inf, None
        used = self._used()
        for pose in self.allowed[demand]:
            corners = self.corners(demand, pose)
            if not len(corners):
                continue
            costs = costs_of(corners, self.box(demand, pose), used, pull)
            k = int(np.argmin(np.round(costs, 6)))
            if costs[k] < best - _EQUAL:
                best, found = float(costs[k]), (pose, float(corners[k, 0]), float(corners[k, 1]))
        if found is None:
            return None
        pose, x, y = found
        return best, PatternPlacement(demand, pose, *self._slid(self.item(demand, pose), x, y))

    def _solid(self, placement: PatternPlacement) -> BaseGeometry:
        return shifted(self.item(placement.demand, placement.pose).outline, placement.x, placement.y)

    def _used(self) -> Box:
        """The box around all copies."""
        cells = self.cells
        left, bottom, right, top = cells.left, cells.bottom, cells.left, cells.bottom
        for placement in self.placements:
            box = self.box(placement.demand, placement.pose)
            left, bottom = min(left, placement.x + box[0]), min(bottom, placement.y + box[1])
            right, top = max(right, placement.x + box[2]), max(top, placement.y + box[3])
        return left, bottom, right, top

    def _taken(self) -> list[int]:
        """Cells that are taken, brought up to date with the placements."""
        if self._counted != len(self.placements):
            taken = self._doubled[0] if self._doubled else self._kept_out
            for placement in self.placements[max(0, self._counted) :]:
                if len(self._covered) > _MOST_KEPT:
                    self._covered.clear()
                if placement not in self._covered:
                    self._covered[placement] = self.cells.taken(self._solid(placement), self.usable.gap)
                taken |= self._covered[placement]
            self._doubled, self._counted = [taken], len(self.placements)
        return self._doubled

    def _clear(self, item: RasterItem) -> tuple[Index, Index]:
        """Rows and columns of cells in which a copy's lower left may lie."""
        doubled, free, count = self._taken(), item.corner, 0
        for row, begin, length in item.runs:
            if not free:
                break
            count += 1
            level = length.bit_length() - 1
            while len(doubled) <= level:
                doubled.append(doubled[-1] | doubled[-1] >> (1 << (len(doubled) - 1)))
            one = doubled[level] >> (row * self.cells.columns + begin)
            free ^= free & one
            rest = length - (1 << level)
            if rest:
                free ^= free & (one >> rest)
        self.meter.spend(ROW * (count + 1))
        if not free:
            return _NOWHERE
        packed = np.frombuffer(free.to_bytes((free.bit_length() + 7) // 8, "little"), dtype=np.uint8)
        return np.divmod(np.flatnonzero(np.unpackbits(packed, bitorder="little")), self.cells.columns)

    def _slid(self, item: RasterItem, x: float, y: float) -> tuple[float, float]:
        """Slide a copy down and left, twice, as far as its true outline lets it, a few cells at most."""
        usable, far = self.usable, _REACH * self.cells.side
        left, bottom, right, top = item.box
        around = shapely.box(x + left - 2 * far, y + bottom - 2 * far, x + right, y + top).buffer(usable.gap)
        solids = [
            self._solid(placement) for placement in self.placements if self._is_near(placement, around.bounds)
        ]
        neighbours = np.array([solid for solid in solids if solid.intersects(around)], dtype=object)
        shapely.prepare(neighbours)
        west, south, _, _ = usable.box

        def clear(at_x: float, at_y: float) -> bool:
            moved = shifted(item.outline, at_x, at_y)
            if any(shapely.relate_pattern(moved, area, "T********") for area in usable.keep_out):
                return False
            if usable.gap:
                return bool((shapely.distance(neighbours, moved) >= usable.gap + _SPARE).all())
            return not bool(shapely.relate_pattern(neighbours, moved, "T********").any())

        for _ in range(2):
            y = _free_end(y, max(south - bottom, y - far), partial(_at_y, clear, x))
            x = _free_end(x, max(west - left, x - far), partial(_at_x, clear, y))
        self.meter.spend(SLIDE)
        return x, y

    def _is_near(self, placement: PatternPlacement, around: Box) -> bool:
        left, bottom, right, top = self.box(placement.demand, placement.pose)
        return (
            placement.x + left <= around[2]
            and placement.x + right >= around[0]
            and placement.y + bottom <= around[3]
            and placement.y + top >= around[1]
        )


def _at_x(clear: Callable[[float, float], bool], y: float, x: float) -> bool:
    return clear(x, y)


def _at_y(clear: Callable[[float, float], bool], x: float, y: float) -> bool:
    return clear(x, y)


def _few(poses: Sequence[Pose]) -> Sequence[Pose]:
    """All poses, or some of very many."""
    return poses if len(poses) <= _MOST_POSES else poses[:: -(-len(poses) // _MOST_POSES)]


def _cells_of(box: Box) -> _Cells:
    left, bottom, right, top = box
    side = max(_LEAST_CELL, max(right - left, top - bottom) / _CELLS)
    width, height = right - left, top - bottom
    return _Cells(left, bottom, width, height, side, math.ceil(width / side), math.ceil(height / side))


def _item_of(simple: BaseGeometry, cells: _Cells, pose: Pose) -> RasterItem:
    outline = transformed(simple, matrix_of(pose))
    left, bottom, right, top = (float(side) for side in outline.bounds)
    columns = max(1, math.ceil((right - left) / cells.side))
    rows = max(1, math.ceil((top - bottom) / cells.side))
    wide = outline.buffer(cells.side * _HALF_DIAGONAL, quad_segs=4)
    inside = _sampled(wide, left, bottom, cells.side, columns, rows)
    across = math.floor((cells.width - (right - left)) / cells.side + _ROUNDING) + 1
    up = math.floor((cells.height - (top - bottom)) / cells.side + _ROUNDING) + 1
    corner = cells.corner(across, up) if across > 0 and up > 0 else 0
    return RasterItem(outline, (left, bottom, right, top), _runs(inside), corner)


def _runs(inside: Flags) -> tuple[tuple[int, int, int], ...]:
    """Runs of set cells; rows far apart first, so that a full sheet is soon seen to be full."""
    edges = np.diff(np.pad(inside, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    row, begin = np.nonzero(edges == 1)
    end = np.nonzero(edges == -1)[1]
    spread = np.argsort((row * 37) % max(1, len(inside)), kind="stable")
    return tuple(
        zip(row[spread].tolist(), begin[spread].tolist(), (end - begin)[spread].tolist(), strict=True)
    )


def _row_masks(inside: Flags) -> int:
    return int.from_bytes(np.packbits(inside.ravel(), bitorder="little").tobytes(), "little")


def _sampled(area: BaseGeometry, left: float, bottom: float, side: float, columns: int, rows: int) -> Flags:
    """Which cells have their middle inside an area, (rows, columns), by the parity of crossings."""
    inside = np.zeros((rows, columns), dtype=bool)
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(shapely.get_parts(area))]
    if not rings:
        return inside
    begin = np.concatenate([ring[:-1] for ring in rings])
    end = np.concatenate([ring[1:] for ring in rings])
    y = bottom + (np.arange(rows) + 0.5) * side
    first, last = np.searchsorted(y, (begin[:, 1].min(), begin[:, 1].max()))
    low, high = np.minimum(begin[:, 1], end[:, 1]), np.maximum(begin[:, 1], end[:, 1])
    row, edge = np.nonzero((low <= y[first:last, None]) & (y[first:last, None] < high))
    row = row + first
    step = end[edge] - begin[edge]
    across = begin[edge, 0] + (y[row] - begin[edge, 1]) * step[:, 0] / step[:, 1]
    column = np.clip(np.ceil((across - left) / side - 0.5), 0, columns).astype(np.int64)
    toggled = np.zeros((rows, columns + 1), dtype=np.int64)
    np.add.at(toggled, (row, column), 1)
    return np.asarray(np.cumsum(toggled, axis=1)[:, :columns] % 2 == 1)


def _free_end(begin: float, end: float, clear: Callable[[float], bool]) -> float:
    """How far a copy can be slid from one position towards another, by halving."""
    if end >= begin:
        return begin
    if clear(end):
        return end
    for _ in range(_HALVINGS):
        middle = (begin + end) / 2
        begin, end = (middle, end) if clear(middle) else (begin, middle)
    return begin
