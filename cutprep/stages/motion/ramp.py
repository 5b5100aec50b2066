"""Time of straight moves: speed up, run, slow down.

A move has a length, a speed limit and an acceleration, and the speeds at its two ends are
given. The fastest way is a trapezoid over time; when the move is too short to reach its speed,
a triangle.
"""

from __future__ import annotations

import math

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


def time_at_rest(length: float, limit: float, acceleration: float) -> float:
    """Work out the seconds of one move that starts and ends at rest.

    Parameters
    ----------
    length
        mm.
    limit
        mm/s.
    acceleration
        mm/s2.
    """
    if length >= limit * limit / acceleration:
        return length / limit + limit / acceleration
    return 2.0 * math.sqrt(length / acceleration)


def time_with_jerk(length: float, limit: float, acceleration: float, jerk: float) -> float:
    """Work out the seconds of one move from rest to rest when the acceleration, too, takes time to build up.

    The look-ahead works without a jerk limit; this tells what leaving it out costs.

    Parameters
    ----------
    length, limit, acceleration
        mm, mm/s, mm/s2.
    jerk
        mm/s3.

    References
    ----------
    Integrating a constant jerk: a ramp from rest to v takes v/a + a/j, or 2 sqrt(v/j) when a is
    never reached, and covers v/2 times that.
    """
    a, j = acceleration, jerk
    ramp = limit / a + a / j if limit * j >= a * a else 2.0 * math.sqrt(limit / j)
    if length >= limit * ramp:
        return length / limit + ramp
    if length >= 2.0 * a**3 / j**2:
        lost = a * a / j
        peak = (-lost + math.sqrt(lost * lost + 4.0 * a * length)) / 2.0
        return 2.0 * (peak / a + a / j)
    return 4.0 * math.cbrt(length / (2.0 * j))
