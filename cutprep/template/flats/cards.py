"""Cards that fold once, liners, place cards, a locked band."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from cutprep.model.folded import Verdict
from cutprep.template.blank import OVER, SQUARE, Blank, FoldStyle
from cutprep.template.dimensions import CALIPER, Dimension, Expected, Values, refuse
from cutprep.template.flats.soft import show_card
from cutprep.template.kind import KindOfTemplate
from cutprep.template.sketch import Sketch

#: A slit for a lock is at least this wide, mm; common practice, no published source.
_SLIT = 0.4
#: Tails of a locked band are at most this share of the side that they cross on, so that they stay off its corners.
_LAP = 0.35


def _rounded(blank: Blank, corners: tuple[tuple[float, float], ...], radius: float) -> None:
    if radius:
        for corner in corners:
            blank.round_corner(corner, radius)


def _less_corners(radius: float) -> float:
    """What four rounded corners take off, mm2."""
    return (4 - math.pi) * radius * radius


def draw_card(d: Values) -> Sketch:
    """Draw a card that folds in the middle: `width` and `height` folded, `corner` radius of its free corners, mm."""
    w, h, r = d["width"], d["height"], d["corner"]
    refuse(2 * r > min(w, h), f"corners of {r:g} mm are too round for the card", "Use a smaller corner.")
    blank = Blank("folded-card").box(0, 0, w, h, name="back").box(w, 0, 2 * w, h, name="front")
    blank.way((w, 0), (w, h), OVER)
    _rounded(blank, ((0, 0), (2 * w, 0), (2 * w, h), (0, h)), r)
    return blank.finish()


FOLDED_CARD = KindOfTemplate(
    name="folded-card",
    title="card that folds once, for writing in",
    dimensions=(
        Dimension("width", 105, "width when folded", least=20, most=500, standard="A6"),
        Dimension("height", 148, "height", least=20, most=500, standard="A6"),
        Dimension("corner", 0, "radius of the free corners", least=0, most=100),
    ),
    draw=draw_card,
    source="plain geometry; A6 = 105 x 148 mm folded from A5 (ISO 216)",
    expect=lambda d: Expected(
        (Verdict.LEAF,),
        area=2 * d["width"] * d["height"] - _less_corners(d["corner"]),
        blank=(2 * d["width"], d["height"]),
    ),
    faces=("front", "back"),
    tears=("front", "back"),
    cards=True,
)


def draw_place_card(d: Values) -> Sketch:
    """Draw a place card that stands like a tent: `width`, `height` of each side, `corner` radius, mm."""
    w, h, r = d["width"], d["height"], d["corner"]
    refuse(2 * r > min(w, h), f"corners of {r:g} mm are too round for the card", "Use a smaller corner.")
    blank = Blank("place-card").box(0, 0, w, h, name="front").box(0, h, w, 2 * h, name="back", turned=True)
    blank.way((0, h), (w, h), FoldStyle("mountain", 120.0))
    _rounded(blank, ((0, 0), (w, 0), (w, 2 * h), (0, 2 * h)), r)
    return blank.finish()


PLACE_CARD = KindOfTemplate(
    name="place-card",
    title="place card that stands like a tent",
    dimensions=(
        Dimension("width", 90, "width", least=20, most=300),
        Dimension("height", 50, "height of each side", least=15, most=300),
        Dimension("corner", 0, "radius of the corners", least=0, most=100),
    ),
    draw=draw_place_card,
    source="plain geometry",
    expect=lambda d: Expected(
        (Verdict.LEAF,),
        area=2 * d["width"] * d["height"] - _less_corners(d["corner"]),
        blank=(d["width"], 2 * d["height"]),
    ),
    faces=("front", "back"),
    cards=True,
)


def draw_liner(d: Values) -> Sketch:
    """Draw a liner for an `envelope` of the same `width`, `height`, `play`, `overlap`: it stays `margin` inside the edges, mm."""
    w, h, margin = d["width"] + d["play"], d["height"] + d["play"], d["margin"]
    high = h / 2 + d["overlap"]
    # The flap's edges run from the fold's ends to its point; the liner's stay a margin inside them.
    edge = math.hypot(w / 2, high)
    foot, point = margin * edge / high, high - margin * edge / (w / 2)
    refuse(
        foot > w / 2 - 5 or point < 5,
        f"a margin of {margin:g} mm leaves nothing of the liner's flap",
        "Use a smaller margin.",
    )
    blank = Blank("envelope-liner")
    blank.box(margin, 0, w - margin, h, name="inside")
    blank.panel((foot, h), (w - foot, h), (w / 2, h + point))
    sketch = blank.finish()
    sketch.aid((0, 0), (w, 0), (w, h), (w / 2, h + high), (0, h), (0, 0))
    show_card(sketch, d)
    sketch.span("margin", (w - margin, h / 2), (w, h / 2))
    sketch.aid((w / 3, h * 3 / 2), (w * 2 / 3, h * 3 / 2))
    sketch.span("overlap", (w / 2, h * 3 / 2), (w / 2, h + high))
    return sketch


def _expect_liner(d: Values) -> Expected:
    w, h, margin = d["width"] + d["play"], d["height"] + d["play"], d["margin"]
    high = h / 2 + d["overlap"]
    edge = math.hypot(w / 2, high)
    foot, point = margin * edge / high, high - margin * edge / (w / 2)
    return Expected(
        (Verdict.LEAF,),
        area=(w - 2 * margin) * h + (w - 2 * foot) * point / 2,
        blank=(w - 2 * margin, h + point),
    )


LINER = KindOfTemplate(
    name="envelope-liner",
    title="liner for an envelope of the same dimensions",
    dimensions=(
        Dimension("width", 148, "width of the card in the envelope", least=20, most=500, standard="A6"),
        Dimension("height", 105, "height of the card in the envelope", least=20, most=500, standard="A6"),
        Dimension("play", 4, "room round the card, as the envelope has", least=0, most=20),
        Dimension("overlap", 8, "as the envelope has", least=0, most=60),
        Dimension("margin", 8, "how far the liner stays inside the edges", least=2, most=40),
    ),
    draw=draw_liner,
    source="plain geometry; A6 = 105 x 148 mm (ISO 216)",
    expect=_expect_liner,
)


def draw_locked_band(d: Values) -> Sketch:
    """Draw a band that locks without glue: a slit from above at one end, from below at the other.

    Parameters
    ----------
    d
        `length` and `height` of the box it goes round, `width` of the band, `tail` beyond each slit, `caliper`, mm. The slits
        reach half way and a caliper more, and lie as far apart as the band is long round the box.
    """
    t, w, tail = d["caliper"], d["width"], d["tail"]
    a, b = d["length"] + t, d["height"] + t
    refuse(
        tail > _LAP * a,
        f"tails of {tail:g} mm lie on each other over nearly the whole top of {a:g} mm",
        f"Use a tail of at most {math.floor(10 * _LAP * a) / 10:g} mm.",
    )
    half, slot = _lock(d)
    refuse(half > w - 4, f"slits leave too little of a band of {w:g} mm", "Use a wider band.")
    blank = Blank("locked-band")
    # The slits lie in the middle of the top, so that the ends cross there.
    x = [0.0, *np.cumsum([tail + a / 2, b, a, b, a / 2 + tail]).tolist()]
    low, high = tail - slot / 2, tail + slot / 2
    blank.panel(
        (0, 0), (x[1], 0), (x[1], w), (high, w), (high, w - half), (low, w - half), (low, w), (0, w)
    )  # fmt: skip
    for left, right in pairwise(x[1:-1]):
        blank.box(left, 0, right, w, name="front" if left == x[2] else "")
    low, high = x[5] - tail - slot / 2, x[5] - tail + slot / 2
    blank.panel(
        (x[4], 0), (low, 0), (low, half), (high, half), (high, 0), (x[5], 0), (x[5], w), (x[4], w)
    )  # fmt: skip
    for at in x[1:-1]:
        blank.way((at, 0), (at, w), SQUARE)
    return blank.finish()


def _lock(d: Values) -> tuple[float, float]:
    """Length and width of a slit, mm."""
    return d["width"] / 2 + d["caliper"], max(2 * d["caliper"], _SLIT)


def _expect_locked_band(d: Values) -> Expected:
    half, slot = _lock(d)
    around = 2 * (d["length"] + d["height"] + 2 * d["caliper"]) + 2 * d["tail"]
    return Expected(
        (Verdict.OPEN_BOX,), area=around * d["width"] - 2 * half * slot, blank=(around, d["width"])
    )


LOCKED_BAND = KindOfTemplate(
    name="locked-band",
    title="band round a box that locks with two slits, without glue",
    dimensions=(
        Dimension("length", 80, "length of the box it goes round", least=20, most=1000),
        Dimension("height", 30, "height of the box it goes round", least=2, most=1000),
        Dimension("width", 25, "width of the band", least=10, most=300),
        Dimension("tail", 15, "card beyond each slit", least=5, most=100),
        CALIPER,
    ),
    draw=draw_locked_band,
    source="length = 2 (L + H) + 2 tails, slits half the width deep and two calipers wide (common practice, no published source)",
    expect=_expect_locked_band,
    faces=("front",),
    tears=("front",),
)
