"""The planar graph of lines: nodes, edges with where they come from, dangles, bridges and outlines.

Terms beside those of chains.py and joints.py:

mark
    A position on a line at which something happens: it ends, another line ends on it, crosses
    it, or begins to lie on it. Marks of different lines at one spot are one node.
edge
    The stretch of a line between two neighbouring marks. Of twins (edges on each other between the same
    two nodes) one counts.
dangle
    An edge that leads to a free end: taking free ends away again and again takes it away.
bridge
    An edge that joins two things but bounds nothing; both its sides are the same face.
face
    A region that edges bound, without a dangle or a bridge in its boundary.
outline
    The outer boundary of faces that are connected.

Edges keep the vertices of their lines and know line and position, so that an outline, what is left of
a line beside it, and every message can name what was drawn. GEOS nodes and polygonizes as well
(`shapely.node`, `polygonize_full`; the tests compare with them), but forgets which line an edge is of, which
vertices lie on a curve, and asks for coordinates that agree to the last bit.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from cutprep.model.lines import Index, Lines, Points

#: Positions on a line that differ by less are one, mm: rounding, no tolerance.
ROUNDING = 1e-7


class EdgeKind(IntEnum):
    """What an edge does."""

    OUTLINE = 0
    INNER = 1
    BRIDGE = 2
    DANGLE = 3
    TWIN = 4


@dataclass(frozen=True, slots=True, eq=False)
class Marks:
    """Marks as columns, and which of them are one spot.

    Attributes
    ----------
    line
        (n,) ndarray of int.
    at
        (n,) ndarray of float: position on the line, mm.
    xy
        (n, 2) ndarray of float: where a node of this mark alone would lie, mm.
    weight
        (n,) ndarray of int: marks of the highest weight in a node say where it lies.
    first, second
        (p,) ndarray of int: pairs of marks that are one spot.
    """

    line: Index
    at: Points
    xy: Points
    weight: Index
    first: Index
    second: Index

    @classmethod
    def none(cls) -> Marks:
        """No marks at all."""
        none = np.zeros(0, np.int64)
        return cls(none, np.zeros(0), np.zeros((0, 2)), none, none, none)


@dataclass(frozen=True, slots=True, eq=False)
class Graph:
    """A planar graph as columns.

    Attributes
    ----------
    lines
        What it was made of.
    xy
        (v, 2) ndarray of float: nodes, mm.
    line
        (k,) ndarray of int: the line of each edge.
    begin, end
        (k,) ndarray of float: positions of its ends on the line, mm.
    nodes
        (k, 2) ndarray of int: nodes at begin and end.
    low, high
        (k,) ndarray of int: rows of the line's vertices strictly between.
    kind
        (k,) ndarray of int: `EdgeKind`.
    half, ring
        (h,) ndarray of int: half edges (2 k for edge k forwards, 2 k + 1 backwards) around the
        outlines, counter-clockwise, and (r + 1,) where each outline begins.
    faces
        How many faces there are.
    """

    lines: Lines
    xy: Points
    line: Index
    begin: Points
    end: Points
    nodes: Index
    low: Index
    high: Index
    kind: Index
    half: Index
    ring: Index
    faces: int

    def __len__(self) -> int:
        return len(self.line)

    @property
    def lengths(self) -> Points:
        """Length of each edge along its line, (k,), mm."""
        return np.asarray(self.end - self.begin)

    def polyline(self, k: int) -> Points:
        """Vertices of edge k, (n, 2), mm."""
        inner = self.lines.xy[self.low[k] : self.high[k]]
        return np.vstack((self.xy[self.nodes[k, 0]], inner, self.xy[self.nodes[k, 1]]))
