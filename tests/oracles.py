"""Slow, obvious versions of what the program does cleverly. They share no code with it."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np


def slow_tip(pivot: np.ndarray, offset: float, heading: float, step: float = 2e-3) -> np.ndarray:
    """Tip of a drag knife, by Runge-Kutta steps of d(phi)/ds = sin(alpha - phi)/e."""
    phi = heading
    path = [pivot[0] - offset * np.array([math.cos(phi), math.sin(phi)])]
    for begin, end in pairwise(pivot):
        dx, dy = (end - begin).tolist()
        length = math.hypot(dx, dy)
        if not length:
            continue
        alpha, n = math.atan2(dy, dx), max(1, math.ceil(length / step))
        h = length / n
        for k in range(1, n + 1):
            k1 = math.sin(alpha - phi) / offset
            k2 = math.sin(alpha - phi - h * k1 / 2) / offset
            k3 = math.sin(alpha - phi - h * k2 / 2) / offset
            k4 = math.sin(alpha - phi - h * k3) / offset
            phi += h * (k1 + 2 * k2 + 2 * k3 + k4) / 6
            x, y = begin[0] + dx * k / n, begin[1] + dy * k / n
            path.append(np.array([x - offset * math.cos(phi), y - offset * math.sin(phi)]))
    return np.array(path)


def least_time(
    points: np.ndarray,
    speed: float,
    acceleration: tuple[float, float],
    deviation: float,
    *,
    tick: float = 1e-4,
) -> float:
    """Time along a polyline from rest to rest, by driving along it tick by tick.

    At every tick the machine speeds up as long as it can still brake for all that lies ahead from
    where that takes it, and does what braking asks for otherwise; corners are passed at the speed of the circle
    that touches both sides and keeps the deviation from the corner, found by geometry.
    """
    steps = np.diff(points, axis=0)
    length = np.hypot(steps[:, 0], steps[:, 1])
    direction = steps / length[:, None]
    pull = [_least_ratio(acceleration, d) for d in direction]
    ends = np.cumsum(length)
    corner = [
        _corner_speed(direction[i], direction[i + 1], pull[i], pull[i + 1], acceleration, deviation, speed)
        for i in range(len(length) - 1)
    ] + [0.0]
    at, v, time, i = 0.0, 0.0, 0.0, 0
    while i < len(length):
        faster = v + pull[i] * tick
        allowed = _may_drive(i, at + (v + faster) / 2 * tick, ends, corner, pull, length, speed)
        after = max(min(faster, allowed), pull[i] * tick / 4)
        at += (v + after) / 2 * tick
        v, time = after, time + tick
        while i < len(length) and at >= ends[i] - 1e-12:
            i += 1
    return time


def _may_drive(i, at, ends, corner, pull, length, speed):
    """Highest speed from which every corner ahead can still be met by braking."""
    best, squared = speed, 0.0
    brake = pull[i] * max(ends[i] - at, 0.0)
    for j in range(i, len(corner)):
        if j > i:
            brake += pull[j] * length[j]
        squared = corner[j] ** 2 + 2 * brake
        best = min(best, math.sqrt(squared))
        if 2 * brake > speed * speed:
            break
    return best


def _least_ratio(limits, direction):
    return min(
        limit / abs(part) if abs(part) > 1e-9 else math.inf
        for limit, part in zip(limits, direction, strict=True)
    )


def _corner_speed(u, w, a, b, limits, deviation, speed):
    """Speed on the circle between two sides: its radius from the deviation and the half angle."""
    half = math.acos(max(-1.0, min(1.0, float(-(u @ w))))) / 2
    if half < 1e-3:
        return 0.0
    if half > math.pi / 2 - 1e-3:
        return speed
    # The corner lies at r / sin(half) from the centre, and the circle passes it at the deviation.
    radius = deviation / (1 / math.sin(half) - 1)
    turn = w - u
    sideways = _least_ratio(limits, turn / math.hypot(*turn))
    return min(speed, math.sqrt(min(a, b, sideways) * radius))


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
