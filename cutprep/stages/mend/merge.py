"""Take out what is drawn twice, and keep every piece that is not.

Of lines that lie on each other the one with the lowest rank stays (see geometry/closeness/cover.py). A
stretch is taken out only where what covers it stays itself, so that nothing is lost by way of a
third line, and no line moves by more than the distance within which lines count as doubled.
"""

from __future__ import annotations

from collections import defaultdict
from functools import partial

import numpy as np

from cutprep.geometry.closeness.cover import wholly_covered
from cutprep.geometry.closeness.neighbours import rank
from cutprep.geometry.closeness.overlap import Runs
from cutprep.geometry.lines.segments import length_of, points_at
from cutprep.geometry.planar.outlines import Outlines
from cutprep.model.findings.finding import Finding
from cutprep.model.findings.places import place_of
from cutprep.model.findings.telling import tell
from cutprep.model.lines import Flags, Index, Lines, Points
from cutprep.model.operation import Operation
from cutprep.stages.mend.change import Change, told
from cutprep.stages.mend.leave import NO_CHANGE, Leaving, left_alone
from cutprep.stages.mend.node import node_remainders
from cutprep.stages.mend.pieces import Piece, over_seam, part_of, replaced
from cutprep.tolerance import Tolerance

Span = tuple[float, float]


def merge_doubles(
    lines: Lines,
    runs: Runs,
    tolerance: Tolerance,
    strength: Index | None = None,
    leave: Leaving = NO_CHANGE,
) -> Change:
    """Take out stretches that other lines cover.

    Parameters
    ----------
    runs
        Where lines lie on each other; only these are looked at.
    strength
        (m,) ndarray of int: which line stays, the strongest; the operation when None.
    leave
        Lines that are to lose nothing.

    Returns
    -------
    lines
        In the order of the lines given; what is left of a split line stands together.
    findings
        One for each line that lost something.
    """
    if not len(runs):
        return lines, ()
    ranks = rank(lines, strength)
    loser = np.where(ranks[runs.first] > ranks[runs.second], runs.first, runs.second)
    left = _left(lines, runs, loser, tolerance, leave)
    say_left = partial(_tell, lines, _lengths_of(runs, loser, len(lines)), _Partners(runs), tolerance)
    alone = left_alone(np.flatnonzero(left).tolist(), say_left)
    runs = runs.take(~left[loser])
    if not len(runs):
        return lines, alone
    whole = _whole(lines, runs, ranks, tolerance.doubled)
    rest = runs.take(~(whole[runs.first] | whole[runs.second]))
    lost = _lost(rest, ranks, tolerance.doubled)
    made = {i: _without(lines, i, spans, tolerance.doubled) for i, spans in lost.items()}
    result, owner = replaced(lines, made, whole)
    gone = np.where(whole, lines.lengths, 0.0)
    for i, spans in lost.items():
        gone[i] = sum(end - begin for begin, end in spans)
    say = partial(_tell, lines, gone, _Partners(runs), tolerance)
    findings = tell(np.flatnonzero(gone > 0).tolist(), say, lambda i: float(gone[i]))
    parted = lines.closed & (lines.operation == Operation.CUT)
    parted &= np.isin(np.arange(len(lines)), list(made))
    result, split = node_remainders(result, parted[owner], tolerance)
    return (result if gone.any() else lines), (*findings, *split, *alone)


def _left(lines: Lines, runs: Runs, loser: Index, tolerance: Tolerance, leave: Leaving) -> Flags:
    """Lines that are to lose nothing, (m,), though other lines cover them."""
    losing = np.zeros(len(lines), bool)
    losing[loser[runs.end - runs.begin > tolerance.doubled]] = True
    rows = np.flatnonzero(losing)
    losing[rows] = leave.named(("removed-double", "removed-under"), lines.xy[lines.start[rows]])
    return losing


def _lengths_of(runs: Runs, loser: Index, count: int) -> Points:
    """What each line would lose, (m,) mm, counted once for each line on it."""
    return np.asarray(np.bincount(loser, weights=runs.end - runs.begin, minlength=count), np.float64)


def inner_cuts(lines: Lines, runs: Runs, outlines: Outlines, tolerance: Tolerance) -> Flags:
    """Which cuts that lie on folds have card on both sides, (m,): without them no outline opens.

    Parameters
    ----------
    lines
        m polylines, mm.
    runs
        Where they lie on each other.
    outlines
        Of the drawing.
    tolerance
        `near` is how far beside the cut card is looked for, mm.
    """
    folds = np.isin(lines.operation, (Operation.SCORE, Operation.PERFORATE))
    cuts = lines.operation == Operation.CUT
    swap = folds[runs.first] & cuts[runs.second]
    mixed = swap | (cuts[runs.first] & folds[runs.second])
    line = np.where(swap, runs.second, runs.first)[mixed]
    middle = np.where(swap, runs.begin_other + runs.end_other, runs.begin + runs.end)[mixed] / 2
    back, ahead = (points_at(lines, line, middle + step) for step in (-tolerance.near, tolerance.near))
    along = ahead - back
    across = np.column_stack((-along[:, 1], along[:, 0])) / 2
    depth = [outlines.depth((back + ahead) / 2 + side * across) % 2 for side in (1, -1)]
    inner = np.zeros(len(lines), bool)
    inner[line] = True
    inner[line[(depth[0] == 0) | (depth[1] == 0)]] = False
    return inner


