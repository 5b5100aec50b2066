"""What a folded template takes up outside, and which of its dimensions make room for something inside.

Outside is inside and the layers of card on each side: a wall, a tab glued into a wall, a lid over a flap (common practice, no
published source). The fold check measures the same by its own way; a set is held to both.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from cutprep.template.boxes.tray import lid_inside
from cutprep.template.dimensions import Values

Size = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Hollow:
    """How a kind holds and is held.

    Attributes
    ----------
    outside
        Length, width, height that it takes up when it is made, mm.
    room
        Its dimensions for the length, width and height of what it takes, "" for one that it leaves open; empty when it takes
        nothing.
    layers
        Calipers of card that lie inside these dimensions.
    snug
        For each of them, whether play is left: a sleeve is as long as what is in it, an open tray as high.
    flat
        It lies flat when it is made, so that only its length and width are measured.
    """

    outside: Callable[[Values], Size]
    room: tuple[str, ...] = ()
    layers: Size = (0.0, 0.0, 0.0)
    snug: tuple[bool, bool, bool] = (True, True, True)
    flat: bool = False


def _tray(d: Values) -> Size:
    t = d["caliper"]
    return d["length"] + 2 * t, d["width"] + 4 * t, d["height"] + t


def _lidded(d: Values) -> Size:
    t = d["caliper"]
    length, width = lid_inside(d["length"], d["width"], t, d["play"])
    return length + 2 * t, width + 4 * t, d["height"] + 2 * t


def _carton(d: Values) -> Size:
    t = d["caliper"]
    return d["length"] + 2 * t, d["width"] + 2 * t, d["height"] + 2 * t


def _sleeve(d: Values) -> Size:
    t = d["caliper"]
    return d["height"], d["length"] + 2 * t, d["width"] + 2 * t


def _prism(d: Values) -> Size:
    t = d["caliper"]
    return (*_round_polygon(int(d["sides"]), d["width"] + 2 * t), d["height"] + 2 * t)


def _round_polygon(n: int, across: float) -> tuple[float, float]:
    """Length and width of the box round a regular polygon that stands with a side along the length, mm."""
    corners = across / math.cos(math.pi / n)
    if n % 4 == 0:
        return across, across
    return (corners, across) if n % 2 == 0 else (corners, corners)


def _drawer(d: Values) -> Size:
    t, play = d["caliper"], d["play"]
    wide = lid_inside(d["length"], d["width"], t, play)[1]
    return d["length"] + 2 * t, wide + 2 * t, d["height"] + 4 * t + 2 * play


def _hinged(d: Values) -> Size:
    """Tabs of front and back wall are glued inside the side walls; the lid lies on the walls, its flap inside the front."""
    t = d["caliper"]
    return d["length"] + 4 * t, d["width"] + 2 * t, d["height"] + 2 * t


def _lidded_polygon(d: Values) -> Size:
    """Walls and tabs of its lid, and play, lie outside the box."""
    t = d["caliper"]
    return (*_round_polygon(int(d["sides"]), d["width"] + 6 * t + 2 * d["play"]), d["height"] + 2 * t)


def _exploding(d: Values) -> Size:
    t = d["caliper"]
    length, width = lid_inside(d["side"], d["side"], t, d["play"])
    return length + 2 * t, width + 4 * t, d["height"] + 2 * t


def _card(d: Values) -> Size:
    """Folded in two, and pressed."""
    return d["width"], d["height"], 2 * d["caliper"]


def _envelope(d: Values) -> Size:
    t = d["caliper"]
    return d["width"] + d["play"], d["height"] + d["play"], 4 * t


def _sleeve_of_band(d: Values) -> Size:
    t = d["caliper"]
    return d["length"] + 2 * t, d["width"], d["height"] + 2 * t


def _cup(d: Values) -> Size:
    """The rim is the widest part."""
    t = d["caliper"]
    return (*_round_polygon(int(d["sides"]), d["width"] + 2 * t), d["height"] + t)


def _bag(d: Values) -> Size:
    t = d["caliper"]
    return d["length"] + 2 * t, d["width"] + 2 * t, d["height"] + t


_BOX = ("length", "width", "height")
HOLLOW: dict[str, Hollow] = {
    # Tabs are glued into the two long walls of a tray.
    "tray": Hollow(_tray, _BOX, layers=(0.0, 2.0, 0.0), snug=(True, True, False)),
    "tray-with-lid": Hollow(_lidded, _BOX, layers=(0.0, 2.0, 0.0)),
    "tuck-carton": Hollow(_carton, _BOX, layers=(0.0, 1.0, 2.0)),
    # What goes in lies along the sleeve; a glue flap lies under the wall above it.
    "sleeve": Hollow(
        _sleeve, ("height", "length", "width"), layers=(0.0, 0.0, 1.0), snug=(False, True, True)
    ),
    "prism-carton": Hollow(_prism),
    "drawer-and-sleeve": Hollow(_drawer, _BOX, layers=(0.0, 2.0, 0.0)),
    # A hinged box has the tabs in its side walls, and the tuck flap inside its front wall.
    "hinged-box": Hollow(_hinged, _BOX, layers=(2.0, 1.0, 0.0)),
    "polygon-box": Hollow(_lidded_polygon),
    "exploding-box": Hollow(_exploding),
    "cup": Hollow(_cup),
    # A glue flap lies inside one wall; a bag is as high as it is said to be.
    "gusseted-bag": Hollow(_bag, ("length", "width", ""), layers=(0.0, 1.0, 0.0)),
    # A band goes round length and height of a box; its glue flap lies under its first side.
    "band": Hollow(_sleeve_of_band, ("length", "", "height"), layers=(0.0, 0.0, 1.0)),
    "locked-band": Hollow(_sleeve_of_band, ("length", "", "height")),
    "folded-card": Hollow(_card, flat=True),
    "place-card": Hollow(_card, flat=True),
    # An envelope has play of its own round its card.
    "envelope": Hollow(_envelope, ("width", "height", ""), snug=(False, False, False), flat=True),
}
