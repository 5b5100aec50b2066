"""A slot with round ends to hang a thing by, in the upper part of a face."""

from __future__ import annotations

import math

import numpy as np
import shapely

from cutprep.errors import JobError
from cutprep.geometry.curves.flatten import arc
from cutprep.model.lines import Flags, Points
from cutprep.template.dimensions import Dimension, Values, refuse
from cutprep.template.options.option import Option, Places
from cutprep.template.sketch import Sketch

#: Height of the slot, and card kept round it when nothing is said, mm: for a peg; common practice, no published source.
_HIGH, _MARGIN = 6.0, 8.0


def _dimensions(places: Places) -> tuple[Dimension, ...]:
    if not places.faces:
        return ()
    return (
        Dimension(
            "hang",
            0,
            f"width of a hanging slot {_HIGH:g} mm high, at the face's upper side; 0: none",
            least=0,
            most=200,
        ),
    )


def _add(sketch: Sketch, d: Values, places: Places) -> None:
    if not places.faces or not d["hang"]:
        return
    name, wide, margin = places.faces[int(d["face"])], d["hang"], d["margin"] or _MARGIN
    refuse(wide <= _HIGH, f"a hanging slot of {wide:g} mm is no slot", f"Use more than {_HIGH:g} mm.")
    corners = sketch.faces[name]
    middle = float(corners[:, 0].min() + corners[:, 0].max()) / 2
    at = float(corners[:, 1].max()) - margin - _HIGH / 2
    if name in sketch.turned:
        at = float(corners[:, 1].min()) + margin + _HIGH / 2
    room = sketch.room(name, margin - 1e-6)  # not a tolerance: it touches the margin

    def fits(width: float) -> bool:
        return bool(room.covers(shapely.Polygon(slot_ring(middle, at, width, _HIGH, sketch.sagitta)[0])))

    if not fits(wide):
        narrower = next((w for w in np.arange(math.ceil(2 * wide) / 2, _HIGH, -0.5)[1:] if fits(w)), None)
        others = [one for one in places.faces if one != name]
        raise JobError(
            f"a hanging slot of {wide:g} mm leaves less than {margin:g} mm of card in the {name}",
            fix=f"Use at most {narrower:g} mm."
            if narrower
            else f"Use a smaller margin{' or another face: ' + ', '.join(others) if others else ''}.",
        )
    ring, curved = slot_ring(middle, at, wide, _HIGH, sketch.sagitta)
    sketch.window(ring, curved)
    sketch.take(shapely.Polygon(ring))


def slot_ring(x: float, y: float, width: float, height: float, sagitta: float) -> tuple[Points, Flags]:
    """Outline of a hole with round ends.

    Parameters
    ----------
    x, y
        Its middle, mm.
    width, height
        mm; the ends are half circles of this height.
    sagitta
        Largest chord error, mm.

    Returns
    -------
    (n, 2) ndarray of float
        Closed ring.
    (n,) ndarray of bool
        Which vertices are chords of a curve.
    """
    r, half = height / 2, (width - height) / 2
    right = arc((x + half, y), r, -math.pi / 2, math.pi, sagitta)
    left = arc((x - half, y), r, math.pi / 2, math.pi, sagitta)
    ring = np.vstack((right, left, right[:1]))
    curved = np.ones(len(ring), bool)
    curved[[0, len(right) - 1, len(right), -2, -1]] = False
    return ring, curved


HANGING = Option(_dimensions, _add)
