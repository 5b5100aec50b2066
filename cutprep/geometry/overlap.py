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

import math
from dataclasses import dataclass, fields

import numpy as np

from cutprep.geometry.near import box_pairs, components, point_pairs
from cutprep.geometry.segments import Segments, explode, points_at
from cutprep.model.lines import Codes, Flags, Index, Lines, Points

#: Segments that differ in direction by more than this don't run along each other.
_PARALLEL = math.cos(math.radians(45))
#: Lines that drift apart faster than this are passing by; common practice, no published source.
#: A slip of 0.9 mm over 100 mm stays below it.
_DRIFT = math.tan(math.radians(0.5))
#: Pairs of segments taken in one go; bounds memory.
_CHUNK = 2_000_000
#: This many segments on the same spot are compared with the first of them only.
_STACK = 8


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
        """Pick runs by index or mask."""
        return Runs(*(getattr(self, field.name)[index] for field in fields(self)))


@dataclass(frozen=True, slots=True, eq=False)
class _Bits:
    """Stretches of two segments beside each other: p on the first line, q on the second."""

    p: Index
    q: Index
    low: Points  # from the beginning of p
    high: Points
    low_other: Points  # from the beginning of q
    high_other: Points
    off_low: Points  # signed distance at low, positive to the left of p
    off_high: Points
    clip_low: Flags  # it ends at the limit of distance, not at an end of a segment
    clip_high: Flags

    def __len__(self) -> int:
        return len(self.p)

    def take(self, index: Index | Flags) -> _Bits:
        return _Bits(*(getattr(self, field.name)[index] for field in fields(self)))


def find_runs(
    lines: Lines,
    within: float,
    *,
    pick: Flags | None = None,
    shortest: float,
    shortest_passing: float,
) -> Runs:
    """Find all runs between lines, and of lines with themselves.

    Parameters
    ----------
    lines
        m lines.
    within
        Largest distance, mm.
    pick
        (m,) ndarray of bool: lines that take part; all when None.
    shortest
        Shortest stretch that counts, mm. Runs that follow one another end to end count together,
        so that it doesn't matter into how many lines a stretch is split.
    shortest_passing
        Shortest run that counts where the lines drift apart at an end of it, mm.

    Returns
    -------
    Runs
        Sorted by first line, second line and position. Where more than eight segments lie on
        the same spot, each of the others is paired with the first of them only.
    """
    segments = explode(lines, pick, shortest=within * 1e-6)
    bits = _find_bits(segments, within)
    runs = _cut_back(*_put_together(segments, bits, within))
    lasting = ~runs.passing | (runs.length >= shortest_passing)
    runs = runs.take(lasting & (runs.length > within * 1e-6))
    return runs.take(_long_enough(lines, runs, within, shortest))


def _find_bits(segments: Segments, within: float) -> _Bits:
    """Clip every pair of neighbouring segments to where they lie beside each other."""
    head = _stacks(segments, within)
    alone = np.flatnonzero(head == np.arange(len(segments)))
    one, two = box_pairs(segments.boxes[alone], within)
    stacked = np.flatnonzero(head != np.arange(len(segments)))
    first = np.concatenate((alone[one], head[stacked]))
    second = np.concatenate((alone[two], stacked))
    found = [
        _clip(segments, first[low : low + _CHUNK], second[low : low + _CHUNK], within)
        for low in range(0, max(len(first), 1), _CHUNK)
    ]
    return _Bits(*(np.concatenate([getattr(f, field.name) for f in found]) for field in fields(_Bits)))


def _stacks(segments: Segments, within: float) -> Index:
    """For each segment the first one on the same spot when many are there, else itself."""
    n = len(segments)
    head = np.arange(n)
    if n <= _STACK:
        return head
    cells = np.round(np.hstack((segments.begin, segments.end)) / (within / 4)).astype(np.int64)
    turned = (cells[:, 0] > cells[:, 2]) | ((cells[:, 0] == cells[:, 2]) & (cells[:, 1] > cells[:, 3]))
    cells[turned] = cells[turned][:, [2, 3, 0, 1]]
    order = np.lexsort((head, *cells.T))
    ranked = cells[order]
    new = np.concatenate(([True], (ranked[1:] != ranked[:-1]).any(axis=1)))
    group = np.cumsum(new) - 1
    size = np.bincount(group)
    many = size[group] > _STACK
    head[order[many]] = order[np.flatnonzero(new)[group[many]]]
    return head


