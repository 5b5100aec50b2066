"""Corners of flaps rounded, so that they slip in, or of a card, and corners where folds meet relieved, so that it doesn't bunch up.

A corner of angle a rounded with the radius r loses r^2 (cot(a/2) - (180 - a)/2) of its area; a relief is a round hole of
radius r about the point, as far as there is card (plain geometry). That both help is common practice, no published source.
"""

from __future__ import annotations

import math

import numpy as np
import shapely

from cutprep.geometry.curves.flatten import arc
from cutprep.model.lines import Points
from cutprep.template.blank import fillet
from cutprep.template.dimensions import Dimension, Values, refuse
from cutprep.template.options.option import Option, Places
from cutprep.template.options.reshape import NEAR, angle_at, clear_folds, is_left, on_stretch, with_runs
from cutprep.template.sketch import Sketch

#: Flaps slant, so their corners are wider than a right angle; those of most walls are not.
_WIDER, _STRAIGHT = math.radians(95), math.radians(175)
#: The free side of a flap is shorter than its fold; that of a wall which leans as its neighbours do is as long.
_SHORTER = 0.99
#: A rounded corner takes up to this share of the sides at it, and a relief of the shortest side beside it.
_SHARE, _LEAST_SIDE = 0.49, 4.0
#: Folds that leave a corner within this angle of the outline run along it.
_ALONG = math.radians(40)
#: A relief smaller than this is no hole, mm (one larger than the dimension's limit leaves flaps beside it in the air); common practice, no published source.
_LEAST = 0.3


def _dimensions(places: Places) -> tuple[Dimension, ...]:
    found = []
    if places.flaps or places.cards:
        what = "card" if places.cards else "flaps"
        found.append(
            Dimension("round", 0, f"radius of the free corners of the {what}; 0: sharp", least=0, most=20)
        )
    if places.reliefs:
        found.append(
            Dimension(
                "relief", 0, "radius of a relief where folds meet at a corner; 0: none", least=0, most=1
            )
        )
    return tuple(found)


def _add(sketch: Sketch, d: Values, places: Places) -> None:
    rounded = d["round"] if places.flaps or places.cards else 0.0
    relief = d["relief"] if places.reliefs else 0.0
    if not (rounded or relief):
        return
    refuse(
        0 < relief < _LEAST,
        f"a relief of {relief:g} mm is no hole",
        f"Use at least {_LEAST:g} mm, or 0 for none.",
    )
    folds = [sketch.line(i)[0] for i in sketch.straight_folds()]
    if places.cards:
        _round_card(sketch, rounded)
        return
    relieved: list[Points] = []
    for i in sketch.rings():
        points, curved = sketch.line(i)
        if not is_left(points):
            points, curved = points[::-1], curved[::-1]
        if not any(on_stretch(p, q, spot) for spot in points for p, q in folds):
            continue
        runs: dict[int, Points] = {}
        for k in range(len(points) - 1):
            if curved[k] or curved[k - 1 if k else -2] or curved[k + 1]:
                continue
            run = _run(points, k, folds, (rounded, relief), sketch.sagitta)
            if run is not None:
                runs[k] = run
                if angle_at(points, k) > math.pi:
                    relieved.append(points[k])
        sketch.redraw(i, *with_runs(points, curved, runs, {}))
    if relieved:
        clear_folds(sketch, relieved, relief)


def _round_card(sketch: Sketch, radius: float) -> None:
    """Round the corners of the largest outline, and keep windows and texts off what is cut off."""
    i = max(sketch.rings(), key=lambda k: shapely.Polygon(sketch.line(k)[0]).area)
    points, curved = sketch.line(i)
    if not is_left(points):
        points, curved = points[::-1], curved[::-1]
    runs: dict[int, Points] = {}
    for k in range(len(points) - 1):
        before, here, after = points[(k - 1) % (len(points) - 1)], points[k], points[k + 1]
        angle = angle_at(points, k)
        if angle >= _STRAIGHT or curved[k] or curved[k - 1 if k else -2] or curved[k + 1]:
            continue
        room = min(math.dist(before, here), math.dist(here, after))
        runs[k] = fillet(
            before, here, after, min(radius, _SHARE * room * math.tan(angle / 2)), sketch.sagitta
        )
        sketch.take(shapely.Polygon(np.vstack((here, runs[k]))))
    sketch.redraw(i, *with_runs(points, curved, runs, {}))


def _run(
    points: Points, k: int, folds: list[Points], radii: tuple[float, float], sagitta: float
) -> Points | None:
    """What takes the place of a corner for the radii of rounding and relief; None where it stays."""
    rounded, relief = radii
    before, here, after = points[(k - 1) % (len(points) - 1)], points[k], points[k + 1]
    angle = angle_at(points, k)
    room = min(math.dist(before, here), math.dist(here, after))
    met = sum(on_stretch(p, q, here) for p, q in folds)
    if rounded and not met and _WIDER < angle < _STRAIGHT and _narrows(points, k, folds):
        radius = min(rounded, _SHARE * room * math.tan(angle / 2))
        return fillet(before, here, after, radius, sagitta)
    if relief and met > 1 and angle > math.pi + NEAR and room > max(_LEAST_SIDE, 3 * relief):
        if any(NEAR < math.dist(end, here) < _LEAST_SIDE for fold in folds for end in fold):
            return None  # a fold that ends beside it would run along the hole
        ends = [
            end
            for fold in folds
            if on_stretch(fold[0], fold[1], here)
            for end in fold
            if math.dist(end, here) > NEAR
        ]
        if any(_between(end - here, side - here) < _ALONG for end in ends for side in (before, after)):
            return None  # so would one that leaves close along the outline
        away = math.atan2(*(before - here)[::-1])
        return arc(here, relief, away, -angle, sagitta)
    return None


def _between(a: Points, b: Points) -> float:
    """Angle between two directions, radians."""
    return abs(math.atan2(float(a[0] * b[1] - a[1] * b[0]), float(a @ b)))


def _narrows(points: Points, k: int, folds: list[Points]) -> bool:
    """Whether the panel with a corner of the outline hangs on one fold and is narrower away from it."""
    ring = points[:-1]

    def free(step: int) -> tuple[int, int]:
        """The last corner off all folds that way along the outline, and the first one on a fold."""
        last = k
        while True:
            here = (last + step) % len(ring)
            if here == k or any(on_stretch(p, q, ring[here]) for p, q in folds):
                return last, here
            last = here

    (first, begin), (last, end) = free(-1), free(1)
    one = any(on_stretch(p, q, ring[begin]) and on_stretch(p, q, ring[end]) for p, q in folds)
    return one and math.dist(ring[first], ring[last]) < _SHORTER * math.dist(ring[begin], ring[end])


CORNERS = Option(_dimensions, _add)
