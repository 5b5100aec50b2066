"""Pillow boxes with curved scores, and envelopes."""

from __future__ import annotations

import math

import numpy as np

from cutprep.geometry.curves.flatten import arc
from cutprep.model.folded import Verdict
from cutprep.model.lines import Points
from cutprep.template.dimensions import GLUE, Dimension, Expected, Values, refuse
from cutprep.template.kind import KindOfTemplate
from cutprep.template.sketch import Sketch


def bow(a: tuple[float, float], b: tuple[float, float], rise: float, sagitta: float) -> Points:
    """Arc from a to b that rises to the right of the way, (n, 2), mm.

    Parameters
    ----------
    a, b
        Its ends, mm.
    rise
        Height over its chord, mm.
    sagitta
        Chord error of flattening, mm.
    """
    p, q = np.asarray(a, float), np.asarray(b, float)
    half = math.hypot(*(q - p)) / 2
    radius = (half * half + rise * rise) / (2 * rise)
    along = (q - p) / (2 * half)
    outward = np.array([along[1], -along[0]])
    centre = (p + q) / 2 + outward * (rise - radius)
    begin = math.atan2(*(p - centre)[::-1])
    sweep = 2 * math.atan2(half, radius - rise)
    points = arc(centre, radius, begin, sweep, sagitta)
    points[0], points[-1] = p, q
    return points


def draw_pillow(d: Values) -> Sketch:
    """Draw a pillow box: two panels, curved flaps at their ends, a glue flap.

    Parameters
    ----------
    d
        `length` of the straight folds, `width` of a panel, `bow` rise of the curves, `seam`, mm. The curved
        score and the curved cut mirror each other, so that a closed flap lies flush.
    """
    length, width, rise, seam = d["length"], d["width"], d["bow"], d["seam"]
    refuse(
        rise > width / 3,
        f"curves of {rise:g} mm are too deep for {width:g} mm",
        f"Use at most {width / 3:g} mm.",
    )
    refuse(2 * rise > length - 10, "the curved flaps meet in the middle", "Use a longer box.")
    refuse(seam * 0.54 > length - 10, "the glue flap tapers to a point", "Use a narrower seam.")
    sketch = Sketch("pillow-box")
    drop, right = seam * 0.27, 2 * width
    sketch.cut_path(
        [
            (bow((0, 0), (width, 0), rise, sketch.sagitta), True),
            (bow((width, 0), (right, 0), rise, sketch.sagitta), True),
            (np.array([(right, 0), (right + seam, drop)]), False),
            (np.array([(right + seam, drop), (right + seam, length - drop)]), False),
            (np.array([(right + seam, length - drop), (right, length)]), False),
            (bow((right, length), (width, length), rise, sketch.sagitta), True),
            (bow((width, length), (0, length), rise, sketch.sagitta), True),
            (np.array([(0, length), (0, 0)]), False),
        ]
    )
    for left in (0.0, width):
        sketch.valley_curve(bow((left + width, 0), (left, 0), rise, sketch.sagitta))
        sketch.valley_curve(bow((left, length), (left + width, length), rise, sketch.sagitta))
    sketch.valley((width, 0), (width, length))
    sketch.valley((right, 0), (right, length))
    sketch.face("front", np.array([(0, rise), (width, rise), (width, length - rise), (0, length - rise)]))
    # The crests of the flaps that are pushed in over the others.
    for name, crest in (("lower flap", -rise), ("upper flap", length + rise)):
        sketch.edge(name, (0, crest), (width, crest))
    return sketch


def _expect_pillow(d: Values) -> Expected:
    """Two panels between curves that bow out at both ends, and the glue flap; the curves are circular segments."""
    length, width, rise, seam = d["length"], d["width"], d["bow"], d["seam"]
    radius = (width * width / 4 + rise * rise) / (2 * rise)
    half = math.asin(width / 2 / radius)
    segment = radius * radius * (half - math.sin(half) * math.cos(half))
    return Expected(
        verdicts=(Verdict.CURVED,),
        area=2 * width * length + 4 * segment + seam * (length - 0.27 * seam),
        blank=(2 * width + seam, length + 2 * rise),
    )


