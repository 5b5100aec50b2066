"""Where lines lie on each other, whatever their direction, start, splitting or element type.

A *run* is a stretch of two lines (or of one line and itself) that stay within a distance of
each other. Runs are found segment by segment, by exact clipping, and put together along both
lines. shapely's own overlap of lines asks for equal coordinates to the last bit; drawings
agree to a few hundredths of a millimetre, and a circle agrees with its chords never.

What only passes by is no run. Two lines that cross at a flat angle, or leave a common point
at one, are within any distance of each other for a while. So an end of a run at which neither
line ends or turns off, and at which they drift apart by more than half a degree, is moved back
to where the drifting began; what is left must be long.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from cutprep.geometry.closeness.neighbours import Neighbours, neighbours
from cutprep.geometry.closeness.proximity import clusters, components
from cutprep.geometry.closeness.segment_overlaps import (
    LEAVING,
    MEETING,
    Cut,
    SegmentOverlaps,
    cut_back,
    find_segment_overlaps,
    highest_so_far,
    number_runs,
)
from cutprep.geometry.lines.segments import Segments, points_at
from cutprep.model.lines import Codes, Flags, Index, Lines, Points


@dataclass(frozen=True, slots=True, eq=False)
class Runs:
    """Stretches along which two lines run together, as columns.

    Attributes
    ----------
    first, second
        (k,) ndarray of int: line numbers, first <= second; equal where a line runs along itself.
    sense
        (k,) ndarray of int8: +1 where both run the same way, -1 against each other.
    begin, end
        (k,) ndarray of float: positions on `first`, mm, begin < end.
    begin_other, end_other
        (k,) ndarray of float: positions on `second` beside them, mm; falling when sense is -1.
    length
        (k,) ndarray of float: how much of `first` is covered, mm.
    least, most
        (k,) ndarray of float: smallest and largest distance along the run, mm.
    passing
        (k,) ndarray of bool: the run was cut back because the lines drift apart at one of its ends.
    """

    first: Index
    second: Index
    sense: Codes
    begin: Points
    end: Points
    begin_other: Points
    end_other: Points
    length: Points
    least: Points
    most: Points
    passing: Flags

    def __len__(self) -> int:
        return len(self.first)

    def take(self, index: Index | Flags) -> Runs:
        """Pick runs by index or mask; (k,) numbers or flags."""
        return Runs(*(getattr(self, field.name)[index] for field in fields(self)))


def find_runs(
    lines: Lines,
    within: float,
    *,
    beyond: float = 0.0,
    pick: Flags | None = None,
    shortest: float,
    shortest_passing: float,
    nearby: Neighbours | None = None,
) -> Runs:
    """Find all runs between lines, and of lines with themselves.

    Parameters
    ----------
    lines
        m lines.
    within
        Largest distance, mm.
    beyond
        Only stretches further apart than this count, mm.
    pick
        (m,) ndarray of bool: lines that take part; all when None.
    shortest
        Shortest stretch that counts, mm. Runs that follow one another end to end count together,
        so that it doesn't matter into how many lines a stretch is split.
    shortest_passing
        Shortest run that counts where the lines drift apart at an end of it, mm.
    nearby
        Neighbours found before, for no smaller distance and no fewer lines.

    Returns
    -------
    Runs
        Sorted by first line, second line and position.
    """
    nearby = nearby or neighbours(lines, within, pick=pick, spot=within)
    runs = _find(nearby, within, beyond, pick, LEAVING)
    runs = runs.take((~runs.passing | (runs.length >= shortest_passing)) & (runs.length > 0))
    return runs.take(_long_enough(lines, runs, within, shortest, beyond or within))


def find_strips(
    lines: Lines, within: float, *, beyond: float, pick: Flags, shortest: float, nearby: Neighbours
) -> Runs:
    """Find where lines run beside each other without meeting there.

    As `find_runs`, but lines that go on and drift apart count as far as they are near; left out
    is where they open from a common point, such as the two sides of a corner.

    Parameters
    ----------
    lines
        m polylines, mm.
    within
        Widest strip that counts, mm.
    beyond
        How far lines that go on may drift apart, mm.
    pick
        (m,) ndarray of bool: lines that count.
    shortest
        Least length of a run, mm.
    nearby
        Pairs of segments that may be near.
    """
    runs = _find(nearby, within, beyond, pick, MEETING)
    return runs.take(_long_enough(lines, runs, within, shortest, beyond or within))


def _find(nearby: Neighbours, within: float, beyond: float, pick: Flags | None, how: Cut) -> Runs:
    overlaps, run = number_runs(
        nearby.segments, find_segment_overlaps(nearby, within, beyond, pick), within, beyond
    )
    return _summarise(nearby.segments, *cut_back(overlaps, run, how))


def _summarise(segments: Segments, overlaps: SegmentOverlaps, run: Index, passing: Flags) -> Runs:
    """One row a run."""
    if not len(run):
        return _no_runs()
    number, head = np.unique(run, return_index=True)
    low, high = segments.at[overlaps.p] + overlaps.low, segments.at[overlaps.p] + overlaps.high
    other = np.stack(
        (segments.at[overlaps.q] + overlaps.low_other, segments.at[overlaps.q] + overlaps.high_other)
    )
    sense = np.where(overlaps.high_other[head] > overlaps.low_other[head], 1, -1).astype(np.int8)
    least, most = np.minimum.reduceat(other.min(axis=0), head), np.maximum.reduceat(other.max(axis=0), head)
    group = np.cumsum(np.isin(np.arange(len(run)), head)) - 1
    reach = np.concatenate(([-np.inf], highest_so_far(high, group)[:-1]))
    reach[head] = -np.inf
    new = np.maximum(high - np.maximum(low, reach), 0.0)
    off = np.abs(np.stack((overlaps.off_low, overlaps.off_high)))
    crossing = overlaps.off_low * overlaps.off_high < 0
    result = Runs(
        first=segments.line[overlaps.p[head]],
        second=segments.line[overlaps.q[head]],
        sense=sense,
        begin=low[head],
        end=np.maximum.reduceat(high, head),
        begin_other=np.where(sense > 0, least, most),
        end_other=np.where(sense > 0, most, least),
        length=np.add.reduceat(new, head),
        least=np.minimum.reduceat(np.where(crossing, 0.0, off.min(axis=0)), head),
        most=np.maximum.reduceat(off.max(axis=0), head),
        passing=passing[number],
    )
    return result.take(np.lexsort((result.begin, result.second, result.first)))


def _no_runs() -> Runs:
    none, zero = np.zeros(0, np.int64), np.zeros(0)
    sense, passing = none.astype(np.int8), none.astype(bool)
    return Runs(none, none, sense, zero, zero, zero, zero, zero, zero, zero, passing)


def run_ends(lines: Lines, runs: Runs) -> Points:
    """Where runs begin and end, halfway between their lines: (2 k, 2), all beginnings first, mm."""
    sides = ((runs.first, runs.begin, runs.end), (runs.second, runs.begin_other, runs.end_other))
    first, second = (
        np.vstack((points_at(lines, line, begin), points_at(lines, line, end))) for line, begin, end in sides
    )
    return np.asarray((first + second) / 2)


def _long_enough(lines: Lines, runs: Runs, within: float, shortest: float, hair: float) -> Flags:
    """Which runs are long enough, those that follow one another taken together."""
    k = len(runs)
    enough = runs.length >= shortest
    if enough.all():
        return enough
    spot = clusters(run_ends(lines, runs), within)
    label = components(k, spot % k, np.arange(2 * k) % k)
    together = np.asarray(np.bincount(label, runs.length, k)[label] >= shortest)
    # A hair by which a line runs into the next one is no piece of a stretch, unless the line is no
    # longer, or the two lines run together right beside it (over the seam of a closed line).
    lengths = lines.lengths
    piece = np.minimum(hair, np.minimum(lengths[runs.first], lengths[runs.second]) / 2)
    pair = np.unique((label * len(lines) + runs.first) * len(lines) + runs.second, return_inverse=True)[1]
    long = np.zeros(int(pair.max()) + 1, bool)
    long[pair[runs.length >= piece]] = True
    return together & long[pair]
