"""Cartons with n equal sides: walls in a row, a base and a lid on one of them, flaps round both.

Scores lie one caliper further apart than the inside (crease to crease = inside + one caliper:
common practice, no published source), so that the inside comes out as asked; the height takes
half a caliper at the base and half at the lid. A regular n-gon with the inside radius r (half of
the width) has sides of 2 r tan(180/n). The last wall is drawn one
caliper narrower, because the glue flap under the first wall takes that room (common practice, no
published source). The drawing shows the inside of the carton: every fold is a valley.
"""

from __future__ import annotations

import itertools
import math

import numpy as np

from cutprep.model.folded import Verdict
from cutprep.model.lines import Points
from cutprep.template.dimensions import CALIPER, GLUE, Dimension, Expected, Values, at_most, refuse
from cutprep.template.kind import KindOfTemplate
from cutprep.template.options.seam import SEAM_SIDE, note_of
from cutprep.template.sketch import Sketch

#: Ends of flaps slant by this much, so that they slip in easily; common practice, no published source.
_SLANT = math.radians(50)
#: Corners of a wall, as shares of its height.
FRONT = np.array([(0.0, 0.0), (0.0, 0.0), (0.0, 1.0), (0.0, 1.0)])
#: A glue flap keeps this far from the flaps of base and lid, mm; common practice, no published source.
_BESIDE = 0.5
#: Angle kept free between a flap and the wall beside it, so that the waste between them is no sliver.
_CLEAR = math.radians(12)


def draw_prism(d: Values) -> Sketch:
    """Draw an n-sided carton.

    Parameters
    ----------
    d
        `sides`, and in mm: `width` inside (twice the inside radius), `height` inside,
        `flap` depth of the flaps round base and lid, `seam` width of the glue flap, `caliper`.
    """
    n, t = int(d["sides"]), d["caliper"]
    side = (d["width"] + t) * math.tan(math.pi / n)
    height = d["height"] + t
    slant = flap_slant(n)
    narrow = side - 2 * d["flap"] / math.tan(slant)
    refuse(
        narrow < side / 4,
        f"flaps of {d['flap']:g} mm on sides of {side:.1f} mm would come to a point",
        at_most("a flap", side * 3 / 8 * math.tan(slant), "Use a larger width, or fewer sides."),
    )
    refuse(
        d["seam"] > side,
        f"the glue flap of {d['seam']:g} mm is wider than the wall of {side:.1f} mm it goes under",
        "Use a narrower seam or a larger width.",
    )
    sketch = Sketch(f"carton-{n}-sided")
    sketch.note = note_of(d)
    right = n * side + _last(d)
    k = n // 2 - 1
    base = cap(np.array([k * side, 0.0]), np.array([(k + 1) * side, 0.0]), n)
    lid = cap(np.array([(k + 1) * side, height]), np.array([k * side, height]), n)
    seam = d["seam"]
    below, above = seam_end(seam, d["flap"], slant, right, height)
    outline = [
        np.array([[0.0, 0.0]]),
        with_flaps(base, d["flap"], slant),
        np.array([[right, 0.0], *below, *above, [right, height]]),
        with_flaps(lid, d["flap"], slant),
        np.array([[0.0, height]]),
    ]
    sketch.cut(*np.vstack(outline), closed=True)
    for i in range(1, n):
        sketch.valley((i * side, 0), (i * side, height))
    sketch.valley((right, 0), (right, height))
    for polygon in (base, lid):
        sketch.valley(polygon[0], polygon[-1])
        for a, b in itertools.pairwise(polygon):
            sketch.valley(a, b)
    sketch.face("lid", lid)
    # Across from the lid's fold, or beside it; a flap of the lid lies behind it.
    behind = min(d["flap"], side / 2 * math.sin(slant))
    sketch.edge("rim", ((n - 1) * side, height), (right, height), behind=behind)
    k = max(k, 1)  # not the first wall, whose free edge meets the seam
    sketch.face("front", np.array([(k, 0.0), (k + 1, 0.0), (k + 1, 0.0), (k, 0.0)]) * side + FRONT * height)
    return sketch


def _last(d: Values) -> float:
    """How much longer than the others the wall with the glue flap is, mm.

    Shorter by the card for a flap inside; for one outside it reaches the plane a caliper beyond the first wall.
    """
    return d["caliper"] / math.sin(2 * math.pi / d["sides"]) if d["seam-side"] else -d["caliper"]


def polygon_area(n: int, side: float) -> float:
    """Area of a regular n-gon, n s^2 / (4 tan(180/n)), mm2."""
    return n * side * side / (4 * math.tan(math.pi / n))


