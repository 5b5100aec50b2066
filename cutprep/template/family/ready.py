"""Sets to begin with, as the maker would write them."""

from __future__ import annotations

import tomllib

from cutprep.tables import Table
from cutprep.template.family.pieces import PieceSet, read_set

_BOXES_IN_TRAY = """
title = "Jar cartons in a tray with a divider"

[[piece]]
name = "carton"
kind = "prism-carton"
width = "40mm"
height = "50mm"

[[piece]]
name = "tray"
kind = "tray"
takes = "carton"
columns = 3
rows = 2
height = "30mm"

[[piece]]
name = "divider"
kind = "divider"
stands_in = "tray"
"""
_BOX_IN_BOX = """
title = "A box in a box"

[[piece]]
name = "inner"
kind = "tray-with-lid"
length = "60mm"
width = "45mm"
height = "25mm"

[[piece]]
name = "outer"
kind = "tray-with-lid"
takes = "inner"
"""
_DRAWER = """
title = "A drawer in a sleeve"

[[piece]]
name = "drawer"
kind = "tray"
length = "90mm"
width = "60mm"
height = "25mm"

[[piece]]
name = "cover"
kind = "sleeve"
takes = "drawer"
"""

_BAND = """
title = "A band round a carton"

[[piece]]
name = "carton"
kind = "tuck-carton"
length = "50mm"
width = "30mm"
height = "60mm"

[[piece]]
name = "band"
kind = "locked-band"
takes = "carton"
"""
_CARD = """
title = "A card in a lined envelope"

[[piece]]
name = "card"
kind = "folded-card"
width = "5 1/2in"
height = "4 1/4in"

[[piece]]
name = "envelope"
kind = "envelope"
takes = "card"
play = "4mm"

[[piece]]
name = "liner"
kind = "envelope-liner"
stands_in = "envelope"
"""
_CARDS = """
title = "Place cards in a box"

[[piece]]
name = "card"
kind = "place-card"
width = "90mm"
height = "50mm"

[[piece]]
name = "box"
kind = "tray-with-lid"
takes = "card"
layers = 30
lid = "7mm"
tab = "6mm"
"""
_BAG = """
title = "A box in a bag"

[[piece]]
name = "box"
kind = "tray-with-lid"
length = "70mm"
width = "40mm"
height = "25mm"

[[piece]]
name = "bag"
kind = "gusseted-bag"
takes = "box"
height = "120mm"
"""
_CUPS = """
title = "Cups in a tray"

[[piece]]
name = "cup"
kind = "cup"

[[piece]]
name = "tray"
kind = "tray"
takes = "cup"
columns = 3
rows = 2
height = "30mm"
"""

READY: dict[str, str] = {
    "boxes-in-tray": _BOXES_IN_TRAY,
    "box-in-box": _BOX_IN_BOX,
    "drawer-in-sleeve": _DRAWER,
    "band-round-carton": _BAND,
    "card-in-envelope": _CARD,
    "cards-in-box": _CARDS,
    "box-in-bag": _BAG,
    "cups-in-tray": _CUPS,
}


def ready_set(name: str) -> PieceSet:
    """A set to begin with, by its name among `READY`."""
    return read_set(Table(tomllib.loads(READY[name])))
