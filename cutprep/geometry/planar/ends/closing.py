"""Where ends that miss each other, or the line they should meet, by a little are brought together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutprep.geometry.lines.segments import point_at, points_at
from cutprep.geometry.planar.ends.joints import Joints
from cutprep.model.lines import Lines, Points

#: Ends whose lines meet at a sine of less than this have no corner to meet in (12 degrees).
_FLAT = 0.2


def closing_points(lines: Lines, joints: Joints, gap: float) -> tuple[Points, Points]:
    """Find where gaps close.

    Straight lines at an angle are carried on, or cut back, to their corner; others meet halfway. No
    end moves by more than the gap.

    Parameters
    ----------
    joints
        Which ends face each other (`link`) or stop short of a line (`tee`).
    gap
        Largest distance by which an end moves, mm.

    Returns
    -------
    link, tee
        (k, 2) and (t, 2) ndarray of float: a point for each, mm.
    """
    link = [_meeting(lines, one, two, gap) for one, two in joints.link.tolist()]
    targets = points_at(lines, joints.tee_line, joints.tee_position)
    columns = (joints.tee.tolist(), joints.tee_line.tolist(), joints.tee_position.tolist(), targets)
    tee = [_onto(lines, end, other, at, target, gap) for end, other, at, target in zip(*columns, strict=True)]
    return np.array(link).reshape(-1, 2), np.array(tee).reshape(-1, 2)


def closed_up(lines: Lines, joints: Joints, gap: float) -> Lines:
    """Move ends to where gaps close; the very same lines when there are none.

    Parameters
    ----------
    gap
        Largest distance by which an end moves, mm.
    """
    if not (len(joints.link) or len(joints.tee)):
        return lines
    link, tee = closing_points(lines, joints, gap)
    xy = lines.xy.copy()
    for (one, two), spot in zip(joints.link.tolist(), link, strict=True):
        xy[row_of(lines, one)] = xy[row_of(lines, two)] = spot
    for end, spot in zip(joints.tee.tolist(), tee, strict=True):
        xy[row_of(lines, end)] = spot
    return replace(lines, xy=xy)


def row_of(lines: Lines, end: int) -> int:
    """Row of an end among the vertices; ends are 2 i and 2 i + 1 of line i."""
    return int(lines.start[end // 2 + 1] - 1 if end % 2 else lines.start[end // 2])


def _last_step(lines: Lines, end: int) -> tuple[Points, Points]:
    """The end itself, and the step of the line that leads to it."""
    row = row_of(lines, end)
    return lines.xy[row], lines.xy[row] - lines.xy[row - 1 if end % 2 else row + 1]


def _cross(a: Points, b: Points) -> float:
    return float(a[0] * b[1] - a[1] * b[0])


def _meeting(lines: Lines, one: int, two: int, gap: float) -> Points:
    """Where two ends meet: the corner of their lines when it is near, else halfway."""
    (p, u), (q, v) = _last_step(lines, one), _last_step(lines, two)
    long_u, long_v = float(np.hypot(*u)), float(np.hypot(*v))
    cross = _cross(u, v)
    if abs(cross) > _FLAT * long_u * long_v > 0:
        t, s = _cross(q - p, v) / cross, _cross(q - p, u) / cross
        # Carried on by no more than the gap, or cut back by less than the last step.
        if -1 < t <= gap / long_u and -1 < s <= gap / long_v and max(-t * long_u, -s * long_v) <= gap:
            return np.asarray(p + u * t)
    return np.asarray((p + q) / 2)


def _onto(lines: Lines, end: int, other: int, position: float, nearest: Points, gap: float) -> Points:
    """Where an end meets another line: straight on when that is near, else the nearest point."""
    p, u = _last_step(lines, end)
    points = lines.points(other)
    around = [point_at(points, position + step) for step in (-gap, gap)]
    v = around[1] - around[0]
    cross, size = _cross(u, v), float(np.hypot(*u)) * float(np.hypot(*v))
    if abs(cross) > _FLAT * size > 0:
        t = _cross(around[0] - p, v) / cross
        hit = p + u * t
        straight = abs(_cross(nearest - around[0], v)) <= np.hypot(*v) ** 2 * np.finfo(float).eps * 64
        if 0 < t * np.hypot(*u) <= gap and straight:
            return np.asarray(hit)
    return nearest
