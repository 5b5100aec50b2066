"""Thumb notches: half circles in the middle of a free edge, to get hold of what lies behind it.

A notch takes half a circle off a straight edge, pi r^2 / 2, and off a bowed one what its circle has in common with that of the
bow (plain geometry); 6 to 12 mm suit a thumb (common practice, no published source).
"""

from __future__ import annotations

import math

import shapely

from cutprep.template.dimensions import Dimension, Values, refuse
from cutprep.template.options.option import Option, Places
from cutprep.template.options.reshape import NEAR, bitten, is_left
from cutprep.template.sketch import Sketch

#: A notch leaves this share of its edge.
_LEFT = 0.5
#: Card between it and a fold, mm; common practice, no published source.
_CARD = 3.0


def _dimensions(places: Places) -> tuple[Dimension, ...]:
    if not places.edges:
        return ()
    return (
        Dimension("notch", 0, "radius of a thumb notch; 0: none", least=0, most=50),
        Dimension(
            "notch-in", 0.0, "the edge it is cut into: " + ", ".join(places.edges), choices=places.edges
        ),
    )


def _add(sketch: Sketch, d: Values, places: Places) -> None:
    if not places.edges or not d["notch"]:
        return
    name, radius = places.edges[int(d["notch-in"])], d["notch"]
    p, q = sketch.edges[name]
    span, middle = math.dist(p, q), (p + q) / 2
    folds = shapely.MultiLineString([sketch.line(i)[0] for i in sketch.folds()])
    deep = float(folds.distance(shapely.Point(middle))) - _CARD if len(folds.geoms) else math.inf
    behind = sketch.behind.get(name, math.inf)
    most = min(span * _LEFT / 2, deep, behind)
    why = ""
    if most == behind:
        why = ", where a flap behind it would show or leave a gap"
    elif most == deep:
        why = f", {deep + _CARD:.1f} mm from the next fold"
    refuse(
        radius > most,
        f"a thumb notch of {radius:g} mm is too large for the {name} of {span:.1f} mm{why}",
        f"Use at most {math.floor(10 * most) / 10:g} mm."
        if most >= 1
        else "There is no room for one: leave it out.",
    )
    for i in sketch.rings():
        points, curved = sketch.line(i)
        if shapely.LineString(points).distance(shapely.Point(middle)) < NEAR + sketch.sagitta * curved.any():
            if not is_left(points):
                points, curved = points[::-1], curved[::-1]
            points, curved, run = bitten(points, curved, middle, radius, sketch.sagitta)
            sketch.redraw(i, points, curved)
            sketch.take(shapely.Polygon(run))
            return


NOTCH = Option(_dimensions, _add)
