"""What runs along each other, sorted out: which runs make one stack, and what is covered by what."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.geometry.closeness.neighbours import rank
from cutprep.geometry.closeness.overlap import Runs, run_ends
from cutprep.geometry.closeness.proximity import clusters, components
from cutprep.model.lines import Flags, Index, Lines, Points


def stacks(lines: Lines, runs: Runs, within: float) -> Index:
    """Number the stacks, (k,): runs that belong to one stretch have the same number.

    Runs are one stack when they overlap on a line, when they are of the same two lines, or when
    one follows the other and no third joins them there.
    """
    k = len(runs)
    if not k:
        return np.zeros(0, np.int64)
    one, two = _overlapping(runs, 2 * within)
    order = np.lexsort((runs.second, runs.first))
    same = (np.diff(runs.first[order]) == 0) & (np.diff(runs.second[order]) == 0)
    label = components(k, np.concatenate((one, order[:-1][same])), np.concatenate((two, order[1:][same])))
    return components(k, *_following(lines, runs, label, within))


def _overlapping(runs: Runs, slack: float) -> tuple[Index, Index]:
    """Pairs of runs that share a stretch of a line longer than the slack."""
    k = len(runs)
    line = np.concatenate((runs.first, runs.second))
    begin = np.concatenate((runs.begin, np.minimum(runs.begin_other, runs.end_other)))
    end = np.concatenate((runs.end, np.maximum(runs.begin_other, runs.end_other)))
    order = np.lexsort((begin, line))
    line, begin, end = line[order], begin[order], end[order]
    span = float(end.max()) + 2 * slack + 1.0
    reach = np.maximum.accumulate(end + line * span)
    joined = np.flatnonzero(begin[1:] + line[1:] * span < reach[:-1] - slack)
    return order[joined] % k, order[joined + 1] % k


def _following(lines: Lines, runs: Runs, label: Index, within: float) -> tuple[Index, Index]:
    """Pairs of runs: those already in one stack, and those of two stacks that follow one another.

    Stacks no longer than a joint of two pieces is wide don't count as a third at a joint; they go
    with what lies beside them.
    """
    k = len(runs)
    node = clusters(run_ends(lines, runs), 2.5 * within)
    at, visitor = np.divmod(np.unique(node * k + np.concatenate((label, label))), k)
    small = (np.bincount(label, runs.length, k) < 5 * within)[visitor]
    order = np.lexsort((visitor, small, at))
    at, visitor, small = at[order], visitor[order], small[order]
    begin = np.flatnonzero(np.diff(at, prepend=-1))
    large = np.add.reduceat((~small).astype(np.int64), begin) if k else begin
    pair = begin[large == 2]
    joint = np.repeat(begin, np.diff(np.append(begin, len(at))))
    bridge = np.flatnonzero(small & (np.repeat(large, np.diff(np.append(begin, len(at)))) <= 2))
    one = np.concatenate((visitor[pair], visitor[joint[bridge]]))
    two = np.concatenate((visitor[pair + 1], visitor[bridge]))
    kinds = np.sort(np.stack((lines.operation[runs.first], lines.operation[runs.second])), axis=0)
    alike = (kinds[:, one] == kinds[:, two]).all(axis=0)
    return np.concatenate((label, one[alike])), np.concatenate((np.arange(k), two[alike]))


@dataclass(frozen=True, slots=True, eq=False)
class _Lost:
    """For each run the stretch of the line with the higher rank: the one too many."""

    line: Index
    low: Points
    high: Points


def _losers(runs: Runs, ranks: Index) -> _Lost:
    swap = ranks[runs.first] > ranks[runs.second]
    return _Lost(
        line=np.where(swap, runs.first, runs.second),
        low=np.where(swap, runs.begin, np.minimum(runs.begin_other, runs.end_other)),
        high=np.where(swap, runs.end, np.maximum(runs.begin_other, runs.end_other)),
    )


def _new_lengths(low: Points, high: Points, lane: Index) -> Points:
    """What each stretch adds to the union of those before it in its lane; sorted by lane and low."""
    span = float(high.max()) + 1.0
    reach = np.maximum.accumulate(high + lane * span) - lane * span
    before = np.concatenate(([0.0], reach[:-1]))
    before[np.diff(lane, prepend=-1) != 0] = -np.inf
    return np.asarray(np.maximum(high - np.maximum(low, before), 0.0))


def length_run_again(lines: Lines, runs: Runs, group: Index) -> Points:
    """Length that is run again in each stack, at the stack's number, mm; `group` (k,), one for each run.

    Of two lines that run together the one with the higher `rank` is the one too many; what
    several others cover of it counts once.
    """
    total = np.zeros(len(runs))
    if not len(runs):
        return total
    lost = _losers(runs, rank(lines))
    order = np.lexsort((lost.low, lost.line, group))
    line, owner = lost.line[order], group[order]
    lane = np.cumsum((np.diff(line, prepend=-1) != 0) | (np.diff(owner, prepend=-1) != 0)) - 1
    np.add.at(total, owner, _new_lengths(lost.low[order], lost.high[order], lane))
    return total


def wholly_covered(lines: Lines, runs: Runs, slack: float, ranks: Index | None = None) -> Flags:
    """Which lines are covered from end to end by others of a lower rank, (m,).

    Parameters
    ----------
    slack
        What may be missing, mm.
    ranks
        (m,) ndarray of int: the rank of each line; that of `rank` when None.
    """
    covered = np.zeros(len(lines))
    if len(runs):
        lost = _losers(runs, rank(lines) if ranks is None else ranks)
        order = np.lexsort((lost.low, lost.line))
        new = _new_lengths(lost.low[order], lost.high[order], lost.line[order])
        np.add.at(covered, lost.line[order], new)
    return np.asarray((covered > 0) & (covered >= lines.lengths - slack))
