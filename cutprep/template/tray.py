"""Open trays: a base, four walls, and a glue tab at each corner.

The blank of a tray is L + 2H by W + 2H, measured between scores (common practice; the same
arithmetic stands in paper-box tutorials). Walls face each other across the card's thickness, so
scores lie one caliper further apart than the inside, and a wall is half a caliper higher.
"""

from __future__ import annotations

from collections.abc import Mapping

from cutprep.model.drawing import Drawing
from cutprep.template.dimensions import Dimension, KindOfTemplate, refuse
from cutprep.template.sketch import Sketch


def draw_tray(d: Mapping[str, float]) -> Drawing:
    """Draw an open tray with a tab at each end of the two short walls.

    Parameters
    ----------
    d
        Inside `length`, `width`, `height`, `tab` depth and `caliper`, mm.
    """
    length, width = d["length"] + d["caliper"], d["width"] + d["caliper"]
    height, tab = d["height"] + d["caliper"] / 2, d["tab"]
    refuse(
        tab > height - 1,
        f"tabs of {tab:g} mm don't fit into the corners of {height:g} mm",
        f"Use a tab of at most {height - 1:g} mm.",
    )
    refuse(
        2 * tab > length, f"two tabs of {tab:g} mm meet along a wall of {length:g} mm", "Use smaller tabs."
    )
    sketch = Sketch("tray")
    x1, x2, x3 = height, height + length, 2 * height + length
    y1, y2, y3 = height, height + width, 2 * height + width
    slant = min(tab * 0.27, height / 4)  # tan 15 degrees; common practice, no published source
    sketch.cut(
        (x1, 0), (x2, 0), (x2, y1),
        (x2 + slant, y1 - tab), (x3 - slant, y1 - tab), (x3, y1),
        (x3, y2), (x3 - slant, y2 + tab), (x2 + slant, y2 + tab),
        (x2, y2), (x2, y3), (x1, y3), (x1, y2),
        (x1 - slant, y2 + tab), (slant, y2 + tab), (0, y2),
        (0, y1), (slant, y1 - tab), (x1 - slant, y1 - tab), (x1, y1),
        closed=True,
    )  # fmt: skip
    for y in (y1, y2):
        sketch.valley((x1, y), (x2, y))
        sketch.valley((0, y), (x1, y))
        sketch.valley((x2, y), (x3, y))
    for x in (x1, x2):
        sketch.valley((x, y1), (x, y2))
    return sketch.drawing()


TRAY = KindOfTemplate(
    name="tray",
    title="open tray with glued corner tabs",
    dimensions=(
        Dimension("length", 132, "inside length", least=10, most=1500),
        Dimension("width", 78, "inside width", least=10, most=1500),
        Dimension("height", 30, "inside height", least=5, most=500),
        Dimension("tab", 14, "depth of the corner tabs", least=4, most=100),
        Dimension("caliper", 0.3, "thickness of the card", least=0, most=3),
    ),
    draw=draw_tray,
    source="blank = (L + 2H) x (W + 2H) between scores (common practice, no published source)",
)
