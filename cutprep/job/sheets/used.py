"""Areas of a sheet that are used already, as a drawing shows them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import shapely

from cutprep.errors import DrawingError, at
from cutprep.limits import Limits
from cutprep.model.operation import Operation
from cutprep.model.rules import Rules
from cutprep.stages.classify import classify
from cutprep.stages.divide import close_rings
from cutprep.stages.nest.item.nofit import simpler
from cutprep.stages.read.reader import read
from cutprep.tolerance import Tolerance


def used_areas(
    path: Path, layer: str, gap: float, tolerance: Tolerance, limits: Limits | None = None
) -> tuple[shapely.Polygon, ...]:
    """Read what is kept free from a drawing of the sheet, such as the one of an earlier job.

    Parameters
    ----------
    path
        SVG or DXF; its page lies on the sheet, lower left on lower left.
    layer
        The closed lines of this layer count; "" takes the cuts of every layer.
    gap
        How far new parts stay away from what was cut, mm.
    limits
        Upper bounds on what the drawing may ask for.

    Returns
    -------
    tuple of Polygon
        Without overlap, mm.

    Raises
    ------
    DrawingError
        When the drawing has no closed line to go by, or the layer is not there.
    InputError
        When it can't be read.
    """
    with at(file=str(path)):
        lines = classify(
            read(path, tolerance=tolerance, units=None, limits=limits or Limits()), Rules()
        ).lines
        if layer:
            layers = [lines.element(i).layer for i in range(len(lines))]
            named = np.array([layer in (name, *name.split("/")) for name in layers], bool)
            if not named.any():
                layers = sorted({name or "(unnamed)" for name in layers})
                raise DrawingError(f"there is no layer '{layer}'", fix=f"It has: {', '.join(layers)}.")
        else:
            named = lines.operation == Operation.CUT
        lines = lines.take(named)
        lines = replace(lines, operation=np.full_like(lines.operation, Operation.CUT))
        rings = close_rings(lines, tolerance)
        shapes = [shapely.Polygon(rings.points(i)) for i in np.flatnonzero(rings.closed).tolist()]
        if not shapes:
            raise DrawingError(
                "no closed line shows what is used", fix="Draw a closed line round each used area."
            )
    area = shapely.union_all(shapely.make_valid(shapes)).buffer(gap, join_style="mitre")
    parts = [part for part in shapely.get_parts(area) if shapely.get_dimensions(part) == 2]
    # Drawn simpler, never smaller, so that a curved edge does not slow the nest down.
    outer = [simpler(shapely.Polygon(part.exterior)) for part in parts]
    return tuple(part for part in shapely.get_parts(outer) if isinstance(part, shapely.Polygon))
