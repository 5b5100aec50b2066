"""Arcs of SVG as centre and half diameters, and the directions at the ends of curves.

An arc that is given by its ends can't be transformed by any matrix that does not keep circles; given
by its centre and two half diameters it can. So arcs are turned into that form in user units, and the
form is transformed.
"""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Points


def centre_arcs(begin: Points, numbers: Points) -> Points:
    """Turn arcs given by their ends into centre, half diameters and angles.

    Parameters
    ----------
    begin
        (k, 2) ndarray of float: where each arc starts.
    numbers
        (k, 7) ndarray of float: rx, ry (not 0), turn in degrees, large flag, sweep flag, x, y.

    Returns
    -------
    (k, 8) ndarray of float
        Centre, u, v, first angle, swept angle in radians: a point is centre + cos(t) u + sin(t) v.

    References
    ----------
    SVG 2, appendix B.2 "Elliptical arc implementation notes": B.2.4 (from ends to centre) and B.2.5
    (radii of 0 make a line, negative ones lose their sign, too small ones grow).
    """
    n = numbers
    end = n[:, 5:7]
    rx, ry = np.abs(n[:, 0]), np.abs(n[:, 1])
    phi = np.radians(n[:, 2] % 360.0)
    c, t = np.cos(phi), np.sin(phi)
    half = (begin - end) / 2
    # By powers of two, so that no digit changes and no product of two lengths overflows.
    _, scale = np.frexp(np.maximum(np.abs(half).max(axis=1, initial=0.0), np.maximum(rx, ry)))
    half, rx, ry = np.ldexp(half, -scale[:, None]), np.ldexp(rx, -scale), np.ldexp(ry, -scale)
    x, y = c * half[:, 0] + t * half[:, 1], c * half[:, 1] - t * half[:, 0]
    short = np.sqrt((x / rx) ** 2 + (y / ry) ** 2)
    grow = np.maximum(short, 1.0)
    rx, ry = rx * grow, ry * grow
    with np.errstate(divide="ignore", invalid="ignore"):
        off = np.where(short > 0, np.sqrt(np.maximum((grow / short) ** 2 - 1, 0.0)), 0.0)
    off = np.where(short >= 1, 0.0, off) * np.where(n[:, 3] == n[:, 4], -1.0, 1.0)
    cx, cy = off * rx * y / ry, -off * ry * x / rx
    middle = np.column_stack((c * cx - t * cy, t * cx + c * cy))
    centre = np.ldexp(middle, scale[:, None]) + (begin + end) / 2
    first = np.arctan2((y - cy) / ry, (x - cx) / rx)
    sweep = np.arctan2((-y - cy) / ry, (-x - cx) / rx) - first
    clockwise = n[:, 4] != 0
    sweep = np.where(clockwise & (sweep < 0), sweep + 2 * np.pi, sweep)
    sweep = np.where(~clockwise & (sweep > 0), sweep - 2 * np.pi, sweep)
    rx, ry = np.ldexp(rx, scale), np.ldexp(ry, scale)
    return np.column_stack((centre, c * rx, t * rx, -t * ry, c * ry, first, sweep))


def directions(control: Points) -> tuple[Points, Points]:
    """Directions at both ends of Bezier curves; the next control point stands in for one that coincides; control points (k, d, 2), directions (k, 2)."""
    leave = control[:, 1] - control[:, 0]
    arrive = control[:, -1] - control[:, -2]
    for i in range(2, control.shape[1]):
        still = (leave == 0).all(axis=1)
        leave[still] = (control[:, i] - control[:, 0])[still]
        still = (arrive == 0).all(axis=1)
        arrive[still] = (control[:, -1] - control[:, -1 - i])[still]
    return leave, arrive


def tangents(u: Points, v: Points, angle: Points, sweep: Points) -> Points:
    """Direction of arcs at a parameter, (k, 2).

    Parameters
    ----------
    u, v
        (k, 2) ndarray of float: half diameters, user units.
    angle
        (k,) ndarray of float: parameter, radians.
    sweep
        (k,) ndarray of float: its sign is the way round, radians.
    """
    a = angle[:, None]
    return np.asarray((np.cos(a) * v - np.sin(a) * u) * np.sign(sweep)[:, None])
