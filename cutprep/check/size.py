"""Sizes: off the page, too large, or not what was meant."""

from __future__ import annotations

import numpy as np

from cutprep.model.drawing import Drawing
from cutprep.model.finding import Finding, Findings, Severity
from cutprep.model.lines import Flags
from cutprep.model.places import MOST_PLACES, place_of
from cutprep.tolerance import Tolerance


def find_off_page(drawing: Drawing, worked: Flags, tolerance: Tolerance) -> Findings:
    """Find lines that reach beyond the page."""
    lines = drawing.lines
    if drawing.page is None or not len(lines):
        return ()
    size = np.array(drawing.page)
    out = np.maximum(-lines.xy, lines.xy - size).max(axis=1)
    owner = np.repeat(np.arange(len(lines)), lines.counts)
    out[~worked[owner]] = 0.0
    farthest = np.maximum.reduceat(out, lines.start[:-1])
    beyond = np.flatnonzero(farthest > tolerance.coincide)
    if not len(beyond):
        return ()
    beyond = beyond[np.argsort(-farthest[beyond], kind="stable")]
    places = []
    for i in beyond[:MOST_PLACES].tolist():
        row = lines.start[i] + int(np.argmax(out[lines.start[i] : lines.start[i + 1]]))
        places.append(place_of(lines, i, lines.xy[row]))
    count = "1 line reaches" if len(beyond) == 1 else f"{len(beyond)} lines reach"
    measure = float(farthest[beyond[0]])
    return (
        Finding(
            code="off-page",
            severity=Severity.ERROR,
            problem=f"{count} up to {measure:.2f} mm beyond the page of {size[0]:.1f} x {size[1]:.1f} mm: "
            "what lies there may be scrap, and it would be cut.",
            fix="Move it onto the page, make the page larger, or delete it.",
            places=tuple(places),
            measure=measure,
            limit=0.0,
        ),
    )