def flaps_area(count: int, side: float, depth: float, slant: float) -> float:
    """Area of so many flaps round a base, each a trapezoid, mm2.

    Parameters
    ----------
    count
        Of flaps.
    side, depth
        Length along the base, and depth, mm.
    slant
        Of both ends to the base, radians.
    """
    return count * depth * (side - depth / math.tan(slant))


def seam_area(seam: float, flap: float, slant: float, height: float) -> float:
    """Area of a glue flap with the ends of `seam_end`, mm2 (shoelace formula).

    Parameters
    ----------
    seam, height
        Width and length of the flap, mm.
    flap
        Depth of the flaps of base and lid, mm.
    slant
        Of their ends, radians.
    """
    below, above = seam_end(seam, flap, slant, 0.0, height)
    x, y = np.array([(0.0, 0.0), *below, *above, (0.0, height)]).T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def _expect_prism(d: Values) -> Expected:
    n, t, flap = int(d["sides"]), d["caliper"], d["flap"]
    side, height, slant = (d["width"] + t) * math.tan(math.pi / n), d["height"] + t, flap_slant(n)
    return Expected(
        verdicts=(Verdict.CLOSED,),
        area=(n * side + _last(d)) * height
        + 2 * polygon_area(n, side)
        + flaps_area(2 * (n - 1), side, flap, slant)
        + seam_area(d["seam"], flap, slant, height),
        volume=polygon_area(n, side) * height,
    )


def flap_slant(n: int) -> float:
    """Angle between a flap's end and its hinge round an n-sided base, radians."""
    return min(_SLANT, 2 * math.pi / n - _CLEAR)


def seam_end(
    seam: float, flap: float, slant: float, right: float, height: float
) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """Corners of both ends of a glue flap, from below and to the top.

    The ends fall back beside the flaps of base and lid, not over them: aslant, and on a low wall only as
    far as those flaps are deep.

    Parameters
    ----------
    seam, height
        Width and length of the flap, mm.
    flap
        Depth of the flaps of base and lid, mm.
    slant
        Of their ends, radians.
    right
        Where the flap is hinged, mm from the left.

    Raises
    ------
    JobError
        When too little of the flap is left.
    """
    steep = math.tan(slant + math.radians(2))
    drop = seam * steep
    ends = [(right + seam, drop)]
    if drop > height / 4 and drop > flap + _BESIDE:
        drop = flap + _BESIDE
        ends = [(right + drop / steep, drop), (right + seam, drop)]
    refuse(
        2 * drop > height * 3 / 4,
        f"beside flaps of {flap:g} mm little is left of the glue flap on a wall of {height:g} mm",
        "Use narrower flaps or a higher wall.",
    )
    return ends, [(x, height - y) for x, y in reversed(ends)]


def cap(p: Points, q: Points, n: int) -> Points:
    """Corners of the regular n-gon on the right of the edge from p to q, walked from p to q, (n, 2)."""
    step, turn = p - q, 2 * math.pi / n
    corners = [p]
    for i in range(1, n):
        c, s = math.cos(i * turn), math.sin(i * turn)
        corners.append(corners[-1] + np.array([c * step[0] - s * step[1], s * step[0] + c * step[1]]))
    corners[-1] = q
    return np.array(corners)


def with_flaps(corners: Points, depth: float, slant: float) -> Points:
    """Walk along corners, (n, 2), mm, with a flap outside each edge: on the right, its ends at `slant` radians."""
    points = [corners[0]]
    for u, v in itertools.pairwise(corners):
        along = (v - u) / math.hypot(*(v - u))
        outward = np.array([along[1], -along[0]])
        inset = depth / math.tan(slant)
        points += [u + inset * along + depth * outward, v - inset * along + depth * outward, v]
    return np.array(points)


PRISM = KindOfTemplate(
    name="prism-carton",
    title="carton with n equal sides, base and tuck-in lid (six sides: a hexagonal jar carton)",
    dimensions=(
        Dimension("sides", 6, "number of walls", least=3, most=12, count=True),
        Dimension(
            "width",
            36,
            "inside width: twice the inside radius, so from side to side where their number is even",
            least=10,
            most=500,
        ),
        Dimension("height", 45, "inside height", least=5, most=1000),
        Dimension("flap", 7, "depth of the flaps round base and lid", least=GLUE, most=50),
        Dimension("seam", 9, "width of the glue flap along the side", least=GLUE, most=40),
        SEAM_SIDE,
        CALIPER,
    ),
    draw=draw_prism,
    source="side = width x tan(180/n); crease to crease = inside + caliper (common practice, no published source)",
    expect=_expect_prism,
    faces=("lid", "front"),
    edges=("rim",),
    tears=("front",),
)
