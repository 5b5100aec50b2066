"""Where a line can be entered: either end of an open one, one of many points on a closed one.

Terms: a *corner* turns by more than 30 degrees (interior angle below 150) and lies in no
flattened curve; a *run* is what lies between two corners. A closed cut is best begun on a run of
at least 3 mm, where overcut and swivel do no harm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.geometry.lines.turning import turns
from cutprep.model.lines import Flags, Index, Lines, Points

CORNER = 30.0  # degrees of turn: 180 less the interior angle of 150
RUN = 3.0  # mm
_MOST = 32  # entries that are weighed on one closed line
_APART = 15.0  # mm between entries on a long straight run
_NO_SHARES = np.zeros(2)
_ROUNDING = 1e-6  # not a tolerance: mm and radians by which sums in another order may differ


@dataclass(frozen=True, slots=True, eq=False)
class EntryPoints:
    """Where lines may be entered: all entry points of all lines, as columns with one row each.

    Attributes
    ----------
    first
        (m + 1,) ndarray of int: line i has the entry points first[i]:first[i + 1]. An open line has
        two, its head and its tail; one that returns to its start without being closed has one.
    entry, leave
        (k, 2) ndarray of float: where the tool comes down and where it goes up, mm.
    segment, share
        (k,) ndarray: the entry lies this share of the way along this segment of a closed line.
    line
        (k,) ndarray of int: whose entry it is.
    """

    first: Index
    entry: Points
    leave: Points
    segment: Index
    share: Points
    line: Index

    def slice(self, line: int) -> slice:
        """The rows of one line."""
        return slice(int(self.first[line]), int(self.first[line + 1]))


def entry_points(lines: Lines, on_runs: Flags) -> EntryPoints:
    """List the entry points of each line.

    Parameters
    ----------
    on_runs
        (m,) ndarray of bool: closed lines that must begin on a run where they have one.
    """
    closed = lines.closed
    segments: list[Index] = []
    shares: list[Points] = []
    last = (lines.counts - 1).tolist()
    two = (lines.xy[lines.start[:-1]] != lines.xy[lines.start[1:] - 1]).any(axis=1).tolist()
    on_runs = on_runs & _may_have_run(lines)
    for i, is_closed in enumerate(closed.tolist()):
        if not is_closed:
            segments.append(np.array([0, last[i]] if two[i] else [0]))
            shares.append(_NO_SHARES[: 1 + two[i]])
            continue
        entries = entries_on_runs(lines.points(i), lines.curves(i)) if on_runs[i] else None
        if entries is None:
            vertices = _spread(np.arange(last[i]))
            entries = vertices, np.zeros(len(vertices))
        segments.append(entries[0])
        shares.append(entries[1])
    counts = np.array([len(s) for s in segments], np.int64)
    first = np.concatenate(([0], np.cumsum(counts))).astype(np.int64)
    line = np.repeat(np.arange(len(lines)), counts)
    segment = np.concatenate([*segments, np.zeros(0, np.int64)]).astype(np.int64)
    share = np.concatenate([*shares, np.zeros(0)])
    row = lines.start[line] + segment
    onward = np.minimum(row + 1, len(lines.xy) - 1) if len(row) else row
    entry = lines.xy[row] + share[:, None] * np.where(
        share[:, None] > 0, lines.xy[onward] - lines.xy[row], 0.0
    )
    leave = entry.copy()
    head = first[:-1][np.diff(first) == 2]
    head = head[~closed[line[head]]]
    leave[head], leave[head + 1] = entry[head + 1], entry[head]
    return EntryPoints(first, entry, leave, segment, share, line)


def _spread(entries: Index) -> Index:
    """Pick evenly from too many."""
    if len(entries) <= _MOST:
        return entries
    return entries[np.linspace(0, len(entries), _MOST, endpoint=False).astype(np.int64)]


def corner_flags(points: Points, curved: Flags) -> Flags:
    """Which vertices of a closed line are corners; (n - 1,), the last point left out."""
    # A vertex inside a flattened curve is none, but the seam of a closed curve may be flagged on
    # one side only, so both of its copies count.
    bent = curved[:-1].copy()
    bent[0] |= curved[-1]
    return np.asarray((np.abs(turns(points))[:-1] > CORNER) & ~bent)


def runs(points: Points, curved: Flags) -> list[tuple[int, int, float]]:
    """Runs of a closed line: first and last vertex (the last may lie beyond the seam), and length, mm.

    Parameters
    ----------
    points, curved
        (n, 2) ndarray of float and (n,) ndarray of bool: the vertices, mm, and which lie within a curve.
    """
    n = len(points) - 1
    steps = np.hypot(*np.diff(points, axis=0).T)
    corner = np.flatnonzero(corner_flags(points, curved))
    if not len(corner):
        return [(0, n, float(steps.sum()))]
    along = np.concatenate(([0.0], np.cumsum(np.concatenate((steps, steps)))))
    ends = np.append(corner[1:], corner[0] + n)
    return [(int(a), int(b), float(along[b] - along[a])) for a, b in zip(corner, ends, strict=True)]


def _may_have_run(lines: Lines) -> Flags:
    """Which lines may have a run that is long enough, (m,): all but closed ones of which it is certain that they have none."""
    if not len(lines):
        return np.zeros(0, bool)
    xy, first, last = lines.xy, lines.start[:-1], lines.start[1:] - 1
    step = np.diff(xy, axis=0, append=xy[-1:])
    length, heading = np.hypot(step[:, 0], step[:, 1]), np.arctan2(step[:, 1], step[:, 0])
    owner = np.repeat(np.arange(len(lines)), lines.counts)
    inner = np.ones(len(xy), bool)
    length[last], inner[last] = 0.0, False
    turn = np.diff(heading, prepend=0.0)
    turn[first] = heading[first] - heading[np.maximum(last - 1, 0)]
    bent = lines.curved.copy()
    bent[first] |= bent[last]
    sharp = np.abs((turn + np.pi) % (2 * np.pi) - np.pi) > np.radians(CORNER) + _ROUNDING
    corner = np.flatnonzero(inner & sharp & ~bent)
    # From each corner to the next, and from the last one of a line over its seam to the first.
    along = np.concatenate(([0.0], np.cumsum(length)))
    around = along[lines.start[1:]] - along[first]
    of, seam = owner[corner], np.diff(owner[corner], append=-1) != 0
    head = np.flatnonzero(np.diff(of, prepend=-1))
    run = np.diff(along[corner], append=0.0)
    run[seam] = around[of[seam]] - along[corner[seam]] + along[corner[head]]
    longest = around.copy()
    if len(head):
        longest[of[head]] = np.maximum.reduceat(run, head)
    # A step of no length hides a turn.
    still = np.bincount(owner[inner & (length == 0)], minlength=len(lines)) > 0
    return np.asarray(~lines.closed | still | (longest >= RUN - _ROUNDING))


def has_run(points: Points, curved: Flags) -> bool:
    """Whether a closed line has a run that is long enough to begin on; `points` (n, 2), mm, `curved` (n,)."""
    return any(length >= RUN for _, _, length in runs(points, curved))


def entries_on_runs(points: Points, curved: Flags) -> tuple[Index, Points] | None:
    """Entry points on long runs, away from corners; None where there is no such run.

    Returns
    -------
    (k,) ndarray of int, (k,) ndarray of float
        Segment, and share of the way along it.
    """
    n = len(points) - 1
    long_runs = [run for run in runs(points, curved) if run[2] >= RUN]
    if not long_runs:
        return None
    if not corner_flags(points, curved).any():
        vertices = _spread(np.arange(n))
        return vertices, np.zeros(len(vertices))
    steps = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate(([0.0], np.cumsum(np.concatenate((steps, steps)))))
    segment: list[int] = []
    share: list[float] = []
    for a, _, length in long_runs:
        inset = min(RUN / 2, length / 2)
        count = max(1, min(12, round((length - 2 * inset) / _APART) + 1)) + (length >= 4 * inset)
        for distance in along[a] + np.linspace(inset, length - inset, count):
            at = int(np.searchsorted(along, distance, side="right")) - 1
            segment.append(at % n)
            share.append(float((distance - along[at]) / steps[at % n]))
    entries = _spread(np.arange(len(segment)))
    return np.asarray(segment, np.int64)[entries], np.asarray(share)[entries]


def may_begin_at_corner(lines: Lines) -> Flags:
    """Which lines may begin at a corner although they have a run, (m,): `begins_at_corner` holds for no other."""
    if not len(lines):
        return np.zeros(0, bool)
    first, last = lines.start[:-1], lines.start[1:] - 1
    out, back = lines.xy[first + 1] - lines.xy[first], lines.xy[last] - lines.xy[last - 1]
    turn = np.arctan2(out[:, 1], out[:, 0]) - np.arctan2(back[:, 1], back[:, 0])
    sharp = np.abs((turn + np.pi) % (2 * np.pi) - np.pi) > np.radians(CORNER) - _ROUNDING
    still = (out == 0).all(axis=1) | (back == 0).all(axis=1)
    bent = lines.curved[first] | lines.curved[last]
    return np.asarray(lines.closed & ~bent & (sharp | still) & _may_have_run(lines))


def begins_at_corner(points: Points, curved: Flags) -> bool:
    """Whether a closed line begins at a corner although it has a run to begin on; `points` (n, 2), mm, `curved` (n,)."""
    return bool(corner_flags(points, curved)[0]) and has_run(points, curved)


def begin_at(lines: Lines, segment: Index, share: Points) -> Lines:
    """Let closed lines begin elsewhere.

    Parameters
    ----------
    segment, share
        (m,) ndarray: the new start lies this share of the way along this segment; ignored for
        open lines. With a share above 0 that segment is there in two pieces, which meet at the
        start.
    """
    moved = lines.closed & ((segment != 0) | (share > 0))
    within = moved & (share > 0)
    ring = np.where(moved, lines.counts - 1, lines.counts)
    counts = lines.counts + within
    start = np.concatenate(([0], np.cumsum(counts))).astype(np.int64)
    line = np.repeat(np.arange(len(lines)), counts)
    at = np.arange(int(start[-1])) - start[line]
    picked = lines.start[line] + (at + np.where(moved, segment, 0)[line]) % ring[line]
    xy, curved = lines.xy[picked], lines.curved[picked]
    head, tail = start[:-1][within], start[1:][within] - 1
    a = lines.start[:-1][within] + segment[within]
    xy[head] = xy[tail] = lines.xy[a] + share[within, None] * (lines.xy[a + 1] - lines.xy[a])
    curved[head] = curved[tail] = curved[head] | curved[head + 1]
    return Lines(
        xy=xy,
        start=start,
        operation=lines.operation,
        fold=lines.fold,
        source=lines.source,
        curved=curved,
        elements=lines.elements,
    )
