"""Find the fold angles at which given points of the panels come together.

Damped Gauss-Newton (Levenberg 1944, Marquardt 1963) with the exact derivative: a point turns
about a hinge along axis x arm. A few dozen unknowns and a start near the answer make this a
matter of milliseconds in numpy; scipy's solver was measured beside it and brought nothing but
its size (tests/bench/fold.py prints the comparison).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.geometry.hinged import Tree, place
from cutprep.model.lines import Flags, Index, Points

#: Distance below which points have met as well as floating point allows, in units of the part's size.
_MET = 1e-13  # not a tolerance: stops the iteration, decides nothing
_STEPS = 60


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


def paths(tree: Tree) -> Flags:
    """Which panels' hinges lie above each panel: (p, p) bool, row panel, column hinge owner."""
    count = len(tree.parent)
    above = np.zeros((count, count), bool)
    for level in tree.levels[1:]:
        above[level] = above[tree.parent[level]]
        above[level, level] = True
    return above


def distances(tree: Tree, meetings: Meetings, radians: Points) -> Points:
    """Differences of each pair in space, (m, 3), mm."""
    turn, shift = place(tree, radians)
    a, b = (_carried(turn, shift, meetings, side) for side in (0, 1))
    return np.asarray(a - b)


def _carried(turn: Points, shift: Points, meetings: Meetings, side: int) -> Points:
    panel = meetings.panel[:, side]
    return np.asarray(np.einsum("mij,mj->mi", turn[panel][:, :, :2], meetings.xy[:, side]) + shift[panel])


def jacobian(
    tree: Tree, meetings: Meetings, radians: Points, free: Index, above: Flags
) -> tuple[Points, Points]:
    """Differences of each pair, and how they change with each free angle.

    Returns
    -------
    tuple of (m, 3) and (m, 3, k) ndarray of float
    """
    turn, shift = place(tree, radians)
    parent = tree.parent[free]
    axis = np.einsum("kij,kj->ki", turn[parent], tree.axis[free])
    origin = np.einsum("kij,kj->ki", turn[parent], tree.origin[free]) + shift[parent]
    total = np.zeros((len(meetings), len(free), 3))
    points = []
    for side, sign in ((0, 1.0), (1, -1.0)):
        point = _carried(turn, shift, meetings, side)
        moves = above[meetings.panel[:, side]][:, free]
        arm = point[:, None, :] - origin[None, :, :]
        total += sign * moves[:, :, None] * np.cross(axis[None, :, :], arm)
        points.append(point)
    return points[0] - points[1], total.transpose(0, 2, 1)


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
    angles = start.copy()
    if not len(meetings) or not len(free):
        gaps = np.linalg.norm(distances(tree, meetings, angles), axis=1) if len(meetings) else np.zeros(0)
        return Answer(angles, gaps, 0)
    above = paths(tree)
    damping, steps = 1e-3, 0  # not a tolerance: first damping, adapted at every step
    r, j = _system(tree, meetings, angles, free, above, size)
    cost = _cost(r, angles, start, free, pull)
    while steps < _STEPS and cost > _MET**2 and damping < 1e10:
        steps += 1
        left = j.T @ j + (damping + pull**2) * np.eye(len(free))
        right = j.T @ r + pull**2 * (angles - start)[free]
        step = -np.linalg.solve(left, right)
        step = np.clip(step, -1.0, 1.0)
        tried = angles.copy()
        tried[free] += step
        r_new, j_new = _system(tree, meetings, tried, free, above, size)
        new = _cost(r_new, tried, start, free, pull)
        if new < cost:
            small = cost - new <= 1e-12 * cost and damping <= 1e-12  # not a tolerance: standstill
            angles, r, j, cost, damping = tried, r_new, j_new, new, max(damping / 10, 1e-15)  # not a tolerance: see above
            if small:
                break
        else:
            damping *= 10
    return Answer(angles, np.linalg.norm(distances(tree, meetings, angles), axis=1), steps)


def _system(
    tree: Tree, meetings: Meetings, angles: Points, free: Index, above: Flags, size: float
) -> tuple[Points, Points]:
    r, j = jacobian(tree, meetings, angles, free, above)
    return r.ravel() / size, j.reshape(-1, len(free)) / size


def _cost(r: Points, angles: Points, start: Points, free: Index, pull: float) -> float:
    return float(r @ r + pull**2 * ((angles - start)[free] ** 2).sum())


def loose_angles(tree: Tree, meetings: Meetings, answer: Answer, free: Index, size: float) -> Flags:
    """Which free angles can still move when all pairs stay together (null space of the Jacobian)."""
    if not len(free):
        return np.zeros(0, bool)
    if not len(meetings):
        return np.ones(len(free), bool)
    _, j = _system(tree, meetings, answer.radians, free, paths(tree), size)
    _, values, rows = np.linalg.svd(j, full_matrices=True)
    rank = int((values > 1e-5 * max(1.0, float(values.max(initial=0.0)))).sum())  # not a tolerance: rank
    return np.asarray((np.abs(rows[rank:]) > 1e-3).any(axis=0))  # not a tolerance: share in a free motion
