"""Outlines of parts and holes, whatever pieces they are drawn in, and what lies inside them.

A closed line or a closed chain is an outline as it stands. Cut lines that meet in forks, touch
other cuts or cross them (panels with shared edges, slits that begin at an outline) are noded by
GEOS and their faces merged; what is around them is the outline.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import shapely
from numpy.typing import NDArray

from cutprep.geometry.planar.chains import ends, join_chains
from cutprep.geometry.planar.crossings import Crossings
from cutprep.geometry.planar.joints import Joints
from cutprep.geometry.rings import signed_area
from cutprep.model.lines import Flags, Index, Lines, Points
from cutprep.tolerance import Tolerance

#: An open chain bounds something when its ends are closer than this share of its length, and it takes
#: up this share of the square of its length when it is closed straight; a circle has 0.08.
_BOUNDS, _ROOMY = 0.5, 0.005


@dataclass(frozen=True, slots=True, eq=False)
class OpenChains:
    """Chains of which both ends are free, as columns.

    Attributes
    ----------
    chain
        (k,) ndarray of int: number among the chains.
    begin, end
        (k,) ndarray of int: their ends, as 2 i or 2 i + 1 of line i.
    apart, length
        (k,) ndarray of float: distance of the ends, and length of the chain, mm.
    bounding
        (k,) ndarray of bool: closed straight from end to end, they would bound something.
    """

    chain: Index
    begin: Index
    end: Index
    apart: Points
    length: Points
    bounding: Flags

    def take(self, index: Index | Flags) -> OpenChains:
        """Pick chains by index or mask."""
        return OpenChains(*(getattr(self, field.name)[index] for field in fields(self)))


def open_chains(lines: Lines, joints: Joints) -> OpenChains:
    """Find the chains of which both ends are free."""
    chains = joints.chains
    head, tail = chains.piece[chains.start[:-1]], chains.piece[chains.start[1:] - 1]
    begin = 2 * head + chains.reverse[chains.start[:-1]]
    end = 2 * tail + 1 - chains.reverse[chains.start[1:] - 1].astype(int)
    chain = np.flatnonzero(joints.free[begin] & joints.free[end] & ~chains.closed)
    begin, end = begin[chain], end[chain]
    spots = ends(lines)
    apart = np.hypot(*(spots[begin] - spots[end]).T)
    length = np.asarray(np.bincount(chains.of_line, lines.lengths, len(chains))[chain], np.float64)
    bounding = apart <= _BOUNDS * length
    if bounding.any():
        joined = join_chains(lines, chains)
        for k in np.flatnonzero(bounding).tolist():
            points = joined.points(int(chain[k]))
            bounding[k] = abs(signed_area(np.vstack((points, points[:1])))) > _ROOMY * length[k] ** 2
    return OpenChains(chain, begin, end, apart, length, bounding)


def alone(chains: OpenChains, joints: Joints, crossings: Crossings) -> Flags:
    """Which open chains nothing ends on and nothing crosses, (k,)."""
    touched = joints.touch_line[joints.touch_line >= 0]
    met = np.concatenate((crossings.first, crossings.second, touched, joints.tee_line))
    return ~np.isin(chains.chain, joints.chains.of_line[met])


@dataclass(frozen=True, slots=True, eq=False)
class Outlines:
    """Outlines as polygons.

    Attributes
    ----------
    polygons
        (r,) ndarray of shapely polygons without holes.
    tree
        Index over them.
    closed
        (r,) ndarray of bool: the outline is drawn closed, but for small gaps.
    """

    polygons: NDArray[np.object_]
    tree: shapely.STRtree
    closed: Flags

    def __len__(self) -> int:
        return len(self.polygons)

    def depth(self, points: Points, *, closed_only: bool = False) -> Index:
        """How many outlines lie around each point, (k,): odd is card, even is waste or outside."""
        count = np.zeros(len(points), np.int64)
        if len(self) and len(points):
            inside, ring = self.tree.query(shapely.points(points), predicate="intersects")
            np.add.at(count, inside[self.closed[ring]] if closed_only else inside, 1)
        return count

    def edge(self, points: Points, within: float) -> Flags:
        """Which points lie within a distance of an outline, (k,)."""
        on_edge = np.zeros(len(points), bool)
        if len(self) and len(points):
            spots = shapely.points(points)
            near, ring = self.tree.query(spots, predicate="dwithin", distance=within)
            edges = shapely.get_exterior_ring(self.polygons[ring])
            distance = shapely.distance(edges, np.asarray(spots)[near])
            on_edge[near[distance <= within]] = True
        return on_edge


def find_outlines(lines: Lines, pick: Flags, joints: Joints, tolerance: Tolerance) -> Outlines:
    """Find the outlines that the picked lines make.

    Small gaps count as closed, and so does, outside every other outline, an open chain that bounds
    something.
    """
    chains = joints.chains
    target = np.unique(joints.touch_line[joints.touch_line >= 0])
    clump = np.zeros(len(lines), bool)
    clump[chains.piece] = ~np.repeat(chains.closed, np.diff(chains.start))
    # A closed outline that others end on is noded together with them.
    chain = chains.of_line
    clump |= np.isin(chain, chain[target])
    clump &= pick
    whole = join_chains(lines, chains)
    plain = chains.closed & pick[chains.piece[chains.start[:-1]]]
    plain &= ~clump[chains.piece[chains.start[:-1]]]
    rings = whole.take(plain & (whole.counts >= 4))
    polygons = [ring_polygons(rings), _faces(lines, np.flatnonzero(clump), joints, tolerance)]
    found = np.concatenate(polygons)
    closed = Outlines(found, shapely.STRtree(found), np.ones(len(found), bool))
    almost = open_chains(lines, joints)
    rows = almost.chain[almost.bounding & pick[almost.begin // 2]]
    rows = rows[closed.depth(whole.xy[whole.start[rows]]) % 2 == 0]
    if not len(rows):
        return closed
    added = np.array([shapely.Polygon(whole.points(k)) for k in rows.tolist()], dtype=object)
    flags = np.concatenate((closed.closed, np.zeros(len(added), bool)))
    found = np.concatenate((found, added))
    return Outlines(found, shapely.STRtree(found), flags)


def ring_polygons(rings: Lines) -> NDArray[np.object_]:
    """Make a polygon of every closed line."""
    if not len(rings):
        return np.zeros(0, object)
    offsets = (rings.start, np.arange(len(rings) + 1))
    made = shapely.from_ragged_array(shapely.GeometryType.POLYGON, rings.xy, offsets)
    return np.asarray(made, dtype=object)


def _faces(lines: Lines, rows: Index, joints: Joints, tolerance: Tolerance) -> NDArray[np.object_]:
    """Node lines and merge the faces between them into outlines."""
    if not len(rows):
        return np.zeros(0, object)
    reach = np.zeros(2 * len(lines))
    reach[joints.touch_line >= 0] = 2 * tolerance.doubled
    reach[joints.tee] = joints.tee_gap + 2 * tolerance.doubled
    spots = _snapped(lines, joints)
    shapes = []
    for i in rows.tolist():
        points = lines.points(i).copy()
        points[0], points[-1] = spots[2 * i], spots[2 * i + 1]
        head = [_beyond(points[0], points[1], reach[2 * i])] if reach[2 * i] else []
        tail = [_beyond(points[-1], points[-2], reach[2 * i + 1])] if reach[2 * i + 1] else []
        shapes.append(shapely.LineString(np.vstack((*head, points, *tail))))
    shapes += [shapely.LineString(spots[pair]) for pair in joints.link]
    # On a grid, so that lines on each other to the last digits but one are noded as one.
    noded = shapely.union_all(shapes, grid_size=tolerance.coincide / 10)
    faces = shapely.polygonize([noded])
    whole = shapely.union_all(shapely.get_parts(faces))
    outer = [
        shapely.Polygon(part.exterior) for part in shapely.get_parts(whole) if part.geom_type == "Polygon"
    ]
    return np.array(outer, dtype=object)


def _snapped(lines: Lines, joints: Joints) -> Points:
    """Ends, those of one node moved to one point, (2 m, 2)."""
    spots = ends(lines).copy()
    meeting = joints.node >= 0
    spots[meeting] = spots[joints.node[meeting]]
    return spots


def _beyond(end: Points, before: Points, reach: float) -> Points:
    """A point beyond the end of a line, so that it surely crosses what the end lies on."""
    step = end - before
    length = float(np.hypot(*step))
    return np.asarray(end + step / length * reach if length > 0 else end)
