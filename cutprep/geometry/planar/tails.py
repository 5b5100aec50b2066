"""Tails: stretches of cuts that lead from an outline, or from what it holds, to a free end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Sized
from dataclasses import dataclass, fields

import numpy as np

from cutprep.geometry.lines.segments import points_at
from cutprep.geometry.planar.graph.graph import EdgeKind, Graph
from cutprep.geometry.planar.outlines import Outlines
from cutprep.model.lines import Flags, Index, Points

#: Stretches of a line this short between two marks at one node are no edges (graph.py leaves them out), mm.
_SKIPPED = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class Tails:
    """Tails as columns.

    Attributes
    ----------
    line
        (k,) ndarray of int: the line of the free end.
    end
        (k,) ndarray of int: 0 when that is the line's first point, 1 when it is its last.
    tip, root
        (k, 2) ndarray of float: the free end, and where the tail begins, mm.
    length
        (k,) ndarray of float, mm.
    passing
        (k,) ndarray of bool: the same line goes on beyond the root as an edge that bounds something.
    outside
        (k,) ndarray of bool: the tail lies beside the card, or in a hole.
    edge, start
        Edges of the graph, tail after tail from the free end on, and (k + 1,) where each tail begins.
    """

    line: Index
    end: Index
    tip: Points
    root: Points
    length: Points
    passing: Flags
    outside: Flags
    edge: Index
    start: Index

    @classmethod
    def none(cls) -> Tails:
        """No tails at all."""
        none, flags = np.zeros(0, np.int64), np.zeros(0, bool)
        return cls(
            none,
            none,
            np.zeros((0, 2)),
            np.zeros((0, 2)),
            np.zeros(0),
            flags,
            flags,
            none,
            np.zeros(1, np.int64),
        )

    def __len__(self) -> int:
        return len(self.line)

    def edges(self, k: int) -> Index:
        """Edges of tail k, from the free end on; (k,) edge numbers."""
        return self.edge[self.start[k] : self.start[k + 1]]

    def take(self, keep: Flags) -> Tails:
        """Pick tails by a mask; (k,) flags."""
        index = np.flatnonzero(keep)
        columns = {f.name: getattr(self, f.name) for f in fields(self) if f.name not in {"edge", "start"}}
        edges = [self.edges(k) for k in index.tolist()]
        return Tails(
            **{name: column[index] for name, column in columns.items()},
            edge=np.concatenate([np.zeros(0, np.int64), *edges]),
            start=_starts(edges),
        )


def _starts(paths: Sequence[Sized]) -> Index:
    return np.concatenate(([0], np.cumsum([len(path) for path in paths]))).astype(np.int64)


def find_tails(graph: Graph, outlines: Outlines) -> Tails:
    """Find the tails of a graph; a chain that touches nothing which bounds a face is none."""
    found = list(_climb(graph))
    paths = [path for path, *_ in found]
    slot, root = (np.array([row[c] for row in found], np.int64) for c in (1, 2))
    first = np.array([path[0] for path in paths], np.int64)
    last = np.array([path[-1] for path in paths], np.int64)
    middle = points_at(graph.lines, graph.line[last], (graph.begin[last] + graph.end[last]) / 2)
    return Tails(
        line=graph.line[first],
        end=slot % 2,
        tip=graph.xy[graph.nodes[first, slot % 2]],
        root=graph.xy[root],
        length=np.array([float(graph.lengths[path].sum()) for path in paths]),
        passing=np.array([passing for *_, passing in found], bool),
        outside=outlines.depth(middle) % 2 == 0,
        edge=np.array([k for path in paths for k in path], np.int64),
        start=_starts(paths),
    )


def _climb(graph: Graph) -> Iterator[tuple[list[int], int, int, bool]]:
    """From each free end along dangles to the first node that a face has.

    Gives the edges, the free end (2 k + side of its edge k), that node, and whether the line goes on there.
    """
    alive = np.flatnonzero(graph.kind != EdgeKind.TWIN)
    bounds = np.isin(graph.kind, (EdgeKind.OUTLINE, EdgeKind.INNER))
    core = np.zeros(len(graph.xy), bool)
    core[graph.nodes[bounds]] = True
    nodes = graph.nodes[alive]
    degree = np.bincount(nodes.ravel(), minlength=len(graph.xy))
    order = np.argsort(nodes.ravel(), kind="stable")
    begin = np.concatenate(([0], np.cumsum(degree)))

    def around(node: int) -> list[int]:
        at = order[begin[node] : begin[node + 1]]
        return [int(s) for s in 2 * alive[at // 2] + at % 2]

    for free in np.flatnonzero(degree == 1).tolist():
        slot = first = around(free)[0]
        path = [slot // 2]
        node = int(graph.nodes[slot // 2, 1 - slot % 2])
        while not core[node] and degree[node] == 2:
            slot = next(s for s in around(node) if s // 2 != path[-1])
            path.append(slot // 2)
            node = int(graph.nodes[slot // 2, 1 - slot % 2])
        if core[node]:
            yield (
                path,
                first,
                node,
                _goes_on(graph, path[-1], node, [s for s in around(node) if bounds[s // 2]]),
            )


def _goes_on(graph: Graph, tail: int, root: int, bounding: list[int]) -> bool:
    """Whether the line of a tail goes on beyond its root as an edge that bounds something."""
    at = graph.begin[tail] if graph.nodes[tail, 0] == root else graph.end[tail]
    positions = [
        graph.end[s // 2] if s % 2 else graph.begin[s // 2]
        for s in bounding
        if graph.line[s // 2] == graph.line[tail]
    ]
    return any(abs(float(p - at)) <= _SKIPPED for p in positions)
