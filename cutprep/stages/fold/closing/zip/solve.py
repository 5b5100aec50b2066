"""Find the fold angles at which given points of the panels come together.

Damped Gauss-Newton (Levenberg 1944, Marquardt 1963) with the exact derivative: a point turns
about a hinge along axis x arm. A few dozen unknowns and a start near the answer make this a
matter of milliseconds in numpy; scipy's solver was measured beside it and brought nothing but
its size (tests/bench/fold.py prints the comparison).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.geometry.space.hinged import Tree, pose_panels
from cutprep.model.lines import Flags, Index, Points

#: Distance below which points have met as well as floating point allows, in units of the part's size.
_MET = 1e-12  # not a tolerance: stops the iteration, decides nothing
_STEPS = 40
#: Damping to begin with, its least, and beyond which no step helps; it adapts at every step.
_FIRST_DAMPING, _LEAST_DAMPING, _HOPELESS = 1e-3, 1e-15, 1e10  # not a tolerance: see above
#: Steps in a row that gain less than this share end the search.
_GAIN, _IDLE_STEPS = 1e-4, 4  # not a tolerance: standstill
#: A motion that stretches a seam by less than this share of itself is free; angles that take
#: less than the second share in it are held.
_LOOSE, _SHARE = 1e-4, 1e-3  # not a tolerance: rank of a matrix
#: What can move is turned by so much to see whether it does, radians (20 degrees, at most 60 elsewhere);
#: it has when the pairs then stay within so many mm, and what turns by more than the last moves with it.
_TURN, _MOST_TURN, _KEPT, _MOVED = 0.35, 1.05, 0.2, 0.02


@dataclass(frozen=True, slots=True, eq=False)
class Meetings:
    """Pairs of points that are to come together.

    Attributes
    ----------
    panel
        (m, 2) ndarray of int: the two panels.
    xy
        (m, 2, 2) ndarray of float: the point in each, flat, mm.
    """

    panel: Index
    xy: Points

    def __len__(self) -> int:
        return len(self.panel)


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """Angles found.

    Attributes
    ----------
    radians
        (p,) ndarray of float: fold angle of the hinge above each panel.
    gaps
        (m,) ndarray of float: distance of each pair, mm.
    steps
        Iterations used.
    """

    radians: Points
    gaps: Points
    steps: int


def distances(tree: Tree, meetings: Meetings, radians: Points) -> Points:
    """Differences of each pair in space, (m, 3), mm."""
    return _apart(*pose_panels(tree, radians), meetings)


def _apart(turn: Points, shift: Points, meetings: Meetings) -> Points:
    return np.asarray(_carried(turn, shift, meetings, 0) - _carried(turn, shift, meetings, 1))


def _carried(turn: Points, shift: Points, meetings: Meetings, side: int) -> Points:
    panel = meetings.panel[:, side]
    return np.asarray(np.einsum("mij,mj->mi", turn[panel][:, :, :2], meetings.xy[:, side]) + shift[panel])


def _turning(axis: Points) -> Points:
    """Matrix that gives the cross products of axes (k, 3) with the points it is multiplied by, (3, 3 k).

    Column i k + h holds component i of axis h; one product of matrices then serves all of them.
    """
    x, y, z = axis.T
    zero = np.zeros_like(x)
    rows = ((zero, z, -y), (-z, zero, x), (y, -x, zero))
    return np.array([np.concatenate(row) for row in rows])


def jacobian(tree: Tree, meetings: Meetings, radians: Points, free: Index, above: Flags) -> Points:
    """How the difference of each pair changes with each free angle, (m, 3, k), mm a radian.

    Parameters
    ----------
    tree, meetings
        Panels on their hinges, and m pairs of points.
    radians
        (p,) ndarray of float: fold angle of the hinge above each panel.
    free
        (k,) ndarray of int: panels whose hinge may turn.
    above
        (p, p) ndarray of bool: whether the hinge of the second panel carries the first.
    """
    return _jacobian(tree, pose_panels(tree, radians), meetings, free, above)


def _jacobian(
    tree: Tree, posed: tuple[Points, Points], meetings: Meetings, free: Index, above: Flags
) -> Points:
    turn, shift = posed
    parent = tree.parent[free]
    axis = np.einsum("kij,kj->ki", turn[parent], tree.axis[free])
    origin = np.einsum("kij,kj->ki", turn[parent], tree.origin[free]) + shift[parent]
    turning = _turning(axis)
    still = np.einsum("kj,jik->ik", origin, turning.reshape(3, 3, -1))
    total = np.zeros((len(meetings), 3, len(free)))
    for side, sign in ((0, 1.0), (1, -1.0)):
        moves = sign * above[meetings.panel[:, side]][:, free]
        swept = (_carried(turn, shift, meetings, side) @ turning).reshape(-1, 3, len(free)) - still
        swept *= moves[:, None, :]
        total += swept
    return total


def solve(
    tree: Tree, meetings: Meetings, start: Points, free: Index, *, size: float, pull: float = 0.0
) -> Answer:
    """Bring the pairs together as well as possible, in the sense of least squares.

    Parameters
    ----------
    start
        (p,) ndarray of float: angles to begin with, radians.
    free
        Panels whose hinge may turn; the others keep their start.
    size
        Length that makes the distances comparable with angles, mm.
    pull
        Weight that holds the angles to the start; 0 lets go.
    """
    angles, steps = start.copy(), 0
    if len(meetings) and len(free):
        angles, steps = _descend(tree, meetings, start, free, size, pull)
    gaps = np.linalg.norm(distances(tree, meetings, angles), axis=1) if len(meetings) else np.zeros(0)
    return Answer(angles, gaps, steps)


def _descend(
    tree: Tree, meetings: Meetings, start: Points, free: Index, size: float, pull: float
) -> tuple[Points, int]:
    """Step downhill until the pairs have met or nothing gains any more."""
    above = tree.above

    def cost_of(angles: Points) -> tuple[tuple[Points, Points], Points, float]:
        posed = pose_panels(tree, angles)
        r = _apart(*posed, meetings).ravel() / size
        return posed, r, float(r @ r + pull**2 * ((angles - start)[free] ** 2).sum())

    angles, damping, idle, steps = start.copy(), _FIRST_DAMPING, 0, 0
    posed, r, cost = cost_of(angles)
    stale, left, right = True, np.empty(0), np.empty(0)
    while steps < _STEPS and cost > _MET**2 and damping < _HOPELESS and idle < _IDLE_STEPS:
        steps += 1
        if stale:
            j = _jacobian(tree, posed, meetings, free, above).reshape(-1, len(free)) / size
            left, right, stale = j.T @ j, j.T @ r + pull**2 * (angles - start)[free], False
        try:
            step = -np.linalg.solve(left + (damping + pull**2) * np.eye(len(free)), right)
        except np.linalg.LinAlgError:  # an angle that moves nothing, and damping lost in rounding
            damping *= 10
            continue
        tried = angles.copy()
        tried[free] += np.clip(step, -1.0, 1.0)
        posed_there, r_new, new = cost_of(tried)
        if new < cost:
            idle = idle + 1 if cost - new < _GAIN * cost else 0
            angles, posed, r, cost, stale = tried, posed_there, r_new, new, True
            damping = max(damping / 10, _LEAST_DAMPING)
        else:
            if float(np.abs(step).max()) < _MET:
                break
            damping *= 10
    return angles, steps


def loose_angles(
    tree: Tree, meetings: Meetings, radians: Points, free: Index, size: float, slack: float = _LOOSE
) -> Flags:
    """Which free angles can still move when all pairs stay together, (k,).

    What can move at first (the null space of the Jacobian) is turned a good way and closed again: petals
    that meet in one plane can tremble, but not move.

    Parameters
    ----------
    tree, meetings, radians, free
        As for `jacobian`.
    size
        Length that makes the distances comparable with angles, mm.
    slack
        A motion that stretches the pairs by less than this share of itself is free.
    """
    if not len(free):
        return np.zeros(0, bool)
    if not len(meetings):
        return np.ones(len(free), bool)
    j = jacobian(tree, meetings, radians, free, tree.above).reshape(-1, len(free)) / size
    values, rows = np.linalg.eigh(j.T @ j)
    null = rows[:, values < slack**2 * max(1.0, float(values.max()))]
    may = np.asarray((np.abs(null) > _SHARE).any(axis=1))
    closed = float(np.linalg.norm(distances(tree, meetings, radians), axis=1).max())
    found = np.zeros(len(free), bool)
    for k in np.flatnonzero(may).tolist():
        if not found[k]:
            moved = _moved_by(tree, meetings, radians, free, size, k, null @ null[k], _KEPT + 2.0 * closed)
            found |= may & (moved > _MOVED)
    return found


def _moved_by(
    tree: Tree,
    meetings: Meetings,
    radians: Points,
    free: Index,
    size: float,
    k: int,
    direction: Points,
    within: float,
) -> Points:
    """How far each free angle has turned when one is turned a good way and all is closed; 0 if that fails."""
    others = np.delete(free, k)
    for step in (_TURN, -_TURN):
        start = radians.copy()
        start[free] += step * direction / direction[k]
        if np.abs(start[free] - radians[free]).max() > _MOST_TURN:
            start = radians.copy()
            start[free] += step * direction / np.abs(direction).max()
        answer = solve(tree, meetings, start, others, size=size)
        if answer.gaps.max(initial=0.0) <= within:
            return np.abs(answer.radians - radians)[free]
    return np.zeros(len(free))