def _clip(segments: Segments, p: Index, q: Index, within: float) -> _Bits:
    """Clip pairs of segments to where q lies beside p and within the distance."""
    begin, step = segments.begin[p], segments.end[p] - segments.begin[p]
    length = np.hypot(step[:, 0], step[:, 1])
    unit = step / length[:, None]
    to_begin, to_end = segments.begin[q] - begin, segments.end[q] - begin
    t0, t1 = np.einsum("ij,ij->i", to_begin, unit), np.einsum("ij,ij->i", to_end, unit)
    other = segments.lengths[q]
    keep = np.abs(t1 - t0) > _PARALLEL * other
    keep &= (np.maximum(t0, t1) > 0) & (np.minimum(t0, t1) < length)
    p, q, unit, length, other = p[keep], q[keep], unit[keep], length[keep], other[keep]
    t0, t1, to_begin, to_end = t0[keep], t1[keep], to_begin[keep], to_end[keep]
    h0 = unit[:, 0] * to_begin[:, 1] - unit[:, 1] * to_begin[:, 0]
    h1 = unit[:, 0] * to_end[:, 1] - unit[:, 1] * to_end[:, 0]
    slope = (h1 - h0) / (t1 - t0)
    low, high = np.maximum(np.minimum(t0, t1), 0.0), np.minimum(np.maximum(t0, t1), length)
    steep = np.where(np.abs(slope) < 1e-12, 1e-12, slope)
    at_limit = np.sort(np.stack(((-within - h0) / steep + t0, (within - h0) / steep + t0)), axis=0)
    flat_out = (np.abs(slope) < 1e-12) & (np.abs(h0) > within)
    clip_low, clip_high = at_limit[0] > low, at_limit[1] < high
    low, high = np.maximum(low, at_limit[0]), np.minimum(high, at_limit[1])
    keep = (high - low > within * 1e-6) & ~flat_out
    scale = other / (t1 - t0)
    bits = _Bits(
        p=p,
        q=q,
        low=low,
        high=high,
        low_other=(low - t0) * scale,
        high_other=(high - t0) * scale,
        off_low=h0 + (low - t0) * slope,
        off_high=h0 + (high - t0) * slope,
        clip_low=clip_low,
        clip_high=clip_high,
    )
    return bits.take(keep)


def _put_together(segments: Segments, bits: _Bits, within: float) -> tuple[Segments, _Bits, Index]:
    """Sort bits along their lines and number the runs they make.

    On a run the difference of both positions (their sum, where the lines run against each
    other) changes slowly; two passes over one spot, or a seam of a closed line, show as a jump.
    """
    first, second = segments.line[bits.p], segments.line[bits.q]
    sense = np.where(bits.high_other > bits.low_other, 1, -1)
    low = segments.at[bits.p] + bits.low
    other = segments.at[bits.q] + bits.low_other
    lag = other - sense * low
    lane = np.lexsort((lag, sense, second, first))
    columns = (first[lane], second[lane], sense[lane])
    jump = np.concatenate(([True], np.diff(lag[lane]) > max(4 * within, 1.0)))[: len(lane)]
    for column in columns:
        jump[1:] |= np.diff(column) != 0
    strand = np.empty(len(lane), np.int64)
    strand[lane] = np.cumsum(jump) - 1
    order = np.lexsort((low, strand))
    low, strand = low[order], strand[order]
    high = segments.at[bits.p[order]] + bits.high[order]
    # Corners of lines that lie a little apart leave a gap between the bits on their outer side.
    reach = _highest_so_far(high, strand)
    new = np.concatenate(([True], (np.diff(strand) != 0) | (low[1:] > reach[:-1] + 2.5 * within)))
    return segments, bits.take(order), (np.cumsum(new[: len(order)]) - 1)


def _highest_so_far(value: Points, group: Index) -> Points:
    """Running maximum within each group of sorted groups."""
    if not len(value):
        return value
    span = float(value.max() - value.min()) + 1.0
    return np.asarray(np.maximum.accumulate(value + group * span) - group * span)


