"""Plain step and repeat: the reference that every nest must at least reach.

Copies of one template in rows and columns of their bounding box, in each allowed quarter turn,
and in head-to-tail pairs: two copies, one turned by half a turn, pushed together until their
outlines are a gap apart, and the pair stepped by its box.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement
from cutprep.stages.nest.item.shape import Shape, box_at, posed, shifted
from cutprep.stages.nest.item.usable_area import UsableArea

#: Lengths that differ by less than this fill the same room; far below what a machine can step, mm.
SLACK = 1e-9  # not a tolerance: rounding of sums of widths only


@dataclass(frozen=True, slots=True)
class Cell:
    """What is stepped: poses with their origins relative to the cell's lower left, and its size."""

    members: tuple[tuple[Pose, float, float], ...]
    width: float
    height: float


def grid_pattern(
    demand: int, shape: Shape, allowed: Sequence[Pose], usable: UsableArea, *, pairs: bool = True
) -> Pattern:
    """Find the regular step and repeat that places most copies.

    Parameters
    ----------
    demand, shape
        Number of the demand, and its shape.
    allowed
        Poses that it may have.
    usable
        Usable area of the sheet.
    pairs
        Whether head-to-tail pairs are tried, too.

    Returns
    -------
    Pattern
        May be empty when not even one copy fits.
    """
    best = Pattern((), "grid")
    for cell, words in cells(shape, allowed, usable.gap, pairs=pairs):
        placements = _stepped(demand, shape, cell, usable)
        if len(placements) > len(best):
            best = Pattern(tuple(placements), words)
    return best


def cells(
    shape: Shape, allowed: Sequence[Pose], gap: float, *, pairs: bool = True
) -> Iterator[tuple[Cell, str]]:
    """Every cell that the grid steps, with words for it: single poses, then head-to-tail pairs.

    Parameters
    ----------
    shape, allowed
        The shape, and poses that it may have.
    gap
        Least distance between copies, mm.
    pairs
        Whether head-to-tail pairs are among the cells.
    """
    quarters = [pose for pose in allowed if not pose.turn % 90.0 and not pose.mirror] or list(allowed[:1])
    for pose in quarters:
        left, bottom, right, top = box_at(shape, pose)
        yield Cell(((pose, -left, -bottom),), right - left, top - bottom), "grid"
    for pose in quarters if pairs else []:
        back = Pose((pose.turn + 180.0) % 360.0)
        if back in allowed:
            yield _pair(shape, pose, back, gap), "grid of head-to-tail pairs"


def steps(usable: float, size: float, gap: float) -> int:
    """How many pieces of a size fit in a row with a gap between them."""
    return max(0, math.floor((usable + gap + SLACK) / (size + gap)))


def _stepped(demand: int, shape: Shape, cell: Cell, usable: UsableArea) -> list[PatternPlacement]:
    left, bottom, _, _ = usable.box
    columns, rows = (
        steps(side, size, usable.gap)
        for side, size in zip(usable.extent, (cell.width, cell.height), strict=True)
    )
    placements = [
        PatternPlacement(
            demand,
            pose,
            left + column * (cell.width + usable.gap) + x,
            bottom + row * (cell.height + usable.gap) + y,
        )
        for row in range(rows)
        for column in range(columns)
        for pose, x, y in cell.members
    ]
    return (
        [placement for placement in placements if _is_free(shape, placement, usable.keep_out)]
        if usable.keep_out
        else placements
    )


def _is_free(shape: Shape, placement: PatternPlacement, keep_out: Sequence[shapely.Polygon]) -> bool:
    left, bottom, right, top = box_at(shape, placement.pose)
    box = shapely.box(left + placement.x, bottom + placement.y, right + placement.x, top + placement.y)
    return not any(shapely.relate_pattern(box, area, "T********") for area in keep_out)


def _pair(shape: Shape, pose: Pose, back: Pose, gap: float) -> Cell:
    """Push a copy and its half turn together along x, their boxes level."""
    left, bottom, right, top = box_at(shape, pose)
    back_left, back_bottom, _, _ = box_at(shape, back)
    width, height = right - left, top - bottom
    first = shifted(posed(shape.solid, pose), -left, -bottom)
    second = shifted(posed(shape.solid, back), -back_left, -back_bottom)
    step = _closest(first, second, width + gap, gap)
    return Cell(((pose, -left, -bottom), (back, step - back_left, -back_bottom)), step + width, height)


def _closest(first: BaseGeometry, second: BaseGeometry, start: float, gap: float) -> float:
    """Least shift of `second` to the right at which it still stands off `first` by the gap.

    Comes from the right in steps of 1/256 of the way, then halves the last step: what lies behind
    the first obstacle is left alone.
    """

    def apart(shift: float) -> bool:
        moved = shifted(second, shift, 0.0)
        if gap == 0.0:
            return not bool(shapely.relate_pattern(first, moved, "T********"))
        return bool(shapely.distance(first, moved) >= gap)

    clear, blocked = start, None
    for shift in np.linspace(start, 0.0, 257)[1:]:
        if not apart(float(shift)):
            blocked = float(shift)
            break
        clear = float(shift)
    if blocked is None:
        return clear
    for _ in range(40):
        middle = (clear + blocked) / 2
        clear, blocked = (middle, blocked) if apart(middle) else (clear, middle)
    return clear
