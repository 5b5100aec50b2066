"""How fast a machine may run from one straight move into the next.

No real machine can change direction at once. The path is thought of as cutting the corner on a
circle that touches both moves and passes the corner at a stated distance, the junction
deviation; the speed is the one at which the circle's centripetal acceleration is just allowed.
The path itself is not rounded.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from cutprep.model.lines import Points

#: Cosine beyond which two moves count as straight on, or as a reversal.
_STRAIGHT = 0.999999


def limit_along(direction: Points, per_axis: tuple[float, float], overall: float = np.inf) -> Points:
    """Largest speed or acceleration along directions that no axis exceeds.

    Parameters
    ----------
    direction
        (k, 2) unit vectors.
    per_axis
        Limits of x and y.
    overall
        Limit whatever the direction.

    Returns
    -------
    (k,) ndarray of float
        min over axes of limit / |component|; a diagonal may be faster than an axis.
    """
    # A component near 0 asks nothing of its axis; the floor only keeps the division finite.
    parts = np.maximum(np.abs(direction), 1e-12)  # not a tolerance: guards a division
    return np.asarray(np.minimum((np.asarray(per_axis) / parts).min(axis=1, initial=np.inf), overall))


def corner_speed_squared(cosine: ArrayLike, acceleration: ArrayLike, deviation: float) -> Points:
    """Square of the speed allowed through corners.

    Parameters
    ----------
    cosine
        (k,) array: cosine of the interior angle (-1 is straight on, 1 a reversal).
    acceleration
        (k,) array: mm/s2.
    deviation
        Junction deviation, mm.

    Returns
    -------
    (k,) ndarray of float
        mm2/s2; infinite when straight on, 0 at a reversal.

    References
    ----------
    S. K. Jeon, cornering algorithm (24 September 2011): v^2 = a delta s / (1 - s), where s is the
    sine of half the interior angle.
    """
    c = np.asarray(cosine, dtype=np.float64)
    half = np.sqrt(np.clip((1.0 - c) / 2.0, 0.0, 1.0))
    with np.errstate(divide="ignore", invalid="ignore"):
        squared = np.asarray(acceleration) * deviation * half / (1.0 - half)
    squared = np.where(c > _STRAIGHT, 0.0, squared)
    return np.asarray(np.where(c < -_STRAIGHT, np.inf, squared))


def junction_squared(
    direction: Points, along: Points, per_axis: tuple[float, float], overall: float, deviation: float
) -> Points:
    """Square of the speed allowed at each junction of consecutive moves.

    The acceleration is the least of the two moves' own and of the one allowed in the direction
    in which the velocity changes: no axis is asked for more than it can give.

    Parameters
    ----------
    direction
        (k, 2) unit vectors.
    along
        (k,) accelerations along them, mm/s2.
    per_axis, overall
        Acceleration limits, mm/s2.
    deviation
        Junction deviation, mm.

    Returns
    -------
    (k - 1,) ndarray of float
        mm2/s2.
    """
    before, after = direction[:-1], direction[1:]
    change = after - before
    size = np.hypot(*change.T)
    unit = change / np.where(size > 0, size, 1.0)[:, None]
    acceleration = np.minimum(np.minimum(along[:-1], along[1:]), limit_along(unit, per_axis, overall))
    return corner_speed_squared(-(before * after).sum(axis=1), acceleration, deviation)
