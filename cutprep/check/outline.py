"""Outlines that don't close."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.chains import ends, loose, nodes, trace
from cutprep.model.finding import Finding, Findings, Mend, Severity
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.model.places import place_of
from cutprep.tolerance import Tolerance

#: A chain whose ends are closer than this share of its length bounds something.
_BOUNDS = 0.5


def find_open(lines: Lines, tolerance: Tolerance) -> Findings:
    """Find chains of cut lines that bound a part and don't close."""
    cut = lines.operation == Operation.CUT
    chains = trace(lines, tolerance.coincide, pick=cut)
    spots = ends(lines)
    alone = loose(nodes(lines, tolerance.coincide, pick=cut))
    lengths = lines.lengths
    found = []
    for k in np.flatnonzero(~chains.closed).tolist():
        pieces, turned = chains.pieces(k), chains.reversals(k)
        if not cut[pieces[0]]:
            continue
        i, j = int(pieces[0]), int(pieces[-1])
        head, tail = 2 * i + int(turned[0]), 2 * j + 1 - int(turned[-1])
        if not (alone[head] and alone[tail]):
            continue
        a, b = spots[head], spots[tail]
        apart = float(np.hypot(*(a - b)))
        if apart > _BOUNDS * lengths[pieces].sum():
            continue
        small = apart <= tolerance.gap
        found.append(
            Finding(
                code="gap" if small else "open-outline",
                severity=Severity.ERROR,
                problem=f"The outline has a gap of {apart:.2f} mm: the part would hang on there and tear off.",
                fix="Close it in the drawing" + (", or let mending close it." if small else "."),
                places=(place_of(lines, i, a), place_of(lines, j, b)),
                measure=apart,
                limit=tolerance.gap if not small else tolerance.coincide,
                mend=Mend.SAFE if small else Mend.NONE,
            )
        )
    return tuple(found)
