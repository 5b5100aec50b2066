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
    The outer boundary of faces that hang together.

Edges keep the vertices of their lines and know line and position, so that an outline, what is left of
a line beside it, and every message can name what was drawn. GEOS nodes and polygonizes as well
(`shapely.node`, `polygonize_full`; the tests compare with them), but forgets whose ink an edge was, which
vertices lie on a curve, and asks for coordinates that agree to the last bit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np

from cutprep.geometry.near import clusters, components
from cutprep.geometry.planar.chains import ends
from cutprep.geometry.segments import points_at, positions
from cutprep.model.lines import Flags, Index, Lines, Points

#: Positions on a line that differ by less are one, mm: rounding, no tolerance.
ROUNDING = 1e-7


class Kind(IntEnum):
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
        (k,) ndarray of int: `Kind`.
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


def build(lines: Lines, pick: Flags, marks: Marks, within: float) -> Graph:
    """Build the planar graph of some lines.

    Parameters
    ----------
    lines
        m lines.
    pick
        (m,) ndarray of bool: lines that take part.
    marks
        What is known to meet; marks of other lines are left out, ends need not be given.
    within
        Nodes closer than this are one, mm; edges that run that closely between the same nodes are twins.
    """
    marks = _with_ends(lines, pick, marks)
    node, xy = _nodes(marks, within)
    edges = _edges(lines, marks, node, within)
    none = np.zeros(0, np.int64)
    kind = _twins(lines, edges, within)
    return _classified(Graph(lines, xy, *edges, kind, none, np.zeros(1, np.int64), 0), within)


def _with_ends(lines: Lines, pick: Flags, marks: Marks) -> Marks:
    """Add the two ends of every line; at the seam of a closed line they are one spot."""
    own = pick[marks.line]
    number = np.cumsum(own) - 1
    pairs = own[marks.first] & own[marks.second]
    first, second = number[marks.first[pairs]], number[marks.second[pairs]]
    rows = np.flatnonzero(pick)
    count = int(own.sum())
    length = lines.lengths[rows]
    closed = np.flatnonzero(lines.closed[rows])
    spots = ends(lines).reshape(-1, 2, 2)[rows]
    return Marks(
        line=np.concatenate((marks.line[own], rows, rows)),
        at=np.concatenate(
            (np.clip(marks.at[own], 0.0, lines.lengths[marks.line[own]]), np.zeros(len(rows)), length)
        ),
        xy=np.concatenate((marks.xy[own], spots[:, 0], spots[:, 1])),
        weight=np.concatenate((marks.weight[own], np.zeros(2 * len(rows), np.int64))),
        first=np.concatenate((first, count + closed)),
        second=np.concatenate((second, count + len(rows) + closed)),
    )


def _nodes(marks: Marks, within: float) -> tuple[Index, Points]:
    """Number of the node of each mark, and where the nodes lie."""
    order = np.lexsort((marks.at, marks.line))
    line, at = marks.line[order], marks.at[order]
    beside = np.flatnonzero((line[1:] == line[:-1]) & (at[1:] - at[:-1] <= within))
    one = np.concatenate((marks.first, order[beside]))
    two = np.concatenate((marks.second, order[beside + 1]))
    node, xy = _gathered(marks, components(len(marks.line), one, two))
    if not marks.weight.any():
        # Ends that merely meet are given as what they make together.
        return node, xy
    # A spot where three lines meet comes as several pairs, each a hair from the others.
    again = clusters(xy, within)
    return _gathered(marks, again[node]) if (again != np.arange(len(xy))).any() else (node, xy)


def _gathered(marks: Marks, label: Index) -> tuple[Index, Points]:
    _, node = np.unique(label, return_inverse=True)
    node = node.ravel()
    count = int(node.max(initial=-1)) + 1
    most = np.zeros(count, np.int64)
    np.maximum.at(most, node, marks.weight)
    says = marks.weight == most[node]
    number = np.bincount(node[says], minlength=count)
    columns = [np.bincount(node[says], marks.xy[says, c], count) / number for c in (0, 1)]
    xy = np.column_stack(columns)
    # The mean of equal numbers may differ from them in the last digit; ends that agree stay as drawn.
    first = np.full(count, len(node), np.int64)
    rows = np.flatnonzero(says)
    np.minimum.at(first, node[rows], rows)
    spot = marks.xy[first]
    far = np.zeros(count)
    np.maximum.at(far, node[rows], np.abs(marks.xy[rows] - spot[node[rows]]).max(axis=1))
    xy[far == 0] = spot[far == 0]
    return np.asarray(node, np.int64), xy


