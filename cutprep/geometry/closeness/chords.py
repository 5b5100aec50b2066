"""Distances of points to chords, in columns: worked out, or bounded from above in a tenth of the time.

The bound of a point is its distance to the two chords that meet in the vertex nearest to it. It is the distance itself
unless another chord passes nearer, so whoever seeks the greatest distance of many points works out few of them: a
point whose bound is below a distance already known can't be the farthest (Taha and Hanbury, IEEE Trans. Pattern Anal.
Mach. Intell. 37, 2015, stop early by the same argument).
"""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Points

#: With so few chords all of them are worked out: a bound would take as long.
FEW = 12


def chords_of(line: Points) -> Points:
    """Both ends of each chord of a line, (k, 4)."""
    chords = np.empty((len(line) - 1, 4))
    chords[:, :2], chords[:, 2:] = line[:-1], line[1:]
    return chords


def squared(points: Points, chords: Points) -> Points:
    """Squared distances of points (g, n, 2) to chords (g, n, 4), or of other shapes that go together, mm2."""
    ax, ay = chords[..., 0], chords[..., 1]
    dx, dy = chords[..., 2] - ax, chords[..., 3] - ay
    square = dx * dx + dy * dy
    inverse = np.divide(1.0, square, out=np.zeros_like(square), where=square > 0)
    ex, ey = points[..., 0] - ax, points[..., 1] - ay
    share = np.clip((ex * dx + ey * dy) * inverse, 0.0, 1.0)
    ex -= share * dx
    ey -= share * dy
    return np.asarray(ex * ex + ey * ey)


def bounds(points: Points, chords: Points) -> Points:
    """Bound the squared distance of each point to the chords of its row from above.

    Parameters
    ----------
    points
        (g, n, 2) mm.
    chords
        (g, k, 4) mm.

    Returns
    -------
    (g, n) ndarray of float
        mm2; with no more than `FEW` chords the squared distance itself.
    """
    g, k = chords.shape[:2]
    if k <= FEW:
        return np.asarray(squared(points[:, :, None], chords[:, None]).min(axis=2))
    # |p - v|2 less |p|2, which is the same for all vertices v; from a corner of its own for each row, so that it is exact
    # to a billionth.
    corner = chords[:, :1, :2]
    vertex, spot = chords[..., :2] - corner, points - corner
    faced = np.empty((g, 3, k))
    faced[:, 0], faced[:, 1] = -2.0 * vertex[..., 0], -2.0 * vertex[..., 1]
    faced[:, 2] = (vertex * vertex).sum(axis=2)
    led = np.ones((g, points.shape[1], 3))
    led[..., :2] = spot
    nearest = np.matmul(led, faced).argmin(axis=2)
    rows = np.arange(g)[:, None]
    here, before = (squared(points, chords[rows, np.maximum(nearest - back, 0)]) for back in (0, 1))
    return np.minimum(here, before)
