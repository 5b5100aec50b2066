"""2 x 3 affine matrices as plain arrays: compose, invert, apply.

>>> import numpy as np
>>> apply(compose(shift(10, 0), quarter_turn(1)), np.array([[1.0, 0.0]])).tolist()
[[10.0, 1.0]]
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from cutprep.model.lines import Points

_QUARTERS = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))


def shift(dx: float, dy: float) -> Points:
    """Move by (dx, dy)."""
    return np.array([[1.0, 0.0, dx], [0.0, 1.0, dy]])


def scale(sx: float, sy: float | None = None) -> Points:
    """Scale about the origin; (2, 3)."""
    return np.array([[sx, 0.0, 0.0], [0.0, sx if sy is None else sy, 0.0]])


def turn(degrees: float) -> Points:
    """Turn counter-clockwise about the origin; quarter turns are exact; (2, 3)."""
    quarters, rest = divmod(degrees, 90.0)
    if not rest:
        return quarter_turn(int(quarters))
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return np.array([[c, -s, 0.0], [s, c, 0.0]])


def quarter_turn(count: int) -> Points:
    """Turn by count x 90 degrees counter-clockwise, without rounding; (2, 3)."""
    c, s = _QUARTERS[count % 4]
    return np.array([[c, -s, 0.0], [s, c, 0.0]])


def compose(*matrices: ArrayLike) -> Points:
    """Multiply matrices; the last one is applied first; each (2, 3)."""
    result = np.eye(3)
    for matrix in matrices:
        square = np.eye(3)
        square[:2] = matrix
        result = result @ square
    return result[:2]


def invert(matrix: ArrayLike) -> Points:
    """Invert a matrix; (2, 3).

    Raises
    ------
    ValueError
        When it flattens the plane.
    """
    m = np.asarray(matrix, dtype=np.float64)
    det = m[0, 0] * m[1, 1] - m[0, 1] * m[1, 0]
    if det == 0 or not math.isfinite(det):
        raise ValueError("the matrix can't be inverted")
    linear = np.array([[m[1, 1], -m[0, 1]], [-m[1, 0], m[0, 0]]]) / det
    return np.column_stack((linear, -linear @ m[:, 2]))


def apply(matrix: ArrayLike, xy: ArrayLike) -> Points:
    """Apply a matrix to (n, 2) points."""
    m = np.asarray(matrix, dtype=np.float64)
    points = np.asarray(xy, dtype=np.float64)
    x, y = points[..., 0], points[..., 1]
    return np.stack((x * m[0, 0] + y * m[0, 1] + m[0, 2], x * m[1, 0] + y * m[1, 1] + m[1, 2]), axis=-1)


def stretch(matrix: ArrayLike) -> float:
    """Largest factor by which a matrix lengthens any direction (its first singular value)."""
    m = np.asarray(matrix, dtype=np.float64)[:, :2]
    return float(np.linalg.norm(m, 2))
