"""Look a classified drawing over before it spoils card."""

from __future__ import annotations

import numpy as np

from cutprep.check.doubled import find_doubled
from cutprep.check.outline import find_open
from cutprep.check.size import find_off_page
from cutprep.model.drawing import Drawing
from cutprep.model.finding import Finding, Findings, Severity
from cutprep.model.operation import WORKED
from cutprep.tolerance import Tolerance

_ORDER = [Severity.ERROR, Severity.WARNING, Severity.NOTE]


def check(
    drawing: Drawing,
    tolerance: Tolerance,
    *,
    strip: float = 1.5,
    blade_offset: float = 0.0,
    area: tuple[float, float] | None = None,
    sheet: tuple[float, float] | None = None,
    expect: tuple[float, float] | None = None,
) -> Findings:
    """Find what is wrong with a drawing.

    Parameters
    ----------
    drawing
        Classified; guides and lines that no rule placed are left alone.
    strip
        Narrowest strip that doesn't tear, mm.
    blade_offset
        Distance of the blade's tip from its axis, mm; 0 when unknown.
    area, sheet
        Width and height of the machine's area and of the stock's sheet, mm.
    expect
        Width and height the maker has in mind, mm.

    Returns
    -------
    Findings
        Errors first, each kind in the order of the drawing's lines.
    """
    lines = drawing.lines
    worked = np.isin(lines.operation, WORKED)
    doubled, _ = find_doubled(lines, worked, tolerance)
    found: list[Finding] = [
        *doubled,
        *find_open(lines, tolerance),
        *find_off_page(drawing, worked, tolerance),
    ]
    return tuple(sorted(found, key=lambda finding: _ORDER.index(finding.severity)))
