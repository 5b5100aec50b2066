"""Changing outlines and folds that are drawn already."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from cutprep.model.lines import Flags, Points
from cutprep.template.sketch import Sketch

#: Points nearer than this are one, mm; outlines and folds are worked out in different ways.
NEAR = 1e-4


def with_runs(
    points: Points, curved: Flags, corners: Mapping[int, Points], inserted: Mapping[int, Points]
) -> tuple[Points, Flags]:
    """Put runs of a curve into a closed outline.

    Parameters
    ----------
    points, curved
        (n, 2) mm, the last point is the first, and which are chords of a curve.
    corners
        Runs, (k, 2) mm, that take the place of a corner, by its number.
    inserted
        Runs that stand between a corner and the next one.

    Returns
    -------
    (m, 2) ndarray of float, (m,) ndarray of bool
        The new outline, closed.
    """
    rows: list[Points] = []
    flags: list[Flags] = []
    for k in range(len(points) - 1):
        run = corners.get(k)
        rows.append(points[k : k + 1] if run is None else run)
        flags.append(curved[k : k + 1] if run is None else _between(run))
        if k in inserted:
            rows.append(inserted[k])
            flags.append(_between(inserted[k]))
    ring, bent = np.concatenate(rows), np.concatenate(flags)
    return np.vstack((ring, ring[:1])), np.append(bent, bent[:1])


def _between(run: Points) -> Flags:
    flags = np.ones(len(run), bool)
    flags[[0, -1]] = False
    return flags


def angle_at(points: Points, k: int) -> float:
    """Angle of the card at a corner of a closed outline drawn counter-clockwise, radians, 0 to a full turn.

    Parameters
    ----------
    points
        (n, 2) mm, the last point is the first.
    k
        Number of the corner.
    """
    before, here, after = points[(k - 1) % (len(points) - 1)], points[k], points[k + 1]
    out, back = after - here, before - here
    turn = math.atan2(*back[::-1]) - math.atan2(*out[::-1])
    return turn % (2 * math.pi)


def is_left(points: Points) -> bool:
    """Whether a closed outline, (n, 2), runs counter-clockwise: card on the left."""
    x, y = points[:-1].T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) > 0


def clear_folds(sketch: Sketch, spots: Sequence[Points], radius: float) -> None:
    """Let folds keep a distance from spots that lie on them.

    Parameters
    ----------
    sketch
        Whose folds.
    spots
        (2,) mm each.
    radius
        The distance, mm.
    """
    for i in sketch.straight_folds():
        p, q = sketch.line(i)[0]
        span = math.dist(p, q)
        along = (q - p) / span
        off = [float((spot - p) @ along) for spot in spots if _aside(spot - p, along) < NEAR]
        holes = sorted(at for at in off if -NEAR < at < span + NEAR)
        if not holes:
            continue
        ends = [0.0, *(e for at in holes for e in (at - radius, at + radius)), span]
        runs = [
            np.array([p + a * along, p + b * along])
            for a, b in zip(ends[::2], ends[1::2], strict=True)
            if b - a > radius
        ]
        if runs:
            sketch.redraw_fold(i, runs)


def _aside(step: Points, along: Points) -> float:
    return abs(float(along[0] * step[1] - along[1] * step[0]))


def on_stretch(p: Points, q: Points, spot: Points) -> bool:
    """Whether a spot lies between p and q, (2,) mm each."""
    span = math.dist(p, q)
    along = (q - p) / span
    at = float((spot - p) @ along)
    return -NEAR < at < span + NEAR and _aside(spot - p, along) < NEAR
