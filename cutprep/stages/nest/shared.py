"""Shared cuts: where outlines of two copies face each other edge on edge, the blade runs once.

Where runs of outlines lie on each other comes from the code that finds doubled lines. Of two
outlines that share an edge the later one gives it up: it is left out of its copy, and what remains
of it is added to the sheet as open cuts. The earlier one stays as it is, so that in a grid the
first copy keeps its outline and each later one is cut along the edges that are still uncut.

Only straight edges that lie on each other exactly and run against each other are shared: never a
chord of a curve, never an edge that is merely nearly parallel, never a score, and never two lines
of one copy.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutprep.geometry.closeness.overlap import Runs, find_runs
from cutprep.geometry.lines.segments import positions
from cutprep.geometry.placed import Placed, placed_lines
from cutprep.model.findings.finding import Finding
from cutprep.model.lines import Flags, Lines, Points
from cutprep.model.operation import Operation
from cutprep.model.sheet import Sheet
from cutprep.tolerance import Tolerance

#: Edges further apart than this are not on each other: over the shortest run that counts, an angle
#: of a tenth of a degree is refused already, mm.
_EXACT = 1e-3  # not a tolerance: far below the coordinates' own precision in any drawing


@dataclass(frozen=True, slots=True)
class CutSpan:
    """Part of a line that another line's cut already makes: from and to, mm along the line."""

    line: int
    begin: float
    end: float


def share_cuts(sheet: Sheet, tolerance: Tolerance) -> Sheet:
    """Cut facing straight edges of neighbouring copies once.

    Parameters
    ----------
    sheet
        Without shared cuts so far.
    tolerance
        `doubled_run` is the shortest edge that counts.

    Returns
    -------
    Sheet
        With `extra` and `dropped` filled in, and the length saved in its notes; the same sheet when
        nothing is shared.
    """
    placed = placed_lines(sheet)
    mirrored = np.array([placement.mirror for placement in sheet.placements], dtype=bool)
    lost = shared_stretches(placed, mirrored, tolerance)
    if not lost:
        return sheet
    losers = sorted({stretch.line for stretch in lost})
    pieces = [_remainder(placed.lines, i, [s for s in lost if s.line == i]) for i in losers]
    extra = Lines.concat([sheet.extra, *(piece for piece in pieces if piece is not None)])
    dropped = [set(rows) for rows in sheet.dropped] or [set() for _ in sheet.placements]
    for i in losers:
        dropped[int(placed.placement[i])].add(int(placed.row[i]))
    saved = sum(stretch.end - stretch.begin for stretch in lost)
    return replace(
        sheet,
        extra=extra,
        dropped=tuple(tuple(sorted(rows)) for rows in dropped),
        notes=(*sheet.notes, _note(len(lost), saved)),
    )


def _note(edges: int, saved: float) -> Finding:
    return Finding.of(
        code="shared-cuts",
        problem=f"{edges} edges of neighbouring copies are cut once: {saved:.0f} mm less to cut",
        measure=saved,
    )


def shared_stretches(placed: Placed, mirrored: Flags, tolerance: Tolerance) -> list[CutSpan]:
    """Find what outlines give up to outlines before them, merged and sorted; `mirrored` is (m,)."""
    lines = placed.lines
    pick = placed.outline & (lines.operation == Operation.CUT) & lines.closed & (placed.placement >= 0)
    if not pick.any():
        return []
    runs = find_runs(
        lines,
        _EXACT,
        pick=pick,
        shortest=tolerance.doubled_run,
        shortest_passing=tolerance.doubled_run,
    )
    first, second = placed.placement[runs.first], placed.placement[runs.second]
    # Outlines that face each other run against each other, unless one of them is mirrored.
    against = np.where(mirrored[first] != mirrored[second], 1, -1)
    runs = runs.take((runs.sense == against) & (first != second))
    at = positions(lines)
    found = [piece for k in range(len(runs)) for piece in _straight_pieces(lines, at, runs, k)]
    merged = _merged(found)
    return [s for s in merged if s.end - s.begin >= tolerance.doubled_run]


def _straight_pieces(lines: Lines, at: Points, runs: Runs, k: int) -> list[CutSpan]:
    """The part of a run where both lines are straight, as stretches of the later line."""
    first, second = int(runs.first[k]), int(runs.second[k])
    low, high = sorted((float(runs.begin_other[k]), float(runs.end_other[k])))
    ours, theirs = (slice(lines.start[i], lines.start[i + 1]) for i in (second, first))
    begin, end = float(runs.begin[k]), float(runs.end[k])
    # Against each other, the later line's position falls while the earlier one's rises.
    rises = runs.sense[k] > 0
    mapped = low + (at[theirs] - begin) if rises else high - (at[theirs] - begin)
    cuts = np.concatenate(([low, high], at[ours], mapped))
    cuts = np.unique(cuts[(cuts >= low) & (cuts <= high)])
    middle = (cuts[1:] + cuts[:-1]) / 2
    beside = begin + (middle - low if rises else high - middle)
    straight = _is_straight(at[ours], lines.curved[ours], middle) & _is_straight(
        at[theirs], lines.curved[theirs], np.clip(beside, begin, end)
    )
    return [
        CutSpan(second, float(a), float(b))
        for a, b, good in zip(cuts[:-1], cuts[1:], straight, strict=True)
        if good
    ]


def _is_straight(at: Points, curved: Flags, position: Points) -> Flags:
    """Whether the segment at each position of a line has no end inside a curve."""
    segment = np.clip(np.searchsorted(at, position, side="right") - 1, 0, len(at) - 2)
    return np.asarray(~(curved[segment] | curved[segment + 1]))


def _merged(stretches: Sequence[CutSpan]) -> list[CutSpan]:
    """Join stretches of a line that touch or overlap."""
    result: list[CutSpan] = []
    for stretch in sorted(stretches, key=lambda s: (s.line, s.begin, s.end)):
        last = result[-1] if result else None
        if last and last.line == stretch.line and stretch.begin <= last.end + _EXACT:
            result[-1] = replace(last, end=max(last.end, stretch.end))
        else:
            result.append(stretch)
    return result


def _remainder(lines: Lines, i: int, lost: Sequence[CutSpan]) -> Lines | None:
    """What is left of a closed line as open lines, or None when nothing is."""
    points, curved = lines.points(i), lines.curves(i)
    at = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    around = float(at[-1])
    # Twice round, so that a piece over the seam is one piece.
    twice = np.concatenate((at, at[1:] + around))
    points, curved = np.vstack((points, points[1:])), np.concatenate((curved, curved[1:]))
    pieces, flags = [], []
    for here, after in zip(lost, [*lost[1:], lost[0]], strict=True):
        begin = here.end
        end = after.begin if after.begin >= begin else after.begin + around
        if len(lost) == 1:
            end = here.begin + around
        if end - begin <= _EXACT:
            continue
        inner = (twice > begin + _EXACT) & (twice < end - _EXACT)
        ends = [[np.interp(p, twice, points[:, axis]) for axis in (0, 1)] for p in (begin, end)]
        pieces.append(np.vstack((ends[:1], points[inner], ends[1:])))
        flags.append(np.concatenate(([False], curved[inner], [False])))
    if not pieces:
        return None
    return Lines.of(
        pieces,
        operation=Operation(int(lines.operation[i])),
        source=[int(lines.source[i])] * len(pieces),
        curved=flags,
        elements=lines.elements,
    )
