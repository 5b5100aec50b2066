"""Lines that meet end to end, traced and joined.

Terms used here:

end
    First or last point of an open line. A closed line has none.
node
    Ends that lie within a distance of each other are one node.
loose end
    An end alone at its node.
fork
    A node with three ends or more.
chain
    Lines that follow one another through nodes with just two ends. A chain stops at loose ends
    and at forks; it is closed when it comes back to where it began.
piece
    A line as a member of a chain, run forwards or backwards.

Graph theory would call a chain a path through vertices of degree two. The tracing below is
a walk over two columns; a graph library would build an object for every end, which costs
twenty times as much at a hundred thousand lines.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutprep.geometry.closeness.proximity import clusters
from cutprep.geometry.lines.segments import points_at, positions
from cutprep.model.lines import Flags, Index, Lines, Points


@dataclass(frozen=True, slots=True, eq=False)
class Chains:
    """Chains as columns; every line stands in just one chain.

    Attributes
    ----------
    piece
        (m,) ndarray of int: line numbers, chain after chain, in running order.
    reverse
        (m,) ndarray of bool: the piece runs backwards.
    start
        (c + 1,) ndarray of int: chain k is piece[start[k]:start[k + 1]].
    closed
        (c,) ndarray of bool.
    """

    piece: Index
    reverse: Flags
    start: Index
    closed: Flags

    def __len__(self) -> int:
        return len(self.start) - 1

    def pieces(self, k: int) -> Index:
        """Line numbers of chain k; (k,)."""
        return self.piece[self.start[k] : self.start[k + 1]]

    @property
    def of_line(self) -> Index:
        """The chain of each line, (m,)."""
        owner = np.empty(len(self.piece), np.int64)
        owner[self.piece] = np.repeat(np.arange(len(self)), np.diff(self.start))
        return owner


def ends(lines: Lines) -> Points:
    """First and last point of every line, (2 m, 2): rows 2 i and 2 i + 1 belong to line i."""
    rows = np.column_stack((lines.start[:-1], lines.start[1:] - 1)).ravel()
    return np.asarray(lines.xy[rows])


def headings(lines: Lines, end: Index) -> Points:
    """Unit direction in which a line leaves through each of its ends, (k, 2)."""
    last = end % 2 == 1
    row = np.where(last, lines.start[end // 2 + 1] - 1, lines.start[end // 2])
    step = lines.xy[row] - lines.xy[np.where(last, row - 1, row + 1)]
    length = np.hypot(step[:, 0], step[:, 1])
    return np.asarray(step / np.where(length > 0, length, 1.0)[:, None])


def nodes(lines: Lines, within: float, pick: Flags | None = None, kind: Index | None = None) -> Index:
    """Number the nodes.

    Parameters
    ----------
    within
        Ends this close are one node, mm.
    pick
        (m,) ndarray of bool: lines that take part; all when None.
    kind
        (m,) ndarray of int: only ends of lines of one kind meet; all are one kind when None.

    Returns
    -------
    (2 m,) ndarray of int
        Number of the node of each end, -1 for closed lines, those left out, and those no longer
        than the distance (both of whose ends would make a fork of a plain meeting).
    """
    taking = ~lines.closed & (lines.lengths > within)
    if pick is not None:
        taking &= pick
    rows = np.flatnonzero(np.repeat(taking, 2))
    number = np.full(2 * len(lines), -1, np.int64)
    if not len(rows):
        return number
    kinds = None if kind is None else np.repeat(kind - kind.min(initial=0), 2)[rows]
    number[rows] = rows[clusters(ends(lines)[rows], within, kinds)]
    return number


def partners(node: Index) -> Index:
    """The other end at a node of just two ends, (2 m,); -1 for loose ends and forks."""
    other = np.full(len(node), -1, np.int64)
    rows = np.flatnonzero(node >= 0)
    if not len(rows):
        return other
    order = rows[np.argsort(node[rows], kind="stable")]
    _, begin, count = np.unique(node[order], return_index=True, return_counts=True)
    pair = begin[count == 2]
    one, two = order[pair], order[pair + 1]
    other[one], other[two] = two, one
    return other


def loose(node: Index) -> Flags:
    """Which ends are alone at their node, (2 m,)."""
    rows = np.flatnonzero(node >= 0)
    alone = np.zeros(len(node), bool)
    _, back, count = np.unique(node[rows], return_inverse=True, return_counts=True)
    alone[rows] = count[back] == 1
    return alone


def trace(lines: Lines, within: float, pick: Flags | None = None, kind: Index | None = None) -> Chains:
    """Trace the chains of lines; see `nodes` for the parameters.

    A chain starts at the piece with the lowest number that is one of its two ends (of a closed
    chain: any), so that the result doesn't depend on anything but the order of the lines.

    Parameters
    ----------
    lines
        m polylines, mm.
    within
        Ends this near are one node, mm.
    pick
        (m,) ndarray of bool: lines that count; None for all.
    kind
        (m,) ndarray of int: only lines of one kind are joined; None for all alike.
    """
    return follow(lines, partners(nodes(lines, within, pick, kind)))


def follow(lines: Lines, partner: Index) -> Chains:
    """Trace chains along given partners: the end that each end leads on to, -1 for none, (2 m,)."""
    m = len(lines)
    linked = np.asarray((partner >= 0).reshape(m, 2).any(axis=1))
    other = partner.tolist()
    piece: list[int] = []
    turned: list[bool] = []
    head: list[int] = []
    seams: list[int] = []
    done: set[int] = set()
    # Chains with an end first, from that end; what is left of the linked lines goes round.
    open_first = np.argsort((partner >= 0).reshape(m, 2).all(axis=1), kind="stable")
    for i in open_first[linked[open_first]].tolist():
        if i in done:
            continue
        leads_on = other[2 * i] >= 0
        if leads_on and other[2 * i + 1] >= 0:
            seams.append(i)
            leads_on = False
        for line, backwards in _walk(other, i, backwards=leads_on):
            done.add(line)
            piece.append(line)
            turned.append(backwards)
            head.append(i)
    alone = np.flatnonzero(~linked)
    pieces = np.concatenate((np.array(piece, np.int64), alone))
    heads = np.concatenate((np.array(head, np.int64), alone))
    order = np.argsort(heads, kind="stable")
    begin = np.flatnonzero(np.diff(heads[order], prepend=-1))
    closed = lines.closed
    closed[seams] = True
    return Chains(
        piece=pieces[order],
        reverse=np.concatenate((np.array(turned, bool), np.zeros(len(alone), bool)))[order],
        start=np.append(begin, m),
        closed=closed[heads[order][begin]],
    )


def _walk(other: list[int], first: int, *, backwards: bool) -> Iterator[tuple[int, bool]]:
    """Follow partners from a line until a chain ends or comes back."""
    line, turned = first, backwards
    while True:
        yield line, turned
        leave = other[2 * line + (0 if turned else 1)]
        if leave < 0 or leave // 2 == first:
            return
        line, turned = leave // 2, leave % 2 == 1


def same_kind(lines: Lines) -> Index:
    """Number lines so that those with the same operation and fold have the same number, (m,)."""
    return lines.operation.astype(np.int64) * 4 + lines.fold.astype(np.int64) + 1


def join(
    lines: Lines, within: float, pick: Flags | None = None, kind: Index | None = None
) -> tuple[Lines, Chains]:
    """Make one line of every chain; `pick` and `kind` (m,), as for `trace`.

    Ends that meet move to the point halfway between them, so no point moves by more than half
    the distance. The joined line keeps the operation and the source of its longest piece.

    Parameters
    ----------
    lines, within, pick, kind
        As for `nodes`; `same_kind` gives the kind that keeps operations and folds apart.

    Returns
    -------
    lines
        One line a chain, in the chains' order.
    chains
        Which lines went into which.
    """
    chains = trace(lines, within, pick, kind)
    return join_chains(lines, chains), chains


def join_chains(lines: Lines, chains: Chains) -> Lines:
    """Make one line of every chain traced before; see `join`."""
    turned = lines.take(chains.piece, chains.reverse)
    own = turned.closed
    # The last point of a piece makes room for the next one's first; both become their middle.
    first, last = turned.start[:-1], turned.start[1:] - 1
    after = np.arange(1, len(turned) + 1)
    inner = np.ones(len(turned), bool)
    inner[chains.start[1:] - 1] = False
    xy = turned.xy.copy()
    keep = np.ones(len(xy), bool)
    meets = np.flatnonzero(inner)
    middle = (xy[last[meets]] + xy[first[after[meets]]]) / 2
    xy[first[after[meets]]] = middle
    keep[last[meets]] = False
    heads, tails = first[chains.start[:-1]], last[chains.start[1:] - 1]
    seams = chains.closed & ~own[chains.start[:-1]]
    middle = (xy[heads[seams]] + xy[tails[seams]]) / 2
    xy[heads[seams]] = xy[tails[seams]] = middle
    longest = _longest(turned.lengths, chains.start)
    counts = np.add.reduceat(keep.astype(np.int64), heads) if len(chains) else np.zeros(0, np.int64)
    curved = turned.curved & keep
    return Lines(
        xy=xy[keep],
        start=np.concatenate(([0], np.cumsum(counts))),
        operation=turned.operation[longest],
        fold=turned.fold[longest],
        source=turned.source[longest],
        curved=curved[keep],
        elements=lines.elements,
    )


def _longest(lengths: Points, start: NDArray[np.int64]) -> Index:
    """The row of the longest piece of each chain, the first of equals."""
    chain = np.repeat(np.arange(len(start) - 1), np.diff(start))
    order = np.lexsort((np.arange(len(lengths)), -lengths, chain))
    return order[start[:-1]]


class JoinedChains:
    """Chains as single lines, so that it doesn't matter how they are split.

    Attributes
    ----------
    chain
        (m,) ndarray of int: the chain of each line.
    whole
        One line a chain.
    length
        (c,) ndarray of float: their lengths, mm.
    closed
        (c,) ndarray of bool.
    """

    def __init__(self, lines: Lines, chains: Chains) -> None:
        self.chain = chains.of_line
        self.whole = join_chains(lines, chains)
        self.length = self.whole.lengths
        self.closed = self.whole.closed
        # Pieces share the vertex at which they meet; where a gap was closed there, they are a little longer.
        steps = lines.counts[chains.piece] - 1
        first = np.cumsum(steps) - steps + chains.of_line[chains.piece]
        run = positions(self.whole)
        begin, end = run[first], run[first + steps]
        drawn = lines.lengths[chains.piece]
        scale = np.divide(end - begin, drawn, out=np.ones(len(drawn)), where=drawn > 0)
        self._offset, self._scale = np.empty(len(lines)), np.empty(len(lines))
        self._offset[chains.piece] = np.where(chains.reverse, end, begin)
        self._scale[chains.piece] = np.where(chains.reverse, -scale, scale)
        self._first = np.zeros(2 * len(lines), bool)
        head = chains.start[:-1]
        self._first[2 * chains.piece[head] + chains.reverse[head]] = True

    def along(self, line: Index, position: Points) -> Points:
        """Position on the chain of a position on a line, mm; all (k,)."""
        return np.asarray(self._offset[line] + self._scale[line] * position)

    def points_at(self, chain: Index, position: Points) -> Points:
        """Points at positions on chains, (k, 2); round the seam on closed ones."""
        length = self.length[chain]
        around = np.mod(position, np.where(length > 0, length, 1.0))
        return points_at(self.whole, chain, np.where(self.closed[chain], around, position))

    def to_ends(self, line: Index, position: Points) -> Points:
        """Distance along the chain to the nearer of its ends, mm; inf on closed chains; all (k,)."""
        at, chain = self.along(line, position), self.chain[line]
        tail = np.minimum(at, self.length[chain] - at)
        return np.asarray(np.where(self.closed[chain], np.inf, tail))

    def from_end(self, end: Index, at: Points) -> Points:
        """Distance along the chain from one of its two ends to a position on it, mm; all (k,)."""
        return np.asarray(np.where(self._first[end], at, self.length[self.chain[end // 2]] - at))
