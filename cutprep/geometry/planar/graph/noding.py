"""From marks to nodes and edges."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.closeness.proximity import clusters, components
from cutprep.geometry.lines.segments import points_at, positions
from cutprep.geometry.planar.ends.chains import ends
from cutprep.geometry.planar.graph.faces import classified
from cutprep.geometry.planar.graph.graph import ROUNDING, EdgeKind, Graph, Marks
from cutprep.model.lines import Flags, Index, Lines, Points

#: Decimals of a millimetre to which places agree that are one.
_DIGITS = 9


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
    return classified(Graph(lines, xy, *edges, kind, none, np.zeros(1, np.int64), 0), within)


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
    apart = rows[far[node[rows]] > 0]
    if len(apart):
        _take_most(xy, marks.xy[apart], node[apart])
    return np.asarray(node, np.int64), xy


def _take_most(xy: Points, said: Points, node: Index) -> None:
    """Where more than half of the marks of a node agree, it lies there: a stray end draws no corner along.

    Parameters
    ----------
    xy
        (k, 2) nodes, changed.
    said, node
        (n, 2) what a mark says, and of which node.
    """
    told = np.round(np.column_stack((node, said)), _DIGITS)
    order = np.lexsort(told.T)
    start = np.flatnonzero(np.append(True, (np.diff(told[order], axis=0) != 0).any(axis=1)))
    count = np.diff(np.append(start, len(order)))
    of = node[order[start]]
    most = 2 * count > np.bincount(node, minlength=len(xy))[of]
    xy[of[most]] = said[order[start[most]]]


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
    """Mark edges that lie on a stronger one between the same nodes, (k,): `EdgeKind.TWIN`, else `EdgeKind.INNER`."""
    line, begin, end, nodes, _, _ = edges
    kind = np.full(len(line), EdgeKind.INNER, np.int64)
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
                kind[k] = EdgeKind.TWIN
            else:
                kept.append(k)
    return kind