_Edges = tuple[Index, Points, Points, Index, Index, Index]


def _edges(lines: Lines, marks: Marks, node: Index, within: float) -> _Edges:
    """Stretches between neighbouring marks."""
    order = np.lexsort((marks.at, marks.line))
    line, at, node = marks.line[order], marks.at[order], node[order]
    same = line[1:] == line[:-1]
    a, b = node[:-1], node[1:]
    # A stretch from a node to itself is a loop when it is long, and one spot when it is not.
    keep = np.flatnonzero(same & ((a != b) | (at[1:] - at[:-1] > 8 * within)))
    begin, end = at[keep], at[keep + 1]
    run = positions(lines)
    shift = np.concatenate(([0.0], np.cumsum(lines.lengths + 1.0)))[:-1]
    ruler = run + np.repeat(shift, lines.counts)
    owner = line[keep]
    low = np.searchsorted(ruler, begin + shift[owner] + ROUNDING, side="right")
    high = np.searchsorted(ruler, end + shift[owner] - ROUNDING, side="left")
    low = np.clip(low, lines.start[owner] + 1, lines.start[owner + 1] - 1)
    high = np.clip(high, low, lines.start[owner + 1] - 1)
    return owner, begin, end, np.column_stack((a[keep], b[keep])), low, high


def _twins(lines: Lines, edges: _Edges, within: float) -> Index:
    """Mark edges that lie on a stronger one between the same nodes, (k,): `Kind.TWIN`, else `Kind.INNER`."""
    line, begin, end, nodes, _, _ = edges
    kind = np.full(len(line), Kind.INNER, np.int64)
    pair = np.sort(nodes, axis=1)
    strength = lines.operation.astype(np.int64)[line]
    order = np.lexsort((line, -strength, pair[:, 1], pair[:, 0]))
    same = (np.diff(pair[order], axis=0) == 0).all(axis=1)
    if not same.any():
        return kind
    middle, length = points_at(lines, line, (begin + end) / 2), end - begin
    head = np.flatnonzero(np.concatenate(([True], ~same)))
    count = np.diff(np.append(head, len(order)))
    for first, size in zip(head[count > 1].tolist(), count[count > 1].tolist(), strict=True):
        kept: list[int] = []
        for k in order[first : first + size].tolist():
            alike = [j for j in kept if abs(length[j] - length[k]) <= 4 * within]
            if any(np.hypot(*(middle[j] - middle[k])) <= 2 * within for j in alike):
                kind[k] = Kind.TWIN
            else:
                kept.append(k)
    return kind


