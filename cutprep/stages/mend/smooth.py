"""When asked: straighten runs that are almost straight, and make arcs whole that were split."""

from __future__ import annotations

import numpy as np
import shapely

from cutprep.geometry.lines.turning import turns
from cutprep.model.findings.places import place_of
from cutprep.model.lines import Flags, Lines, Points
from cutprep.stages.mend.change import Change, told
from cutprep.tolerance import Tolerance
from cutprep.units import plural

#: A joint inside an arc turns no more than this many times what its neighbours turn.
_SMOOTH = 1.5


def straighten(lines: Lines, worked: Flags, tolerance: Tolerance) -> Change:
    """Take out vertices of straight runs that lie within `coincide` of the straight line; `worked` (m,) flags.

    Vertices of flattened curves stay. Douglas and Peucker (1973), "Algorithms for the reduction of
    the number of points required to represent a digitized line", by way of GEOS.
    """
    keep = np.ones(len(lines.xy), bool)
    many = np.flatnonzero(worked & (lines.counts > 2))
    for i in many.tolist():
        begin = int(lines.start[i])
        keep[begin : begin + int(lines.counts[i])] = _needed(lines.points(i), lines.curves(i), tolerance)
    if keep.all():
        return lines, ()
    owner = np.repeat(np.arange(len(lines)), lines.counts)
    gone = np.bincount(owner[~keep], minlength=len(lines))
    made = Lines(
        xy=lines.xy[keep],
        start=np.concatenate(([0], np.cumsum(lines.counts - gone))),
        operation=lines.operation,
        fold=lines.fold,
        source=lines.source,
        curved=lines.curved[keep],
        elements=lines.elements,
    )
    findings = tuple(
        told(
            "straightened",
            f"{plural(int(gone[i]), 'point')} lay within {tolerance.coincide:.2f} mm of a straight run.",
            f"{'It was' if gone[i] == 1 else 'They were'} taken out; the run is straight now.",
            (place_of(lines, i),),
            float(gone[i]),
            tolerance.coincide,
            unit="points",
        )
        for i in np.flatnonzero(gone).tolist()
    )
    return made, findings


def _needed(points: Points, curved: Flags, tolerance: Tolerance) -> Flags:
    """Which vertices of a line the straight runs need; a closed line keeps at least four."""
    needed = np.ones(len(points), bool)
    fixed = np.flatnonzero(curved)
    edges = np.unique(np.concatenate(([0], fixed, [len(points) - 1])))
    for first, last in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True):
        if last - first < 2:
            continue
        run = points[first : last + 1]
        kept = shapely.get_coordinates(shapely.simplify(shapely.LineString(run), tolerance.coincide))
        needed[first + 1 : last] = False
        row = first
        for corner in kept[1:-1]:
            row += 1 + int(np.flatnonzero((points[row + 1 : last] == corner).all(axis=1))[0])
            needed[row] = True
    closed = len(points) >= 4 and bool((points[0] == points[-1]).all())
    return needed if not closed or needed.sum() >= 4 else np.ones(len(points), bool)


def rejoin_arcs(lines: Lines, worked: Flags) -> Change:
    """Mark the joints of arcs that were drawn in pieces as what they are: no corners; `worked` (m,) flags."""
    curved = lines.curved.copy()
    findings = []
    for i in np.flatnonzero(worked).tolist():
        flags = lines.curves(i)
        joints = np.flatnonzero(~flags[1:-1] & flags[:-2] & flags[2:]) + 1
        if not len(joints):
            continue
        turn = np.abs(turns(lines.points(i)))
        smooth = joints[turn[joints] <= _SMOOTH * np.maximum(turn[joints - 1], turn[joints + 1])]
        if len(smooth):
            curved[lines.start[i] + smooth] = True
            findings.append(
                told(
                    "rejoined-arc",
                    f"An arc was drawn in {len(smooth) + 1} pieces.",
                    "It is one smooth run now.",
                    (place_of(lines, i, lines.points(i)[smooth[0]]),),
                    float(len(smooth) + 1),
                    unit="pieces",
                )
            )
    if not findings:
        return lines, ()
    made = Lines(
        xy=lines.xy,
        start=lines.start,
        operation=lines.operation,
        fold=lines.fold,
        source=lines.source,
        curved=curved,
        elements=lines.elements,
    )
    return made, tuple(findings)