def _cut_back(segments: Segments, bits: _Bits, run: Index) -> Runs:
    """Make runs of their bits, after cutting back the ends at which the lines only pass by."""
    count = int(run[-1]) + 1 if len(run) else 0
    passing = np.zeros(count, bool)
    if count:
        firsts = np.searchsorted(run, np.arange(count), "left")
        lasts = np.searchsorted(run, np.arange(count), "right") - 1
        drift = np.abs(bits.off_high - bits.off_low) > _DRIFT * (bits.high - bits.low)
        for ends, clip, upwards in ((lasts, bits.clip_high, True), (firsts, bits.clip_low, False)):
            passing |= clip[ends] & drift[ends] & (_leaving(bits, ends, upwards=upwards))
        bits, run = _drop_passing(bits, run, firsts, lasts, passing, drift)
    return _summarise(segments, bits, run, passing)


def _leaving(bits: _Bits, rows: Index, *, upwards: bool) -> Flags:
    """Whether the lines are further apart at that end of a bit than at its other end."""
    at_end = bits.off_high[rows] if upwards else bits.off_low[rows]
    before = bits.off_low[rows] if upwards else bits.off_high[rows]
    return np.asarray(np.abs(at_end) > np.abs(before)) | (at_end * before < 0)


def _drop_passing(
    bits: _Bits, run: Index, firsts: Index, lasts: Index, passing: Flags, drift: Flags
) -> tuple[_Bits, Index]:
    """Take bits off the ends of passing runs as long as the lines drift apart there."""
    keep = np.ones(len(bits), bool)
    columns = {field.name: getattr(bits, field.name).copy() for field in fields(_Bits)}
    for k in np.flatnonzero(passing):
        low, high = int(firsts[k]), int(lasts[k])
        if columns["clip_high"][high]:
            while high >= low and drift[high] and _trim(columns, high, upwards=True):
                keep[high] = False
                high -= 1
        if high >= low and columns["clip_low"][low]:
            while low <= high and drift[low] and _trim(columns, low, upwards=False):
                keep[low] = False
                low += 1
    return _Bits(**columns).take(keep), run[keep]


def _trim(columns: dict[str, np.ndarray], row: int, *, upwards: bool) -> bool:
    """Take the outer part of one bit off, as far as the lines drift apart; True when all of it goes."""
    near, far = ("low", "high") if upwards else ("high", "low")
    at_end, before = columns[f"off_{far}"][row], columns[f"off_{near}"][row]
    if at_end * before >= 0:
        return bool(abs(at_end) > abs(before))
    share = before / (before - at_end)
    for name in (far, f"{far}_other"):
        start = columns[name.replace(far, near)][row]
        columns[name][row] = start + (columns[name][row] - start) * share
    columns[f"off_{far}"][row] = 0.0
    return False


def _summarise(segments: Segments, bits: _Bits, run: Index, passing: Flags) -> Runs:
    """One row a run."""
    if not len(run):
        return _no_runs()
    number, head = np.unique(run, return_index=True)
    low, high = segments.at[bits.p] + bits.low, segments.at[bits.p] + bits.high
    other = np.stack((segments.at[bits.q] + bits.low_other, segments.at[bits.q] + bits.high_other))
    sense = np.where(bits.high_other[head] > bits.low_other[head], 1, -1).astype(np.int8)
    least, most = np.minimum.reduceat(other.min(axis=0), head), np.maximum.reduceat(other.max(axis=0), head)
    group = np.cumsum(np.isin(np.arange(len(run)), head)) - 1
    reach = np.concatenate(([-np.inf], _highest_so_far(high, group)[:-1]))
    reach[head] = -np.inf
    new = np.maximum(high - np.maximum(low, reach), 0.0)
    off = np.abs(np.stack((bits.off_low, bits.off_high)))
    crossing = bits.off_low * bits.off_high < 0
    result = Runs(
        first=segments.line[bits.p[head]],
        second=segments.line[bits.q[head]],
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


def _long_enough(lines: Lines, runs: Runs, within: float, shortest: float) -> Flags:
    """Which runs are long enough, those that follow one another taken together."""
    k = len(runs)
    enough = runs.length >= shortest
    if enough.all():
        return enough
    spots = np.vstack((points_at(lines, runs.first, runs.begin), points_at(lines, runs.first, runs.end)))
    one, two = point_pairs(spots, within)
    label = components(k, one % k, two % k)
    return np.asarray(np.bincount(label, runs.length, k)[label] >= shortest)
