"""How much a line turns at its vertices, and which vertices are corners."""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Flags, Points


def turns(points: Points) -> Points:
    """Turning angle at every vertex of one line.

    Parameters
    ----------
    points
        (n, 2) vertices, mm.

    Returns
    -------
    (n,) ndarray of float
        Degrees, counter-clockwise positive, 0 at the ends of an open line; at both ends of a
        closed one the turn across the closing. A step of no length turns by nothing.
    """
    steps = np.diff(points, axis=0)
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    still = (steps == 0).all(axis=1)
    if still.any():
        moving = np.flatnonzero(~still)
        if not len(moving):
            return np.zeros(len(points))
        fill = np.maximum(np.searchsorted(moving, np.arange(len(steps)), side="right") - 1, 0)
        heading = heading[moving[fill]]
    result = np.zeros(len(points))
    result[1:-1] = _wrap(np.diff(heading))
    if len(points) >= 4 and bool((points[0] == points[-1]).all()):
        result[0] = result[-1] = _wrap(heading[:1] - heading[-1:])[0]
    return np.degrees(result)


def corners(points: Points, curved: Flags, sharper: float) -> Flags:
    """Which vertices are corners: they turn by more than `sharper` degrees and lie in no curve; points (n, 2) mm, flags (n,)."""
    return np.asarray((np.abs(turns(points)) > sharper) & ~curved)


def _wrap(angle: Points) -> Points:
    return np.asarray((angle + np.pi) % (2 * np.pi) - np.pi)
