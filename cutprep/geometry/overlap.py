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

from cutprep.geometry.near import clusters, components, segment_pairs
from cutprep.geometry.segments import Segments, explode, points_at
from cutprep.model.lines import Codes, Flags, Index, Lines, Points

#: Segments that differ in direction by more than this don't run along each other.
_PARALLEL = math.cos(math.radians(45))
#: Lines that drift apart faster than this are passing by; common practice, no published source.
#: A slip of 0.9 mm over 100 mm stays below it.
_DRIFT = math.tan(math.radians(0.5))
#: Lines that open from a common point faster than this make a corner, slower a needle.
_OPENING = math.tan(math.radians(3))
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


@dataclass(frozen=True, slots=True, eq=False)
class Neighbours:
    """Segments of lines, and which of them may lie near each other.

    Attributes
    ----------
    segments
        Of the lines that take part.
    first, second
        (k,) ndarray of int: pairs of segments whose boxes come within the distance.
    head, stacked
        (s,) ndarray of int: segments that lie on the same spot as many others, each with the
        first of them; they stand in no other pair.
    within
        The distance, mm.
    """

    segments: Segments
    first: Index
    second: Index
    head: Index
    stacked: Index
    within: float


def neighbours(lines: Lines, within: float, *, pick: Flags | None = None, spot: float) -> Neighbours:
    """Find which segments may lie near each other; one search serves several kinds of runs.

    Parameters
    ----------
    within
        Largest distance that will be asked for, mm.
    pick
        (m,) ndarray of bool: lines that take part; all when None.
    spot
        Where more than eight segments agree to a quarter of this, mm, each of the others is paired
        with the first of them only. A million copies of one line make a million pairs then.

    Raises
    ------
    DrawingError
        When there are more pairs than memory should hold.
    """
    segments = explode(lines, pick, shortest=spot * 1e-6)
    head = _stacks(lines, segments, spot / 4)
    own = head == np.arange(len(segments))
    alone, stacked = np.flatnonzero(own), np.flatnonzero(~own)
    first, second = segment_pairs(segments.begin[alone], segments.end[alone], within)
    return Neighbours(segments, alone[first], alone[second], head[stacked], stacked, within)


def rank(lines: Lines, *, weaker_first: bool = False) -> Index:
    """Which line stays where several lie on each other: the lowest rank wins, (m,).

    The stronger operation (or the weaker one), then the closed line, then the longer one, then the
    one drawn first.
    """
    strength = lines.operation.astype(int)
    order = np.lexsort(
        (
            np.arange(len(lines)),
            -np.round(lines.lengths, 6),
            ~lines.closed,
            strength if weaker_first else -strength,
        )
    )
    place = np.empty(len(lines), np.int64)
    place[order] = np.arange(len(lines))
    return place


def _stacks(lines: Lines, segments: Segments, step: float) -> Index:
    """For each segment the one that stays when many of its operation are on the same spot, else itself."""
    head = np.arange(len(segments))
    if len(segments) <= _STACK:
        return head
    cells = np.round(np.hstack((segments.begin, segments.end)) / step).astype(np.int64)
    turned = (cells[:, 0] > cells[:, 2]) | ((cells[:, 0] == cells[:, 2]) & (cells[:, 1] > cells[:, 3]))
    cells[turned] = cells[turned][:, [2, 3, 0, 1]]
    # One number a spot; that two spots share it is as good as impossible, and is ruled out below.
    cells = np.column_stack((cells, lines.operation[segments.line]))
    mixed = cells @ np.array([1, 1_000_003, 998_244_353, 754_974_721, 433_494_437])
    order = np.argsort(mixed, kind="stable")
    begin = np.flatnonzero(np.diff(mixed[order], prepend=mixed[order[0]] - 1))
    size = np.diff(np.append(begin, len(order)))
    rows = order[np.repeat(size > _STACK, size)]
    if not len(rows):
        return head
    rows = rows[np.lexsort((rank(lines)[segments.line[rows]], mixed[rows]))]
    begin = np.flatnonzero(np.diff(mixed[rows], prepend=mixed[rows[0]] - 1))
    first = np.repeat(rows[begin], np.diff(np.append(begin, len(rows))))
    same = (cells[rows] == cells[first]).all(axis=1)
    head[rows[same]] = first[same]
    return head


