"""Outlines of parts and holes, whatever pieces they are drawn in, and what lies inside them.

A closed line that nothing ends on or crosses is an outline as it stands; all other cuts go by the
planar graph. What an outline is, the package's docstring says.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import shapely
from numpy.typing import NDArray

from cutprep.geometry.lines.rings import signed_area
from cutprep.geometry.planar.ends.chains import ends, join_chains
from cutprep.geometry.planar.ends.crossings import Crossings
from cutprep.geometry.planar.ends.joints import Joints
from cutprep.geometry.planar.graph.drawn import outline_lines
from cutprep.geometry.planar.graph.graph import EdgeKind, Graph
from cutprep.model.lines import Flags, Index, Lines, Points

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
        """Pick chains by index or mask; (k,) numbers or flags."""
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
    rings
        The closed ones as lines, in the same order.
    """

    polygons: NDArray[np.object_]
    tree: shapely.STRtree
    closed: Flags
    rings: Lines

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


def find_outlines(lines: Lines, alone: Lines, graph: Graph, joints: Joints) -> Outlines:
    """Find the outlines that cut lines make.

    Small gaps count as closed, and so does, outside every other outline, an open chain that bounds
    something.

    Parameters
    ----------
    alone
        Closed cut lines that nothing ends on or crosses: outlines as they stand.
    graph
        Of all other cut lines.
    joints
        Of all cut lines.
    """
    rings = Lines.concat([alone, outline_lines(graph)])
    found = ring_polygons(rings)
    closed = Outlines(found, shapely.STRtree(found), np.ones(len(found), bool), rings)
    almost = open_chains(lines, joints)
    rows = almost.chain[almost.bounding & ~bounding_chains(graph, joints)[almost.chain]]
    if not len(rows):
        return closed
    whole = join_chains(lines, joints.chains)
    rows = rows[closed.depth(whole.xy[whole.start[rows]]) % 2 == 0]
    if not len(rows):
        return closed
    added = np.array([shapely.Polygon(whole.points(k)) for k in rows.tolist()], dtype=object)
    flags = np.concatenate((closed.closed, np.zeros(len(added), bool)))
    found = np.concatenate((found, added))
    return Outlines(found, shapely.STRtree(found), flags, rings)


def bounding_chains(graph: Graph, joints: Joints) -> Flags:
    """Which chains have an edge that bounds a face, (c,)."""
    bounds = np.zeros(len(joints.chains), bool)
    edges = np.isin(graph.kind, (EdgeKind.OUTLINE, EdgeKind.INNER))
    bounds[joints.chains.of_line[graph.line[edges]]] = True
    return bounds


def ring_polygons(rings: Lines) -> NDArray[np.object_]:
    """Make a polygon of every closed line; (m,) polygons, mm."""
    if not len(rings):
        return np.zeros(0, object)
    offsets = (rings.start, np.arange(len(rings) + 1))
    made = shapely.from_ragged_array(shapely.GeometryType.POLYGON, rings.xy, offsets)
    return np.asarray(made, dtype=object)
