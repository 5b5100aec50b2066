"""The net's planar graph as straight pieces, with what folding needs to know of each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from cutprep.geometry.lines.pose import DECIMALS
from cutprep.geometry.planar.graph.graph import EdgeKind, Graph
from cutprep.model.lines import Codes, Flags, Index, Points
from cutprep.stages.fold.net.net_lines import NetLines
from cutprep.stages.fold.net.steady import goes_straight_on, sorts_of


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """A plane graph of straight pieces; no two of them cross or lie on each other.

    Attributes
    ----------
    xy
        (v, 2) ndarray of float: vertices, mm.
    ends
        (k, 2) ndarray of int: vertices of each piece, the smaller number first.
    operations
        (k,) ndarray of int8: what the piece does, CUT, SCORE or PERFORATION.
    fold
        (k,) ndarray of int8: `Fold` code; 0 when unsaid.
    degrees
        (k,) ndarray of float: fold angle in a name, or NaN.
    line
        (k,) ndarray of int: the line of the drawing that the piece comes from.
    dangling
        (k,) ndarray of bool: the piece leads to a free end and bounds nothing.
    tolerance
        Distance within which ends were drawn together, mm.
    """

    xy: Points
    ends: Index
    operations: Codes
    fold: Codes
    degrees: Points
    line: Index
    dangling: Flags
    tolerance: float

    def __len__(self) -> int:
        return len(self.ends)

    @property
    def lengths(self) -> Points:
        """Length of every piece, (k,), mm."""
        return np.asarray(np.hypot(*(self.xy[self.ends[:, 1]] - self.xy[self.ends[:, 0]]).T))


def segments(pieces: Pieces) -> NDArray[np.object_]:
    """Every piece as a shapely line, (k,)."""
    return np.asarray(shapely.linestrings(pieces.xy[pieces.ends]), dtype=object)


def dots(xy: Points) -> NDArray[np.object_]:
    """Points as shapely geometries, (n,)."""
    return np.asarray(shapely.points(xy), dtype=object)


def pieces_of(graph: Graph, drawn: NetLines, within: float) -> Pieces:
    """Take the edges of a net apart at their vertices.

    Parameters
    ----------
    drawn
        Says what each line of the graph does; in the same order.
    within
        The distance that the graph was built with, mm.
    """
    edge = np.flatnonzero(graph.kind != EdgeKind.TWIN)
    count = graph.high[edge] - graph.low[edge]
    size = count + 2
    start = np.cumsum(size) - size
    of = np.repeat(np.arange(len(edge)), size)
    step = np.arange(int(size.sum())) - start[of]
    inner = (step > 0) & (step <= count[of])
    rows = np.where(inner, graph.low[edge][of] + step - 1, 0)
    node = graph.nodes[edge][of, (step > 0).astype(np.int64)]
    spots = np.where(inner[:, None], graph.lines.xy[rows], graph.xy[node])
    # Pieces that meet without a node (a figure that touches itself) share a vertex all the same.
    # Rounded, they come in the same order, and are the same to the bit, however the drawing was turned.
    xy, number = np.unique(spots.round(DECIMALS) + 0.0, axis=0, return_inverse=True)
    number = number.ravel()
    head = np.flatnonzero(step <= count[of])
    pairs = np.sort(np.column_stack((number[head], number[head + 1])), axis=1)
    line = graph.line[edge][of][head]
    strength = graph.lines.operation.astype(np.int64)[line]
    order = np.lexsort((line, -strength, pairs[:, 1], pairs[:, 0]))
    order = order[pairs[order, 0] != pairs[order, 1]]
    new = np.ones(len(order), bool)
    new[1:] = (np.diff(pairs[order], axis=0) != 0).any(axis=1)
    kept = order[new]
    own = line[kept]
    fold = np.where(_contradicted(graph, drawn)[edge][of][head][kept], 0, drawn.fold[own])
    operations, ends = drawn.operations[own], pairs[kept].astype(np.int64)
    dangling = (graph.kind == EdgeKind.DANGLE)[edge][of][head][kept]
    return Pieces(
        xy, ends, operations, fold.astype(np.int8), drawn.degrees[own], drawn.line[own], dangling, within
    )


def without_splits(pieces: Pieces) -> Pieces:
    """Join pieces of one sort that go straight on from one another where nothing else ends: how lines were split says nothing."""
    at = _splits(pieces)
    if not len(at):
        return pieces
    ends = pieces.ends.copy()
    line = pieces.line.copy()
    kept = np.ones(len(ends), bool)
    around: dict[int, list[int]] = {v: [] for v in at.tolist()}
    for k, (u, v) in enumerate(ends.tolist()):
        for vertex in (u, v):
            if vertex in around:
                around[vertex].append(k)
    for vertex in at.tolist():
        one, two = around[vertex]
        a, b = (int(ends[k].sum()) - vertex for k in (one, two))
        if a == b or not goes_straight_on(*pieces.xy[[a, vertex, b]]):
            continue
        ends[one], line[one], kept[two] = sorted((a, b)), min(line[one], line[two]), False
        if b in around:
            around[b] = [one if k == two else k for k in around[b]]
    used = np.unique(ends[kept])
    ends = np.searchsorted(used, ends[kept])
    order = np.lexsort(ends.T[::-1])
    rows = np.flatnonzero(kept)[order]
    return Pieces(
        pieces.xy[used],
        ends[order],
        pieces.operations[rows],
        pieces.fold[rows],
        pieces.degrees[rows],
        line[rows],
        pieces.dangling[rows],
        pieces.tolerance,
    )


def _splits(pieces: Pieces) -> Index:
    """Vertices at which two pieces of one sort, and nothing else, end."""
    count = np.bincount(pieces.ends.ravel(), minlength=len(pieces.xy))
    sort = sorts_of(pieces.operations, pieces.fold, pieces.degrees, pieces.dangling)
    least, most = np.full(len(count), len(pieces)), np.full(len(count), -1)
    for end in pieces.ends.T:
        np.minimum.at(least, end, sort)
        np.maximum.at(most, end, sort)
    return np.flatnonzero((count == 2) & (least == most))


def _contradicted(graph: Graph, drawn: NetLines) -> Flags:
    """Edges on which another lies that folds the other way, (k,)."""
    fold = drawn.fold[graph.line].astype(np.int64)
    _, pair = np.unique(np.sort(graph.nodes, axis=1), axis=0, return_inverse=True)
    most, least = np.zeros(len(graph), np.int64), np.zeros(len(graph), np.int64)
    np.maximum.at(most, pair.ravel(), fold)
    np.minimum.at(least, pair.ravel(), fold)
    return np.asarray((most > 0) & (least < 0))[pair.ravel()]
