"""The usable area on a sheet: inside the margin, off the areas to keep out of."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cutprep.errors import PlanError
from cutprep.model.lines import Points
from cutprep.profile.stock import SheetSize
from cutprep.stages.nest.item.shape import Box, polygon_of
from cutprep.stages.nest.nesting import Area


@dataclass(frozen=True, slots=True)
class UsableArea:
    """Where parts may lie on one size of sheet.

    Attributes
    ----------
    size
        The sheet.
    margin, gap
        Border kept free, and least distance between parts, mm.
    keep_out
        Areas that stay free.
    """

    size: SheetSize
    margin: float
    gap: float
    keep_out: tuple[shapely.Polygon, ...] = ()

    @property
    def box(self) -> Box:
        """The rectangle inside the margin."""
        m = self.margin
        return m, m, self.size.width - m, self.size.height - m

    @property
    def extent(self) -> tuple[float, float]:
        """Width and height inside the margin."""
        return self.size.width - 2 * self.margin, self.size.height - 2 * self.margin

    @property
    def outlines(self) -> tuple[Points, ...]:
        """Outlines of the areas that stay free, each (n, 2), mm."""
        return tuple(np.asarray(shapely.get_coordinates(area.exterior)) for area in self.keep_out)


def usable_area_of(size: SheetSize, margin: float, gap: float, keep_out: Sequence[Area] = ()) -> UsableArea:
    """Check what is asked of a sheet.

    Parameters
    ----------
    size
        Of the sheet, mm.
    margin, gap
        Border kept free, and least distance between parts, mm.
    keep_out
        Areas that stay free.

    Raises
    ------
    PlanError
        When margin or gap can't be, or leave no usable area.
    """
    for name, value in (("margin", margin), ("gap", gap)):
        if not (math.isfinite(value) and value >= 0):
            raise PlanError(f"the {name} is {value:g} mm", fix="Give a length of 0 or more.")
    if min(size.width, size.height) <= 2 * margin:
        raise PlanError(
            f"a margin of {margin:g} mm leaves no room on a sheet of {size.width:g} x {size.height:g} mm",
            fix=f"Make it less than {min(size.width, size.height) / 2:g} mm, or take a larger sheet.",
        )
    for left, bottom, right, top in (area for area in keep_out if isinstance(area, tuple)):
        if not (all(map(math.isfinite, (left, bottom, right, top))) and left < right and bottom < top):
            raise PlanError(
                f"the area to keep out of ({left:g}, {bottom:g}, {right:g}, {top:g}) is no rectangle",
                fix="Give left, bottom, right and top, with left below right and bottom below top.",
            )
    return UsableArea(size, margin, gap, tuple(polygon_of(area) for area in keep_out))
