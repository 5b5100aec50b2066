"""Lines too short to be meant, and points that lie on the point before them."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.planar.ends.chains import loose, nodes
from cutprep.model.lines import Flags, Lines
from cutprep.tolerance import Tolerance


def find_slivers(lines: Lines, pick: Flags, tolerance: Tolerance) -> Flags:
    """Which lines are slivers, (m,).

    A short line that links two others of its operation is a piece of a chain and no sliver; one
    whose two ends are one point is a sliver wherever it lies.
    """
    short = pick & (lines.lengths < tolerance.sliver)
    if not short.any():
        return np.asarray(short)
    node = nodes(lines, tolerance.coincide, pick, lines.operation.astype(np.int64))
    alone = loose(node).reshape(-1, 2)
    linking = (node.reshape(-1, 2) >= 0).all(axis=1) & ~alone.any(axis=1)
    return np.asarray(short & ~linking)


def repeated_points(lines: Lines, tolerance: Tolerance) -> Flags:
    """Which vertices lie on the vertex before them on the same line, (n,)."""
    if not len(lines):
        return np.zeros(0, bool)
    step = np.diff(lines.xy, axis=0, prepend=np.inf)
    same = np.asarray((np.abs(step) <= tolerance.zero).all(axis=1))
    same[lines.start[:-1]] = False
    return np.asarray(same)
