"""Where lines cross, told apart from where they touch or end on each other."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from cutprep.errors import DrawingError
from cutprep.geometry.closeness.neighbours import Neighbours
from cutprep.geometry.planar.ends.chains import JoinedChains
from cutprep.model.lines import Flags, Index, Points

#: Sine of the flattest angle of a crossing (half a degree); flatter ones lie on each other.
_FLATTEST = 0.0087


#: Sides are looked at so many touches before and after a crossing.
_BESIDE = 2.5
#: So many crossings are looked at; each of them is a node of the graph that follows.
_MOST = 200_000


@dataclass(frozen=True, slots=True, eq=False)
class Crossings:
    """Crossings as columns.

    Attributes
    ----------
    first, second
        (k,) ndarray of int: line numbers.
    at, at_other
        (k,) ndarray of float: positions on them, mm.
    xy
        (k, 2) ndarray of float, mm.
    """

    first: Index
    second: Index
    at: Points
    at_other: Points
    xy: Points

    def __len__(self) -> int:
        return len(self.first)

    def take(self, index: Index | Flags) -> Crossings:
        """Pick crossings by index or mask; (k,) numbers or flags."""
        return Crossings(*(getattr(self, field.name)[index] for field in fields(self)))


def find_crossings(
    nearby: Neighbours, pick: Flags, pick_other: Flags, way: JoinedChains, *, touch: float
) -> Crossings:
    """Find where lines cross each other, or one crosses itself.

    Parameters
    ----------
    nearby
        Neighbours of at least these lines.
    pick, pick_other
        (m,) ndarray of bool: lines on either side of a pair.
    way
        Their chains: a line that goes on in the next piece of its chain goes on.
    touch
        A line that goes on by no more than this beyond another only touches it, mm. It crosses when
        it is on different sides of the other a little before and after, so a corner that touches
        a line is none.

    Returns
    -------
    Crossings
        The first line is one of `pick`, the second one of `pick_other`.

    Raises
    ------
    DrawingError
        When there are more than can be looked at.
    """
    segments = nearby.segments
    p, q = nearby.first, nearby.second
    one, two = segments.line[p], segments.line[q]
    straight = pick[one] & pick_other[two]
    swapped = ~straight & pick[two] & pick_other[one]
    p, q = (
        np.concatenate((p[straight], q[swapped])),
        np.concatenate((q[straight], p[swapped])),
    )
    p, q, t, u = _meet(nearby, p, q)
    found = Crossings(
        first=segments.line[p],
        second=segments.line[q],
        at=segments.at[p] + t,
        at_other=segments.at[q] + u,
        xy=segments.begin[p] + (segments.end[p] - segments.begin[p]) * (t / segments.lengths[p])[:, None],
    )
    tails = way.to_ends(found.first, found.at), way.to_ends(found.second, found.at_other)
    found = found.take((tails[0] > touch) & (tails[1] > touch))
    if len(found) > _MOST:
        raise DrawingError(
            f"the lines cross each other at more than {_MOST:,} places",
            fix="Delete lines that are not for the machine, such as hatching, or check the drawing in pieces.",
        )
    found = _once(found, way, touch)
    return found.take(_through(found, way, _BESIDE * touch))


def _meet(nearby: Neighbours, p: Index, q: Index) -> tuple[Index, Index, Points, Points]:
    """Keep pairs of segments that have a point in common, with its distance from their beginnings."""
    segments = nearby.segments
    r, s = segments.end[p] - segments.begin[p], segments.end[q] - segments.begin[q]
    off = segments.begin[q] - segments.begin[p]
    long_p, long_q = segments.lengths[p], segments.lengths[q]
    cross = r[:, 0] * s[:, 1] - r[:, 1] * s[:, 0]
    steep = np.abs(cross) > _FLATTEST * long_p * long_q
    safe = np.where(steep, cross, 1.0)
    t = (off[:, 0] * s[:, 1] - off[:, 1] * s[:, 0]) / safe * long_p
    u = (off[:, 0] * r[:, 1] - off[:, 1] * r[:, 0]) / safe * long_q
    slack = nearby.within * 1e-6
    keep = steep & (t >= -slack) & (t <= long_p + slack) & (u >= -slack) & (u <= long_q + slack)
    # Neighbours on one line meet at their vertex.
    keep &= (segments.line[p] != segments.line[q]) | (np.abs(segments.vertex[p] - segments.vertex[q]) > 1)
    return p[keep], q[keep], np.clip(t[keep], 0, long_p[keep]), np.clip(u[keep], 0, long_q[keep])


def _once(found: Crossings, way: JoinedChains, slack: float) -> Crossings:
    """Keep one of the crossings that fall on one spot of the same two chains (at a vertex up to four)."""
    one, two = way.chain[found.first], way.chain[found.second]
    at, at_other = (
        _before_seam(way, chain, way.along(line, position), slack)
        for chain, line, position in ((one, found.first, found.at), (two, found.second, found.at_other))
    )
    low, high = np.minimum(one, two), np.maximum(one, two)
    place = np.where(one == two, np.minimum(at, at_other), np.where(one < two, at, at_other))
    order = np.lexsort((place, high, low))
    found = found.take(order)
    same = (np.diff(low[order]) == 0) & (np.diff(high[order]) == 0) & (np.diff(place[order]) < slack)
    return found.take(np.concatenate(([True], ~same))[: len(found)])


def _before_seam(way: JoinedChains, chain: Index, at: Points, slack: float) -> Points:
    """Positions on chains; right at the end of a closed one is its beginning."""
    return np.asarray(np.where(way.closed[chain] & (way.length[chain] - at < slack), 0.0, at))


def _through(found: Crossings, way: JoinedChains, beside: float) -> Flags:
    """Whether the first line changes sides of the second: seen from the crossing, their legs alternate."""
    legs = []
    for line, at in ((found.first, found.at), (found.second, found.at_other)):
        for step in (-beside, beside):
            leg = way.points_at(way.chain[line], way.along(line, at) + step) - found.xy
            legs.append(np.arctan2(leg[:, 1], leg[:, 0]))
    back, ahead, low, high = legs
    turn = 2 * np.pi
    corner = (high - low) % turn
    one, two = (back - low) % turn, (ahead - low) % turn
    apart = np.stack((one, turn - one, two, turn - two, np.abs(one - corner), np.abs(two - corner)))
    return np.asarray(((one < corner) != (two < corner)) & (apart.min(axis=0) > _FLATTEST))
