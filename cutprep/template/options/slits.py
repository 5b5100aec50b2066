"""Slit locks: cuts at both ends of a tuck flap's fold, in which the dust flaps or side walls beside it catch.

5 to 10 mm are usual (common practice, no published source).
"""

from __future__ import annotations

import math

import numpy as np

from cutprep.template.dimensions import Dimension, Values, refuse
from cutprep.template.options.option import Option, Places
from cutprep.template.options.reshape import on_stretch
from cutprep.template.sketch import Sketch

#: Least slit that catches, mm, and share of the fold that both slits may take; common practice, no published source.
_LEAST, _SHARE = 2.0, 0.5


def _dimensions(places: Places) -> tuple[Dimension, ...]:
    if not places.locks:
        return ()
    return (
        Dimension(
            "slit", 0, "length of the slits that hold the tuck flap, at both ends; 0: none", least=0, most=40
        ),
    )


def _add(sketch: Sketch, d: Values, places: Places) -> None:
    slit = d["slit"] if places.locks else 0.0
    if not slit:
        return
    refuse(slit < _LEAST, f"slits of {slit:g} mm hold nothing", f"Use at least {_LEAST:g} mm, or 0 for none.")
    for p, q in sketch.locks:
        span = math.dist(p, q)
        refuse(
            2 * slit > _SHARE * span,
            f"slits of {slit:g} mm leave too little of a fold of {span:.1f} mm",
            f"Use at most {math.floor(10 * _SHARE * span / 2) / 10:g} mm.",
        )
        along = slit * (q - p) / span
        for i in sketch.straight_folds():
            a, b = sketch.line(i)[0]
            if on_stretch(a, b, p) and on_stretch(a, b, q):
                sketch.redraw_fold(i, [np.array([p + along, q - along])])
        sketch.cut(p, p + along)
        sketch.cut(q, q - along)


SLITS = Option(_dimensions, _add)
