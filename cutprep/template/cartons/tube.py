"""Templates that wrap round: tuck-end cartons, sleeves and bands.

Width of a tube's blank = 2 (L + W) + glue flap, with the last panel a little narrower; height of a
tuck-end carton = H + 2 (W + tuck); dust flaps reach (W + tuck) / 2 (common practice, no published
source). Scores lie one caliper further apart than the inside. The drawing shows the inside: every
fold is a valley.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise

import numpy as np

from cutprep.model.folded import Verdict
from cutprep.template.blank import SQUARE, VALLEY, Blank
from cutprep.template.dimensions import CALIPER, GLUE, SLANT, Dimension, Expected, Values, refuse
from cutprep.template.kind import KindOfTemplate
from cutprep.template.options.seam import SEAM_SIDE, last_wall, note_of
from cutprep.template.sketch import Sketch


def panels(length: float, width: float, caliper: float, last: float = 0.0) -> list[float]:
    """Where the panels of a tube of an inside size begin and end, mm.

    Parameters
    ----------
    length, width, caliper
        mm.
    last
        What the last panel has beyond its inside: nothing, so that it is a caliper narrower than the one across, or two
        calipers where the glue flap lies outside.
    """
    t = caliper
    return list(accumulate((length + t, width + t, length + t, width + last), initial=0.0))


def _refuse_seam(d: Values) -> None:
    refuse(
        d["seam"] > d["length"],
        f"the glue flap of {d['seam']:g} mm is wider than the wall of {d['length']:g} mm it goes under",
        "Use a narrower seam.",
    )


def add_tube(
    sketch: Sketch,
    x: Sequence[float],
    height: float,
    seam: float,
    *,
    drop: float | None = None,
    bottom: float = 0.0,
) -> None:
    """Add a tube that is open at both ends: four walls in a row and a glue flap.

    Nothing holds such a tube square before it is round its box, so the angle is said; the seam's follows.

    Parameters
    ----------
    x
        Where its walls begin and end, mm, from `panels`.
    height, seam
        Of the walls; how far the flap reaches, mm.
    drop
        How far the flap's free side is drawn in, mm; by `SLANT` when None.
    bottom
        Where its lower edge lies, mm.
    """
    top = bottom + height
    blank = Blank(sketch.name)
    for left, right in pairwise(x):
        blank.box(left, bottom, right, top)
    blank.flap((x[-1], bottom), (x[-1], top), seam, seam * SLANT if drop is None else drop)
    for at in x[1:-1]:
        blank.way((at, bottom), (at, top), SQUARE)
    blank.way((x[-1], bottom), (x[-1], top), VALLEY)
    blank.sketch.edge("sleeve", (x[2], top), (x[3], top))
    blank.sketch.face("sleeve", np.array([(x[2], bottom), (x[3], bottom), (x[3], top), (x[2], top)]))
    sketch.add(blank.finish())


def draw_sleeve(d: Values) -> Sketch:
    """Draw a sleeve: four walls and a glue flap, open at both ends."""
    _refuse_seam(d)
    refuse(2 * d["seam"] * SLANT > d["height"] / 2, "the glue flap tapers to a point", "Use a narrower seam.")
    sketch = Sketch("sleeve")
    sketch.note = note_of(d)
    x, h = panels(d["length"], d["width"], d["caliper"], last_wall(d)), d["height"]
    add_tube(sketch, x, h, d["seam"])
    sketch.face("front", np.array([(0, 0), (x[1], 0), (x[1], h), (0, h)]))
    sketch.edge("front edge", (0, h), (x[1], h))
    return sketch


def around(length: float, width: float, caliper: float) -> float:
    """Crease to crease all round a tube of an inside size, without the flap, mm."""
    return 2 * (length + width) + 3 * caliper


def _expect_sleeve(d: Values) -> Expected:
    t, h, seam = d["caliper"], d["height"], d["seam"]
    wide = around(d["length"], d["width"], t) + last_wall(d)
    return Expected(
        verdicts=(Verdict.OPEN_BOX,),
        inside=(d["length"], d["width"], h),
        area=wide * h + seam * (h - seam * SLANT),
        blank=(wide + seam, h),
    )


SLEEVE = KindOfTemplate(
    name="sleeve",
    title="sleeve that slips over a box, open at both ends",
    dimensions=(
        Dimension("length", 80, "inside length", least=10, most=1000),
        Dimension("width", 40, "inside width", least=5, most=1000),
        Dimension("height", 60, "height of the sleeve", least=10, most=1000),
        Dimension("seam", 10, "width of the glue flap", least=GLUE, most=40),
        SEAM_SIDE,
        CALIPER,
    ),
    draw=draw_sleeve,
    source="blank = 2 (L + W) + seam (common practice, no published source)",
    expect=_expect_sleeve,
    faces=("front",),
    edges=("front edge",),
    tears=("front",),
)


def draw_tuck_carton(d: Values) -> Sketch:
    """Draw a tuck-end carton.

    Parameters
    ----------
    d
        Inside `length`, `width`, `height`; `tuck` depth of the tuck flaps, `seam`, `caliper`, mm. Both
        lids hang on the first long wall; each is half a caliper shorter than the carton is wide, so
        that it closes without force.
    """
    _refuse_seam(d)
    t, tuck = d["caliper"], d["tuck"]
    x, h = panels(d["length"], d["width"], d["caliper"], last_wall(d)), d["height"] + t
    refuse(
        tuck > d["height"] / 2,
        f"tuck flaps of {tuck:g} mm meet inside a height of {d['height']:g} mm",
        "Use a shorter tuck.",
    )
    refuse(2 * tuck * SLANT > d["length"] / 2, "the tuck flap tapers to a point", "Use a shorter tuck.")
    lid = d["width"] + t / 2
    dust = min((d["width"] + tuck) / 2, d["length"] / 2 - 1)
    refuse(2 * dust * SLANT > d["width"] / 2, "the dust flaps taper to a point", "Use a shorter tuck.")
    sketch = Sketch("tuck-carton")
    sketch.note = note_of(d)
    drop = d["seam"] * SLANT
    slope, play = dust * SLANT, 0.5  # a dust flap keeps half a millimetre from the lid beside it
    ease = t + 0.5  # a tuck flap slips between the side walls
    inset = ease + tuck * SLANT
    below = [
        (0.0, 0.0), (0.0, -lid), (ease, -lid), (inset, -lid - tuck),
        (x[1] - inset, -lid - tuck), (x[1] - ease, -lid), (x[1], -lid), (x[1], 0.0),
    ]  # fmt: skip
    for left, right in ((x[1], x[2]), (x[3], x[4])):
        below += [
            (left + play, 0.0),
            (left + slope + play, -dust),
            (right - slope - play, -dust),
            (right - play, 0.0),
            (right, 0.0),
        ]
    above = [(px, h - py) for px, py in reversed(below)]
    sketch.cut(
        *_without_repeats([*below, (x[4] + d["seam"], drop), (x[4] + d["seam"], h - drop), *above]),
        closed=True,
    )
    # The last wall is a caliper narrower than the one across, so the angle is said; the seam's follows.
    for at in x[1:-1]:
        sketch.valley((at, 0), (at, h), degrees=90)
    sketch.valley((x[-1], 0), (x[-1], h))
    for y, out in ((0.0, -1.0), (h, 1.0)):
        sketch.valley((0, y), (x[1], y))
        tuck_fold = (ease, y + out * lid), (x[1] - ease, y + out * lid)
        sketch.valley(*tuck_fold)
        sketch.lock(*tuck_fold)
        for left, right in ((x[1], x[2]), (x[3], x[4])):
            sketch.valley((left + play, y), (right - play, y))
    sketch.face("front", np.array([(x[2], 0.0), (x[3], 0.0), (x[3], h), (x[2], h)]))
    sketch.edge("front edge", (x[2], h), (x[3], h), behind=tuck)
    sketch.face("back", np.array([(0.0, 0.0), (x[1], 0.0), (x[1], h), (0.0, h)]))
    return sketch


def _expect_tuck_carton(d: Values) -> Expected:
    t, tuck, seam, play = d["caliper"], d["tuck"], d["seam"], 0.5
    last = last_wall(d)
    wide, h, lid = around(d["length"], d["width"], t) + last, d["height"] + t, d["width"] + t / 2
    dust = min((d["width"] + tuck) / 2, d["length"] / 2 - 1)
    long = d["length"] + t
    flap = tuck * (long - 2 * (t + 0.5) - tuck * SLANT)
    ends = sum(dust * (side - 2 * play - dust * SLANT) for side in (d["width"] + t, d["width"] + last))
    return Expected(
        verdicts=(Verdict.CLOSED,),
        inside=(d["height"], d["length"], d["width"]),
        area=wide * h + seam * (h - seam * SLANT) + 2 * (long * lid + flap + ends),
        blank=(wide + seam, h + 2 * (lid + tuck)),
        volume=long * (d["width"] + t) * h,
    )


def _without_repeats(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    return [p for i, p in enumerate(points) if p != points[i - 1]]


TUCK_CARTON = KindOfTemplate(
    name="tuck-carton",
    title="tuck-end carton with dust flaps",
    dimensions=(
        Dimension("length", 60, "inside length of the front", least=10, most=1000),
        Dimension("width", 30, "inside width of the side", least=10, most=1000),
        Dimension("height", 90, "inside height", least=10, most=1000),
        Dimension("tuck", 12, "depth of the tuck flaps", least=GLUE, most=60),
        Dimension("seam", 10, "width of the glue flap", least=GLUE, most=40),
        SEAM_SIDE,
        CALIPER,
    ),
    draw=draw_tuck_carton,
    source="blank = 2 (L + W) + seam by H + 2 (W + tuck); dust flap (W + tuck) / 2 (common practice, no published source)",
    expect=_expect_tuck_carton,
    faces=("front", "back"),
    edges=("front edge",),
    locks=True,
    tears=("front", "back"),
)


def draw_band(d: Values) -> Sketch:
    """Draw a band round a box: `length` and `height` of the box, `width` of the band, `overlap`, `caliper`."""
    sketch = Sketch("band")
    t, w = d["caliper"], d["width"]
    x = panels(d["length"], d["height"], t, last_wall(d))
    sketch.note = note_of(d)
    refuse(d["overlap"] > x[1], "the overlap is longer than the side it lies on", "Use a shorter overlap.")
    add_tube(sketch, x, w, d["overlap"], drop=min(d["overlap"] * SLANT, w / 6))
    sketch.face("front", np.array([(x[2], 0), (x[3], 0), (x[3], w), (x[2], w)]))
    return sketch


def _expect_band(d: Values) -> Expected:
    t, w, lap = d["caliper"], d["width"], d["overlap"]
    wide = around(d["length"], d["height"], t) + last_wall(d)
    return Expected(
        verdicts=(Verdict.OPEN_BOX,),
        inside=(d["length"], d["height"], w),
        area=wide * w + lap * (w - min(lap * SLANT, w / 6)),
        blank=(wide + lap, w),
    )


BAND = KindOfTemplate(
    name="band",
    title="band that holds a box together",
    dimensions=(
        Dimension("length", 80, "length of the box it goes round", least=5, most=1000),
        Dimension("height", 30, "height of the box it goes round", least=2, most=1000),
        Dimension("width", 25, "width of the band", least=5, most=300),
        Dimension("overlap", 15, "overlap that is glued", least=GLUE, most=100),
        SEAM_SIDE,
        CALIPER,
    ),
    draw=draw_band,
    source="length = 2 (L + H) + overlap (common practice, no published source)",
    expect=_expect_band,
    faces=("front",),
    tears=("front",),
)
