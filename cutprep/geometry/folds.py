"""How fold lines lie on a part: where they end, and what they cross.

Terms: a fold line *meets* a cut or another fold when it ends on it; it runs *past* a cut when
it crosses it and ends beyond, outside the card; it falls *short* of one when it would meet it if
it were a little longer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from enum import IntEnum

import numpy as np

from cutprep.geometry.chains import ends, loose, nodes
from cutprep.geometry.crossings import Crossings, find_crossings
from cutprep.geometry.joints import find_reach
from cutprep.geometry.near import boxes_between
from cutprep.geometry.outlines import Outlines
from cutprep.geometry.overlap import Neighbours
from cutprep.geometry.segments import explode, points_at
from cutprep.model.lines import Flags, Index, Lines, Points
from cutprep.tolerance import Tolerance


class Ending(IntEnum):
    """How a fold line ends, or what it does on its way."""

    PAST = 0
    HOLE = 1
    SHORT = 2
    PANEL = 3
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

    def take(self, index: Index | Flags) -> Endings:
        """Pick rows by index or mask."""
        return Endings(*(getattr(self, field.name)[index] for field in fields(self)))


def find_endings(
    lines: Lines,
    folds: Flags,
    cuts: Flags,
    near: Neighbours,
    outlines: Callable[[], Outlines],
    tolerance: Tolerance,
) -> Endings:
    """Find fold lines that don't end as they should.

    A fold line that falls short of a line by no more than `tolerance.near_run`, or runs past
    one by no more, is meant to meet what is there.

    Parameters
    ----------
    folds, cuts
        (m,) ndarray of bool.
    near
        Neighbours of at least these lines.
    outlines
        Gives the outlines that the cuts make; asked only when there is something to look into.
    """
    if not (folds.any() and cuts.any()):
        return _none()
    beside = 2.5 * tolerance.doubled
    crossings = find_crossings(lines, near, folds, cuts, beside=beside)
    rows = _open_ends(lines, folds, cuts, near, tolerance)
    if not (len(rows) or len(crossings)):
        return _none()
    around = outlines()
    meetings = _meetings(lines, folds, cuts, near, tolerance, crossings)
    return _join(
        _end_faults(lines, rows, cuts | folds, meetings, crossings, around, tolerance),
        _way_faults(lines, crossings, around, tolerance),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Meetings:
    """Where something meets a fold line: the line, the position on it, and the point."""

    line: Index
    at: Points
    xy: Points


def _meetings(
    lines: Lines, folds: Flags, cuts: Flags, near: Neighbours, tolerance: Tolerance, crossings: Crossings
) -> _Meetings:
    """Where cuts and folds cross fold lines or end on them."""
    between = find_crossings(lines, near, folds, folds, beside=2.5 * tolerance.doubled)
    open_lines = np.repeat((folds | cuts) & ~lines.closed, 2)
    reach = find_reach(lines, np.flatnonzero(open_lines), folds, near, tolerance.doubled)
    reach = reach.take(reach.line != reach.end // 2)
    return _Meetings(
        line=np.concatenate((crossings.first, between.first, between.second, reach.line)),
        at=np.concatenate((crossings.at, between.at, between.at_other, reach.position)),
        xy=np.concatenate((crossings.xy, between.xy, between.xy, ends(lines)[reach.end])),
    )


def _none() -> Endings:
    none = np.zeros(0, np.int64)
    return Endings(none, none, none, np.zeros(0), np.zeros((0, 2)), np.zeros((0, 2)))


def _join(*parts: Endings) -> Endings:
    return Endings(*(np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(Endings)))


def _open_ends(lines: Lines, folds: Flags, cuts: Flags, near: Neighbours, tolerance: Tolerance) -> Index:
    """Ends of fold lines that meet neither a fold nor a cut."""
    rows = np.flatnonzero(loose(nodes(lines, tolerance.coincide, folds)))
    reach = find_reach(lines, rows, folds | cuts, near, tolerance.doubled)
    return np.setdiff1d(rows, reach.end[reach.line != reach.end // 2])


def _end_faults(
    lines: Lines,
    rows: Index,
    others: Flags,
    meetings: _Meetings,
    crossings: Crossings,
    outlines: Outlines,
    tolerance: Tolerance,
) -> Endings:
    """Say of each open end whether it runs past something, falls short, or stops in a panel."""
    short = tolerance.near_run
    line, side = rows // 2, rows % 2
    spots = ends(lines)[rows]
    depth = outlines.depth(spots)
    tail, beyond = _tails(lines, rows, meetings, tolerance.doubled)
    long_tail, edge = _tails(
        lines, rows, _Meetings(crossings.first, crossings.at, crossings.xy), tolerance.doubled
    )
    outside = (depth % 2 == 0) & (len(outlines) > 0)
    leaving = outside & np.isfinite(long_tail)
    tail, beyond = np.where(leaving, long_tail, tail), np.where(leaving[:, None], edge, beyond)
    past = (tail <= short) | leaving
    ahead, meeting = _ahead(lines, rows, others, short)
    falls_short = ~past & np.isfinite(ahead)
    strayed = outside & ~past & ~falls_short
    stops = ~past & ~falls_short & (depth % 2 == 1)
    kind = np.select(
        [past & (depth > 0) & outside, past | strayed, falls_short],
        [Ending.HOLE, Ending.PAST, Ending.SHORT],
        Ending.PANEL,
    )
    distance = np.select([past, falls_short, strayed], [tail, ahead, lines.lengths[line]], np.nan)
    target = np.where(past[:, None], beyond, np.where(falls_short[:, None], meeting, np.nan))
    wrong = past | falls_short | strayed | stops
    return Endings(line, kind, side, distance, spots, target).take(wrong)


def _tails(lines: Lines, rows: Index, meetings: _Meetings, least: float) -> tuple[Points, Points]:
    """Length from each end to the first meeting further away than `least` (inf for none), and where."""
    tail, spot = np.full(len(rows), np.inf), np.full((len(rows), 2), np.nan)
    length = lines.lengths[meetings.line]
    for side in (0, 1):
        away = meetings.at if side == 0 else length - meetings.at
        row = np.searchsorted(rows, 2 * meetings.line + side)
        there = np.flatnonzero((away > least) & np.isin(2 * meetings.line + side, rows))
        there = there[np.argsort(-away[there], kind="stable")]
        # The nearest is written last and stays.
        tail[row[there]], spot[row[there]] = away[there], meetings.xy[there]
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
    tip = begin + ray
    segments = explode(lines, others)
    k, q = boxes_between(np.hstack((np.minimum(begin, tip), np.maximum(begin, tip))), segments.boxes)
    keep = segments.line[q] != rows[k] // 2
    k, q = k[keep], q[keep]
    side = segments.end[q] - segments.begin[q]
    off = segments.begin[q] - begin[k]
    cross = ray[k, 0] * side[:, 1] - ray[k, 1] * side[:, 0]
    safe = np.where(cross == 0, 1.0, cross)
    t = (off[:, 0] * side[:, 1] - off[:, 1] * side[:, 0]) / safe
    u = (off[:, 0] * ray[k, 1] - off[:, 1] * ray[k, 0]) / safe
    hit = (cross != 0) & (t >= 0) & (t <= 1) & (u >= 0) & (u <= 1)
    k, t = k[hit], t[hit]
    np.minimum.at(distance, k, t * reach)
    met = np.isfinite(distance)
    spot[met] = begin[met] + ray[met] * (distance[met] / reach)[:, None]
    return distance, spot


def _way_faults(lines: Lines, crossings: Crossings, outlines: Outlines, tolerance: Tolerance) -> Endings:
    """Find what cuts do to fold lines between their ends: leave the card, bridge a hole, sever."""
    if not len(crossings) or not len(outlines):
        return _none()
    order = np.lexsort((crossings.at, crossings.first))
    c = crossings.take(order)
    new = np.concatenate(([True], np.diff(c.first) != 0))
    final = np.concatenate((new[1:], [True]))
    before = np.where(new, 0.0, np.concatenate(([0.0], c.at[:-1])))
    after = np.where(final, lines.lengths[c.first], np.concatenate((c.at[1:], [0.0])))
    depth_before = outlines.depth(points_at(lines, c.first, (before + c.at) / 2))
    depth_after = outlines.depth(points_at(lines, c.first, (c.at + after) / 2))
    gone = ~final & (depth_after % 2 == 0) & (after - c.at > tolerance.doubled)
    least = np.minimum(c.at - before, after - c.at)
    severed = (depth_before % 2 == 1) & (depth_after % 2 == 1) & (least > tolerance.doubled)
    wrong = gone | severed
    kind = np.where(severed, Ending.SEVERED, np.where(depth_after > 0, Ending.HOLE, Ending.PAST))
    middle = points_at(lines, c.first, (c.at + after) / 2)
    return Endings(
        line=c.first,
        kind=kind,
        end=np.full(len(c), -1),
        distance=np.where(severed, np.nan, after - c.at),
        xy=np.where(severed[:, None], c.xy, middle),
        target=np.full((len(c), 2), np.nan),
    ).take(wrong)