def _classified(graph: Graph, within: float) -> Graph:
    """Tell dangles, bridges, outlines and inner edges apart."""
    kind = graph.kind.copy()
    alive = np.flatnonzero(kind == Kind.INNER)
    kind[alive[_dangles(graph.nodes[alive], len(graph.xy))]] = Kind.DANGLE
    area, heading = _areas(graph), _headings(graph)
    alive = np.flatnonzero(kind == Kind.INNER)
    after = _turned(graph, alive, heading)
    cycle = _cycles(after, len(graph))
    bridge = alive[cycle[2 * alive] == cycle[2 * alive + 1]]
    if len(bridge):
        kind[bridge] = Kind.BRIDGE
        alive = np.flatnonzero(kind == Kind.INNER)
        after = _turned(graph, alive, heading)
        cycle = _cycles(after, len(graph))
    halves = np.sort(np.concatenate((2 * alive, 2 * alive + 1)))
    whole = np.bincount(cycle[halves], area[halves], 2 * len(graph))
    outer = halves[whole[cycle[halves]] < 0]
    found = _walk(graph.nodes, after, cycle, outer)
    # What is no wider than a node bounds nothing.
    size = graph.lengths
    rings = [ring for ring in found if area[ring].sum() > within * size[np.array(ring) // 2].sum()]
    half = np.array([h for ring in rings for h in ring], np.int64)
    kind[half // 2] = Kind.OUTLINE
    return replace(
        graph,
        kind=kind,
        half=half,
        ring=np.concatenate(([0], np.cumsum([len(ring) for ring in rings]))).astype(np.int64),
        faces=int((whole > 0).sum()),
    )


def _dangles(nodes: Index, count: int) -> Flags:
    """Edges that go when free ends are taken away again and again, (k,)."""
    gone = np.zeros(len(nodes), bool)
    degree = np.bincount(nodes.ravel(), minlength=count)
    free = np.flatnonzero(degree == 1).tolist()
    if not free:
        return gone
    order = np.argsort(nodes.ravel(), kind="stable")
    begin = np.concatenate(([0], np.cumsum(degree)))
    left = degree.tolist()
    while free:
        node = free.pop()
        if left[node] != 1:
            continue
        for end in order[begin[node] : begin[node + 1]].tolist():
            k = end // 2
            if not gone[k]:
                gone[k] = True
                left[node] -= 1
                other = int(nodes[k, 1 - end % 2])
                left[other] -= 1
                if left[other] == 1:
                    free.append(other)
    return gone


def _headings(graph: Graph) -> Points:
    """Angle in which each half edge leaves its node, (2 k,), radians."""
    xy, inner = graph.xy, graph.lines.xy
    a, b = xy[graph.nodes[:, 0]], xy[graph.nodes[:, 1]]
    has = (graph.high > graph.low)[:, None]
    last = len(inner) - 1
    ahead = np.where(has, inner[np.minimum(graph.low, last)], b) - a
    back = np.where(has, inner[np.clip(graph.high - 1, 0, last)], a) - b
    angle = np.empty(2 * len(graph))
    angle[0::2], angle[1::2] = np.arctan2(ahead[:, 1], ahead[:, 0]), np.arctan2(back[:, 1], back[:, 0])
    return angle


def _areas(graph: Graph) -> Points:
    """What each half edge adds to twice the area of its face, (2 k,), mm2 (shoelace formula)."""
    if not len(graph):
        return np.zeros(0)
    # Seen from the middle, so that a drawing far from the origin loses no digits.
    origin = graph.lines.xy.mean(axis=0)
    inner, xy = graph.lines.xy - origin, graph.xy - origin
    cross = np.concatenate(([0.0], np.cumsum(inner[:-1, 0] * inner[1:, 1] - inner[:-1, 1] * inner[1:, 0])))
    a, b = xy[graph.nodes[:, 0]], xy[graph.nodes[:, 1]]
    has = graph.high > graph.low
    last = len(inner) - 1
    low, high = np.minimum(graph.low, last), np.clip(graph.high - 1, 0, last)
    p, q = np.where(has[:, None], inner[low], b), np.where(has[:, None], inner[high], a)
    through = a[:, 0] * p[:, 1] - a[:, 1] * p[:, 0]
    through += np.where(has, cross[high] - cross[low] + q[:, 0] * b[:, 1] - q[:, 1] * b[:, 0], 0.0)
    return np.asarray(np.column_stack((through, -through)).ravel())


def _turned(graph: Graph, alive: Index, heading: Points) -> Index:
    """The half edge that follows each one around the face on its left, (2 k,); -1 for edges left out."""
    halves = np.concatenate((2 * alive, 2 * alive + 1))
    origin = graph.nodes.ravel()[halves]
    order = np.lexsort((halves, heading[halves], origin))
    ranked, node = halves[order], origin[order]
    # The neighbour clockwise of each half edge at its node: the one before it, the last before the first.
    before = np.concatenate((ranked[-1:], ranked[:-1]))
    new = np.flatnonzero(np.diff(node, prepend=-1))
    last = np.append(new[1:], len(node)) - 1
    if len(new):
        before[new] = ranked[last]
    after = np.full(2 * len(graph), -1, np.int64)
    after[ranked ^ 1] = before
    return after


def _cycles(after: Index, count: int) -> Index:
    """Number the cycles of half edges, (2 k,)."""
    there = np.flatnonzero(after >= 0)
    return components(2 * count, there, after[there])


def _walk(nodes: Index, after: Index, cycle: Index, outer: Index) -> list[list[int]]:
    """Outer boundaries, counter-clockwise, parted where they touch themselves at a node."""
    follow = after.tolist()
    origin = nodes.ravel().tolist()
    rings: list[list[int]] = []
    for first in outer[np.unique(cycle[outer], return_index=True)[1]].tolist():
        path: list[int] = []
        place: dict[int, int] = {}
        half = first
        while True:
            node = origin[half]
            if node in place:
                at = place[node]
                loop = path[at:]
                for h in loop:
                    place.pop(origin[h], None)
                del path[at:]
                rings.append(loop)
            place[node] = len(path)
            path.append(half)
            half = follow[half]
            if half == first:
                break
        rings.append(path)
    # The walk runs clockwise, with the outside on its left; turned round it is counter-clockwise.
    turned = [[h ^ 1 for h in reversed(ring)] for ring in rings]
    turned = [_from_lowest(ring) for ring in turned]
    turned.sort(key=min)
    return turned


def _from_lowest(ring: list[int]) -> list[int]:
    at = ring.index(min(ring))
    return ring[at:] + ring[:at]
