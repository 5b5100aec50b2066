"""What widens towards its rim: cups of n flat walls on a base, and round cones.

A wall of a cup whose inside widens from radius r to R over the height h is root of (h^2 + (R - r)^2) long (Pythagoras).
The wall of a cone is a sector of the slant root of (h^2 + r^2) and of the angle 360 r / slant (plain geometry: its arc is
the rim). Crease to crease = inside + one caliper; the last wall of a cup is trimmed by a caliper, because the glue flap
under the first one takes that room (common practice, no published source).
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from cutprep.geometry.curves.flatten import arc
from cutprep.model.folded import Verdict
from cutprep.model.lines import Points
from cutprep.template.blank import Blank, pair
from cutprep.template.boxes.prism import cap, flap_slant, flaps_area, polygon_area
from cutprep.template.dimensions import CALIPER, GLUE, SLANT, Dimension, Expected, Values, refuse
from cutprep.template.kind import KindOfTemplate
from cutprep.template.sketch import Sketch

#: Walls that widen by less stand upright, mm.
_UPRIGHT = 1e-6  # not a tolerance: no fan has a centre that far away

#: In its picture a cone stands this share of its width beside the flat card, and its rim is seen this narrow.
_ASIDE, _SEEN = 0.2, 0.3


def _cup(d: Values) -> tuple[float, float, float, float]:
    """Lower and upper edge of a wall, its length, and half the angle by which a wall turns from the next, radians."""
    n, t = int(d["sides"]), d["caliper"]
    low, high = ((d[key] + t) * math.tan(math.pi / n) for key in ("base", "width"))
    slant = math.hypot(d["height"] + t / 2, (d["width"] - d["base"]) / 2)
    return low, high, slant, math.atan2((high - low) / 2, slant)


def _slant_of_flaps(n: int, half: float) -> float:
    """Angle between the end of a base's flap and its hinge, radians: the walls beside it lean towards it."""
    return flap_slant(n) - 2 * half


def draw_cup(d: Values) -> Sketch:
    """Draw a cup: n walls that widen upwards, side by side like a fan, a base with flaps, a glue flap.

    Parameters
    ----------
    d
        `sides`; twice the inside radius: `base` below and `width` at the rim; inside `height`, `flap`, `seam`, `caliper`, mm.
    """
    n, t, flap, seam = int(d["sides"]), d["caliper"], d["flap"], d["seam"]
    low, high, slant, half = _cup(d)
    refuse(
        d["width"] < d["base"] + 2,
        f"a rim of {d['width']:g} mm isn't wider than the base of {d['base']:g} mm",
        "Use a wider rim; a carton with walls that don't lean is a prism-carton.",
    )
    lean = _slant_of_flaps(n, half)
    refuse(
        lean < math.radians(18) or 2 * flap / math.tan(lean) > low * 3 / 4,
        f"flaps of {flap:g} mm find no room round a base with sides of {low:.1f} mm",
        "Use fewer sides, narrower flaps, a wider base or walls that lean less.",
    )
    refuse(
        _seam_lean(d, half) + seam * SLANT > slant * 3 / 4,
        "the glue flap tapers to a point",
        "Use a narrower seam or a higher cup.",
    )
    refuse(seam > low, f"the glue flap is wider than a wall, {low:.1f} mm below", "Use a narrower seam.")
    refuse(
        2 * n * half > math.radians(300),
        "the walls lean so much that their fan meets itself",
        "Use a higher cup.",
    )
    blank = Blank("cup")
    middle = (n - 1) // 2
    lower, upper = fan(n, low, high, slant, t)
    for k in range(n):
        blank.panel(
            pair(lower[k]),
            pair(lower[k + 1]),
            pair(upper[k + 1]),
            pair(upper[k]),
            name="front" if k == middle else "",
        )
    blank.flap(pair(lower[n]), pair(upper[n]), seam, _seam_lean(d, half), seam * SLANT)
    blank.sketch.edge("rim", upper[middle], upper[middle + 1])
    corners = cap(lower[middle], lower[middle + 1], n)
    blank.panel(*(pair(c) for c in corners), name="base")
    for p, q in pairwise(corners):
        blank.flap(pair(p), pair(q), flap, flap / math.tan(lean))
    return blank.finish()


def fan(n: int, low: float, high: float, slant: float, trim: float) -> tuple[list[Points], list[Points]]:
    """Ends of n walls that widen upwards, side by side; the middle one stands upright.

    Parameters
    ----------
    n
        Number of walls.
    low, high, slant
        Lower and upper edge of a wall, and its length, mm.
    trim
        How much the last wall's far edge is set back, mm.

    Returns
    -------
    lower, upper
        (2,) ndarray of float each, n + 1 of them: where walls begin and end below and above, mm.
    """
    half = math.atan2((high - low) / 2, slant)
    middle = (n - 1) // 2
    if high - low < _UPRIGHT:
        feet = [np.array([(k - middle - 0.5) * low, 0.0]) for k in range(n + 1)]
        lower, upper = feet, [foot + np.array([0.0, slant]) for foot in feet]
    else:
        # The walls turn away from the middle one about the fan's centre.
        centre = np.array([0.0, -low / 2 / math.tan(half)])
        reach = (low / 2 / math.sin(half), high / 2 / math.sin(half))
        rays = [math.pi / 2 - half * (2 * (k - middle) - 1) for k in range(n + 1)]
        lower, upper = ([centre + r * np.array([math.cos(a), math.sin(a)]) for a in rays] for r in reach)
    edge = upper[n] - lower[n]
    lower[n], upper[n] = (_trimmed(row[n - 1], row[n], edge, trim) for row in (lower, upper))
    return lower, upper


