"""Which way the tip looks at every vertex of a line.

At a corner the tip arrives along one chord and leaves along the next. Inside a flattened curve
there is no corner: the vertices lie on the curve, and the heading there is the tangent of the
circle through three neighbours. A curve is what the drawing says is one, and what bends as if
it were: neighbouring vertices of like curvature. Where that circle would stand further off its
chords than flattening leaves them (a cusp, a coarse chord), the vertex is a corner all the
same: that is always right, only dearer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from cutprep.model.lines import Flags, Index, Lines, Points
from cutprep.tolerance import Tolerance

Angles: TypeAlias = Points

#: Turns above this are corners, whatever the drawing says: a chord error of 0.02 mm turns by
#: 45 degrees only below a radius of 0.26 mm.
_SHARPEST_CURVE = np.radians(45.0)
#: A curve may stand this many times the flattening limit off its chord, for what rounding adds.
_ROUNDED = 1.25
#: Turns this near to half a turn, radians, are one: more than rounding adds.
_HALF_TURN = 1e-9  # not a tolerance: rounding


def wrap(angle: Angles) -> Angles:
    """Bring angles into -pi .. pi, radians; of any shape, mostly (n,).

    A half turn is pi whatever its last digits, so that the blade turns the same way round on each processor.
    """
    half = np.pi - _HALF_TURN
    return np.asarray((np.asarray(angle) + half) % (2.0 * np.pi) - half)


@dataclass(frozen=True, slots=True, eq=False)
class HeadedPath:
    """Vertices with headings; lines lie behind each other as in `Lines`.

    Attributes
    ----------
    xy
        (n, 2) ndarray of float: where the tip passes, mm.
    arrive, leave
        (n,) ndarray of float: heading before and after each vertex, radians.
    start
        (m + 1,) ndarray of int: line i is rows start[i]:start[i + 1].
    """

    xy: Points
    arrive: Angles
    leave: Angles
    start: Index

    def __len__(self) -> int:
        return len(self.start) - 1

    def part(self, i: int) -> HeadedPath:
        """Line i alone."""
        rows = slice(int(self.start[i]), int(self.start[i + 1]))
        count = rows.stop - rows.start
        return HeadedPath(self.xy[rows], self.arrive[rows], self.leave[rows], np.array([0, count]))

    def pieces(self) -> tuple[Points, Angles]:
        """From each vertex to the next: the way, (n, 2) mm, and the change of heading, radians.

        Zero at the last vertex of each line.
        """
        following = np.arange(1, len(self.xy) + 1)
        following[self.start[1:] - 1] -= 1
        turn = wrap(self.arrive[following] - self.leave)
        turn[self.start[1:] - 1] = 0.0
        return self.xy[following] - self.xy, turn

    @staticmethod
    def concat(parts: list[HeadedPath]) -> HeadedPath:
        """Lay tracks behind each other."""
        if not parts:
            return HeadedPath(np.empty((0, 2)), np.empty(0), np.empty(0), np.zeros(1, np.int64))
        counts = np.concatenate([np.diff(p.start) for p in parts])
        return HeadedPath(
            np.concatenate([p.xy for p in parts]),
            np.concatenate([p.arrive for p in parts]),
            np.concatenate([p.leave for p in parts]),
            np.concatenate(([0], np.cumsum(counts))),
        )


def track(lines: Lines, tolerance: Tolerance) -> HeadedPath:
    """Find the headings along lines.

    Parameters
    ----------
    lines
        Any number of lines.
    tolerance
        A vertex whose circle would stand further off its chords than curves are flattened to is
        a corner; steps of no length are left out.

    Returns
    -------
    HeadedPath
        One line for each, of at least one vertex.
    """
    xy, start, curved = _without_repeats(lines, tolerance.zero)
    n = len(xy)
    if not n:
        return HeadedPath.concat([])
    into, out = _neighbours(xy, start)
    step = np.vstack((xy[1:], xy[-1:])) - xy
    angle, length = np.arctan2(step[:, 1], step[:, 0]), np.hypot(*step.T)
    inner = (into >= 0) & (out >= 0)
    bulge = min(_ROUNDED * tolerance.sagitta, tolerance.blade / 2.0)
    before, after = np.where(inner, into, 0), np.where(inner, out, 0)
    tangent, curvature, flat = _tangents(angle, length, before, after, bulge)
    curvature = np.where(inner & flat, curvature, 0.0)
    bends = _bends_on(curvature, curvature[before], curvature[(after + 1) % n])
    smooth = inner & flat & (curved | bends)
    arrive = _end_headings(angle, into, tangent, smooth, into)
    ahead = np.where(out >= 0, np.minimum(out + 1, n - 1), -1)
    leave = _end_headings(angle, out, tangent, smooth, ahead)
    arrive = np.where(into < 0, leave, arrive)
    leave = np.where(out < 0, arrive, leave)
    return HeadedPath(xy, arrive, leave, start)


def _without_repeats(lines: Lines, zero: float) -> tuple[Points, Index, Flags]:
    """Drop vertices that repeat the one before; a line keeps its first."""
    if not len(lines):
        return lines.xy, lines.start, lines.curved
    keep = np.ones(len(lines.xy), bool)
    keep[1:] = np.hypot(*np.diff(lines.xy, axis=0).T) > zero
    keep[lines.start[:-1]] = True
    counts = np.add.reduceat(keep, lines.start[:-1])
    return lines.xy[keep], np.concatenate(([0], np.cumsum(counts))).astype(np.int64), lines.curved[keep]


def _neighbours(xy: Points, start: Index) -> tuple[Index, Index]:
    """Chord before and after each vertex by number (a chord bears its first vertex's), -1 for none."""
    first, last = start[:-1], start[1:] - 1
    into, out = np.arange(-1, len(xy) - 1), np.arange(len(xy))
    into[first], out[last] = -1, -1
    closed = (last - first >= 3) & (xy[first] == xy[last]).all(axis=1)
    into[first[closed]], out[last[closed]] = last[closed] - 1, first[closed]
    return into, out


def _tangents(
    angle: Angles, length: Points, into: Index, out: Index, bulge: float
) -> tuple[Angles, Points, Flags]:
    """Circle through each vertex and its neighbours.

    Over a chord of length c the circle turns by twice asin(c / 2R), and it bulges from the chord
    by c/2 tan(asin(c / 2R) / 2).

    Returns
    -------
    tangent, curvature, flat
        (n,) heading, radians; 1/R, positive to the left, 1/mm; and whether the circle stays as
        close to both chords as a flattened curve does.
    """
    a, b = length[into], length[out]
    turn = wrap(angle[out] - angle[into])
    across = np.sqrt(np.maximum(a * a + b * b + 2.0 * a * b * np.cos(turn), 0.0))
    curvature = 2.0 * np.sin(turn) / np.where(across > 0, across, np.inf)
    before, after = (np.arcsin(np.minimum(c * np.abs(curvature) / 2.0, 1.0)) for c in (a, b))
    stands_off = np.maximum(a * np.tan(before / 2.0), b * np.tan(after / 2.0)) / 2.0
    flat = (np.abs(turn) <= _SHARPEST_CURVE) & (stands_off <= bulge)
    return angle[into] + np.sign(turn) * before, curvature, flat


def _bends_on(here: Points, before: Points, after: Points) -> Flags:
    """Whether a vertex bends like a neighbour, and its other neighbour, if it bends, does too.

    Alike are curvatures of one sign and of one size, to a factor of two.
    """
    like_before, like_after = (
        (here * other > 0) & (np.abs(here) <= 2 * np.abs(other)) & (np.abs(other) <= 2 * np.abs(here))
        for other in (before, after)
    )
    either = like_before | like_after
    return np.asarray(either & (like_before | (before == 0)) & (like_after | (after == 0)))


def _end_headings(angle: Angles, chord: Index, tangent: Angles, smooth: Flags, other: Index) -> Angles:
    """Heading at one end of a chord, given the vertex at its other end.

    A circle makes the same angle with its chord at both ends, so that a known tangent at the
    other end gives the one here.
    """
    along = angle[chord]
    mirrored = np.where(smooth[other], 2.0 * along - tangent[other], along)
    return np.where(smooth, tangent, mirrored)


def along_curve(xy: Points, chord: Points, leave: Angles, turn: Angles, t: Points) -> tuple[Points, Angles]:
    """Point and heading part of the way along curved pieces.

    Parameters
    ----------
    xy, chord
        (k, 2) start of each piece, and the way to its end, mm.
    leave, turn
        (k,) heading at the start, and by how much it changes, radians.
    t
        (k,) how far along, 0 to 1.

    Returns
    -------
    points, headings
        (k, 2) mm and (k,) radians, on the cubic with these ends and tangents. The tangents'
        length L / cos^2(turn/4) makes it an arc but for terms of the sixth order.
    """
    size = (np.hypot(*chord.T) / np.square(np.cos(turn / 4.0)))[:, None]
    first, second = size * unit(leave), size * unit(leave + turn)
    s = t[:, None]
    points = xy + chord * (3.0 - 2.0 * s) * s * s + first * s * (1.0 - s) ** 2 - second * s * s * (1.0 - s)
    slope = 6.0 * s * (1.0 - s) * chord
    slope = slope + (1.0 - s) * (1.0 - 3.0 * s) * first + s * (3.0 * s - 2.0) * second
    heading = np.arctan2(slope[:, 1], slope[:, 0])
    return points, np.asarray(np.where(turn == 0.0, leave, heading))


def spread(count: Index) -> tuple[Index, Index]:
    """Repeat each row number by its count; the second array counts up within each; `count` (m,)."""
    row = np.repeat(np.arange(len(count)), count)
    return row, np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)


def unit(heading: Angles) -> Points:
    """Unit vectors of headings, (n, 2)."""
    return np.column_stack((np.cos(heading), np.sin(heading)))