class _Partners:
    """Which lines a line lies on."""

    def __init__(self, runs: Runs) -> None:
        line = np.concatenate((runs.first, runs.second))
        other = np.concatenate((runs.second, runs.first))
        order = np.argsort(line, kind="stable")
        self._line, self._other = line[order], other[order]

    def of(self, i: int) -> Index:
        """The other lines on which line i lies."""
        low, high = np.searchsorted(self._line, [i, i + 1])
        return np.setdiff1d(self._other[low:high], [i])


def _whole(lines: Lines, runs: Runs, ranks: Index, slack: float) -> Flags:
    """Lines that lines which lose nothing cover from end to end."""
    loser = np.where(ranks[runs.first] > ranks[runs.second], runs.first, runs.second)
    winner = runs.first + runs.second - loser
    losing = np.zeros(len(lines), bool)
    losing[loser] = True
    sure = runs.take(~losing[winner])
    return wholly_covered(lines, sure, slack, ranks)


def _lost(runs: Runs, ranks: Index, slack: float) -> dict[int, list[Span]]:
    """For each line the stretches to take out, those lines first that stay."""
    by_loser: dict[int, list[int]] = defaultdict(list)
    for k, (one, two) in enumerate(zip(runs.first.tolist(), runs.second.tolist(), strict=True)):
        by_loser[one if ranks[one] > ranks[two] else two].append(k)
    lost: dict[int, list[Span]] = {}
    for loser in sorted(by_loser, key=lambda i: int(ranks[i])):
        found: list[Span] = []
        for k in by_loser[loser]:
            found += _covered(runs, k, loser, lost)
        spans = _union(found, slack)
        if spans:
            lost[loser] = spans
    return lost


def _covered(runs: Runs, k: int, loser: int, lost: dict[int, list[Span]]) -> list[Span]:
    """Stretches of the loser in run k that the other line still covers."""
    mine = (float(runs.begin_other[k]), float(runs.end_other[k]))
    others = (float(runs.begin[k]), float(runs.end[k]))
    winner = int(runs.first[k])
    if loser == winner:
        if loser == int(runs.second[k]):
            return [_ordered(mine)]
        mine, others, winner = others, mine, int(runs.second[k])
    spans = [_ordered(mine)]
    scale = (mine[1] - mine[0]) / (others[1] - others[0])
    for begin, end in lost.get(winner, []):
        hole = _ordered((mine[0] + (begin - others[0]) * scale, mine[0] + (end - others[0]) * scale))
        spans = [piece for span in spans for piece in _subtract(span, hole)]
    return spans


def _ordered(span: tuple[float, ...]) -> Span:
    return min(span), max(span)


def _subtract(span: Span, hole: Span) -> list[Span]:
    pieces = [(span[0], min(span[1], hole[0])), (max(span[0], hole[1]), span[1])]
    return [piece for piece in pieces if piece[1] > piece[0]]


def _union(spans: list[Span], slack: float) -> list[Span]:
    """Join stretches that overlap or nearly meet."""
    joined: list[Span] = []
    for begin, end in sorted(spans):
        if joined and begin <= joined[-1][1] + slack:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((begin, end))
    return joined


def _without(lines: Lines, i: int, spans: list[Span], slack: float) -> list[Piece]:
    """What is left of a line, piece by piece; slivers shorter than the slack go as well."""
    points = lines.points(i)
    length = length_of(points)
    closed = len(points) >= 4 and bool((points[0] == points[-1]).all())
    edges = [0.0, *(edge for span in spans for edge in span), length]
    kept = [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a > slack]
    pieces = [part_of(lines, i, a, b) for a, b in kept]
    if closed and len(kept) > 1 and kept[0][0] == 0.0 and kept[-1][1] == length:
        return [*pieces[1:-1], over_seam(pieces[-1], pieces[0])]
    return pieces


def _tell(lines: Lines, gone: Points, partners: _Partners, tolerance: Tolerance, i: int) -> Finding:
    length = length_of(lines.points(i))
    left = length - float(gone[i])
    others = partners.of(i)
    mine = Operation(int(lines.operation[i]))
    under = bool(len(others)) and bool((lines.operation[others] != lines.operation[i]).any())
    on = f"{len(others)} other line{'s' * (len(others) > 1)}" if len(others) else "itself"
    return told(
        "removed-under" if under else "removed-double",
        f"A {mine.word} line of {length:.2f} mm lay on {on} over {gone[i]:.2f} mm.",
        "It was taken out."
        if left <= tolerance.doubled
        else f"That stretch was taken out; {left:.2f} mm stay.",
        (place_of(lines, i), *(place_of(lines, int(j)) for j in others[:8])),
        float(gone[i]),
        tolerance.doubled,
    )
