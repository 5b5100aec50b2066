"""Clips: lines are cut back to what shows."""

from __future__ import annotations

from functools import partial

import numpy as np
import shapely

from cutprep.limits import Limits
from cutprep.stages.read.cutting_back import Pieces, cut_back, put_in_place
from cutprep.stages.read.svg.shapes.area import Areas, Budget, TooInvolvedError
from cutprep.stages.read.svg.shapes.lines import FlatShapes
from cutprep.stages.read.svg.walk import DocumentWalk
from cutprep.tolerance import Tolerance


def clip_lines(flat: FlatShapes, walk: DocumentWalk, tolerance: Tolerance, limits: Limits) -> FlatShapes:
    """Cut lines back to the clips over them; what is lost is noted.

    Parameters
    ----------
    flat
        Lines as drawn.
    walk
        Knows the clip over each shape.
    tolerance
        A line along the clip's own edge stays when it is off by no more than `sagitta`.
    limits
        For the shapes of the clips themselves.
    """
    clip_of = np.array(walk.clip_of, dtype=np.int64)[flat.shape]
    clipped = np.flatnonzero(clip_of >= 0)
    if not len(clipped):
        return flat
    areas = Areas(flat, walk, tolerance, limits)
    keys = np.array(areas.key_of, dtype=np.int64)[clip_of[clipped]]
    order = np.argsort(keys, kind="stable")
    groups = np.split(clipped[order], np.flatnonzero(np.diff(keys[order])) + 1)
    areas.prepare(int(clip_of[lines[0]]) for lines in groups)
    pieces: dict[int, Pieces] = {}
    for lines in groups:
        area = areas.area(int(clip_of[lines[0]]))
        if area is not None:
            # Half of a stroke along the edge shows, so the line is kept.
            try:
                areas.budget.spend(corners=float(shapely.get_num_coordinates(area)))
                wider = shapely.buffer(area, tolerance.sagitta, join_style="mitre")
                spend = partial(_spend, areas.budget)
                pieces.update(cut_back(flat, lines, wider, 4 * tolerance.sagitta, spend))
            except TooInvolvedError:
                walk.notes.count("clip-ignored", walk.place_of(int(flat.shape[lines[0]])), len(lines))
    return _replace(flat, pieces, walk)


def _spend(budget: Budget, cuts: float) -> None:
    budget.spend(cuts=cuts)


def _replace(flat: FlatShapes, pieces: dict[int, Pieces], walk: DocumentWalk) -> FlatShapes:
    """Put what remains in the place of the lines that were cut."""
    if not pieces:
        return flat
    for i, remains in pieces.items():
        walk.notes.count("clip-applied" if remains else "clip-left-out", walk.place_of(int(flat.shape[i])))
    xy, curved, start, line = put_in_place(flat, pieces)
    return flat._replace(xy=xy, curved=curved, start=start, shape=flat.shape[line])
