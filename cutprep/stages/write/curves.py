"""Curves in files for people: where a line's vertices came from a curve, its arcs are said as arcs.

A mended drawing stays a drawing then: a circle is two arcs and not seventy chords, and whoever
reads it again knows where corners are and where curves.
"""

from __future__ import annotations

import numpy as np

from cutprep.geometry.curves.arcs import FittedSpan, recover_arcs
from cutprep.model.lines import Flags, Points


def pieces_of(points: Points, curved: Flags, *, arcs: bool) -> list[FittedSpan]:
    """Cut a line into arcs and straight runs.

    Parameters
    ----------
    points
        (n, 2) vertices, mm, no two neighbours equal.
    curved
        (n,) the vertex lies inside a flattened curve; only between such are arcs looked for.
    arcs
        Look for arcs at all.
    """
    whole = [FittedSpan(0, len(points) - 1)]
    if not arcs or not curved.any():
        return whole
    found = []
    for piece in recover_arcs(points):
        inner = curved[piece.first + 1 : piece.last]
        straight = piece.centre is None or not bool(np.all(inner))
        found.append(FittedSpan(piece.first, piece.last) if straight else piece)
    return found
