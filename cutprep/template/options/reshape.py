"""Changing outlines and folds that are drawn already."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
import shapely

from cutprep.geometry.curves.flatten import arc
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


def bitten(
    points: Points, curved: Flags, middle: Points, radius: float, sagitta: float
) -> tuple[Points, Flags, Points]:
    """Take a circle off a closed outline drawn counter-clockwise.

    Parameters
    ----------
    points, curved
        (n, 2) mm, the last point is the first, and which are chords of a curve.
    middle, radius
        Of the circle, mm: a spot on the outline, which it crosses once on either side of it.
    sagitta
        Chord error of flattening, mm.

    Returns
    -------
    (m, 2) ndarray of float, (m,) ndarray of bool
        The new outline, closed.
    (k, 2) ndarray of float
        Its run along the circle.
    """
    count = len(points) - 1
    stretches = shapely.linestrings(np.stack((points[:-1], points[1:]), axis=1))
    here = int(shapely.distance(stretches, shapely.Point(middle)).argmin())
    inside = np.hypot(*(points[:-1] - middle).T) < radius
    first = next(k for k in range(here, here - count, -1) if not inside[k])
    last = next(k for k in range(here + 1, here + 1 + count) if not inside[k % count])
    # From a corner outside the circle to the next one, which is inside it or lies beyond.
    begin = _meets(points[first % count], points[(first + 1) % count], middle, radius)
    end = _meets(points[last % count], points[(last - 1) % count], middle, radius)
    away, back = (math.atan2(*(spot - middle)[::-1]) for spot in (begin, end))
    run = arc(middle, radius, away, -((away - back) % (2 * math.pi)), sagitta)
    run[0], run[-1] = begin, end
    kept = np.arange(last, first + count + 1) % count
    turn = count - last if last < count else 0  # the outline begins where it began
    ring = np.roll(np.vstack((points[kept], run)), -turn, axis=0)
    flags = np.roll(np.concatenate((curved[kept], _between(run))), -turn)
    return np.vstack((ring, ring[:1])), np.append(flags, flags[:1]), run


def _meets(out: Points, inward: Points, middle: Points, radius: float) -> Points:
    """Where the way from a point outside a circle meets it first, (2,) mm."""
    along = (inward - out) / math.dist(inward, out)
    foot = float((middle - out) @ along)
    aside = _aside(middle - out, along)
    return np.asarray(out + (foot - math.sqrt(radius * radius - aside * aside)) * along)


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
