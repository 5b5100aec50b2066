"""The door to the search for short tours, which is written in C and runs as WebAssembly.

The search has to weigh millions of small moves, counts its work in steps so that the same job gives the same bytes on
any machine, and must not make a newcomer install a compiler. WebAssembly fixes the result of every floating-point
operation, so one file of some 20 kB gives the same tours on every desktop. Compiled solvers that were measured stop by
the clock, and so repeat nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cutprep.model.lines import Index, Points
from cutprep.stages.order.entry.points import LineEnds, NumberedPoints
from cutprep.stages.order.entry.starts import EntryPoints
from cutprep.stages.order.tour.instance import EngineError, Instance
from cutprep.stages.order.tour.values import MICRO, MotionLimits, MovableEntries, PairCosts

# Near points that moves are tried with. Holes in rows and clusters need many: the nearest are all of the same row.
# Fewer where closed lines may be entered anywhere, for then all of them are weighed each time.
_NEAR, _NEAR_MOVABLE = 16, 10
_SPAN = 250  # longest block that a kick moves, in points; 100 misses whole rows (d1291 of TSPLIB: 1.3 % instead of 0.3)
_AT_ONCE = 2000  # kicks between two moments at which Python may be interrupted
_SEEDS = 2147483646  # of the random numbers of the search
_NO_ORDER = "the search gave back something that is no order of the lines"


@dataclass(frozen=True, slots=True, eq=False)
class Choices:
    """The ways to work the lines of one rank, for the exact search; one row each.

    Attributes
    ----------
    line
        (c,) ndarray of int: the line, from 0 on without gaps.
    entry, leave
        (c, 2) ndarray of int: where it is entered and left, whole micrometres.
    own
        (c,) ndarray of int: its cost in itself, in the unit of travel.
    after
        (c, m) ndarray of int: its cost when line v has been worked before it.
    """

    line: Index
    entry: Index
    leave: Index
    own: Index
    after: Index


def improve(
    ends: LineEnds,
    order: ArrayLike | None,
    *,
    kicks: int,
    seed: int,
    threshold: float,
    back: ArrayLike | None = None,
    limits: MotionLimits | None = None,
    pair_costs: PairCosts | None = None,
    entries: MovableEntries | None = None,
) -> tuple[Index, NDArray[np.bool_]]:
    """Shorten a tour, or find one where none is given.

    Parameters
    ----------
    order, back
        (m,) lines in working order, and which of them run backwards.
    kicks
        How much work is done.
    threshold
        How much worse than before a kick may end at first, in mean steps.

    Returns
    -------
    order
        (m,) ndarray of int: lines in working order.
    back
        (m,) ndarray of bool: for each of them whether it runs backwards.

    Raises
    ------
    EngineError
        When the search breaks down, or gives back no tour.
    """
    points = NumberedPoints.of(ends)
    run = _instance(limits)
    run.call(
        "set_points",
        points.n,
        *(run.reals(column) for column in points.xy.T),
        run.ints(points.rank),
        run.ints(points.mate),
        _NEAR if entries is None else _NEAR_MOVABLE,
    )
    if pair_costs is not None and len(pair_costs):
        _set_pair_costs(run, points, pair_costs)
    if entries is not None:
        _set_entries(run, points, entries)
    start = 0 if order is None else run.ints(points.walk(order, back), from_one=True)
    run.call("start", start, kicks, seed % _SEEDS, _SPAN, threshold)
    while run.call("search_on", _AT_ONCE) > 0:
        pass
    walk = run.read_ints(run.call("best_tour"), points.n + 1)[1:]
    if not np.array_equal(np.sort(walk), np.arange(1, points.n + 1)) or walk[0] != 1:
        raise EngineError(_NO_ORDER)
    return points.lines_of(walk)


def nearest(entry: Index, leave: Index, owner: Index, rank: Index, home: tuple[int, int]) -> Index:
    """Take always the nearest point next.

    Parameters
    ----------
    entry
        (k, 2) ndarray of int: points at which lines can be entered.
    leave
        (k,) ndarray of int: the point at which the line is left then.
    owner, rank
        (k,) ndarray of int: the line of each point, and its rank.

    Returns
    -------
    (m,) ndarray of int
        The points at which the lines are entered, in working order.

    Raises
    ------
    EngineError
        When the engine breaks down, or does not enter each line once.
    """
    run = _instance(None)
    found = run.call(
        "nearest_walk",
        len(entry),
        *(run.reals(column, from_one=True) for column in entry.T),
        *(run.ints(column, from_one=True) for column in (rank, owner + 1, leave + 1)),
        *map(float, home),
    )
    lines = int(owner.max(initial=-1)) + 1
    walk = run.read_ints(found, lines + 1)[1:] - 1
    inside = (walk >= 0) & (walk < len(entry))
    if not inside.all() or len(np.unique(owner[walk])) < lines:
        raise EngineError(_NO_ORDER)
    return walk


def choose(
    entries: EntryPoints, order: Index, own: Points, home: Points, limits: MotionLimits | None
) -> Index:
    """Choose the entry point of each line for a fixed order, by dynamic programming along it; exact.

    Parameters
    ----------
    own
        (k,) ndarray of float: cost of each entry in itself, in the unit of travel.
    home
        (2,) where the tool begins and ends, mm.
    limits
        For travel in seconds; None for mm.

    Returns
    -------
    (m,) ndarray of int
        Number of the entry point of each line, indexed by line.

    Raises
    ------
    EngineError
        When the engine breaks down, or gives a line an entry of another.
    """
    if not len(order):
        return np.zeros(0, np.int64)
    run = _instance(limits, 1.0)
    columns = (*entries.entry.T, *entries.leave.T, own)
    found = run.call(
        "choose_entries",
        len(order),
        run.ints(order),
        run.ints(entries.first),
        *map(run.reals, columns),
        *home.tolist(),
    )
    chosen = run.read_ints(found, len(order))
    if not ((chosen >= entries.first[:-1]) & (chosen < entries.first[1:])).all():
        raise EngineError(_NO_ORDER)
    return chosen


def exact(ranks: Sequence[Choices], home: tuple[int, int], limits: MotionLimits | None) -> list[Index]:
    """Find the best order of a small job.

    Parameters
    ----------
    ranks
        The choices of each rank, in working order.

    Returns
    -------
    list of ndarray of int
        For each rank its choices in working order, (k,).

    Raises
    ------
    EngineError
        When the engine breaks down, or does not take each line once.
    """
    run = _instance(limits)
    counts = [one.after.shape[1] for one in ranks]
    rows = [
        (
            len(one.line),
            lines,
            run.ints(one.line),
            *(run.reals(column) for column in (*one.entry.T, *one.leave.T, one.own, one.after.ravel())),
        )
        for one, lines in zip(ranks, counts, strict=True)
    ]
    found = run.call("solve_exactly", len(rows), run.ints(np.array(rows).ravel()), *map(float, home))
    turns = np.split(run.read_ints(found, sum(counts)), np.cumsum(counts)[:-1])
    for one, turn in zip(ranks, turns, strict=True):
        if not ((turn >= 0) & (turn < len(one.line))).all() or len(np.unique(one.line[turn])) < len(turn):
            raise EngineError(_NO_ORDER)
    return turns


def _instance(limits: MotionLimits | None, unit: float = MICRO) -> Instance:
    """An instance that measures travel; so many of its units are one millimetre."""
    run = Instance()
    if limits is not None:
        columns = (limits.speed, *limits.top_speed, *limits.acceleration)
        run.call("set_limits", *(value * unit for value in columns))
    return run


def _set_entries(run: Instance, points: NumberedPoints, entries: MovableEntries) -> None:
    """Hand over entry points by point; home and the ends of open lines have one each, where they are."""
    single = points.closed
    at = points.first[single]
    counts = np.ones(points.n + 1, np.int64)
    counts[0] = 0
    counts[at] = np.diff(entries.first)[single]
    first = np.concatenate(([0], np.cumsum(counts)))
    xy: Points = np.repeat(points.xy, counts, axis=0)
    several = np.zeros(points.n + 1, bool)
    several[at] = True
    xy[np.repeat(several, counts)] = entries.xy[np.repeat(single, np.diff(entries.first))]
    now = first[:-1].copy()
    now[at] += (entries.at - entries.first[:-1])[single]
    run.call("set_entry_points", run.ints(first), *map(run.reals, xy.T), run.ints(now))


def _set_pair_costs(run: Instance, points: NumberedPoints, costs: PairCosts) -> None:
    """Hand over each pair twice, by either line."""
    m = len(points.first)
    u = np.concatenate((costs.one, costs.two))
    v = np.concatenate((costs.two, costs.one))
    turn = np.lexsort((v, u))
    by_pair = (
        (costs.one_ahead, costs.two_ahead),
        (costs.one_back, costs.two_back),
        (costs.two_ahead, costs.one_ahead),
        (costs.two_back, costs.one_back),
    )
    counts = np.bincount(u, minlength=m)
    line = np.zeros(points.n + 1, np.int64)
    line[points.first], line[points.second] = np.arange(1, m + 1), np.arange(1, m + 1)
    costly = np.flatnonzero(counts) + 1
    run.call(
        "set_pair_costs",
        run.ints(line),
        *(run.ints(column, from_one=True) for column in (points.first, points.second)),
        run.ints(np.concatenate(([0, 0], np.cumsum(counts)))),
        run.ints(v[turn] + 1),
        *(run.reals(np.concatenate(columns)[turn]) for columns in by_pair),
        run.ints(costly),
        len(costly),
    )
