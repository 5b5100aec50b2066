"""What the lines of a drawing do to one another, as marks for the graph: meet, touch, cross, miss by a little."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.geometry.closeness.overlap import Runs
from cutprep.geometry.closeness.proximity import components
from cutprep.geometry.lines.segments import points_at, positions
from cutprep.geometry.planar.ends.chains import ends
from cutprep.geometry.planar.ends.closing import closing_points
from cutprep.geometry.planar.ends.crossings import Crossings
from cutprep.geometry.planar.ends.joints import Joints, Reach
from cutprep.geometry.planar.graph.graph import Marks
from cutprep.model.lines import Flags, Index, Lines, Points
from cutprep.tolerance import Tolerance

#: Which mark says where a node lies: a crossing before ends brought together, these before an end on a
#: line, and that before ends that simply meet.
_CROSSING, _CLOSED, _TOUCH, _END = 3, 2, 1, 0


def marks_of(
    lines: Lines,
    joints: Joints,
    touching: Reach,
    crossings: Crossings,
    runs: Runs,
    gap: float,
    tolerance: Tolerance,
) -> Marks:
    """Gather the marks.

    Parameters
    ----------
    joints
        What the ends do: which meet, and which miss each other or a line by no more than a gap.
    touching
        Ends that lie on the inside of lines.
    crossings
        Where lines cross.
    runs
        Where lines lie on each other: both are marked where that begins and ends.
    gap
        Largest gap that is closed, mm.
    """
    link, tee = closing_points(lines, joints, gap)
    meeting = np.flatnonzero(joints.node >= 0)
    run = [runs.begin, runs.end], [runs.begin_other, runs.end_other]
    spots = ends(lines)
    touched = _to_corner(lines, touching.line, touching.position, tolerance.doubled)
    under = points_at(lines, touching.line, touched)
    # An end that lies right on a line stays as it was drawn, to the last digit.
    right_on = np.hypot(*(under - spots[touching.end]).T) <= tolerance.zero
    under[right_on] = spots[touching.end][right_on]
    run_at = [_to_corner(lines, runs.first, at, tolerance.doubled) for at in run[0]]
    run_other = [_to_corner(lines, runs.second, at, tolerance.doubled) for at in run[1]]
    pairs = [
        _pairs(_at_end(lines, meeting), _at_end(lines, joints.node[meeting]), None, None, _END),
        _pairs(_at_end(lines, joints.link[:, 0]), _at_end(lines, joints.link[:, 1]), link, link, _CLOSED),
        _pairs(_at_end(lines, joints.tee), (joints.tee_line, joints.tee_position), tee, tee, _CLOSED),
        _pairs(_at_end(lines, touching.end), (touching.line, touched), spots[touching.end], under, _TOUCH),
        _pairs(
            (crossings.first, crossings.at),
            (crossings.second, crossings.at_other),
            crossings.xy,
            crossings.xy,
            _CROSSING,
        ),
        *(
            _pairs((runs.first, one), (runs.second, two), None, None, _END)
            for one, two in zip(run_at, run_other, strict=True)
        ),
    ]
    return _joined(lines, pairs)


_Mark = tuple[Index, Points]
_Pairs = tuple[_Mark, _Mark, Points | None, Points | None, int]


def _pairs(one: _Mark, two: _Mark, xy: Points | None, other: Points | None, weight: int) -> _Pairs:
    return one, two, xy, other, weight


def _at_end(lines: Lines, end: Index) -> _Mark:
    line = end // 2
    return line, np.where(end % 2 == 1, lines.lengths[line], 0.0)


def _joined(lines: Lines, pairs: list[_Pairs]) -> Marks:
    line, at, xy, weight, first, second = [], [], [], [], [], []
    count = 0
    for one, two, spot, other, heavy in pairs:
        size = len(one[0])
        for (owner, position), place in ((one, spot), (two, other)):
            line.append(owner)
            at.append(position)
            xy.append(points_at(lines, owner, position) if place is None else place)
        # An end that lies on a line goes there; the line stays where it is.
        weight += [np.full(size, _END if heavy == _TOUCH else heavy), np.full(size, heavy)]
        first.append(np.arange(count, count + size))
        second.append(np.arange(count + size, count + 2 * size))
        count += 2 * size
    return Marks(
        np.concatenate(line).astype(np.int64),
        np.concatenate(at).astype(np.float64),
        np.concatenate(xy).reshape(-1, 2),
        np.concatenate(weight).astype(np.int64),
        np.concatenate(first).astype(np.int64),
        np.concatenate(second).astype(np.int64),
    )


def _to_corner(lines: Lines, line: Index, position: Points, within: float) -> Points:
    """Positions on lines, moved to a corner of the line that is as good as there."""
    corner = np.flatnonzero(~lines.curved)
    if not len(line) or not len(corner):
        return position
    run = positions(lines)
    shift = np.concatenate(([0.0], np.cumsum(lines.lengths + 1.0)))[:-1]
    ruler = np.where(lines.curved, np.nan, run) + np.repeat(shift, lines.counts)
    known = ruler[corner]
    wanted = position + shift[line]
    after = np.clip(np.searchsorted(known, wanted), 1, len(known) - 1)
    nearer = np.where(wanted - known[after - 1] <= known[after] - wanted, after - 1, after)
    close = np.abs(known[nearer] - wanted) <= within
    return np.asarray(np.where(close, known[nearer] - shift[line], position))


@dataclass(frozen=True, slots=True, eq=False)
class Touches:
    """Vertices on lines, as columns: the vertex by its line and position, and the line and position under it."""

    line: Index
    at: Points
    other: Index
    at_other: Points


def net_marks(lines: Lines, node: Index, touches: Touches, crossings: Crossings, within: float) -> Marks:
    """Gather the marks of a net, in which nothing but what lies on each other meets.

    Parameters
    ----------
    node
        (2 m,) ndarray of int: see `chains.nodes`.
    touches
        Vertices that lie on lines.
    within
        A touch this close to a corner is at the corner, mm.
    """
    meeting = np.flatnonzero(node >= 0)
    at_other = _to_corner(lines, touches.other, touches.at_other, within)
    xy = crossings.xy
    pairs = [
        _pairs(_at_end(lines, meeting), _at_end(lines, node[meeting]), None, None, _END),
        _pairs((touches.line, touches.at), (touches.other, at_other), None, None, _TOUCH),
        _pairs((crossings.first, crossings.at), (crossings.second, crossings.at_other), xy, xy, _CROSSING),
    ]
    return _joined(lines, pairs)


def taking_part(lines: Lines, pick: Flags, marks: Marks) -> Flags:
    """Which lines the graph must hold, (m,): open ones, and closed ones that something ends on or crosses.

    Closed lines that only cross closed lines stay outlines of their own.
    """
    closed = lines.closed
    one, two = marks.line[marks.first], marks.line[marks.second]
    other = one != two
    joined = components(len(lines), one[other], two[other])
    open_ones = np.zeros(len(lines), bool)
    open_ones[joined[pick & ~closed]] = True
    return np.asarray(pick & (~closed | open_ones[joined]))
