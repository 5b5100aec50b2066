"""How fold lines lie on a part: where they end, and what they cross.

Terms: a fold line *meets* a cut or another fold when it ends on it; it *overshoots* a cut when
it crosses it and ends beyond, outside the card; it *undershoots* one when it would meet it if
it were a little longer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from enum import IntEnum

import numpy as np

from cutprep.geometry.closeness.ahead import first_ahead
from cutprep.geometry.closeness.neighbours import Neighbours
from cutprep.geometry.lines.segments import explode, points_at
from cutprep.geometry.planar.ends.chains import JoinedChains, ends, follow, loose, nodes, partners
from cutprep.geometry.planar.ends.crossings import find_crossings
from cutprep.geometry.planar.ends.joints import find_reach
from cutprep.geometry.planar.graph.graph import ROUNDING
from cutprep.geometry.planar.outlines import Outlines
from cutprep.model.lines import Flags, Index, Lines, Points
from cutprep.tolerance import Tolerance


class Ending(IntEnum):
    """How a fold line ends, or what it does on its way.

    It runs past the outline, over a hole, or over another fold; it stops short of a line, or in a panel;
    it is severed.
    """

    OVERSHOOT = 0
    HOLE = 1
    UNDERSHOOT = 2
    PANEL = 3
    OVER = 5
    SEVERED = 4


@dataclass(frozen=True, slots=True, eq=False)
class Endings:
    """What is wrong with fold lines, as columns.

    Attributes
    ----------
    line
        (k,) ndarray of int.
    kind
        (k,) ndarray of int: `Ending`.
    end
        (k,) ndarray of int: 0 for the first point of the line, 1 for its last, -1 in between.
    distance
        (k,) ndarray of float: how far past, short of or through, mm; NaN in mid-panel.
    xy
        (k, 2) ndarray of float: where, mm.
    target
        (k, 2) ndarray of float: where the line ought to end, mm; NaN where that isn't known.
    """

    line: Index
    kind: Index
    end: Index
    distance: Points
    xy: Points
    target: Points

    def __len__(self) -> int:
        return len(self.line)

    @property
    def mendable(self) -> Flags:
        """Which ends have a place where they belong, (k,)."""
        return np.asarray((self.end >= 0) & np.isfinite(self.target).all(axis=1))

    def take(self, index: Index | Flags) -> Endings:
        """Pick rows by index or mask; (k,) numbers or flags."""
        return Endings(*(getattr(self, field.name)[index] for field in fields(self)))


def find_endings(
    lines: Lines,
    folds: Flags,
    cuts: Flags,
    nearby: Neighbours,
    outlines: Callable[[], Outlines],
    tolerance: Tolerance,
) -> Endings:
    """Find fold lines that don't end as they should.

    A fold line that falls short of a line by no more than `tolerance.near_run`, or runs past one by no more
    than `tolerance.tail`, is meant to meet what is there.

    Parameters
    ----------
    folds, cuts
        (m,) ndarray of bool.
    nearby
        Neighbours of at least these lines.
    outlines
        Gives the outlines that the cuts make; asked only when there is something to look into.
    """
    if not (folds.any() and cuts.any()):
        return _none()
    kind = cuts.astype(np.int64)
    way = JoinedChains(lines, follow(lines, partners(nodes(lines, tolerance.coincide, folds | cuts, kind))))
    touch = tolerance.doubled
    crossings = find_crossings(nearby, folds, cuts, way, touch=touch)
    rows = _open_ends(lines, folds, cuts, nearby, tolerance)
    if not (len(rows) or len(crossings)):
        return _none()
    around = outlines()
    rows = rows[~around.edge(ends(lines)[rows], tolerance.doubled)]
    cut = _Meetings(crossings.first, way.along(crossings.first, crossings.at), crossings.xy)
    meetings = _meetings(lines, folds, cuts, nearby, tolerance, way, cut)
    return _join(
        _end_faults(lines, rows, cuts | folds, meetings, cut, around, tolerance, way),
        _way_faults(cut, _meant(lines, folds, crossings.second, way, touch), around, tolerance, way),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Meetings:
    """Where something meets a fold line: the line, the position on its chain, and the point."""

    line: Index
    at: Points
    xy: Points


def _meetings(
    lines: Lines,
    folds: Flags,
    cuts: Flags,
    nearby: Neighbours,
    tolerance: Tolerance,
    way: JoinedChains,
    cut: _Meetings,
) -> _Meetings:
    """Where cuts and other folds cross fold lines or end on them."""
    fold = find_crossings(nearby, folds, folds, way, touch=tolerance.doubled)
    open_lines = np.repeat((folds | cuts) & ~lines.closed, 2)
    reach = find_reach(lines, np.flatnonzero(open_lines), folds, nearby, tolerance.doubled)
    reach = reach.take(way.chain[reach.line] != way.chain[reach.end // 2])
    line = np.concatenate((fold.first, fold.second, reach.line))
    at = way.along(line, np.concatenate((fold.at, fold.at_other, reach.position)))
    return _Meetings(
        np.concatenate((cut.line, line)),
        np.concatenate((cut.at, at)),
        np.concatenate((cut.xy, fold.xy, fold.xy, ends(lines)[reach.end])),
    )


def _none() -> Endings:
    none = np.zeros(0, np.int64)
    return Endings(none, none, none, np.zeros(0), np.zeros((0, 2)), np.zeros((0, 2)))


def _join(*parts: Endings) -> Endings:
    return Endings(*(np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(Endings)))


def _open_ends(lines: Lines, folds: Flags, cuts: Flags, nearby: Neighbours, tolerance: Tolerance) -> Index:
    """Ends of fold lines that meet neither a fold nor a cut."""
    rows = np.flatnonzero(loose(nodes(lines, tolerance.coincide, folds)))
    reach = find_reach(lines, rows, folds | cuts, nearby, tolerance.doubled)
    return np.setdiff1d(rows, reach.end[reach.line != reach.end // 2])


def _end_faults(
    lines: Lines,
    rows: Index,
    others: Flags,
    meetings: _Meetings,
    cut: _Meetings,
    outlines: Outlines,
    tolerance: Tolerance,
    way: JoinedChains,
) -> Endings:
    """Say of each open end whether it runs past something, falls short, or stops in a panel."""
    short = tolerance.near_run
    line, side = rows // 2, rows % 2
    spots = ends(lines)[rows]
    depth = outlines.depth(spots)
    tail, beyond = _tails(rows, meetings, way, tolerance.doubled)
    long_tail, edge = _tails(rows, cut, way, tolerance.doubled)
    outside = (depth % 2 == 0) & (len(outlines) > 0)
    leaving = outside & np.isfinite(long_tail)
    tail, beyond = np.where(leaving, long_tail, tail), np.where(leaving[:, None], edge, beyond)
    ahead, meeting = _ahead(lines, rows, others, short)
    # Between two lines it might have meant, the nearer one counts.
    overshoots = leaving | (tail <= np.minimum(tolerance.tail, ahead))
    undershoots = ~overshoots & np.isfinite(ahead)
    strayed = outside & ~overshoots & ~undershoots
    stops = ~overshoots & ~undershoots & (depth % 2 == 1)
    kind = np.select(
        [overshoots & (depth > 0) & outside, overshoots & ~outside, overshoots | strayed, undershoots],
        [Ending.HOLE, Ending.OVER, Ending.OVERSHOOT, Ending.UNDERSHOOT],
        Ending.PANEL,
    )
    distance = np.select([overshoots, undershoots, strayed], [tail, ahead, lines.lengths[line]], np.nan)
    target = np.where(overshoots[:, None], beyond, np.where(undershoots[:, None], meeting, np.nan))
    wrong = overshoots | undershoots | strayed | stops
    return Endings(line, kind, side, distance, spots, target).take(wrong)


def _tails(rows: Index, meetings: _Meetings, way: JoinedChains, least: float) -> tuple[Points, Points]:
    """Length from each end to the first meeting further away than `least` (inf for none), and where."""
    tail, spot = np.full(len(rows), np.inf), np.full((len(rows), 2), np.nan)
    # Every meeting with every open end of its chain; a chain has two at most.
    chain = way.chain[rows // 2]
    order = np.argsort(chain, kind="stable")
    met = way.chain[meetings.line]
    low, high = np.searchsorted(chain[order], met, "left"), np.searchsorted(chain[order], met, "right")
    for step in (0, 1):
        there = np.flatnonzero(low + step < high)
        row = order[low[there] + step]
        away = way.from_end(rows[row], meetings.at[there])
        nearer = away > least
        row, there, away = row[nearer], there[nearer], away[nearer]
        # The nearest is written last and stays.
        last = np.argsort(-away, kind="stable")
        tail[row[last]], spot[row[last]] = away[last], meetings.xy[there[last]]
    return tail, spot


def _ahead(lines: Lines, rows: Index, others: Flags, reach: float) -> tuple[Points, Points]:
    """Distance straight on from each end to the next line (inf for none), and the point there."""
    distance, spot = np.full(len(rows), np.inf), np.full((len(rows), 2), np.nan)
    if not len(rows):
        return distance, spot
    last = rows % 2 == 1
    row = np.where(last, lines.start[rows // 2 + 1] - 1, lines.start[rows // 2])
    begin = lines.xy[row]
    step = begin - lines.xy[np.where(last, row - 1, row + 1)]
    size = np.hypot(step[:, 0], step[:, 1])
    ray = step / np.where(size > 0, size, 1.0)[:, None] * reach
    segments = explode(lines, others)
    distance = first_ahead(begin, ray, rows // 2, segments, ROUNDING) * reach
    met = np.isfinite(distance)
    spot[met] = begin[met] + ray[met] * (distance[met] / reach)[:, None]
    return distance, spot


def _meant(lines: Lines, folds: Flags, cut: Index, way: JoinedChains, touch: float) -> Flags:
    """Tell which cuts free a strip that pops up, (k,): at both ends a fold begins, on the same side of the cut.

    Such a slit crosses the fold of its card on purpose; what the strip is folded along begins and ends on it.
    """
    found = np.zeros(len(cut), bool)
    rows = np.repeat(folds & ~lines.closed, 2)
    tip = ends(lines)[rows]
    last = lines.start[1:] - 1
    beyond = np.stack((lines.xy[lines.start[:-1] + 1], lines.xy[last - 1]), axis=1).reshape(-1, 2)[rows]
    for chain in np.unique(way.chain[cut]).tolist():
        run = way.whole.points(chain)
        step = run[-1] - run[0]
        sides = []
        for end in run[[0, -1]]:
            there = np.hypot(*(tip - end).T) <= touch
            off = beyond[there] - end
            sides.append(
                set(np.sign(np.round(step[0] * off[:, 1] - step[1] * off[:, 0], 3)).tolist()) - {0.0}
            )
        found[way.chain[cut] == chain] = bool(sides[0] & sides[1])
    return found


def _way_faults(
    cut: _Meetings, meant: Flags, outlines: Outlines, tolerance: Tolerance, way: JoinedChains
) -> Endings:
    """Find what cuts do to fold lines between their ends: leave the card, bridge a hole, sever.

    Parameters
    ----------
    meant
        (k,) ndarray of bool: cuts that sever on purpose.
    """
    if not len(cut.line) or not len(outlines):
        return _none()
    order = np.lexsort((cut.at, way.chain[cut.line]))
    line, at, xy, meant = cut.line[order], cut.at[order], cut.xy[order], meant[order]
    chain = way.chain[line]
    new = np.concatenate(([True], np.diff(chain) != 0))
    final = np.concatenate((new[1:], [True]))
    before = np.where(new, 0.0, np.concatenate(([0.0], at[:-1])))
    after = np.where(final, way.length[chain], np.concatenate((at[1:], [0.0])))
    middle = points_at(way.whole, chain, (at + after) / 2)
    depth_before = outlines.depth(points_at(way.whole, chain, (before + at) / 2))
    depth_after = outlines.depth(middle)
    gone = ~final & (depth_after % 2 == 0) & (after - at > tolerance.doubled)
    least = np.minimum(at - before, after - at)
    severed = ~meant & (depth_before % 2 == 1) & (depth_after % 2 == 1) & (least > tolerance.doubled)
    return Endings(
        line=line,
        kind=np.where(severed, Ending.SEVERED, np.where(depth_after > 0, Ending.HOLE, Ending.OVERSHOOT)),
        end=np.full(len(line), -1),
        distance=np.where(severed, np.nan, after - at),
        xy=np.where(severed[:, None], xy, middle),
        target=np.full((len(line), 2), np.nan),
    ).take(gone | severed)