def _seam_lean(d: Values, half: float) -> float:
    """How far the glue flap is drawn in below, mm: it lies beside a flap of the base, with 2 degrees between."""
    beside = _slant_of_flaps(int(d["sides"]), half) - half + math.radians(2)
    return d["seam"] * max(SLANT, math.tan(beside))


def _trimmed(a: Points, b: Points, along: Points, by: float) -> Points:
    """The end of a side from a to b, moved back until it lies `by` inside the edge through b."""
    step = (b - a) / math.dist(a, b)
    edge = along / math.hypot(*along)
    return np.asarray(b - step * by / abs(float(step[0] * edge[1] - step[1] * edge[0])))


def _expect_cup(d: Values) -> Expected:
    n, t, flap, seam = int(d["sides"]), d["caliper"], d["flap"], d["seam"]
    low, high, slant, half = _cup(d)
    below, above = polygon_area(n, low), polygon_area(n, high)
    edge = math.hypot(slant, (high - low) / 2)
    # The strip trimmed off runs along the slanting edge; its ends are cut by the lower and the upper side.
    trimmed = t * edge
    return Expected(
        verdicts=(Verdict.OPEN_BOX,),
        area=n * (low + high) / 2 * slant
        - trimmed
        + below
        + flaps_area(n - 1, low, flap, _slant_of_flaps(n, half))
        + seam * (edge - (_seam_lean(d, half) + seam * SLANT) / 2),
        volume=(d["height"] + t / 2) * (below + above + math.sqrt(below * above)) / 3,
    )


CUP = KindOfTemplate(
    name="cup",
    title="cup with n walls that widen upwards, and a base",
    dimensions=(
        Dimension("sides", 6, "number of walls", least=4, most=10, count=True),
        Dimension("base", 50, "inside width below, twice the inside radius", least=20, most=400),
        Dimension("width", 66, "inside width at the rim, twice the inside radius", least=22, most=500),
        Dimension("height", 70, "inside height", least=15, most=500),
        Dimension("flap", 7, "depth of the flaps round the base", least=GLUE, most=40),
        Dimension("seam", 9, "width of the glue flap", least=GLUE, most=40),
        CALIPER,
    ),
    draw=draw_cup,
    source="wall = root of (h^2 + (R - r)^2) (Pythagoras); volume of a frustum = h (A + B + root of A B) / 3 (plain geometry)",
    expect=_expect_cup,
    faces=("front", "base"),
    edges=("rim",),
    tears=("front",),
)


def _cone(d: Values) -> tuple[float, float]:
    """Slant and opening angle of the sector, mm and radians."""
    radius = (d["width"] + d["caliper"]) / 2
    slant = math.hypot(radius, d["height"])
    return slant, 2 * math.pi * radius / slant


def draw_cone(d: Values) -> Sketch:
    """Draw a round cone: a sector with a glue flap on one edge.

    Parameters
    ----------
    d
        Inside `width` at the rim, `height` from rim to tip, `seam` width of the glue flap, `caliper`, mm.
    """
    seam = d["seam"]
    slant, angle = _cone(d)
    refuse(
        angle > math.radians(300),
        f"a cone of {d['width']:g} mm and {d['height']:g} mm is too flat: no room for the glue flap",
        "Use a higher or a narrower cone.",
    )
    refuse(3 * seam > slant, "the glue flap is wider than the cone's side is long", "Use a narrower seam.")
    sketch = Sketch("cone")
    far = slant * np.array([math.cos(angle), math.sin(angle)])
    sketch.cut_path(
        [
            (np.array([(0.0, 0.0), (seam, -seam), (slant - seam * SLANT, -seam), (slant, 0.0)]), False),
            (arc((0, 0), slant, 0.0, angle, sketch.sagitta), True),
            (np.array([far, (0.0, 0.0)]), False),
        ]
    )
    sketch.valley((0, 0), (slant, 0))
    _show_bent(sketch, d["width"], d["height"], slant + _ASIDE * d["width"])
    return sketch


def _show_bent(sketch: Sketch, width: float, height: float, left: float) -> None:
    """Show the cone as it stands on its tip, seen a little from above, on the right of `left`, mm."""
    middle, half, deep = left + width / 2, width / 2, width * _SEEN / 2
    turn = np.linspace(0.0, 2 * math.pi, 49)
    rim = np.column_stack((middle + half * np.cos(turn), height + deep * np.sin(turn)))
    sketch.aid(*rim)
    # The sides touch the rim where the lines from the tip do.
    touch = math.asin(-deep / height)
    at, up = half * math.cos(touch), height + deep * math.sin(touch)
    sketch.aid((middle - at, up), (middle, 0.0), (middle + at, up))
    sketch.span("width", (left, height), (left + width, height))
    sketch.span("height", (middle, 0.0), (middle, height))


def _expect_cone(d: Values) -> Expected:
    slant, angle = _cone(d)
    seam = d["seam"]
    return Expected((Verdict.LEAF,), area=slant * slant * angle / 2 + seam * (slant - (1 + SLANT) * seam / 2))


CONE = KindOfTemplate(
    name="cone",
    title="round cone, as for sweets: bent, not folded",
    dimensions=(
        Dimension("width", 70, "inside width at the rim", least=15, most=500),
        Dimension("height", 140, "height from rim to tip", least=20, most=800),
        Dimension("seam", 10, "width of the glue flap", least=GLUE, most=40),
        CALIPER,
    ),
    draw=draw_cone,
    source="slant = root of (h^2 + r^2) (Pythagoras); angle = 360 r / slant (plain geometry)",
    expect=_expect_cone,
    bends=True,
)
