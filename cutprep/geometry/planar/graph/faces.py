"""What the edges of a graph bound: dangles, bridges and outlines told apart, and outlines walked round."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutprep.geometry.closeness.proximity import components
from cutprep.geometry.planar.graph.graph import EdgeKind, Graph
from cutprep.model.lines import Flags, Index, Points


def classified(graph: Graph, within: float) -> Graph:
    """Tell dangles, bridges, outlines and inner edges apart."""
    kind = graph.kind.copy()
    alive = np.flatnonzero(kind == EdgeKind.INNER)
    kind[alive[_dangles(graph.nodes[alive], len(graph.xy))]] = EdgeKind.DANGLE
    area, heading = _areas(graph), _headings(graph)
    alive = np.flatnonzero(kind == EdgeKind.INNER)
    after = _turned(graph, alive, heading)
    cycle = _cycles(after, len(graph))
    bridge = alive[cycle[2 * alive] == cycle[2 * alive + 1]]
    if len(bridge):
        kind[bridge] = EdgeKind.BRIDGE
        alive = np.flatnonzero(kind == EdgeKind.INNER)
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
    kind[half // 2] = EdgeKind.OUTLINE
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
        index: dict[int, int] = {}
        half = first
        while True:
            node = origin[half]
            if node in index:
                at = index[node]
                loop = path[at:]
                for h in loop:
                    index.pop(origin[h], None)
                del path[at:]
                rings.append(loop)
            index[node] = len(path)
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
