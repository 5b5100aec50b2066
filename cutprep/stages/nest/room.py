"""The room that one copy has on a sheet beside all others: where a hand may lay it."""

from __future__ import annotations

import numpy as np
import shapely

from cutprep.model.lines import Points
from cutprep.model.sheet import Sheet
from cutprep.profile.stock import SheetSize
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.nofit import NoFit
from cutprep.stages.nest.item.pattern import PatternPlacement
from cutprep.stages.nest.item.shape import shape_of
from cutprep.stages.nest.item.usable_area import usable_area_of
from cutprep.stages.nest.pack.greedy import Board


def room_for(sheet: Sheet, which: int, pose: Pose, *, windows: bool = False) -> tuple[Points, ...]:
    """Where the origin of a copy may lie while the others stay.

    Parameters
    ----------
    sheet
        As it was laid out, with its margin, gap and areas that stay free.
    which
        Index of one of its placements, each of a whole template.
    pose
        How that copy is turned.
    windows
        Whether parts may lie in the waste windows of others.

    Returns
    -------
    tuple of Points
        Rings, each (n, 2), mm; a place is free when it lies within an odd number of them, or on one. Empty when there
        is no room.

    Raises
    ------
    ValueError
        When there is no placement of that index.
    """
    if not 0 <= which < len(sheet.placements):
        raise ValueError(
            f"there is no placement {which}; the sheet has {len(sheet.placements)}, counted from 0"
        )
    shapes = [shape_of(template) for template in sheet.templates]
    size = SheetSize("", sheet.width, sheet.height)
    kept = [shapely.Polygon(outline) for outline in sheet.kept_free]
    usable = usable_area_of(size, sheet.margin, sheet.gap, kept)
    board = Board(shapes, [()] * len(shapes), usable, NoFit(shapes, sheet.gap, windows=windows))
    for i, placement in enumerate(sheet.placements):
        if i != which:
            board.put(
                PatternPlacement(
                    placement.template,
                    Pose(placement.turn % 360.0, placement.mirror),
                    placement.x,
                    placement.y,
                )
            )
    region = board.free(sheet.placements[which].template, pose)
    return tuple(
        np.asarray(shapely.get_coordinates(ring)) for ring in shapely.get_rings(shapely.get_parts(region))
    )
