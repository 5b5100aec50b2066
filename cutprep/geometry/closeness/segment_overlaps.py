"""Where two segments lie beside each other, put in order along their lines.

What overlap.py makes runs of: pairs of segments are clipped exactly to where they lie beside each
other, these overlaps are sorted into runs, and ends at which lines only pass by are cut back.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

import numpy as np

from cutprep.geometry.closeness.neighbours import Neighbours, beside
from cutprep.geometry.lines.segments import Segments
from cutprep.model.lines import Flags, Index, Points

#: Lines that drift apart faster than this are passing by; common practice, no published source.
#: A slip of 0.9 mm over 100 mm stays below it.
_DRIFT = math.tan(math.radians(0.5))
#: Lines that open from a common point faster than this make a corner, slower a needle.
_OPENING = math.tan(math.radians(3))
#: Pairs of segments taken in one go; bounds memory.
_CHUNK = 500_000


@dataclass(frozen=True, slots=True, eq=False)
class SegmentOverlaps:
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

    def take(self, index: Index | Flags) -> SegmentOverlaps:
        """Pick overlaps by index or mask; (k,) numbers or flags."""
        return SegmentOverlaps(*(getattr(self, field.name)[index] for field in fields(self)))


def find_segment_overlaps(
    nearby: Neighbours, within: float, beyond: float, pick: Flags | None
) -> SegmentOverlaps:
    """Clip every pair of neighbouring segments to where they lie beside each other.

    Parameters
    ----------
    nearby
        Pairs of segments that may be near.
    within
        Greatest distance that counts, mm.
    beyond
        Stretches that run apart further than this end there, mm; 0 for none.
    pick
        (m,) ndarray of bool: lines that count; None for all.
    """
    segments = nearby.segments
    first, second = (
        np.concatenate((nearby.first, nearby.head)),
        np.concatenate((nearby.second, nearby.stacked)),
    )
    if pick is not None:
        wanted = pick[segments.line]
        keep = wanted[first] & wanted[second]
        first, second = first[keep], second[keep]
    if within < nearby.within:
        boxes = segments.boxes
        keep = np.asarray((boxes[first, :2] <= boxes[second, 2:] + within).all(axis=1))
        keep &= (boxes[second, :2] <= boxes[first, 2:] + within).all(axis=1)
        first, second = first[keep], second[keep]
    keep = beside(segments, first, second)
    first, second = first[keep], second[keep]
    sides = ((-within, -beyond), (beyond, within)) if beyond else ((-within, within),)
    found = [
        _clip(segments, first[low : low + _CHUNK], second[low : low + _CHUNK], *side)
        for low in range(0, max(len(first), 1), _CHUNK)
        for side in sides
    ]
    return SegmentOverlaps(
        *(np.concatenate([getattr(f, field.name) for f in found]) for field in fields(SegmentOverlaps))
    )


def _clip(segments: Segments, p: Index, q: Index, lowest: float, highest: float) -> SegmentOverlaps:
    """Clip pairs of segments beside each other to where q lies at a signed distance of p between two limits."""
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
    overlaps = SegmentOverlaps(
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
    return overlaps.take(inside & (high - low > (highest - lowest) * 1e-6))


def number_runs(
    segments: Segments, overlaps: SegmentOverlaps, within: float, beyond: float
) -> tuple[SegmentOverlaps, Index]:
    """Sort overlaps along their lines and number the runs they make: overlaps, and the run of each, (k,).

    On a run the difference of both positions (their sum, where the lines run against each
    other) changes slowly; two passes over one spot, or a seam of a closed line, show as a jump.

    Parameters
    ----------
    segments
        Whose lines the overlaps lie on.
    overlaps
        In any order.
    within, beyond
        As for `find_segment_overlaps`, mm.
    """
    first, second = segments.line[overlaps.p], segments.line[overlaps.q]
    sense = np.where(overlaps.high_other > overlaps.low_other, 1, -1)
    low = segments.at[overlaps.p] + overlaps.low
    other = segments.at[overlaps.q] + overlaps.low_other
    lag = other - sense * low
    # Lines that cross are on one side of each other and then on the other: two runs, unless they
    # count as one for being so near.
    left = (overlaps.off_low + overlaps.off_high > 0) & (beyond > 0)
    kind = (first * len(segments) + second) * 4 + (sense > 0) * 2 + left
    lane = np.lexsort((lag, kind))
    jump = np.concatenate(([True], np.diff(lag[lane]) > max(4 * within, 1.0)))[: len(lane)]
    jump[1:] |= np.diff(kind[lane]) != 0
    strand = np.empty(len(lane), np.int64)
    strand[lane] = np.cumsum(jump) - 1
    order = np.lexsort((low, strand))
    low, strand = low[order], strand[order]
    high = segments.at[overlaps.p[order]] + overlaps.high[order]
    # Corners of lines that lie a little apart leave a gap between the overlaps on their outer side.
    reach = highest_so_far(high, strand)
    new = np.concatenate(([True], (np.diff(strand) != 0) | (low[1:] > reach[:-1] + 2.5 * within)))
    return overlaps.take(order), np.cumsum(new[: len(order)]) - 1


def highest_so_far(value: Points, group: Index) -> Points:
    """Running maximum within each group of sorted groups; both (k,), any unit."""
    if not len(value):
        return value
    span = float(value.max() - value.min()) + 1.0
    return np.asarray(np.maximum.accumulate(value + group * span) - group * span)


def cut_back(overlaps: SegmentOverlaps, run: Index, how: Cut) -> tuple[SegmentOverlaps, Index, Flags]:
    """Cut runs back at ends where the lines pass by or open from a point.

    Returns
    -------
    overlaps, run
        What is left.
    passing
        (runs,) ndarray of bool: the run was cut.
    """
    count = int(run[-1]) + 1 if len(run) else 0
    if not count:
        return overlaps, run, np.zeros(0, bool)
    firsts = np.searchsorted(run, np.arange(count), "left")
    lasts = np.append(firsts[1:], len(run)) - 1
    slope = np.abs(overlaps.off_high - overlaps.off_low) / (overlaps.high - overlaps.low)
    drift = slope > how.slope
    top = (
        overlaps.clip_high[lasts]
        & drift[lasts]
        & how.starts(overlaps.off_high[lasts], overlaps.off_low[lasts])
    )
    bottom = (
        overlaps.clip_low[firsts]
        & drift[firsts]
        & how.starts(overlaps.off_low[firsts], overlaps.off_high[firsts])
    )
    columns = {field.name: getattr(overlaps, field.name).copy() for field in fields(SegmentOverlaps)}
    keep = np.ones(len(overlaps), bool)
    ends, others = lasts.copy(), firsts.copy()
    _cut_ends(columns, keep, np.flatnonzero(top), (ends, firsts), drift, how, upwards=True)
    _cut_ends(columns, keep, np.flatnonzero(bottom), (others, ends), drift, how, upwards=False)
    return SegmentOverlaps(**columns).take(keep), run[keep], top | bottom


@dataclass(frozen=True, slots=True)
class Cut:
    """Which ends of runs are cut back: those at which the lines drift apart, or those at which they meet."""

    slope: float
    apart: bool

    def starts(self, at_end: Points, before: Points) -> Flags:
        """Whether the distance changes towards the end as it must for a cut; (k,) mm each."""
        if self.apart:
            return np.asarray((np.abs(at_end) > np.abs(before)) | (at_end * before < 0))
        return np.asarray(np.abs(at_end) < np.abs(before))


LEAVING = Cut(_DRIFT, apart=True)
MEETING = Cut(_OPENING, apart=False)


def _cut_ends(
    columns: dict[str, Points],
    keep: Flags,
    runs: Index,
    between: tuple[Index, Index],
    drift: Flags,
    how: Cut,
    *,
    upwards: bool,
) -> None:
    """Cut one end of many runs back, a step of all of them at a time.

    Parameters
    ----------
    columns
        Of the overlaps, which are changed in place.
    keep
        (k,) ndarray of bool: overlaps that are left; those that go are marked in it.
    runs
        (r,) ndarray of int: runs that are cut at this end.
    between
        Overlaps at this end and at the other end of every run, (runs,) each; those at this end move inwards in place.
    drift
        (k,) ndarray of bool: the lines drift apart there, or open.
    how
        What is cut.
    upwards
        Whether this end is the upper one.
    """
    end, other = between
    inwards = -1 if upwards else 1
    while len(runs):
        runs = runs[(other[runs] - end[runs]) * inwards >= 0]
        runs = runs[drift[end[runs]]]
        runs = runs[_trim(columns, end[runs], how, upwards=upwards)]
        keep[end[runs]] = False
        end[runs] += inwards


def _trim(columns: dict[str, Points], rows: Index, how: Cut, *, upwards: bool) -> Flags:
    """Take the outer part of overlaps off, (r,); which of them go altogether."""
    near, far = ("low", "high") if upwards else ("high", "low")
    at_end, before = columns[f"off_{far}"][rows], columns[f"off_{near}"][rows]
    crossing = at_end * before < 0
    part, before = rows[crossing], before[crossing]
    share = before / (before - at_end[crossing])
    for name in (far, f"{far}_other"):
        start = columns[name.replace(far, near)][part]
        columns[name][part] = start + (columns[name][part] - start) * share
    columns[f"off_{far}"][part] = 0.0
    falling = np.abs(at_end) > np.abs(columns[f"off_{near}"][rows])
    return np.asarray(~crossing & (falling == how.apart))
