"""Placing copies one by one where they fit best: any mix of templates, any sheet with areas kept free.

For each pose the *free region* is known: where the origin of one more copy may lie. It starts as
the rectangle in which the copy stays inside the margin, loses the no-fit polygon of each keep-out
area, and of each copy that is placed. Copies go to corners of their free regions; which corner
is decided by a *pull*: a direction in which everything is drawn together.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol, Self

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.geometry.affine import apply
from cutprep.model.lines import Points
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.meter import REGION, Meter
from cutprep.stages.nest.item.nofit import EASE, GRID, MANY, NoFit, convex_pieces, minkowski, simpler
from cutprep.stages.nest.item.pattern import PatternPlacement
from cutprep.stages.nest.item.shape import Box, Shape, box_at, matrix_of, shifted
from cutprep.stages.nest.item.usable_area import UsableArea

_EQUAL = 1e-6  # not a tolerance: of poses that cost the same the first is taken


@dataclass(frozen=True, slots=True)
class Pull:
    """Where copies are drawn: the direction (degrees) in which they sink, and what counts.

    Attributes
    ----------
    direction
        270 sinks down first, 180 to the left; everything between is a slope.
    spread
        0 looks only at how far the copy's own far side sinks, 1 only at how much the box around all
        copies grows.
    """

    direction: float = 270.0
    spread: float = 0.0


class AnyBoard(Protocol):
    """What a sheet that is being filled can do, whether it looks for room by no-fit polygons or by cells."""

    shapes: Sequence[Shape]
    allowed: Sequence[Sequence[Pose]]
    meter: Meter
    placements: list[PatternPlacement]
    #: Pulls tried in a first fill.
    pulls: int

    def fresh(self) -> Self:
        """An empty board that shares what is known of the sheet."""

    def narrow(self, rng: np.random.Generator, most: int) -> None:
        """Keep only some poses of each demand that has many."""

    def put(self, placement: PatternPlacement) -> None:
        """Place a copy."""

    def corners(self, demand: int, pose: Pose) -> Points:
        """Origins that a copy may have, (n, 2), mm."""

    def best(self, demand: int, pull: Pull) -> tuple[float, PatternPlacement] | None:
        """The best placement for a demand, with its cost, or None when none is left."""


class Board:
    """A sheet that is being filled.

    Parameters
    ----------
    shapes, allowed
        Shape and poses of each demand.
    usable
        The sheet.
    nofit
        No-fit polygons of the shapes, for the usable area's gap.
    """

    def __init__(
        self, shapes: Sequence[Shape], allowed: Sequence[Sequence[Pose]], usable: UsableArea, nofit: NoFit
    ) -> None:
        self.shapes = shapes
        self.allowed = allowed
        self.usable = usable
        self.nofit = nofit
        self.placements: list[PatternPlacement] = []
        self.meter = nofit.meter
        self.pulls = 6
        self._start: dict[tuple[int, Pose], BaseGeometry] = {}
        self._free: dict[tuple[int, Pose], BaseGeometry] = {}
        self._boxes: dict[tuple[int, Pose], Box] = {}

    def fresh(self) -> Board:
        """An empty board that shares what is known of the sheet."""
        board = Board(self.shapes, self.allowed, self.usable, self.nofit)
        board._start, board._boxes = self._start, self._boxes
        return board

    def box(self, demand: int, pose: Pose) -> Box:
        """Box of a demand in a pose about its origin, mm."""
        key = (demand, pose)
        if key not in self._boxes:
            self._boxes[key] = box_at(self.shapes[demand], pose)
        return self._boxes[key]

    def free(self, demand: int, pose: Pose) -> BaseGeometry:
        """Where one more copy may have its origin."""
        key = (demand, pose)
        if key not in self._free:
            region = self.start(demand, pose)
            if self.placements and not region.is_empty:
                taken = [self._forbidden(placement, demand, pose) for placement in self.placements]
                region = without(region, shapely.union_all(taken))
            self.meter.spend(REGION * (1 + len(self.placements) // 4))
            self._free[key] = region
        return self._free[key]

    def start(self, demand: int, pose: Pose) -> BaseGeometry:
        """Where the origin of a copy may lie on the empty sheet."""
        key = (demand, pose)
        if key not in self._start:
            self._start[key] = inner_fit_polygon(self.shapes[demand], pose, self.usable)
        return self._start[key]

    def narrow(self, rng: np.random.Generator, most: int) -> None:
        """Keep only some poses of each demand that has many."""
        self.allowed = narrowed(self.allowed, rng, most)

    def put(self, placement: PatternPlacement) -> None:
        """Place a copy."""
        self.placements.append(placement)
        for (demand, pose), region in self._free.items():
            if not region.is_empty:
                self.meter.spend(REGION)
                taken = self._forbidden(placement, demand, pose)
                self._free[demand, pose] = without(region, taken)

    def corners(self, demand: int, pose: Pose) -> Points:
        """Corners of a free region, (n, 2), mm."""
        return np.asarray(shapely.get_coordinates(self.free(demand, pose)))

    def best(self, demand: int, pull: Pull) -> tuple[float, PatternPlacement] | None:
        """The best placement for a demand, with its cost, or None when none is left."""
        found: tuple[float, PatternPlacement] | None = None
        used = self._used()
        for pose in self.allowed[demand]:
            corners = self.corners(demand, pose)
            if not len(corners):
                continue
            costs = costs_of(corners, self.box(demand, pose), used, pull)
            k = int(np.argmin(np.round(costs, 11)))
            if found is None or costs[k] < found[0] - _EQUAL:
                found = (
                    float(costs[k]),
                    PatternPlacement(demand, pose, float(corners[k, 0]), float(corners[k, 1])),
                )
        return found

    def _used(self) -> Box:
        if not self.placements:
            left, bottom, _, _ = self.usable.box
            return left, bottom, left, bottom
        boxes = np.array([self.box(s.demand, s.pose) for s in self.placements])
        at = np.array([(s.x, s.y, s.x, s.y) for s in self.placements])
        boxes = boxes + at
        low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    def _forbidden(self, placement: PatternPlacement, demand: int, pose: Pose) -> BaseGeometry:
        region = self.nofit.polygon(placement.demand, placement.pose, demand, pose)
        return shifted(region, placement.x, placement.y)


def narrowed(
    allowed: Sequence[Sequence[Pose]], rng: np.random.Generator, most: int
) -> Sequence[Sequence[Pose]]:
    """Some poses of each demand that has many, by lot."""
    return [
        poses
        if len(poses) <= most
        else [poses[k] for k in sorted(rng.choice(len(poses), most, replace=False))]
        for poses in allowed
    ]


def fill(board: AnyBoard, order: Sequence[int], pull: Pull) -> list[int]:
    """Place demands in an order, each where the pull draws it; what finds no place is passed over.

    Parameters
    ----------
    order
        Demand of each copy.

    Returns
    -------
    list of int
        The demands that found no place.
    """
    left: list[int] = []
    full: set[int] = set()
    for demand in order:
        found = None if demand in full else board.best(demand, pull)
        if found is None:
            full.add(demand)
            left.append(demand)
        else:
            board.put(found[1])
    return left


def inner_fit_polygon(shape: Shape, pose: Pose, usable: UsableArea) -> BaseGeometry:
    """Where the origin of a copy may lie on an empty sheet."""
    left, bottom, right, top = box_at(shape, pose)
    west, south, east, north = usable.box
    x0, y0, x1, y1 = west - left, south - bottom, east - right, north - top
    if x1 < x0 - EASE or y1 < y0 - EASE:
        return shapely.Polygon()
    region: BaseGeometry = shapely.box(x0 - EASE / 2, y0 - EASE / 2, x1 + EASE / 2, y1 + EASE / 2)
    if usable.keep_out:
        mirrored = [-apply(matrix_of(pose), piece) for piece in convex_pieces(simpler(shape.solid, MANY))]
        for area in usable.keep_out:
            blocked = minkowski(convex_pieces(area), mirrored).buffer(-EASE, join_style="mitre")
            region = without(region, blocked)
    return region


def without(region: BaseGeometry, taken: BaseGeometry) -> BaseGeometry:
    """Take an area off a free region; what is left of it as mere lines is dropped."""
    if shapely.covers(taken, region):  # as often as not on a sheet that is nearly full, and quickly seen
        return shapely.Polygon()
    rest = _difference(region, taken)
    if rest.geom_type in ("Polygon", "MultiPolygon"):
        return rest
    areas = [part for part in shapely.get_parts(rest) if shapely.get_dimensions(part) == 2]
    return shapely.MultiPolygon(areas) if areas else shapely.Polygon()


def _difference(region: BaseGeometry, taken: BaseGeometry) -> BaseGeometry:
    """Difference; where GEOS trips over its own rounding, on a fine grid, on coarser ones, and widened at last.

    A grid from the start takes three times as long, and 50 random jobs need no sheet less with it.
    """
    for grid in (None, GRID, 10 * GRID, 1000 * GRID):
        try:
            rest: BaseGeometry = shapely.difference(region, taken, grid_size=grid)
        except shapely.GEOSException:
            continue
        return rest
    # Widening what is taken leaves a little less room, which is safe.
    return shapely.difference(shapely.make_valid(region), shapely.make_valid(taken).buffer(1000 * GRID))


def costs_of(corners: Points, box: Box, used: Box, pull: Pull) -> Points:
    """What a pull makes each origin of a copy cost, (n,), mm.

    Parameters
    ----------
    corners
        (n, 2) ndarray of float: origins that the copy may have, mm.
    box, used
        Box of the copy about its origin, and box of what lies on the sheet, mm.
    pull
        Where copies are drawn to.
    """
    angle = math.radians(pull.direction)
    toward = np.array([-math.cos(angle), -math.sin(angle)])
    far = np.array([box[2] if toward[0] > 0 else box[0], box[3] if toward[1] > 0 else box[1]])
    sink = (corners + far) @ toward
    # A sideways nudge breaks ties: down goes left, left goes down.
    side = (corners + np.array(box[:2])).sum(axis=1)
    cost = sink + 0.02 * side
    if pull.spread:
        right = np.maximum(corners[:, 0] + box[2], used[2]) - used[0]
        top = np.maximum(corners[:, 1] + box[3], used[3]) - used[1]
        cost = (1 - pull.spread) * cost + pull.spread * np.sqrt(np.maximum(right * top, 0.0))
    return np.asarray(cost)
