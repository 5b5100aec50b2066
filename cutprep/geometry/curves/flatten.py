"""Curves and arcs to chords, many at once, never further from the curve than the sagitta asked for.

The sagitta is the distance between a chord and the curve over it, so it is what a maker can
measure: 0.02 mm is a fifth of the width of a pencil line. Every function takes a batch of curves
as arrays and gives the points *strictly between* their ends, with the number for each curve; the
caller has the ends and keeps them bit for bit. Points lie on the curve itself, never beside it.

The number of chords is worked out beforehand from a bound on the second derivative, so that no
curve is walked step by step: for steps of h in the parameter the chord error is at most
h^2 / 8 x max |B''(t)|.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from cutprep.model.lines import Flags, Index, Points

#: Two pieces whose directions differ by less than this meet smoothly; no published source.
SMOOTH_DEGREES = 5.0
#: A circle smaller than the sagitta still shows four corners.
_WIDEST_STEP = math.pi / 2
#: An arc that needs narrower steps has too many for any file; it is refused by their number.
_NARROWEST_STEP = 1e-9
#: No limit on points.
_ANY = 2**62


class TooManyPointsError(ValueError):
    """The chords would need more points than allowed; `needed` says how many."""

    def __init__(self, needed: int, most: int) -> None:
        super().__init__(f"{needed} points are needed; at most {most} are allowed")
        self.needed = needed


def cubics(control: ArrayLike, sagitta: float, *, most: int = _ANY) -> tuple[Points, Index]:
    """Flatten cubic Bezier curves.

    Parameters
    ----------
    control
        (k, 4, 2) ndarray of float: start, two control points, end; mm.
    sagitta
        Largest chord error, mm.
    most
        Largest number of points.

    Returns
    -------
    inner
        (n, 2) ndarray of float: points strictly between the ends, curve after curve.
    counts
        (k,) ndarray of int: how many of them belong to each curve.

    Raises
    ------
    TooManyPointsError
        Before any point is worked out.

    References
    ----------
    G. Wang, "The subdivision method for finding the intersection between two Bezier curves or
    surfaces", Zhejiang University Journal, 1984 (as given by R. Goldman, Pyramid Algorithms, 2003,
    section 5.6): n chords suffice when n^2 >= d (d - 1) / 8 x M / sagitta, with M the greatest second
    difference of the control points and d the degree.
    """
    p = _batch(control, 4)
    bend = np.maximum(_second_difference(p[:, 0:3]), _second_difference(p[:, 1:4]))
    a, b, c, d = (p[:, i] for i in range(4))
    return _evaluate(
        (d - a + 3 * (b - c), 3 * (a - 2 * b + c), 3 * (b - a), a), _chords(0.75 * bend, sagitta, most)
    )


def quadratics(control: ArrayLike, sagitta: float, *, most: int = _ANY) -> tuple[Points, Index]:
    """Flatten quadratic Bezier curves; as `cubics`, with (k, 3, 2) control points."""
    p = _batch(control, 3)
    a, b, c = (p[:, i] for i in range(3))
    return _evaluate((a - 2 * b + c, 2 * (b - a), a), _chords(0.25 * _second_difference(p), sagitta, most))


def arcs(
    centre: ArrayLike,
    u: ArrayLike,
    v: ArrayLike,
    begin: ArrayLike,
    sweep: ArrayLike,
    sagitta: float,
    *,
    most: int = _ANY,
) -> tuple[Points, Index]:
    """Flatten arcs of circles and ellipses.

    A point of the arc is centre + cos(t) u + sin(t) v. Any affine image of a circle has this form:
    transform `centre` by the matrix and `u`, `v` by its linear part, and the arc is still exact,
    skewed or mirrored.

    Parameters
    ----------
    centre, u, v
        (k, 2) ndarray of float: centre and two conjugate half diameters, mm.
    begin, sweep
        (k,) ndarray of float: first parameter and signed span, radians.
    sagitta
        Largest chord error, mm.

    Returns
    -------
    inner
        (n, 2) ndarray of float: points strictly between the ends, arc after arc.
    counts
        (k,) ndarray of int: how many of them belong to each arc.

    Notes
    -----
    On a circle of radius r a chord over the angle h has the sagitta r (1 - cos(h / 2)). An affine
    image lengthens no distance by more than its first singular value, which is half the longer
    axis of the ellipse: that length stands for r.
    """
    m, u, v = _batch(centre), _batch(u), _batch(v)
    t0 = np.asarray(begin, dtype=np.float64).reshape(-1)
    span = np.asarray(sweep, dtype=np.float64).reshape(-1)
    ratio = np.minimum(sagitta / np.maximum(half_axis(u, v), sagitta), 1.0)
    step = np.clip(2 * np.arccos(1 - ratio), _NARROWEST_STEP, _WIDEST_STEP)
    # An exact multiple of the step must not gain a chord by rounding.
    chords = np.maximum(np.ceil(np.abs(span) / step - 1e-9), 1).astype(np.int64)
    counts = _count(chords, most)
    angle = _parameters(counts, span / chords)
    angle += np.repeat(t0, counts)
    cos, sin = np.cos(angle), np.sin(angle)
    inner = np.empty((len(angle), 2))
    for axis in (0, 1):
        along = np.repeat(u[:, axis], counts)
        along *= cos
        along += np.repeat(v[:, axis], counts) * sin
        along += np.repeat(m[:, axis], counts)
        inner[:, axis] = along
    return inner, counts


def half_axis(u: Points, v: Points) -> Points:
    """Half the longer axis of the ellipses with conjugate half diameters u and v, (k,)."""
    uu, vv, uv = (u * u).sum(axis=1), (v * v).sum(axis=1), (u * v).sum(axis=1)
    return np.asarray(np.sqrt((uu + vv) / 2 + np.hypot((uu - vv) / 2, uv)))


def arc(centre: ArrayLike, radius: float, begin: float, sweep: float, sagitta: float) -> Points:
    """One circular arc with both ends; angles in radians.

    Parameters
    ----------
    centre
        (2,) mm.
    radius
        mm.
    begin, sweep
        Angle of the first point, and how far the arc goes round, radians.
    sagitta
        Greatest distance of a chord from the arc, mm.

    Returns
    -------
    (n, 2) ndarray of float
        Points on the arc. A sweep of a whole turn gives a line that is closed bit for bit.
    """
    m = np.asarray(centre, dtype=np.float64)
    ends = m + radius * np.array([[math.cos(a), math.sin(a)] for a in (begin, begin + sweep)])
    if math.isclose(abs(sweep), 2 * math.pi, rel_tol=1e-12):
        ends[1] = ends[0]
    inner, _ = arcs(m, [[radius, 0.0]], [[0.0, radius]], [begin], [sweep], sagitta)
    return np.vstack((ends[:1], inner, ends[1:]))


def circle(centre: ArrayLike, radius: float, sagitta: float) -> Points:
    """One full circle, counter-clockwise from its rightmost point.

    Returns
    -------
    (n, 2) ndarray of float
        Points on the circle, closed bit for bit; the four quarter points are exact.
    """
    m = np.asarray(centre, dtype=np.float64)
    quarters = m + radius * np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])
    axis = np.broadcast_to([radius, 0.0], (4, 2)), np.broadcast_to([0.0, radius], (4, 2))
    begin = np.arange(4) * (math.pi / 2)
    inner, counts = arcs(np.broadcast_to(m, (4, 2)), *axis, begin, np.full(4, math.pi / 2), sagitta)
    return np.vstack((np.insert(inner, np.cumsum(counts) - counts, quarters, axis=0), quarters[:1]))


def smooth(leaving: Points, arriving: Points) -> Flags:
    """Which joins are smooth: the direction before and the direction after agree.

    Parameters
    ----------
    leaving, arriving
        (k, 2) ndarray of float: direction at the end of the first piece and at the start of the
        second; any length, 0 meets nothing smoothly.

    Returns
    -------
    (k,) ndarray of bool
    """
    along = (leaving * arriving).sum(axis=1)
    lengths = np.hypot(*leaving.T) * np.hypot(*arriving.T)
    return np.asarray((lengths > 0) & (along > math.cos(math.radians(SMOOTH_DEGREES)) * lengths))


def _batch(points: ArrayLike, *each: int) -> Points:
    return np.asarray(points, dtype=np.float64).reshape(-1, *each, 2)


def _second_difference(p: Points) -> Points:
    """|P0 - 2 P1 + P2| of (k, 3, 2) control points."""
    return np.asarray(np.hypot(*(p[:, 0] - 2 * p[:, 1] + p[:, 2]).T))


def _chords(bend: Points, sagitta: float, most: int) -> Index:
    chords = np.maximum(np.ceil(np.sqrt(bend / sagitta)), 1).astype(np.int64)
    _count(chords, most)
    return chords


def _count(chords: Index, most: int) -> Index:
    """Points strictly inside each curve."""
    counts = chords - 1
    needed = int(counts.sum())
    if needed > most:
        raise TooManyPointsError(needed, most)
    return counts


def _parameters(counts: Index, step: Points) -> Points:
    """Multiples 1, 2, ... of a step for each curve, (n,): so many for each curve as `counts` says."""
    t = np.arange(1, int(counts.sum()) + 1, dtype=np.float64)
    t -= np.repeat(np.cumsum(counts) - counts, counts)
    t *= np.repeat(step, counts)
    return t


def _evaluate(coefficients: tuple[Points, ...], chords: Index) -> tuple[Points, Index]:
    """Points of polynomial curves at even steps of the parameter, by Horner's rule.

    Parameters
    ----------
    coefficients
        (k, 2) each, the highest power first.
    chords
        (k,) number of steps.
    """
    counts = chords - 1
    t = _parameters(counts, 1.0 / chords)
    inner = np.empty((len(t), 2))
    for axis in (0, 1):
        along = np.repeat(coefficients[0][:, axis], counts)
        for coefficient in coefficients[1:]:
            along *= t
            along += np.repeat(coefficient[:, axis], counts)
        inner[:, axis] = along
    return inner, counts
