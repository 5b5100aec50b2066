"""The proof that both sides of a card meet: what the back's file does, turned over, lies on the template's scores.

Turning over is done here once more, number by number, and shares nothing with the plan.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutprep.errors import ReadbackError
from cutprep.geometry.closeness.farthest import farthest
from cutprep.model.lines import Lines, Points
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.model.strokes import Strokes
from cutprep.profile.machine import Machine
from cutprep.profile.ways import find_way
from cutprep.stages.blade.cutting import Cutting
from cutprep.stages.blade.tip import blade_error
from cutprep.tolerance import Tolerance


def require_meeting(
    scores: Lines,
    strokes: Strokes,
    planned: Moves,
    read: Moves,
    machine: Machine,
    cutting: Cutting,
    *,
    size: tuple[float, float],
    way: str,
    within: float,
    tolerance: Tolerance,
) -> float:
    """Find how far the scores of a back's file lie from where the front has them.

    Parameters
    ----------
    scores
        As the templates have them, laid out for the front, mm.
    strokes
        What the back's run works, where the front has it.
    planned, read
        Of the back's run, as it was planned and as its file was read back: on the sheet with its back up.
    machine, cutting
        Whose tools work it, and how.
    size, way
        Width and height of the sheet, mm, and how it is turned over.
    within
        How far a place in the file may be from the planned one, mm.
    tolerance
        By how much a blade, and chords of an arc, may stand off besides.

    Returns
    -------
    float
        mm.

    Raises
    ------
    ReadbackError
        When they are further apart.
    """
    scored = strokes.lines.operation == Operation.SCORE
    errors = blade_error(_over(read, size, way), strokes, machine, cutting, planned=_over(planned, size, way))
    worked = [strokes.lines.points(i) for i in np.flatnonzero(scored).tolist()]
    left_out = float(farthest([scores.xy], [worked])[0])
    miss = max(float(errors[scored].max(initial=0.0)), left_out)
    trails = find_way(machine, Operation.SCORE, cutting.offset).tool.offset > 0
    within += (tolerance.blade if trails else 0.0) + (tolerance.sagitta if read.curved.any() else 0.0)
    if not miss <= within:
        raise ReadbackError(
            f"the scores from the back lie {miss:.2f} mm from where the cuts expect them",
            fix="No file was written. This is a fault of cutprep, not of your drawing: please report it, with the drawing.",
        )
    return miss


def _over(moves: Moves, size: tuple[float, float], way: str) -> Moves:
    """Moves on a sheet with its back up, as the front has them."""

    def over(xy: Points) -> Points:
        x, y = xy[..., 0], xy[..., 1]
        return np.stack((x, size[1] - y) if way == "endways" else (size[0] - x, y), axis=-1)

    home = over(np.array(moves.home))
    return replace(moves, xy=over(moves.xy), home=(float(home[0]), float(home[1])))
