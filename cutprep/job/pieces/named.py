"""What the pieces of a drawing are called, and their order: the same for folding, laying out and making."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
import shapely

from cutprep.model.drawing import Drawing
from cutprep.model.lines import Points
from cutprep.model.operation import WORKED
from cutprep.report.hands.pieces import spoken
from cutprep.stages.divide import divide
from cutprep.tolerance import Tolerance


class PieceNames:
    """Tells which piece of a drawing a point lies on, as `divide` counts them; the drawing is divided when first asked.

    Parameters
    ----------
    drawing
        Every line classified.
    tolerance
        With which it is divided.
    """

    def __init__(self, drawing: Drawing, tolerance: Tolerance) -> None:
        self._drawing, self._tolerance = drawing, tolerance

    def __call__(self, spots: Points) -> Sequence[tuple[int, str, str]]:
        """Number, from 1, name and label of the piece at each spot, (n, 2), mm; spots on none are counted behind them."""
        drawing = self._drawing
        template = divide(drawing, self._tolerance)
        corner = drawing.lines.take(np.isin(drawing.lines.operation, WORKED)).bounds[:2]
        outlines = [shapely.Polygon(template.lines.points(part.outline)) for part in template.parts]
        labels = [spoken(template.lines.element(part.outline).label) for part in template.parts]
        often = Counter(label.lower() for label in labels)
        found = []
        for count, spot in enumerate(spots - np.array(corner)):
            at = next(
                (k for k, one in enumerate(outlines) if one.contains(shapely.Point(spot))),
                len(outlines) + count,
            )
            several = len(outlines) > 1
            label = labels[at] if several and at < len(labels) and often[labels[at].lower()] == 1 else ""
            plain = drawing.name if not several and at == 0 else f"{drawing.name} {at + 1}"
            found.append((at + 1, f"{drawing.name}, {label}" if label else plain, label))
        return found
