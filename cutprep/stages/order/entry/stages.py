"""What must come before what: the stages of a sheet, as hard ranks of its lines.

Draw, score, perforate, partial cuts, inner cuts from the deepest outwards, outlines. An outline
that lies inside another ring (a part nested in a hole) is an inner cut of what lies around it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from cutprep.geometry.placed import Placed
from cutprep.geometry.planar.outlines import ring_polygons
from cutprep.model.lines import Codes, Index, Lines
from cutprep.model.operation import WORKED, Operation

DRAWING, SCORING, PERFORATING, PARTIAL, INNER, OUTLINES = range(6)
STAGE_NAMES = ("draw", "score", "perforate", "partial cut", "inner cuts", "outlines")
_STAGE_OF = {
    Operation.DRAW: DRAWING,
    Operation.SCORE: SCORING,
    Operation.PERFORATE: PERFORATING,
    Operation.PARTIAL_CUT: PARTIAL,
    Operation.CUT: INNER,
}


@dataclass(frozen=True, slots=True, eq=False)
class Staged:
    """The worked lines of a sheet with their stages; all columns have one entry a line.

    Attributes
    ----------
    rows
        (m,) ndarray of int64: index into the placed lines; guides are left out.
    stage
        (m,) ndarray of int8: number of the stage.
    rank
        (m,) ndarray of int64: stages with the inner cuts split by depth; work goes by rising rank.
    inside, ring
        (p,) ndarray of int64: the cut `inside` lies in the closed cut `ring`.
    """

    rows: Index
    stage: Codes
    rank: Index
    inside: Index
    ring: Index


def stage(placed: Placed) -> Staged:
    """Give every worked line its stage and rank."""
    rows = np.flatnonzero(np.isin(placed.lines.operation, WORKED))
    lines = placed.lines.take(rows)
    table = np.full(max(Operation) + 1, INNER, np.int8)
    for operation, number in _STAGE_OF.items():
        table[operation] = number
    stages = table[lines.operation]
    inside, ring = containment(lines)
    rings = np.bincount(inside, minlength=len(rows))
    cuts = lines.operation == Operation.CUT
    stages[cuts & placed.outline[rows] & (rings == 0)] = OUTLINES
    depth = np.where(stages == INNER, np.maximum(rings, placed.depth[rows]), 0)
    deepest = int(depth.max(initial=0))
    rank = stages.astype(np.int64) * (deepest + 1) + np.where(stages == INNER, deepest - depth, 0)
    return Staged(rows, stages, rank, inside, ring)


def containment(lines: Lines) -> tuple[Index, Index]:
    """Which cuts lie in which closed cuts.

    A line counts as inside a ring when its middle lies in it; of rings of the same shape the
    later lies in the earlier.

    Returns
    -------
    (p,) ndarray of int64, (p,) ndarray of int64
        Line inside, and ring around it.
    """
    cuts = np.flatnonzero(lines.operation == Operation.CUT)
    rings = cuts[lines.closed[cuts]]
    if not len(rings):
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    shapes = shapely.make_valid(ring_polygons(lines.take(rings)))
    probes = _inside_points(lines, cuts, shapes)
    inner, outer = shapely.STRtree(shapes).query(probes, predicate="intersects")
    areas = np.zeros(len(lines))
    areas[rings] = shapely.area(shapes)
    inner, outer = cuts[inner], rings[outer]
    larger = (areas[outer] > areas[inner]) | ((areas[outer] == areas[inner]) & (outer < inner))
    keep = larger & (inner != outer)
    turn = np.lexsort((outer[keep], inner[keep]))
    return inner[keep][turn], outer[keep][turn]


def _inside_points(lines: Lines, cuts: Index, shapes: NDArray[np.object_]) -> NDArray[np.object_]:
    """A point that tells where each cut lies: inside a ring, in the middle of an open line."""
    points = np.empty(len(cuts), object)
    closed = lines.closed[cuts]
    points[closed] = shapely.point_on_surface(shapes)
    if not closed.all():
        drawn = lines.take(cuts[~closed])
        paths = shapely.linestrings(drawn.xy, indices=np.repeat(np.arange(len(drawn)), drawn.counts))
        points[~closed] = shapely.line_interpolate_point(paths, 0.5, normalized=True)
    return points
