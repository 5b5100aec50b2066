"""Flat panels turned about their hinges: where each one comes to lie in space.

All panels keep the coordinates of the flat drawing; a pose is one rotation and one shift a
panel. Turning panel c about a hinge line by an angle, and then moving it with the panel it
hangs on, is the whole of rigid folding along a tree.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.model.folded import FoldReport
from cutprep.model.lines import Flags, Index, Points

_STILL = np.eye(3)


@dataclass(frozen=True, slots=True, eq=False)
class Tree:
    """Panels hanging on one another.

    Attributes
    ----------
    root
        The panel that stays put.
    members
        (k,) ndarray of int: panels of the tree, each after the one it hangs on.
    parent
        (p,) ndarray of int: panel above, -1 for the first and for panels outside the tree.
    hinge
        (p,) ndarray of int: hinge to the panel above, -1 likewise.
    origin, axis
        (p, 3) ndarray of float each: a point on that hinge and its direction, in the flat; the
        panel lies on the left, so a positive angle lifts it towards the viewer.
    jumps
        (p + 1,) ndarray of int each: the panel 1, 2, 4, 8 ... above; p where there is none.
    cross, outer
        (p, 3, 3) ndarray of float each: the matrices of Rodrigues' formula for each axis.
    """

    root: int
    members: Index
    parent: Index
    hinge: Index
    origin: Points
    axis: Points
    jumps: tuple[Index, ...]
    cross: Points
    outer: Points

    @property
    def above(self) -> Flags:
        """Whose hinges lie above each panel, its own included: (p, p) bool."""
        count = len(self.parent)
        found = np.zeros((count, count), bool)
        for panel in self.members[1:].tolist():
            found[panel] = found[self.parent[panel]]
            found[panel, panel] = True
        return found


def hang(count: int, ends: Points, order: Index, parent: Index, via: Index, left: Index) -> Tree:
    """Build a tree from parents.

    Parameters
    ----------
    count
        Number of panels.
    ends
        (h, 2, 2) ndarray of float: hinge ends, flat.
    order
        (k,) ndarray of int: panels, each after its parent.
    parent, via
        (count,) ndarray of int.
    left
        (h,) ndarray of int: the panel left of each hinge's run.
    """
    origin, axis = np.zeros((count, 3)), np.zeros((count, 3))
    hung = np.flatnonzero(via >= 0)
    if len(hung):
        runs = ends[via[hung]]
        along = runs[:, 1] - runs[:, 0]
        along /= np.hypot(along[:, 0], along[:, 1])[:, None]
        along[left[via[hung]] != hung] *= -1.0
        origin[hung, :2], axis[hung, :2] = runs[:, 0], along
    jump = np.append(np.where(parent < 0, count, parent), count).astype(np.int64)
    jumps = []
    while (jump < count).any():
        jumps.append(jump)
        jump = jump[jump]
    order = np.asarray(order, dtype=np.int64)
    return Tree(
        int(order[0]),
        order,
        parent.astype(np.int64),
        via.astype(np.int64),
        origin,
        axis,
        tuple(jumps),
        *_about(axis),
    )


def _about(axis: Points) -> tuple[Points, Points]:
    """Cross-product and outer-product matrices of unit axes (k, 3), (k, 3, 3) each."""
    x, y, z = axis.T
    zero = np.zeros_like(x)
    cross = np.stack((zero, -z, y, z, zero, -x, -y, x, zero), axis=-1).reshape(-1, 3, 3)
    return cross, axis[:, :, None] * axis[:, None, :]


def _turned(cross: Points, outer: Points, radians: Points) -> Points:
    c, s = np.cos(radians)[:, None, None], np.sin(radians)[:, None, None]
    return np.asarray(c * _STILL + s * cross + (1 - c) * outer)


def turn_about(axis: Points, radians: Points) -> Points:
    """Rotation matrices about unit axes (Rodrigues' formula), (k, 3, 3)."""
    return _turned(*_about(axis), radians)


def pose_panels(tree: Tree, radians: Points) -> tuple[Points, Points]:
    """Turn every hinge of a tree.

    Parameters
    ----------
    radians
        (p,) ndarray of float: fold angle of the hinge above each panel.

    Returns
    -------
    tuple of (p, 3, 3) and (p, 3) ndarray of float
        Rotation and shift of each panel.

    Notes
    -----
    The turns of the 1, 2, 4, 8 ... hinges above are put together by doubling, so that a strip
    of 100 panels takes 7 rounds instead of 100.
    """
    count = len(tree.parent)
    turn, shift = np.empty((count + 1, 3, 3)), np.zeros((count + 1, 3))
    turn[:count] = _turned(tree.cross, tree.outer, np.where(tree.hinge >= 0, radians, 0.0))
    turn[count] = _STILL
    shift[:count] = tree.origin - np.einsum("kij,kj->ki", turn[:count], tree.origin)
    for jump in tree.jumps:
        first = turn[jump]
        shift = np.einsum("kij,kj->ki", first, shift) + shift[jump]
        turn = first @ turn
    return turn[:count], shift[:count]


def carry(turn: Points, shift: Points, xy: Points) -> Points:
    """Bring flat points (n, 2) of one panel into space, (n, 3)."""
    return np.asarray(xy @ turn[:, :2].T + shift)


def tree_of(report: FoldReport) -> Tree | None:
    """The tree along which a report's panels hang, or None when it has no motion."""
    motion = report.motion
    if motion is None:
        return None
    ends = np.array([h.ends for h in report.hinges]).reshape(-1, 2, 2)
    left = np.array([h.b for h in report.hinges], dtype=np.int64)
    return hang(len(report.panels), ends, motion.order, motion.parent, motion.via, left)


def angles_at(report: FoldReport, fraction: float) -> Points:
    """Fold angle above every panel at a fraction of folding, radians, (p,)."""
    motion = report.motion
    if motion is None:
        return np.zeros(len(report.panels))
    f = float(np.clip(fraction, 0.0, 1.0))
    high = int(np.clip(np.searchsorted(motion.fractions, f), 1, len(motion.fractions) - 1))
    low = high - 1
    span = motion.fractions[high] - motion.fractions[low]
    share = (f - motion.fractions[low]) / span
    degrees = motion.angles[low] * (1 - share) + motion.angles[high] * share
    above = np.append(degrees, 0.0)[motion.via]
    return np.asarray(np.radians(above))


def pose(report: FoldReport, fraction: float = 1.0) -> tuple[Points, ...]:
    """Corners of every panel at a fraction of folding.

    Parameters
    ----------
    fraction
        0 flat ... 1 folded.

    Returns
    -------
    tuple of (n, 3) ndarray of float
        Panel outlines in space, mm, in the order of `report.panels`. The panel that all hang
        on stays in the plane of the drawing.
    """
    tree = tree_of(report)
    if tree is None:
        return tuple(np.column_stack((p.outline, np.zeros(len(p.outline)))) for p in report.panels)
    turn, shift = pose_panels(tree, angles_at(report, fraction))
    return tuple(carry(turn[i], shift[i], p.outline) for i, p in enumerate(report.panels))


def carried(report: FoldReport, panel: int, xy: Points, fraction: float = 1.0) -> Points:
    """Bring flat points of one panel into space at a fraction of folding, (n, 3).

    Parameters
    ----------
    report
        A folded part.
    panel
        Index of its panel.
    xy
        (n, 2) ndarray of float: points on the flat panel, mm.
    fraction
        0 flat, 1 folded.
    """
    tree = tree_of(report)
    if tree is None:
        return np.column_stack((xy, np.zeros(len(xy))))
    turn, shift = pose_panels(tree, angles_at(report, fraction))
    return carry(turn[panel], shift[panel], xy)
