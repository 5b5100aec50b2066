"""Turning the blade to its first direction, where it spoils nothing.

Nobody knows which way a knife looks when a job begins. A short orientation cut in waste card or at the
mat's edge tells: a leg across, then a longer leg along the first direction. Pulled straight, a
blade only stays where it looks exactly backwards; the leg across takes care of that.
"""

from __future__ import annotations

import math

import numpy as np
import shapely

from cutprep.model.lines import Flags, Lines, Points
from cutprep.model.operation import Operation

#: Legs of the orientation cut in offsets: after eight of straight pull tan(b/2) has shrunk to exp(-8).
_ACROSS, _ALONG = 4.0, 8.0
#: Distance of the orientation cut from every line, mm; common practice, no published source.
_CLEAR = 0.6
#: Positions tried along each side of what is searched, and how many of them together.
_GRID, _AT_ONCE = 48, 64


def orientation_cut(offset: float, heading: float) -> Points:
    """The pivot's path that turns a blade of unknown heading, starting at (0, 0); (3, 2), mm."""
    along = np.array([math.cos(heading), math.sin(heading)])
    across = np.array([-along[1], along[0]])
    corner = _ACROSS * offset * across
    return np.vstack((np.zeros(2), corner, corner + _ALONG * offset * along))


def find_spot(
    lines: Lines, path: Points, offset: float, area: tuple[float, float], toward: Points, *, at_edge: bool
) -> Points | None:
    """Find where a short path harms nothing.

    Parameters
    ----------
    lines
        Everything on the sheet, mm.
    path
        (k, 2) what is to be laid down, mm.
    offset
        The tip may be this far from the path, mm.
    area
        Width and height of the machine's area, mm.
    toward
        (2,) where it should be close to, mm.
    at_edge
        Along the edge of the area; otherwise in waste: below or left of all lines, where the
        sheet's margin is, or between them but inside no part.

    Returns
    -------
    (2,) ndarray of float or None
        By how much to move the path; None when there is no room.
    """
    tried = _edge_spots(path, area) if at_edge else _waste_spots(lines, path, area)
    if not len(tried):
        return None
    tried = tried[np.argsort(np.hypot(*(tried + path.mean(axis=0) - toward).T), kind="stable")]
    drawn = shapely.linestrings(lines.xy, indices=np.repeat(np.arange(len(lines)), lines.counts))
    tree = shapely.STRtree(np.asarray(drawn))
    cuts = None if at_edge else _closed_cuts(lines)
    for begin in range(0, len(tried), _AT_ONCE):  # the nearest ones as a rule are free
        some = tried[begin : begin + _AT_ONCE]
        shapes = shapely.linestrings(path[None, :, :] + some[:, None, :])
        taken, _ = tree.query(shapes, predicate="dwithin", distance=offset + _CLEAR)
        free = np.ones(len(some), bool)
        free[taken] = False
        if cuts is not None and free.any():
            free &= ~_inside(cuts, some + path[0])
        if free.any():
            return np.asarray(some[free][0])
    return None


def _room(path: Points, low: Points, high: Points) -> tuple[Points, Points]:
    """Least and greatest moves that keep the path within a box."""
    return low - path.min(axis=0), high - path.max(axis=0)


def _edge_spots(path: Points, area: tuple[float, float]) -> Points:
    """Moves that lay the path against one of the area's edges."""
    low, high = _room(path, np.zeros(2), np.array(area))
    if bool((low > high).any()):
        return np.empty((0, 2))
    xs, ys = np.linspace(low[0], high[0], _GRID), np.linspace(low[1], high[1], _GRID)
    rows = [np.column_stack((xs, np.full(_GRID, y))) for y in (low[1], high[1])]
    columns = [np.column_stack((np.full(_GRID, x), ys)) for x in (low[0], high[0])]
    return np.concatenate(rows + columns)


def _waste_spots(lines: Lines, path: Points, area: tuple[float, float]) -> Points:
    """Moves that keep the path left of, below or between the lines: all that is sheet for sure."""
    _, _, right, top = lines.bounds
    low, high = _room(path, np.zeros(2), np.minimum(area, (right, top)))
    if bool((low > high).any()):
        return np.empty((0, 2))
    x, y = np.meshgrid(np.linspace(low[0], high[0], _GRID), np.linspace(low[1], high[1], _GRID))
    return np.column_stack((x.ravel(), y.ravel()))


def _closed_cuts(lines: Lines) -> shapely.STRtree:
    """What closed cuts bound, as they were drawn, in a tree."""
    cuts = lines.take(np.flatnonzero(lines.closed & (lines.operation == Operation.CUT)))
    rings = shapely.linearrings(cuts.xy, indices=np.repeat(np.arange(len(cuts)), cuts.counts))
    return shapely.STRtree(np.asarray(shapely.polygons(rings)))


def _inside(cuts: shapely.STRtree, points: Points) -> Flags:
    """Whether points lie inside an odd number of closed cuts."""
    spots = np.asarray(shapely.points(points))
    point, cut = cuts.query(spots)
    near, which = np.unique(cut, return_inverse=True)
    areas = np.asarray(shapely.make_valid(cuts.geometries[near]))[which.ravel()]
    inside = point[shapely.intersects(areas, spots[point])]
    return np.asarray(np.bincount(inside, minlength=len(points)) % 2 == 1)
