"""Panels: the regions that cuts and scores bound, and which panel lies on which side of a piece.

The half-edge map (vertex, vertex) to panel is the whole topology; nothing later asks geometry
who is beside whom.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from cutprep.geometry.planar.net import healed, net
from cutprep.geometry.planar.plane import Plane
from cutprep.model.lines import Index, Points
from cutprep.stages.fold.net.net_lines import CUT, PERFORATION, SCORE, NetLines
from cutprep.stages.fold.net.pieces import Pieces, dots, pieces_of, segments, without_splits
from cutprep.tolerance import Tolerance

#: A region narrower than this on average is two lines that should be one, mm.
_SLIVER = 0.3
#: Vertices closer than this many times the snapping distance, but not one, were meant to be one.
_ALMOST = 4.0
#: Scores that meet turn by more than this (sine of 25 degrees), or are a curve.
_CORNER = 0.42
#: A score joined along less than this holds nothing together: lines that miss one corner, mm.
SHORTEST_HINGE = 1.0

Ring = tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Net:
    """Panels over a plane graph.

    Attributes
    ----------
    rings
        Outer ring of each panel: vertices, counter-clockwise, the first not repeated.
    holes
        Rings of the holes of each panel, clockwise.
    left
        Panel on the left of a run from one vertex to the next.
    slivers
        Regions too narrow to be panels, left out.
    """

    pieces: Pieces
    rings: tuple[Ring, ...]
    holes: tuple[tuple[Ring, ...], ...]
    left: dict[tuple[int, int], int]
    slivers: tuple[Ring, ...] = ()

    def outline(self, panel: int) -> Points:
        """Closed outline of a panel, (n, 2), mm."""
        return closed(self.pieces.xy, self.rings[panel])

    def polygon(self, panel: int) -> shapely.Polygon:
        """A panel with its holes."""
        xy = self.pieces.xy
        return shapely.Polygon(xy[list(self.rings[panel])], [xy[list(h)] for h in self.holes[panel]])

    def sides(self, k: int) -> tuple[int, int]:
        """Panels left and right of piece k; -1 where there is none."""
        u, v = (int(w) for w in self.pieces.ends[k])
        return self.left.get((u, v), -1), self.left.get((v, u), -1)


def closed(xy: Points, ring: Ring) -> Points:
    """Vertices of a ring as a closed line, (n + 1, 2)."""
    return np.asarray(xy[[*ring, ring[0]]])


def is_score(operations: int) -> bool:
    """Whether a piece holds two panels together: scored or perforated, and not cut."""
    return bool(operations & (SCORE | PERFORATION)) and not operations & CUT


def panels_of(pieces: Pieces) -> Net:
    """Find the panels, the largest first."""
    found = [
        g for g in shapely.get_parts(shapely.polygonize(segments(pieces))) if isinstance(g, shapely.Polygon)
    ]
    number = {(x, y): i for i, (x, y) in enumerate(pieces.xy.tolist())}
    regions = sorted(found, key=lambda g: (-round(g.area, 3), *np.round(g.centroid.coords[0], 3)))
    rings: list[Ring] = []
    holes: list[tuple[Ring, ...]] = []
    slivers: list[Ring] = []
    for region in regions:
        outer = _ring(region.exterior, number, ccw=True)
        if region.area < _SLIVER * region.length / 2:
            slivers.append(outer)
            continue
        rings.append(outer)
        holes.append(tuple(_ring(r, number, ccw=False) for r in region.interiors))
    left = {}
    for panel, (ring, inner) in enumerate(zip(rings, holes, strict=True)):
        for loop in (ring, *inner):
            left.update(dict.fromkeys(zip(loop, (*loop[1:], loop[0]), strict=True), panel))
    return Net(pieces, tuple(rings), tuple(holes), left, tuple(slivers))


def _ring(line: shapely.LinearRing, number: dict[tuple[float, float], int], *, ccw: bool) -> Ring:
    vertices = [number[x, y] for x, y in line.coords[:-1]]
    return tuple(vertices if line.is_ccw == ccw else vertices[::-1])


def degrees_of(pieces: Pieces) -> Index:
    """How many pieces end at each vertex, (v,)."""
    return np.bincount(pieces.ends.ravel(), minlength=len(pieces.xy))


def faults_in(net: Net, reach: float, tips: Index | None = None) -> int:
    """Count signs that ends were meant to meet and don't.

    Parameters
    ----------
    reach
        A loose end this close to another line is suspicious, mm.
    tips
        Loose ends that mean nothing, (t,).
    """
    pieces = net.pieces
    tips = np.zeros(0, np.int64) if tips is None else tips
    loose = np.setdiff1d(np.flatnonzero(degrees_of(pieces) == 1), tips)
    count = len(net.slivers) + _almost_meeting(pieces, tips) + _bends_beside(pieces, reach)
    if len(loose):
        tree = shapely.STRtree(segments(pieces))
        at, on = tree.query(shapely.points(pieces.xy[loose]), predicate="dwithin", distance=reach)
        # A tail lies near the lines at its root, and means nothing by it.
        own = np.flatnonzero(np.isin(pieces.ends, loose).any(axis=1))
        root = {int(v): int(pieces.ends[k].sum()) - int(v) for k in own for v in pieces.ends[k] if v in loose}
        roots = np.array([root[int(v)] for v in loose[at]], np.int64)
        other = ((pieces.ends[on] != loose[at][:, None]) & (pieces.ends[on] != roots[:, None])).all(axis=1)
        count += len(np.unique(at[other]))
    joined: dict[tuple[int, int], float] = {}
    lengths = pieces.lengths
    for k in np.flatnonzero(((pieces.operations & CUT) == 0) & ~pieces.dangling).tolist():
        one, two = sorted(net.sides(k))
        # A score that is a panel's edge, or parts nothing, misses a line that it was meant to meet.
        count += (one < 0 or one == two) and bool(pieces.operations[k] & SCORE)
        if one >= 0 and one != two:
            joined[one, two] = joined.get((one, two), 0.0) + float(lengths[k])
    return count + sum(length < SHORTEST_HINGE for length in joined.values())


def _overruns(pieces: Pieces) -> Index:
    """Tips of lines that run a little beyond one they cross: these mean nothing."""
    tails = pieces.ends[pieces.lengths < _ALMOST * pieces.tolerance]
    return np.asarray(np.unique(tails[degrees_of(pieces)[tails] == 1]))


def _almost_meeting(pieces: Pieces, tips: Index) -> int:
    """Count score ends, but for some tips, that stay a little apart from a vertex: clean drawings have none."""
    used = np.setdiff1d(pieces.ends, tips)
    tree = shapely.STRtree(dots(pieces.xy[used]))
    scores = np.setdiff1d(pieces.ends[(pieces.operations & CUT) == 0], tips)
    at, on = tree.query(dots(pieces.xy[scores]), predicate="dwithin", distance=_ALMOST * pieces.tolerance)
    one, two = scores[at], used[on]
    pairs = np.unique(np.sort(np.column_stack((one, two))[one != two], axis=1), axis=0)
    joined = {(int(u), int(v)) for u, v in pieces.ends}
    return sum((int(u), int(v)) not in joined for u, v in pairs)


def _bends_beside(pieces: Pieces, reach: float) -> int:
    """Count vertices where two scores and nothing else meet at a corner, though another vertex lies near: they missed it."""
    scores = np.flatnonzero(pieces.operations == SCORE)
    at, other = pieces.ends[scores].ravel(), pieces.ends[scores][:, ::-1].ravel()
    order = np.argsort(at, kind="stable")
    vertex, first, count = np.unique(at[order], return_index=True, return_counts=True)
    twice = (count == 2) & (degrees_of(pieces)[vertex] == 2)
    vertex, first = vertex[twice], first[twice]
    beside = other[order][np.column_stack((first, first + 1))]
    one, two = np.moveaxis(pieces.xy[beside] - pieces.xy[vertex][:, None], 1, 0)
    turned = np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    sharp = turned >= _CORNER * np.hypot(*one.T) * np.hypot(*two.T)
    vertex, beside = vertex[sharp], beside[sharp]
    if not len(vertex):
        return 0
    spots = np.asarray(shapely.points(pieces.xy))
    k, near = shapely.STRtree(spots).query(spots[vertex], predicate="dwithin", distance=reach)
    far = np.hypot(*(pieces.xy[near] - pieces.xy[vertex[k]]).T)
    missed = (far < reach) & (near != vertex[k]) & (near[:, None] != beside[k]).all(axis=1)
    return len(np.unique(k[missed]))


def find_net(drawn: NetLines, tolerance: Tolerance) -> Net:
    """Build the net with the smallest snapping distance that leaves no fault.

    Fine reliefs survive because the distance grows only as far as the drawing needs. When no
    distance is without fault, the one with the fewest faults is taken, the smallest of those.
    """
    plane = Plane(drawn.lines, tolerance)
    lines = healed(plane)
    best: tuple[int, Net] | None = None
    nearly: list[Net] = []
    for within in rungs(tolerance):
        graph = net(lines, ~plane.spare, within, tolerance)
        found = panels_of(without_splits(pieces_of(graph, drawn, within)))
        faults = faults_in(found, 2 * tolerance.gap)
        if best is None or faults < best[0]:
            best = (faults, found)
        if not faults:
            break
        tips = _overruns(found.pieces)
        if len(tips) and not faults_in(found, 2 * tolerance.gap, tips):
            nearly.append(found)
    assert best is not None
    # Lines that run a little beyond their corners need no drawing together, which would move those.
    return next((n for n in nearly if len(n.rings) == len(best[1].rings)), best[1])


def rungs(tolerance: Tolerance) -> tuple[float, ...]:
    """Snapping distances to try, mm, from `coincide` up to `gap`."""
    between = [2 * tolerance.coincide, 0.2, 0.3, 0.5]
    inner = [r for r in between if tolerance.coincide < r < tolerance.gap]
    return (tolerance.coincide, *inner, tolerance.gap)
