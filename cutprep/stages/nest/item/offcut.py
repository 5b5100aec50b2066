"""The largest rectangle of card that a sheet leaves over, for the next job."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.model.lines import Flags, Points
from cutprep.stages.nest.item.nofit import MANY
from cutprep.stages.nest.item.pattern import Pattern
from cutprep.stages.nest.item.shape import Box, Shape, matrix_of, transformed
from cutprep.stages.nest.item.usable_area import UsableArea

#: Cells along the longer side of the sheet; a cell is at least 1 mm.
_CELLS = 320


def largest_offcut(pattern: Pattern, shapes: Sequence[Shape], usable: UsableArea) -> Box:
    """Find the largest upright rectangle that keeps the gap from every copy.

    Returns
    -------
    Box
        Left, bottom, right, top on the sheet, mm; zeros when nothing is left. It is never too
        large, and smaller than the true one by two cells at most.
    """
    cell = max(1.0, max(usable.size.width, usable.size.height) / _CELLS)
    columns, rows = math.floor(usable.size.width / cell), math.floor(usable.size.height / cell)
    x, y = (np.asarray((np.arange(count) + 0.5) * cell) for count in (columns, rows))
    taken = [
        transformed(shapes[placement.demand].solid, matrix_of(placement.pose, placement.x, placement.y))
        for placement in pattern.placements
    ]
    blocked = np.zeros((rows, columns), dtype=bool)
    reach = usable.gap + cell * math.sqrt(0.5)
    many = [shapely.get_num_coordinates(area) > MANY for area in taken]
    few = [area for area, vast in zip(taken, many, strict=True) if not vast]
    for area in [*shapely.buffer(few, reach + cell / 8), *(area.buffer(cell) for area in usable.keep_out)]:
        _block(blocked, x, y, area, 0.0)
    # An outline of very many vertices is sooner asked than widened.
    for area in (area for area, vast in zip(taken, many, strict=True) if vast):
        _block(blocked, x, y, area, reach)
    row, column, height, width = largest_clear(~blocked)
    return column * cell, row * cell, (column + width) * cell, (row + height) * cell


def _block(blocked: Flags, x: Points, y: Points, area: BaseGeometry, reach: float) -> None:
    """Set the cells, (rows, columns), whose middles lie within a reach of an area, mm."""
    left, bottom, right, top = area.bounds
    i0, i1 = np.searchsorted(y, (bottom - reach, top + reach))
    j0, j1 = np.searchsorted(x, (left - reach, right + reach))
    if i0 < i1 and j0 < j1:
        shapely.prepare(area)
        grid_x, grid_y = np.meshgrid(x[j0:j1], y[i0:i1])
        touched = (
            shapely.dwithin(area, shapely.points(grid_x, grid_y), reach)
            if reach
            else shapely.contains_xy(area, grid_x, grid_y)
        )
        blocked[i0:i1, j0:j1] |= touched


def largest_clear(clear: Flags) -> tuple[int, int, int, int]:
    """Largest rectangle of set cells, (n, m): first row, first column, rows, columns.

    For each row the heights of the columns that are clear upwards form a histogram; its largest
    rectangle is found with a stack.

    References
    ----------
    D. Vandevoorde, "The maximal rectangle problem", Dr. Dobb's Journal, April 1998.
    """
    best, area = (0, 0, 0, 0), 0
    heights = np.zeros(clear.shape[1], dtype=np.int64)
    for row in range(clear.shape[0]):
        heights = np.where(clear[row], heights + 1, 0)
        if int(heights.max(initial=0)) * clear.shape[1] <= area:
            continue
        stack: list[tuple[int, int]] = []
        # Columns of one height are taken at once: a sheet has few edges and many cells.
        steps = np.flatnonzero(np.diff(heights, prepend=-1))
        for column, height in [*zip(steps.tolist(), heights[steps].tolist(), strict=True), (len(heights), 0)]:
            start = column
            while stack and stack[-1][1] >= height:
                start, tall = stack.pop()
                if tall * (column - start) > area:
                    area = tall * (column - start)
                    best = (row - tall + 1, start, tall, column - start)
            stack.append((start, height))
    return best
