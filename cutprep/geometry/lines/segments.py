"""Lines taken apart into straight segments, and positions along a line.

A *position* on a line is the length from its first point, mm. It says where something lies
on a line whatever its vertices are, and survives a split or a reversal as plain arithmetic.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutprep.model.lines import Flags, Index, Lines, Points


@dataclass(frozen=True, slots=True, eq=False)
class Segments:
    """Straight segments as columns, in the order of their lines; none is without length.

    Attributes
    ----------
    begin, end
        (n, 2) ndarray of float, mm.
    line
        (n,) ndarray of int: the line each one belongs to.
    at
        (n,) ndarray of float: position of `begin` on that line, mm.
    vertex
        (n,) ndarray of int: row of `begin` in the lines' vertices.
    """

    begin: Points
    end: Points
    line: Index
    at: Points
    vertex: Index

    def __len__(self) -> int:
        return len(self.line)

    @property
    def lengths(self) -> Points:
        """Length of each, (n,), mm."""
        return np.asarray(np.hypot(*(self.end - self.begin).T))

    @property
    def boxes(self) -> Points:
        """Left, bottom, right, top of each, (n, 4), mm."""
        return np.hstack((np.minimum(self.begin, self.end), np.maximum(self.begin, self.end)))

    def take(self, index: NDArray[np.int64] | Flags) -> Segments:
        """Pick segments by index or mask; (k,) numbers or flags."""
        return Segments(
            self.begin[index], self.end[index], self.line[index], self.at[index], self.vertex[index]
        )


def positions(lines: Lines) -> Points:
    """Position of every vertex on its line, (n,), mm."""
    if not len(lines):
        return np.zeros(0)
    steps = np.hypot(*np.diff(lines.xy, axis=0).T)
    run = np.concatenate(([0.0], np.cumsum(steps)))
    return np.asarray(run - np.repeat(run[lines.start[:-1]], lines.counts))


def explode(lines: Lines, pick: Flags | None = None, *, shortest: float = 0.0) -> Segments:
    """Take lines apart into segments.

    Parameters
    ----------
    lines
        m lines.
    pick
        (m,) ndarray of bool: which lines; all when None.
    shortest
        Segments that are not longer are left out, mm.
    """
    if not len(lines):
        none = np.zeros(0, np.int64)
        return Segments(np.zeros((0, 2)), np.zeros((0, 2)), none, np.zeros(0), none)
    owner = np.repeat(np.arange(len(lines)), lines.counts)
    first = np.flatnonzero(owner[:-1] == owner[1:])
    if pick is not None:
        first = first[pick[owner[first]]]
    step = lines.xy[first + 1] - lines.xy[first]
    first = first[np.hypot(step[:, 0], step[:, 1]) > shortest]
    return Segments(lines.xy[first], lines.xy[first + 1], owner[first], positions(lines)[first], first)


def length_of(points: Points) -> float:
    """Length of one line, mm; (n, 2)."""
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def point_at(points: Points, position: float) -> Points:
    """The point at a position on a line, (2,); beyond its ends the end itself."""
    run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    return np.array([np.interp(position, run, points[:, 0]), np.interp(position, run, points[:, 1])])


def points_at(lines: Lines, line: Index, position: Points) -> Points:
    """Points at positions on lines, (k, 2); beyond a line's ends the end itself.

    Parameters
    ----------
    line
        (k,) ndarray of int.
    position
        (k,) ndarray of float, mm.
    """
    line = np.asarray(line, np.int64)
    if not len(line):
        return np.zeros((0, 2))
    run = positions(lines)
    # Lines lie end to end on one long ruler, so that one search finds every segment.
    spans = run[lines.start[1:] - 1]
    shift = np.concatenate(([0.0], np.cumsum(spans + 1.0)))[:-1]
    ruler = run + np.repeat(shift, lines.counts)
    wanted = np.clip(position, 0.0, spans[line]) + shift[line]
    low, high = lines.start[line], lines.start[line + 1] - 2
    row = np.clip(np.searchsorted(ruler, wanted, side="right") - 1, low, high)
    step = ruler[row + 1] - ruler[row]
    share = np.divide(wanted - ruler[row], step, out=np.zeros(len(line)), where=step > 0)
    return np.asarray(lines.xy[row] + (lines.xy[row + 1] - lines.xy[row]) * np.clip(share, 0, 1)[:, None])


def between(points: Points, begin: float, end: float) -> Points:
    """The part of a line between two positions, (k, 2), k >= 2, in the line's direction."""
    run = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    inner = points[(run > begin) & (run < end)]
    return np.vstack((point_at(points, begin)[None], inner, point_at(points, end)[None]))


def distance_to(point: Points, begin: Points, end: Points) -> tuple[Points, Points]:
    """Distance of points from segments, row by row.

    Parameters
    ----------
    point, begin, end
        (k, 2) ndarray of float, mm.

    Returns
    -------
    distance, share
        (k,) ndarray of float each: mm, and where on the segment the nearest point lies, 0 to 1.
    """
    # By column: rows of two numbers cost several times as much.
    sx, sy = end[:, 0] - begin[:, 0], end[:, 1] - begin[:, 1]
    x, y = point[:, 0] - begin[:, 0], point[:, 1] - begin[:, 1]
    x, y, share = beside(x, y, sx, sy, sx * sx + sy * sy)
    return np.asarray(np.hypot(x, y)), share


def beside(x: Points, y: Points, sx: Points, sy: Points, square: Points) -> tuple[Points, Points, Points]:
    """How points lie beside segments that begin at 0, by column, row by row.

    Parameters
    ----------
    x, y
        (k,) the points, mm from where each segment begins.
    sx, sy, square
        (k,) where each segment ends, mm, and the square of its length, mm2.

    Returns
    -------
    x, y, share
        (k,) each: from the nearest point of the segment, mm; and where on it that is, 0 to 1.
    """
    share = (x * sx + y * sy) / np.where(square > 0, square, 1.0)
    np.clip(share, 0.0, 1.0, out=share)
    return x - sx * share, y - sy * share, share


def apart_squared(a: Points, b: Points, c: Points, d: Points) -> Points:
    """Square of the distance between segments, row by row; 0 where they cross, (k,) mm2.

    Parameters
    ----------
    a, b, c, d
        (k, 2) ndarray of float: ends of the one and of the other, mm.
    """
    ax, ay, bx, by = *a.T, *b.T
    cx, cy, dx, dy = *c.T, *d.T
    px, py, qx, qy = bx - ax, by - ay, dx - cx, dy - cy
    one, two = px * px + py * py, qx * qx + qy * qy
    sides = [qx * (y - cy) - qy * (x - cx) for x, y in ((ax, ay), (bx, by))]
    others = [px * (y - ay) - py * (x - ax) for x, y in ((cx, cy), (dx, dy))]
    nearest = np.minimum(
        np.minimum(_to_line(ax - cx, ay - cy, qx, qy, two), _to_line(bx - cx, by - cy, qx, qy, two)),
        np.minimum(_to_line(cx - ax, cy - ay, px, py, one), _to_line(dx - ax, dy - ay, px, py, one)),
    )
    crossing = (sides[0] * sides[1] < 0) & (others[0] * others[1] < 0)
    return np.where(crossing, 0.0, nearest)


def _to_line(x: Points, y: Points, sx: Points, sy: Points, square: Points) -> Points:
    """Square of the distance of points from segments that begin at 0 and end at (sx, sy)."""
    x, y, _ = beside(x, y, sx, sy, square)
    return x * x + y * y
