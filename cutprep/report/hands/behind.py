"""Which of a piece's scores the machine has made from the back."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from cutprep.model.lines import Lines
from cutprep.model.operation import Fold, Operation
from cutprep.report.hands.scores import ScoreRow

#: A score belongs to a row of the table when its middle lies this near to it, mm.
_ON = 0.3


def scored_behind(rows: Sequence[ScoreRow], lines: Lines, fold: Fold) -> tuple[int, ...]:
    """Numbers of the rows whose scores are made from the back.

    Parameters
    ----------
    rows, lines
        Of a piece.
    fold
        Whose scores are: those whose lines say so.
    """
    mine = np.flatnonzero((lines.operation == Operation.SCORE) & (lines.fold == fold)).tolist()
    if not (fold and mine):
        return ()
    middles = shapely.line_interpolate_point(
        [shapely.LineString(lines.points(i)) for i in mine], 0.5, normalized=True
    )
    return tuple(
        number
        for number, row in enumerate(rows, 1)
        if row.fold == fold
        and not row.perforated
        and float(shapely.distance(shapely.MultiLineString(list(row.strokes)), middles).min()) <= _ON
    )
