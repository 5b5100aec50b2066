"""What the ends of lines do: meet, touch another line, stop short of it, or stand alone.

Terms, beside those of chains.py:

touching end
    An end alone at its node that lies on the inside of another line (a slit that begins at an
    outline).
tee gap
    An end that stops just short of the inside of another line.
gap
    Two ends alone at their nodes that face each other across a small distance.
free end
    An end that does none of these.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from cutprep.geometry.closeness.neighbours import Neighbours
from cutprep.geometry.closeness.proximity import point_pairs
from cutprep.geometry.lines.segments import distance_to, points_at
from cutprep.geometry.planar.ends.chains import Chains, ends, follow, headings, loose, nodes, partners
from cutprep.model.lines import Flags, Index, Lines, Points
from cutprep.tolerance import Tolerance

#: Pairs of segments that are looked at together, for the memory that they take.
_AT_A_TIME = 500_000
#: A chain closes upon itself across a gap only when it is this many times longer than the gap.
_LONGER = 4.0
#: So many dashes in a row make a broken line that is meant.
_DASHES = 4
#: Ends this many times nearer than doubled lines have met: two hand-drawn ends are off by as much each.
_MET = 2.0
#: Cosine of the steepest angle at which a line still points at another (60 degrees).
_POINTING = 0.5
#: Cosine beyond which a gap goes straight on (12 degrees).
_STRAIGHT = 0.978


@dataclass(frozen=True, slots=True, eq=False)
class Joints:
    """What the ends of some lines do, as columns; an end is 2 i or 2 i + 1 of line i.

    Attributes
    ----------
    node
        (2 m,) ndarray of int: see `chains.nodes`.
    touch_line
        (2 m,) ndarray of int: the line that a touching end lies on, -1 for other ends.
    free
        (2 m,) ndarray of bool.
    link
        (k, 2) ndarray of int: ends that face each other across a gap.
    link_gap
        (k,) ndarray of float: how wide it is, mm.
    tee
        (t,) ndarray of int: ends that stop short of the inside of a line.
    tee_line, tee_position, tee_gap
        (t,) ndarrays: that line, where on it, and how far it is, mm.
    dashed
        (m,) ndarray of bool: the line is a dash of a broken line drawn dash by dash.
    chains
        Chains through nodes and across gaps.
    """

    node: Index
    touch_line: Index
    free: Flags
    link: Index
    link_gap: Points
    tee: Index
    tee_line: Index
    tee_position: Points
    tee_gap: Points
    dashed: Flags
    chains: Chains


def find_joints(
    lines: Lines, pick: Flags, nearby: Neighbours, tolerance: Tolerance, gap: float | None = None
) -> Joints:
    """Find what the ends of lines do.

    Parameters
    ----------
    pick
        (m,) ndarray of bool: lines that take part.
    nearby
        Neighbours of at least these lines within at least the largest gap.
    gap
        Largest gap that counts, mm; the tolerance's when None.
    """
    gap = tolerance.gap if gap is None else gap
    node = nodes(lines, tolerance.coincide, pick)
    alone = loose(node)
    plain = follow(lines, partners(node))
    link, link_gap = _links(lines, alone, plain, gap)
    reach = _insides(lines, alone, pick, nearby, gap, tolerance)
    touch_line = np.full(len(node), -1, np.int64)
    lies_on = reach.gap <= tolerance.doubled
    touch_line[reach.end[lies_on]] = reach.line[lies_on]
    touching = touch_line >= 0
    # An end that lies on a line already needs no partner across a gap, unless both would.
    good = ~(touching[link].any(axis=1))
    # Two ends as near as that have met, though one of them lies on the other's line: neither is led elsewhere.
    met = np.zeros(len(node), bool)
    met[link[~good & (link_gap <= _MET * tolerance.doubled)].ravel()] = True
    link, link_gap = link[good], link_gap[good]
    chains = _follow_links(lines, node, link)
    dashed, meant = _dashes(lines, chains, link, link_gap)
    link, link_gap = link[~meant], link_gap[~meant]
    linked = np.zeros(len(node), bool)
    linked[link.ravel()] = True
    keep = ~(touching | linked | met)[reach.end] & ~dashed[reach.end // 2]
    tee = reach.take(keep)
    free = alone & ~touching & ~linked & ~met & ~np.repeat(dashed, 2)
    free[tee.end] = False
    return Joints(
        node=node,
        touch_line=touch_line,
        free=free,
        link=link,
        link_gap=link_gap,
        tee=tee.end,
        tee_line=tee.line,
        tee_position=tee.position,
        tee_gap=tee.gap,
        dashed=dashed,
        chains=_follow_links(lines, node, link) if meant.any() else chains,
    )


def _follow_links(lines: Lines, node: Index, link: Index) -> Chains:
    partner = partners(node)
    partner[link[:, 0]], partner[link[:, 1]] = link[:, 1], link[:, 0]
    return follow(lines, partner)


def _links(lines: Lines, alone: Flags, chains: Chains, gap: float) -> tuple[Index, Points]:
    """Pair loose ends across gaps, the narrowest first, each end once."""
    rows = np.flatnonzero(alone)
    spots = ends(lines)[rows]
    first, second = point_pairs(spots, gap)
    one, two = rows[first], rows[second]
    width = np.hypot(*(spots[first] - spots[second]).T)
    chain = chains.of_line
    length = np.bincount(chain, lines.lengths, len(chains))
    own = chain[one // 2] == chain[two // 2]
    # A short dangle's two ends are near each other without making a gap.
    shorter = np.minimum(length[chain[one // 2]], length[chain[two // 2]])
    keep = np.where(own, shorter > _LONGER * width, shorter > width)
    one, two, width = one[keep], two[keep], width[keep]
    taken = np.zeros(2 * len(lines), bool)
    chosen = []
    for k in np.lexsort((two, one, width)).tolist():
        if not (taken[one[k]] or taken[two[k]]):
            taken[[one[k], two[k]]] = True
            chosen.append(k)
    pick = np.array(sorted(chosen), np.int64)
    return np.column_stack((one[pick], two[pick])), width[pick]


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """Ends of lines and what lies near them, as columns: the end, a line, where on it, how far."""

    end: Index
    line: Index
    position: Points
    gap: Points

    def take(self, index: Index | Flags) -> Reach:
        """Pick rows by index or mask; (k,) numbers or flags."""
        return Reach(self.end[index], self.line[index], self.position[index], self.gap[index])

    def nearest(self) -> Reach:
        """Keep the nearest line of each end."""
        order = np.lexsort((self.gap, self.end))
        _, head = np.unique(self.end[order], return_index=True)
        return self.take(order[head])


def find_reach(
    lines: Lines, rows: Index, pick: Flags, nearby: Neighbours, within: float, node: Index | None = None
) -> Reach:
    """Find what lies near ends of lines, except their own segments.

    Parameters
    ----------
    rows
        (k,) ndarray of int, rising: ends 2 i or 2 i + 1 of lines i.
    pick
        (m,) ndarray of bool: lines that may lie near them.
    nearby
        Neighbours of the ends' lines and these, within at least the distance.
    within
        Distance, mm.
    node
        (2 m,) ndarray of int: numbers of nodes; lines that end at the node of an end are left out for it.
    """
    segments = nearby.segments
    if not len(rows) or not len(segments):
        return _unreached()
    # The end's own segment knows all neighbours of the end.
    first = np.searchsorted(segments.line, rows // 2, "left")
    last = np.searchsorted(segments.line, rows // 2, "right") - 1
    own = np.where(rows % 2 == 0, first, last)
    end_of = np.full((len(segments), 2), -1, np.int64)
    there = first <= last
    end_of[own[there], rows[there] % 2] = rows[there]
    spots = ends(lines)
    found: list[tuple[Index, Index, Points, Points]] = []
    for side, turned, low in product((0, 1), (False, True), range(0, len(nearby.first), _AT_A_TIME)):
        part = slice(low, low + _AT_A_TIME)
        p, q = (
            (nearby.second[part], nearby.first[part]) if turned else (nearby.first[part], nearby.second[part])
        )
        end = end_of[p, side]
        end, q = end[end >= 0], q[end >= 0]
        other = segments.line[q]
        wanted = pick[other]
        if node is not None:
            apart = (node[end] != node[2 * other]) & (node[end] != node[2 * other + 1])
            wanted &= (node[end] < 0) | apart | (other == end // 2)
        end, q = end[wanted], q[wanted]
        distance, share = distance_to(spots[end], segments.begin[q], segments.end[q])
        close = distance <= within
        end, q, distance, share = end[close], q[close], distance[close], share[close]
        found.append((end, segments.line[q], segments.at[q] + share * segments.lengths[q], distance))
    return Reach(*(np.concatenate(column) for column in zip(*found, strict=True))) if found else _unreached()


def _unreached() -> Reach:
    none = np.zeros(0, np.int64)
    return Reach(none, none, np.zeros(0), np.zeros(0))


def _insides(
    lines: Lines, alone: Flags, pick: Flags, nearby: Neighbours, gap: float, tolerance: Tolerance
) -> Reach:
    """Find the nearest inside of a line for each end that is alone at its node.

    A corner at which others meet is as good as an inside; near an end that is alone, too, a line is none, and
    neither is a corner of the same line just behind the end.
    """
    reach = find_reach(lines, np.flatnonzero(alone), pick, nearby, gap)
    length = lines.lengths[reach.line]
    away = np.where(lines.closed[reach.line], -1.0, tolerance.coincide)
    head, tail = reach.position <= away, reach.position >= length - away
    keep = ~(head & alone[2 * reach.line]) & ~(tail & alone[2 * reach.line + 1])
    # A line that runs beside another doesn't point at it, but it may lie on it.
    heading = headings(lines, reach.end)
    toward = points_at(lines, reach.line, reach.position) - ends(lines)[reach.end]
    pointing = np.einsum("ij,ij->i", heading, toward) >= _POINTING * reach.gap
    keep &= pointing | (reach.gap <= tolerance.doubled)
    back = np.where(reach.end % 2 == 0, reach.position, length - reach.position)
    keep &= (reach.line != reach.end // 2) | (back > _LONGER * gap)
    return reach.take(keep).nearest()


def find_touching(lines: Lines, pick: Flags, nearby: Neighbours, tolerance: Tolerance, node: Index) -> Reach:
    """Find every end that lies on the inside of a line, whatever else it meets, with that line and where.

    Parameters
    ----------
    pick
        (m,) ndarray of bool: lines that take part.
    nearby
        Neighbours of at least these lines within at least `tolerance.doubled`.
    node
        (2 m,) ndarray of int: see `chains.nodes`.
    """
    rows = np.flatnonzero(np.repeat(pick & ~lines.closed, 2))
    reach = find_reach(lines, rows, pick, nearby, tolerance.doubled, node)
    # The line's own corner just behind its end is no meeting.
    back = np.where(reach.end % 2 == 0, reach.position, lines.lengths[reach.line] - reach.position)
    keep = (reach.line != reach.end // 2) | (back > _LONGER * tolerance.gap)
    return reach.take(keep)


def _dashes(lines: Lines, chains: Chains, link: Index, width: Points) -> tuple[Flags, Flags]:
    """Find broken lines drawn dash by dash: which lines are dashes, and which links are meant."""
    dashed, meant = np.zeros(len(lines), bool), np.zeros(len(link), bool)
    if len(link) < _DASHES - 1:
        return dashed, meant
    heading = headings(lines, link.ravel()).reshape(-1, 2, 2)
    straight = np.einsum("ij,ij->i", heading[:, 0], heading[:, 1]) < -_STRAIGHT
    spots = ends(lines)[link]
    across = spots[:, 1] - spots[:, 0]
    straight &= np.einsum("ij,ij->i", across, heading[:, 0]) > _STRAIGHT * width
    chain = chains.of_line[link[:, 0] // 2]
    size = len(chains)
    count = np.bincount(chain, minlength=size)
    even = np.bincount(chain, straight, size) == count
    single = count >= np.diff(chains.start) - 1
    broken = (count >= _DASHES - 1) & even & single & ~chains.closed
    meant = broken[chain]
    dashed[chains.piece] = np.repeat(broken, np.diff(chains.start))
    return dashed, meant
