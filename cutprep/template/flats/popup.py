"""Cards out of which something stands up as they open.

A strip between two slits, scored across, is as long as the way it takes from one half of the card to the other:
for steps of one rise and one tread that is the whole height and the whole depth of the stair (plain geometry).
"""

from __future__ import annotations

import numpy as np

from cutprep.model.folded import Verdict
from cutprep.template.dimensions import Dimension, Expected, Values, refuse
from cutprep.template.kind import KindOfTemplate
from cutprep.template.sketch import Sketch


def draw_stair(d: Values) -> Sketch:
    """Draw a card that opens to a right angle, and a stair that stands out of its fold.

    Parameters
    ----------
    d
        `width` and `height` of each half of the card, `steps`, `step` rise and tread of each, `stair` its width, mm.
    """
    w, h, n, step, wide = d["width"], d["height"], int(d["steps"]), d["step"], d["stair"]
    reach = n * step
    refuse(
        reach > h - 5,
        f"{n} steps of {step:g} mm don't fit on a card of {h:g} mm",
        f"Use fewer steps, or steps of at most {(h - 5) / n:.1f} mm.",
    )
    refuse(
        wide > w - 10,
        f"a stair of {wide:g} mm is too wide for a card of {w:g} mm",
        f"Use one of at most {w - 10:g} mm.",
    )
    left, right = (w - wide) / 2, (w + wide) / 2
    sketch = Sketch("pop-up-stair")
    sketch.cut((0, -h), (w, -h), (w, h), (0, h), closed=True)
    for x in (left, right):
        sketch.cut((x, -reach), (x, reach))
    sketch.valley((0, 0), (left, 0), degrees=90)
    sketch.valley((right, 0), (w, 0), degrees=90)
    for k in range(2 * n + 1):
        # The strip leaves both halves of the card by a valley; between them edges and inner corners take turns.
        y = (k - n) * step
        sketch.fold(np.array([(left, y), (right, y)]), "mountain" if k % 2 else "valley", 90)
    sketch.read_inside = True
    sketch.face("back", np.array([(0, reach), (w, reach), (w, h), (0, h)]))
    return sketch


STAIR = KindOfTemplate(
    name="pop-up-stair",
    title="card with a stair that stands up as it opens",
    dimensions=(
        Dimension("width", 105, "width of the card", least=30, most=500),
        Dimension("height", 74, "height of each half of the card", least=20, most=500),
        Dimension("steps", 3, "number of steps", least=1, most=20, count=True),
        Dimension("step", 15, "rise and tread of a step", least=3, most=100),
        Dimension("stair", 60, "width of the stair", least=10, most=400),
    ),
    draw=draw_stair,
    source="strip = steps x (rise + tread) (plain geometry)",
    expect=lambda d: Expected(
        (Verdict.LEAF,), area=2 * d["width"] * d["height"], blank=(d["width"], 2 * d["height"])
    ),
    faces=("back",),
    cards=True,
)