def find_runs(
    lines: Lines,
    within: float,
    *,
    beyond: float = 0.0,
    pick: Flags | None = None,
    shortest: float,
    shortest_passing: float,
    near: Neighbours | None = None,
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
    near
        Neighbours found before, for no smaller distance and no fewer lines.

    Returns
    -------
    Runs
        Sorted by first line, second line and position.
    """
    near = near or neighbours(lines, within, pick=pick, spot=within)
    runs = _find(near, within, beyond, pick, _LEAVING)
    runs = runs.take((~runs.passing | (runs.length >= shortest_passing)) & (runs.length > 0))
    return runs.take(_long_enough(lines, runs, within, shortest))


def find_strips(
    lines: Lines, within: float, *, beyond: float, pick: Flags, shortest: float, near: Neighbours
) -> Runs:
    """Find where lines run beside each other without meeting there.

    As `find_runs`, but lines that go on and drift apart count as far as they are near; left out
    is where they open from a common point, such as the two sides of a corner.
    """
    runs = _find(near, within, beyond, pick, _MEETING)
    return runs.take(_long_enough(lines, runs, within, shortest))


def _find(near: Neighbours, within: float, beyond: float, pick: Flags | None, how: _Cut) -> Runs:
    bits, run = _number_runs(near.segments, _find_bits(near, within, beyond, pick), within, beyond)
    return _summarise(near.segments, *_cut_back(bits, run, how))


def _find_bits(near: Neighbours, within: float, beyond: float, pick: Flags | None) -> _Bits:
    """Clip every pair of neighbouring segments to where they lie beside each other."""
    segments = near.segments
    first, second = np.concatenate((near.first, near.head)), np.concatenate((near.second, near.stacked))
    if pick is not None:
        wanted = pick[segments.line]
        keep = wanted[first] & wanted[second]
        first, second = first[keep], second[keep]
    if within < near.within:
        boxes = segments.boxes
        keep = np.asarray((boxes[first, :2] <= boxes[second, 2:] + within).all(axis=1))
        keep &= (boxes[second, :2] <= boxes[first, 2:] + within).all(axis=1)
        first, second = first[keep], second[keep]
    sides = ((-within, -beyond), (beyond, within)) if beyond else ((-within, within),)
    found = [
        _clip(segments, first[low : low + _CHUNK], second[low : low + _CHUNK], *side)
        for low in range(0, max(len(first), 1), _CHUNK)
        for side in sides
    ]
    return _Bits(*(np.concatenate([getattr(f, field.name) for f in found]) for field in fields(_Bits)))


def _clip(segments: Segments, p: Index, q: Index, lowest: float, highest: float) -> _Bits:
    """Clip pairs of segments to where q lies beside p, at a signed distance between two limits."""
    p, q = _beside(segments, p, q)
    begin, step = segments.begin[p], segments.end[p] - segments.begin[p]
    length = np.hypot(step[:, 0], step[:, 1])
    ux, uy = step[:, 0] / length, step[:, 1] / length
    to_begin, to_end = segments.begin[q] - begin, segments.end[q] - begin
    t0, t1 = to_begin[:, 0] * ux + to_begin[:, 1] * uy, to_end[:, 0] * ux + to_end[:, 1] * uy
    h0, h1 = ux * to_begin[:, 1] - uy * to_begin[:, 0], ux * to_end[:, 1] - uy * to_end[:, 0]
    slope = (h1 - h0) / (t1 - t0)
    low, high = np.maximum(np.minimum(t0, t1), 0.0), np.minimum(np.maximum(t0, t1), length)
    level = np.abs(slope) < 1e-12
    steep = np.where(level, 1.0, slope)
    limits = np.sort(np.stack(((lowest - h0) / steep + t0, (highest - h0) / steep + t0)), axis=0)
    limits[:, level] = [[-np.inf], [np.inf]]
    clip_low, clip_high = limits[0] > low, limits[1] < high
    low, high = np.maximum(low, limits[0]), np.minimum(high, limits[1])
    scale = segments.lengths[q] / (t1 - t0)
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
    inside = ~level | ((h0 >= lowest) & (h0 <= highest))
    return bits.take(inside & (high - low > (highest - lowest) * 1e-6))


def _beside(segments: Segments, p: Index, q: Index) -> tuple[Index, Index]:
    """Keep the pairs that are roughly parallel and overlap when seen across p."""
    step = segments.end - segments.begin
    length = np.hypot(step[:, 0], step[:, 1])
    unit = step / length[:, None]
    middle = (segments.begin + segments.end) / 2
    cosine = np.abs(unit[p, 0] * unit[q, 0] + unit[p, 1] * unit[q, 1])
    keep = cosine > _PARALLEL
    p, q, cosine = p[keep], q[keep], cosine[keep]
    off = middle[q] - middle[p]
    along = np.abs(off[:, 0] * unit[p, 0] + off[:, 1] * unit[p, 1])
    keep = along < (length[p] + length[q] * cosine) / 2
    return p[keep], q[keep]


def _number_runs(segments: Segments, bits: _Bits, within: float, beyond: float) -> tuple[_Bits, Index]:
    """Sort bits along their lines and number the runs they make.

    On a run the difference of both positions (their sum, where the lines run against each
    other) changes slowly; two passes over one spot, or a seam of a closed line, show as a jump.
    """
    first, second = segments.line[bits.p], segments.line[bits.q]
    sense = np.where(bits.high_other > bits.low_other, 1, -1)
    low = segments.at[bits.p] + bits.low
    other = segments.at[bits.q] + bits.low_other
    lag = other - sense * low
    # Lines that cross are on one side of each other and then on the other: two runs, unless they
    # count as one for being so near.
    left = (bits.off_low + bits.off_high > 0) & (beyond > 0)
    kind = (first * len(segments) + second) * 4 + (sense > 0) * 2 + left
    lane = np.lexsort((lag, kind))
    jump = np.concatenate(([True], np.diff(lag[lane]) > max(4 * within, 1.0)))[: len(lane)]
    jump[1:] |= np.diff(kind[lane]) != 0
    strand = np.empty(len(lane), np.int64)
    strand[lane] = np.cumsum(jump) - 1
    order = np.lexsort((low, strand))
    low, strand = low[order], strand[order]
    high = segments.at[bits.p[order]] + bits.high[order]
    # Corners of lines that lie a little apart leave a gap between the bits on their outer side.
    reach = _highest_so_far(high, strand)
    new = np.concatenate(([True], (np.diff(strand) != 0) | (low[1:] > reach[:-1] + 2.5 * within)))
    return bits.take(order), np.cumsum(new[: len(order)]) - 1


def _highest_so_far(value: Points, group: Index) -> Points:
    """Running maximum within each group of sorted groups."""
    if not len(value):
        return value
    span = float(value.max() - value.min()) + 1.0
    return np.asarray(np.maximum.accumulate(value + group * span) - group * span)


def _cut_back(bits: _Bits, run: Index, how: _Cut) -> tuple[_Bits, Index, Flags]:
    """Cut runs back at ends where the lines pass by or open from a point.

    Returns
    -------
    bits, run
        What is left.
    passing
        (runs,) ndarray of bool: the run was cut.
    """
    count = int(run[-1]) + 1 if len(run) else 0
    if not count:
        return bits, run, np.zeros(0, bool)
    firsts = np.searchsorted(run, np.arange(count), "left")
    lasts = np.append(firsts[1:], len(run)) - 1
    slope = np.abs(bits.off_high - bits.off_low) / (bits.high - bits.low)
    drift = slope > how.slope
    top = bits.clip_high[lasts] & drift[lasts] & how.starts(bits.off_high[lasts], bits.off_low[lasts])
    bottom = bits.clip_low[firsts] & drift[firsts] & how.starts(bits.off_low[firsts], bits.off_high[firsts])
    keep = np.ones(len(bits), bool)
    columns = {field.name: getattr(bits, field.name).copy() for field in fields(_Bits)}
    for k in np.flatnonzero(top | bottom):
        low, high = int(firsts[k]), int(lasts[k])
        while top[k] and high >= low and drift[high] and _trim(columns, high, how, upwards=True):
            keep[high] = False
            high -= 1
        while bottom[k] and low <= high and drift[low] and _trim(columns, low, how, upwards=False):
            keep[low] = False
            low += 1
    return _Bits(**columns).take(keep), run[keep], top | bottom


@dataclass(frozen=True, slots=True)
class _Cut:
    """Which ends of runs are cut back: those at which the lines drift apart, or those at which they meet."""

    slope: float
    apart: bool

    def starts(self, at_end: Points, before: Points) -> Flags:
        """Whether the distance changes towards the end as it must for a cut."""
        if self.apart:
            return np.asarray((np.abs(at_end) > np.abs(before)) | (at_end * before < 0))
        return np.asarray(np.abs(at_end) < np.abs(before))


_LEAVING = _Cut(_DRIFT, apart=True)
_MEETING = _Cut(_OPENING, apart=False)


def _trim(columns: dict[str, Points], row: int, how: _Cut, *, upwards: bool) -> bool:
    """Take the outer part of one bit off; True when all of it goes."""
    near, far = ("low", "high") if upwards else ("high", "low")
    at_end, before = columns[f"off_{far}"][row], columns[f"off_{near}"][row]
    if at_end * before >= 0:
        return bool(abs(at_end) > abs(before)) == how.apart
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


def run_ends(lines: Lines, runs: Runs) -> Points:
    """Where runs begin and end, halfway between their lines: (2 k, 2), all beginnings first, mm."""
    sides = ((runs.first, runs.begin, runs.end), (runs.second, runs.begin_other, runs.end_other))
    first, second = (
        np.vstack((points_at(lines, line, begin), points_at(lines, line, end))) for line, begin, end in sides
    )
    return np.asarray((first + second) / 2)


def _long_enough(lines: Lines, runs: Runs, within: float, shortest: float) -> Flags:
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
    piece = np.minimum(within, np.minimum(lengths[runs.first], lengths[runs.second]) / 2)
    pair = np.unique((label * len(lines) + runs.first) * len(lines) + runs.second, return_inverse=True)[1]
    long = np.zeros(int(pair.max()) + 1, bool)
    long[pair[runs.length >= piece]] = True
    return together & long[pair]
