"""B-splines, rational or not, of any degree: to Bezier spans, and those to chords, many at once.

A B-spline is cut at its knots into spans, each a Bezier curve: its control points are values of
the polar form ("blossom"), which de Boor's scheme gives for all spans of one degree in a few
array operations. Control points are homogeneous, (w x, w y, w z, w), so a matrix may be applied
to them before flattening, and the curve stays exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from cutprep.model.lines import Index, Points

#: Knots closer than this part of the whole parameter range are one knot.
_SAME_KNOT = 1e-10


@dataclass(frozen=True, slots=True, eq=False)
class Spans:
    """Bezier spans of some B-splines of one degree.

    Attributes
    ----------
    control
        (k, degree + 1, 4) ndarray of float: homogeneous control points.
    spline
        (k,) ndarray of int: which spline each span belongs to, rising; spans run along it.
    """

    control: Points
    spline: Index


def cut_spans(degree: int, control: Points, counts: Index, knots: Points) -> Spans:
    """Cut B-splines of one degree at their knots.

    Parameters
    ----------
    degree
        At least 1.
    control
        (n, 4) ndarray of float: homogeneous control points, spline after spline.
    counts
        (s,) ndarray of int: control points of each spline, each at least degree + 1.
    knots
        (n + s x (degree + 1),) ndarray of float: knots of each spline, never falling.

    Returns
    -------
    Spans
        Over the parameters from knot number `degree` to knot number `count`; spans without
        length are left out.

    References
    ----------
    L. Ramshaw, "Blossoming: a connect-the-dots approach to splines", DEC SRC Report 19, 1987,
    section 6; C. de Boor, "A Practical Guide to Splines", 1978, chapter X, algorithm (11).
    """
    p = degree
    first_control = np.cumsum(counts) - counts
    first_knot = first_control + np.arange(len(counts)) * (p + 1)
    which = np.repeat(np.arange(len(counts)), counts - p)
    rank = np.arange(len(which)) - np.repeat(np.cumsum(counts - p) - (counts - p), counts - p) + p
    at = first_knot[which] + rank
    widest = (knots[first_knot + counts] - knots[first_knot + p])[which]
    real = np.flatnonzero(knots[at + 1] - knots[at] > _SAME_KNOT * widest)
    which, rank, at = which[real], rank[real], at[real]
    local = knots[at[:, None] + np.arange(1 - p, p + 1)]
    points = control[(first_control[which] + rank)[:, None] + np.arange(-p, 1)]
    a, b = local[:, p - 1], local[:, p]
    bezier = np.stack([_blossom(points, local, [a] * (p - j) + [b] * j) for j in range(p + 1)], axis=1)
    return Spans(bezier, which)


def _blossom(points: Points, local: Points, arguments: list[Points]) -> Points:
    """Value of the polar form of each span at degree arguments, (k, 4)."""
    p = len(arguments)
    d = [points[:, i] for i in range(p + 1)]
    for r, u in enumerate(arguments, start=1):
        for i in range(p - r + 1):
            low, high = local[:, i + r - 1], local[:, i + p]
            alpha = ((u - low) / (high - low))[:, None]
            d[i] = (1.0 - alpha) * d[i] + alpha * d[i + 1]
    return d[0]


def chords_of(control: Points, sagitta: float) -> Index:
    """How many chords each rational Bezier curve needs.

    Parameters
    ----------
    control
        (k, degree + 1, 3) ndarray of float: homogeneous control points (w x, w y, w), mm, w > 0.
    sagitta
        Largest chord error, mm.

    Returns
    -------
    (k,) ndarray of int

    References
    ----------
    J. Zheng and T. Sederberg, "Estimating tessellation parameter intervals for rational curves and
    surfaces", ACM Transactions on Graphics 19 (1), 2000, theorem 1; with all weights equal it is
    Wang's bound (see `flatten.cubics`). The curve is moved to the middle of its control points
    first, as the paper advises, since the bound grows with the distance from the origin.
    """
    degree = control.shape[1] - 1
    if degree < 2 and bool((control[:, 0, 2] == control[:, -1, 2]).all()):
        return np.ones(len(control), np.int64)
    weight = control[:, :, 2]
    points = control[:, :, :2] / weight[:, :, None]
    middle = (points.min(axis=1) + points.max(axis=1)) / 2
    moved = points - middle[:, None]
    radius = np.hypot(moved[:, :, 0], moved[:, :, 1]).max(axis=1)
    bend = _second_difference(moved * weight[:, :, None])
    stretch = _second_difference(weight[:, :, None])
    lowest = weight.min(axis=1)
    # The chord's own error counts too where weights differ: radius - sagitta, never below 0.
    error = bend + np.maximum(radius - sagitta, 0.0) * stretch
    factor = max(degree * (degree - 1), 1) / 8
    chords = np.maximum(np.ceil(np.sqrt(factor * error / (sagitta * lowest))), 1)
    return np.asarray(chords.astype(np.int64))


def _second_difference(p: Points) -> Points:
    """Greatest |P0 - 2 P1 + P2| along each control polygon, (k,); 0 below degree 2."""
    if p.shape[1] < 3:
        return np.zeros(len(p))
    second = p[:, :-2] - 2 * p[:, 1:-1] + p[:, 2:]
    return np.asarray(np.sqrt((second**2).sum(axis=2)).max(axis=1))


def flatten_spans(control: Points, chords: NDArray[np.int64]) -> Points:
    """Find the points strictly between the ends of rational Bezier curves cut into so many chords.

    Parameters
    ----------
    control
        (k, degree + 1, 3) ndarray of float: homogeneous control points, mm.
    chords
        (k,) ndarray of int: chords of each.

    Returns
    -------
    (n, 2) ndarray of float
        As many as chords - 1 for each curve, curve after curve.
    """
    counts = chords - 1
    which = np.repeat(np.arange(len(counts)), counts)
    rank = np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts) + 1
    t = (rank / chords[which])[:, None]
    d = [control[which, i] for i in range(control.shape[1])]
    while len(d) > 1:  # de Casteljau
        d = [(1.0 - t) * low + t * high for low, high in pairwise(d)]
    return np.asarray(d[0][:, :2] / d[0][:, 2:])
