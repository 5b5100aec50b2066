"""From drawn lines to a plane graph: ends drawn together, lines split where others meet them.

Terms. A *vertex* is a place where line ends, crossings or bends lie within the tolerance of one
another; a *piece* is a straight run between two vertices with nothing in between. Doubled
lines, split lines, T-junctions and small gaps all vanish here, because two pieces between the
same vertices are one.

shapely's `node` and `snap` do half of this, but lose which operation a piece carries and let
vertices chain together; hence own code.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from cutprep.model.lines import Codes, Index, Points
from cutprep.stages.fold.ink import Ink

_ROUNDS = 8


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """A plane graph of line pieces.

    Attributes
    ----------
    xy
        (v, 2) ndarray of float: vertices, mm.
    ends
        (k, 2) ndarray of int: vertices of each piece, the smaller number first.
    bits
        (k,) ndarray of int8: what the piece does (CUT, SCORE, PERFORATION together).
    fold
        (k,) ndarray of int8: `Fold` code; 0 when unsaid or when two lines contradict.
    degrees
        (k,) ndarray of float: fold angle in a name, or NaN.
    line
        (k,) ndarray of int: one line of the drawing that the piece comes from.
    tolerance
        Distance used, mm.
    """

    xy: Points
    ends: Index
    bits: Codes
    fold: Codes
    degrees: Points
    line: Index
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


def snap(ink: Ink, within: float) -> Pieces:
    """Build the plane graph.

    Parameters
    ----------
    within
        Ends, and ends and lines, closer than this are drawn together, mm.
    """
    xy, number = _cluster(ink, within)
    first = np.ones(len(ink.xy), bool)
    first[ink.start[1:] - 1] = False
    head = np.flatnonzero(first)
    owner = np.repeat(np.arange(len(ink.bits)), np.diff(ink.start) - 1)
    pieces = _merged(
        xy,
        np.column_stack((number[head], number[head + 1])),
        ink.bits[owner],
        ink.fold[owner],
        ink.degrees[owner],
        ink.line[owner],
        within,
    )
    for _ in range(_ROUNDS):
        split = _split(pieces, _meeting(pieces))
        crossed = split if split is not None else _crossed(pieces)
        if crossed is None:
            break
        pieces = crossed
    return pieces


def _cluster(ink: Ink, within: float) -> tuple[Points, Index]:
    """Draw vertices together, nearest pair first; give places and the number of each vertex."""
    points, number = np.unique(ink.xy, axis=0, return_inverse=True)
    number = number.reshape(-1)
    geometry = dots(points)
    a, b = shapely.STRtree(geometry).query(geometry, predicate="dwithin", distance=within)
    a, b = a[a < b], b[a < b]
    far = np.hypot(*(points[a] - points[b]).T)
    apart = _neighbours(ink, number)
    group = list(range(len(points)))
    members: dict[int, list[int]] = {}
    widest = 1.5 * within
    for k in np.lexsort((b, a, far)).tolist():
        i, j = group[int(a[k])], group[int(b[k])]
        if i == j:
            continue
        ours, theirs = members.get(i, [i]), members.get(j, [j])
        if any((m, n) in apart for m in ours for n in theirs):
            continue
        both = points[ours + theirs]
        if np.hypot(*(both[:, None] - both[None]).transpose(2, 0, 1)).max() > widest:
            continue
        members[i] = ours + theirs
        for m in theirs:
            group[m] = i
    kept, of_group = np.unique(np.array(group, dtype=np.int64), return_inverse=True)
    places = points[kept].copy()
    weight = np.bincount(number, minlength=len(points)).astype(float)
    for row, g in enumerate(kept.tolist()):
        if g in members:
            places[row] = np.average(points[members[g]], axis=0, weights=weight[members[g]])
    return places, np.asarray(of_group.reshape(-1)[number], dtype=np.int64)


def _neighbours(ink: Ink, number: NDArray[np.int64]) -> set[tuple[int, int]]:
    """Pairs of places that follow one another on a path: these stay apart."""
    last = np.zeros(len(ink.xy), bool)
    last[ink.start[1:] - 1] = True
    head = np.flatnonzero(~last)
    pairs = {(int(p), int(q)) for p, q in zip(number[head], number[head + 1], strict=True) if p != q}
    return pairs | {(q, p) for p, q in pairs}


def _merged(
    xy: Points, ends: Index, bits: Codes, fold: Codes, degrees: Points, line: Index, within: float
) -> Pieces:
    """Drop pieces of no length and draw equal ones together."""
    keep = ends[:, 0] != ends[:, 1]
    ends, bits, fold = np.sort(ends[keep], axis=1), bits[keep], fold[keep]
    degrees, line = degrees[keep], line[keep]
    unique, where = np.unique(ends, axis=0, return_inverse=True)
    where = where.reshape(-1)
    k = len(unique)
    all_bits, up, down = np.zeros(k, np.int8), np.zeros(k, bool), np.zeros(k, bool)
    np.bitwise_or.at(all_bits, where, bits)
    np.logical_or.at(up, where, fold > 0)
    np.logical_or.at(down, where, fold < 0)
    angle = np.full(k, np.nan)
    np.fmax.at(angle, where, degrees)
    first = np.full(k, np.iinfo(np.int64).max)
    np.minimum.at(first, where, line)
    return Pieces(
        xy,
        unique.astype(np.int64),
        all_bits,
        (up & ~down).astype(np.int8) - (down & ~up),
        angle,
        first,
        within,
    )


def _rebuilt(pieces: Pieces, xy: Points, chains: dict[int, list[int]]) -> Pieces:
    """Replace some pieces by chains of vertices."""
    kept = np.ones(len(pieces), bool)
    kept[list(chains)] = False
    rows = np.flatnonzero(kept).tolist()
    ends = [pieces.ends[kept]]
    for k, chain in chains.items():
        ends.append(np.column_stack((chain[:-1], chain[1:])))
        rows += [k] * (len(chain) - 1)
    row = np.array(rows, dtype=np.int64)
    return _merged(
        xy,
        np.concatenate(ends),
        pieces.bits[row],
        pieces.fold[row],
        pieces.degrees[row],
        pieces.line[row],
        pieces.tolerance,
    )


def _meeting(pieces: Pieces) -> dict[int, list[tuple[float, int]]]:
    """Vertices that lie on pieces without being their ends: {piece: [(where, vertex)]}."""
    used = np.unique(pieces.ends)
    at, on = shapely.STRtree(segments(pieces)).query(
        shapely.points(pieces.xy[used]), predicate="dwithin", distance=pieces.tolerance
    )
    vertex = used[at]
    inner = (pieces.ends[on] != vertex[:, None]).all(axis=1)
    vertex, on = vertex[inner], on[inner]
    a, b = pieces.xy[pieces.ends[on, 0]], pieces.xy[pieces.ends[on, 1]]
    along = ((pieces.xy[vertex] - a) * (b - a)).sum(axis=1) / ((b - a) ** 2).sum(axis=1)
    found: dict[int, list[tuple[float, int]]] = {}
    for k in np.flatnonzero((along > 0) & (along < 1)).tolist():
        found.setdefault(int(on[k]), []).append((float(along[k]), int(vertex[k])))
    return found


def _split(pieces: Pieces, meeting: dict[int, list[tuple[float, int]]]) -> Pieces | None:
    """Split pieces at the vertices that lie on them; None when there are none."""
    if not meeting:
        return None
    chains = {}
    for k, found in meeting.items():
        a, b = (int(v) for v in pieces.ends[k])
        chains[k] = [a, *(v for _, v in sorted(found)), b]
    return _rebuilt(pieces, pieces.xy, chains)


def _crossed(pieces: Pieces) -> Pieces | None:
    """Split pieces where they cross; None when they don't."""
    lines = segments(pieces)
    i, j = shapely.STRtree(lines).query(lines, predicate="crosses")
    i, j = i[i < j], j[i < j]
    if not len(i):
        return None
    a, c = pieces.xy[pieces.ends[i, 0]], pieces.xy[pieces.ends[j, 0]]
    r, s = pieces.xy[pieces.ends[i, 1]] - a, pieces.xy[pieces.ends[j, 1]] - c
    bottom = r[:, 0] * s[:, 1] - r[:, 1] * s[:, 0]
    apart = np.abs(bottom) > 0
    i, j, a, c, r, s, bottom = (x[apart] for x in (i, j, a, c, r, s, bottom))
    where = ((c - a)[:, 0] * s[:, 1] - (c - a)[:, 1] * s[:, 0]) / bottom
    other = ((c - a)[:, 0] * r[:, 1] - (c - a)[:, 1] * r[:, 0]) / bottom
    if not len(i):
        return None
    places, number = _gathered(a + where[:, None] * r, pieces.tolerance)
    hits: dict[int, list[tuple[float, int]]] = {}
    for k in range(len(i)):
        vertex = len(pieces.xy) + int(number[k])
        hits.setdefault(int(i[k]), []).append((float(where[k]), vertex))
        hits.setdefault(int(j[k]), []).append((float(other[k]), vertex))
    grown = Pieces(
        np.vstack((pieces.xy, places)),
        pieces.ends,
        pieces.bits,
        pieces.fold,
        pieces.degrees,
        pieces.line,
        pieces.tolerance,
    )
    return _split(grown, hits)


def _gathered(spots: Points, within: float) -> tuple[Points, Index]:
    """Take spots close together for one, the first of them."""
    geometry = dots(spots)
    a, b = shapely.STRtree(geometry).query(geometry, predicate="dwithin", distance=within)
    first = np.arange(len(spots))
    for i, j in sorted(zip(a.tolist(), b.tolist(), strict=True)):
        if first[i] == i and first[j] == j and i < j:
            first[j] = i
    kept, number = np.unique(first, return_inverse=True)
    return spots[kept], np.asarray(number.reshape(-1), dtype=np.int64)
