"""Time of straight moves: speed up, run, slow down.

A move has a length, a speed limit and an acceleration, and the speeds at its two ends are
given. The fastest way is a trapezoid over time; when the move is too short to reach its speed,
a triangle.
"""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Points


def peak_squared(length: Points, limit: Points, acceleration: Points, enter: Points, leave: Points) -> Points:
    """Square of the highest speed in each move.

    Parameters
    ----------
    length
        (k,) ndarray of float: mm.
    limit
        (k,) ndarray of float: speed limit, mm/s.
    acceleration
        (k,) ndarray of float: mm/s2.
    enter, leave
        (k,) ndarrays of float: squares of the speeds at both ends, mm2/s2, not above the limit's.

    Returns
    -------
    (k,) ndarray of float
        mm2/s2.

    References
    ----------
    Uniformly accelerated motion: v1^2 = v0^2 + 2 a d on both ramps, which meet at the peak.
    """
    reach = (2.0 * acceleration * length + enter + leave) / 2.0
    return np.asarray(np.minimum(np.square(limit), reach))


def ramp_times(length: Points, limit: Points, acceleration: Points, enter: Points, leave: Points) -> Points:
    """Work out the seconds of each move.

    Parameters
    ----------
    length, limit, acceleration, enter, leave
        As for `peak_squared`.

    Returns
    -------
    (k,) ndarray of float
        s.
    """
    top = peak_squared(length, limit, acceleration, enter, leave)
    peak = np.sqrt(top)
    ramps = (2.0 * peak - np.sqrt(enter) - np.sqrt(leave)) / acceleration
    even = length - (2.0 * top - enter - leave) / (2.0 * acceleration)
    return np.asarray(ramps + np.maximum(even, 0.0) / peak)
