"""A planar graph back as lines: outlines as closed lines, and what is left of the lines beside them."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.lines.segments import positions
from cutprep.geometry.planar.graph.graph import ROUNDING, EdgeKind, Graph
from cutprep.model.lines import Flags, Index, Lines

#: What stands at the node before a half edge: nothing, the node itself, or a vertex (its row).
_NOTHING, _NODE = -2, -1


def outline_lines(graph: Graph) -> Lines:
    """The outlines as closed lines.

    Returns
    -------
    Lines
        Counter-clockwise, in the order of the graph's outlines, each with the operation and the source of
        its longest edge. Vertices of flattened curves keep their mark.
    """
    if not len(graph.half):
        return graph.lines.take(np.zeros(0, np.int64))
    owner = np.repeat(np.arange(len(graph.ring) - 1), np.diff(graph.ring))
    longest = np.lexsort((graph.half, -graph.lengths[graph.half // 2], owner))[graph.ring[:-1]]
    return _runs(graph, graph.half, owner, graph.line[graph.half[longest] // 2], closed=True)


def rest_lines(graph: Graph, pick: Flags) -> Lines:
    """What is no outline: of each line the stretches that outlines leave.

    Parameters
    ----------
    pick
        (m,) ndarray of bool: lines that are asked for.

    Returns
    -------
    Lines
        In the order of their lines; neighbouring edges of a line stay one line, and ends lie on the nodes.
    """
    edge = np.flatnonzero((graph.kind != EdgeKind.OUTLINE) & pick[graph.line])
    if not len(edge):
        return graph.lines.take(edge)
    new = np.ones(len(edge), bool)
    new[1:] = graph.line[edge[1:]] != graph.line[edge[:-1]]
    new[1:] |= graph.begin[edge[1:]] != graph.end[edge[:-1]]
    return _runs(graph, 2 * edge, np.cumsum(new) - 1, graph.line[edge[new]], closed=False)


def _runs(graph: Graph, half: Index, owner: Index, lead: Index, *, closed: bool) -> Lines:
    """One line a run of half edges.

    Parameters
    ----------
    half
        (n,) ndarray of int: half edges, run after run.
    owner
        (n,) ndarray of int, rising from 0 by ones: the run of each.
    lead
        (r,) ndarray of int: the line that gives a run its operation, fold and source.
    """
    lines = graph.lines
    edge, back = half // 2, half % 2 == 1
    first = np.diff(owner, prepend=-1) != 0
    last = np.append(first[1:], True)
    row = _rows_at_nodes(graph, half, first)
    count = graph.high[edge] - graph.low[edge]
    size = (row > _NOTHING) + count + last
    start = np.cumsum(size) - size
    of = np.repeat(np.arange(len(half)), size)
    step = np.arange(len(of)) - start[of]
    inner = step - (row[of] > _NOTHING)
    inside = (inner >= 0) & (inner < count[of])
    rows = np.where(back[of], graph.high[edge[of]] - 1 - inner, graph.low[edge[of]] + inner)
    rows = np.where(inside, rows, row[of])
    node = graph.nodes.ravel()[half][of]
    closing = (inner == count[of]) & last[of]
    if closed:
        head = np.flatnonzero(first)[owner]
        rows[closing], node[closing] = row[head][of][closing], graph.nodes.ravel()[half[head]][of][closing]
    else:
        rows[closing], node[closing] = _NODE, graph.nodes.ravel()[half ^ 1][of][closing]
    own = rows < 0
    xy = np.where(own[:, None], graph.xy[node], lines.xy[rows])
    curved = lines.curved[rows] & ~own
    return Lines(
        xy=xy,
        start=np.concatenate(([0], np.cumsum(np.bincount(owner[of])))),
        operation=lines.operation[lead],
        fold=lines.fold[lead],
        source=lines.source[lead],
        curved=curved,
        elements=lines.elements,
    )


def _rows_at_nodes(graph: Graph, half: Index, first: Flags) -> Index:
    """What to draw at the node before each half edge, (n,).

    Where a line only runs on through a node its own vertex is drawn, or nothing, so that lines which are
    marked but not changed come back as they were.
    """
    lines = graph.lines
    edge, back = half // 2, half % 2 == 1
    line = graph.line[edge]
    enter = np.where(back, graph.end[edge], graph.begin[edge])
    leave = np.where(back, graph.begin[edge], graph.end[edge])
    through = np.zeros(len(half), bool)
    through[1:] = ~first[1:] & (line[1:] == line[:-1]) & (enter[1:] == leave[:-1])
    row = np.where(back, graph.high[edge], graph.low[edge] - 1)
    vertex = np.abs(positions(lines)[row] - enter) <= 2 * ROUNDING
    same = (lines.xy[row] == graph.xy[graph.nodes.ravel()[half]]).all(axis=1)
    # A vertex at which a run begins is drawn as it is, too, so that it keeps its mark of a curve.
    keep = vertex & same & (through | lines.closed[line])
    return np.where(keep, row, np.where(through & ~vertex, _NOTHING, _NODE))
