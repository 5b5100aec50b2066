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

READY: dict[str, str] = {
    "boxes-in-tray": _BOXES_IN_TRAY,
    "box-in-box": _BOX_IN_BOX,
    "drawer-in-sleeve": _DRAWER,
}


def ready_set(name: str) -> PieceSet:
    """A set to begin with, by its name among `READY`."""
    return read_set(Table(tomllib.loads(READY[name])))