PILLOW = KindOfTemplate(
    name="pillow-box",
    title="pillow box with curved scores",
    dimensions=(
        Dimension("length", 90, "length of the straight folds", least=20, most=1000),
        Dimension("width", 60, "width of a panel", least=20, most=1000),
        Dimension("bow", 12, "rise of the curves", least=3, most=200),
        Dimension("seam", 10, "width of the glue flap", least=GLUE, most=40),
    ),
    draw=draw_pillow,
    source="radius of the curves = (w^2 / 4 + rise^2) / (2 rise) (plain geometry)",
    expect=_expect_pillow,
    bends=True,
    faces=("front",),
    edges=("lower flap", "upper flap"),
    tears=("front",),
)


def draw_envelope(d: Values) -> Sketch:
    """Draw an envelope for a card of `width` x `height`: side flaps, a bottom flap, a pointed top flap.

    `play` is the room round the card, `flap` the width of the side flaps and `overlap` how far the bottom flap
    reaches past the middle, mm.
    """
    w, h = d["width"] + d["play"], d["height"] + d["play"]
    flap, overlap = d["flap"], d["overlap"]
    refuse(2 * flap > w - 5, "the side flaps meet in the middle", "Use narrower flaps.")
    low, high = h / 2 + overlap, h / 2 + overlap
    slope, ease = flap * 0.27, 1.0  # flaps keep a millimetre from each other's folds
    sketch = Sketch("envelope")
    sketch.cut(
        (ease, 0), (w / 8, -low), (w * 7 / 8, -low), (w - ease, 0), (w, 0),
        (w, ease), (w + flap, ease + slope), (w + flap, h - ease - slope), (w, h - ease), (w, h),
        (w - ease, h), (w / 2, h + high), (ease, h), (0, h),
        (0, h - ease), (-flap, h - ease - slope), (-flap, ease + slope), (0, ease), (0, 0),
        closed=True,
    )  # fmt: skip
    sketch.fold_over((ease, 0), (w - ease, 0))
    sketch.fold_over((w, ease), (w, h - ease))
    sketch.fold_over((ease, h), (w - ease, h))
    sketch.fold_over((0, ease), (0, h - ease))
    sketch.face("front", np.array([(0, 0), (w, 0), (w, h), (0, h)]))
    sketch.edge("bottom flap", (w / 8, -low), (w * 7 / 8, -low))
    show_card(sketch, d)
    sketch.aid((w / 4, -h / 2), (w * 3 / 4, -h / 2))
    sketch.span("overlap", (w / 2, -h / 2), (w / 2, -low))
    return sketch


def show_card(sketch: Sketch, d: Values) -> None:
    """Show the card in an envelope whose face begins at 0, 0: `width` by `height`, half the `play` from its edges."""
    edge, right, top = d["play"] / 2, d["play"] / 2 + d["width"], d["play"] / 2 + d["height"]
    sketch.aid((edge, edge), (right, edge), (right, top), (edge, top), (edge, edge))
    sketch.span("width", (edge, edge), (right, edge))
    sketch.span("height", (edge, edge), (edge, top))


def _expect_envelope(d: Values) -> Expected:
    w, h, flap = d["width"] + d["play"], d["height"] + d["play"], d["flap"]
    low, ease = h / 2 + d["overlap"], 1.0
    sides = flap * (h - 2 * ease - 0.27 * flap)
    bottom = low * (w - 2 * ease + w * 3 / 4) / 2
    return Expected(
        verdicts=(Verdict.LEAF,),
        area=w * h + 2 * sides + bottom + low * (w - 2 * ease) / 2,
        blank=(w + 2 * flap, h + 2 * low),
    )


ENVELOPE = KindOfTemplate(
    name="envelope",
    title="envelope for a card",
    dimensions=(
        Dimension("width", 148, "width of the card", least=20, most=500, standard="A6"),
        Dimension("height", 105, "height of the card", least=20, most=500, standard="A6"),
        Dimension("play", 4, "room round the card", least=0, most=20),
        Dimension("flap", 18, "width of the side flaps", least=GLUE, most=100),
        Dimension("overlap", 8, "how far the bottom flap reaches past the middle", least=0, most=60),
    ),
    draw=draw_envelope,
    source="plain geometry; A6 = 105 x 148 mm (ISO 216)",
    expect=_expect_envelope,
    faces=("front",),
    edges=("bottom flap",),
)
