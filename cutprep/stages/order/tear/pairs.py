"""What a pair of cuts costs by their order and directions: tear exposure, and habits of the trade.

Habits count little, and only between neighbours: small waste before large, so that the web
between them is still held; and the part nearer to the middle of the sheet before one nearer to
its edge. Common practice, no published source.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from cutprep.geometry.planar.outlines import ring_polygons
from cutprep.model.lines import Index, Points
from cutprep.stages.order.entry.stages import INNER, OUTLINES
from cutprep.stages.order.tear.exposure import Strips, pair_costs
from cutprep.stages.order.tear.near import NARROW
from cutprep.stages.order.tour.search import NO_COSTS, Costs
from cutprep.stages.order.tour.task import Task

_HABIT = 0.25  # mm of exposure that breaking a habit is worth
_BESIDE = 10.0  # mm between outlines that are neighbours
_MOST_PAIRS = 1_000_000  # more would not be weighed in a sensible time


def tear_costs(task: Task, strips: Strips, worth: float) -> Costs:
    """Weigh every pair of cuts that come near each other.

    Parameters
    ----------
    worth
        Travel, in its own unit, that a millimetre of exposure is worth.
    """
    line, other, ahead, back = pair_costs(strips, len(task))
    # Where ranks say that `line` comes first, it never pays.
    can = (task.rank[line] >= task.rank[other]) & ((ahead > 0) | (back > 0))
    late, early = _habits(task)
    line = np.concatenate((line[can], late))
    other = np.concatenate((other[can], early))
    ahead = np.concatenate((ahead[can], np.full(len(late), _HABIT)))
    back = np.concatenate((back[can], np.full(len(late), _HABIT)))
    if not len(line) or len(line) > _MOST_PAIRS:
        return NO_COSTS
    key, where = np.unique(line * len(task) + other, return_inverse=True)
    return Costs(
        key // len(task),
        key % len(task),
        np.asarray(worth * np.bincount(where, ahead), np.float64),
        np.asarray(worth * np.bincount(where, back), np.float64),
    )


def _habits(task: Task) -> tuple[Index, Index]:
    """Pairs of which the first should not come after the second."""
    closed = task.lines.closed
    stage = task.stage % (OUTLINES + 1)
    holes = np.flatnonzero(closed & (stage == INNER))
    outlines = np.flatnonzero(closed & (stage == OUTLINES))
    middle = (
        (task.lines.xy.min(axis=0) + task.lines.xy.max(axis=0)) / 2 if len(task.lines.xy) else np.zeros(2)
    )
    pairs = []
    for rows, within, outward in ((holes, NARROW, False), (outlines, _BESIDE, True)):
        shapes = ring_polygons(task.lines.take(rows))
        if outward:
            size = shapely.distance(shapely.centroid(shapes), shapely.Point(middle))
        else:
            size = shapely.area(shapes)
        pairs.append(_ranked(task, rows, shapely.get_exterior_ring(shapes), np.asarray(size, float), within))
    return np.concatenate([p[0] for p in pairs]), np.concatenate([p[1] for p in pairs])


def _ranked(
    task: Task, rows: Index, rings: NDArray[np.object_], size: Points, within: float
) -> tuple[Index, Index]:
    """Neighbours of the same rank, the one that should go first before the other."""
    if len(rows) < 2:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    boxes = shapely.bounds(rings) + np.array([-within, -within, within, within])
    one, two = shapely.STRtree(rings).query(shapely.linestrings(boxes.reshape(-1, 2, 2)))
    # Only a clear difference counts; equal holes have no habit.
    keep = (size[one] < 0.9 * size[two]) & (task.rank[rows[one]] == task.rank[rows[two]])
    one, two = one[keep], two[keep]
    close = shapely.dwithin(rings[one], rings[two], within)
    return rows[one[close]], rows[two[close]]
