"""Mend what can be mended without asking what was meant."""

from __future__ import annotations

from cutprep.geometry.chains import join, same_kind
from cutprep.model.drawing import Drawing
from cutprep.model.finding import Findings
from cutprep.tolerance import Tolerance


def mend(
    drawing: Drawing,
    tolerance: Tolerance,
    *,
    keep: str = "report",
    gap: float | None = None,
    trim: float = 2.0,
    ask: frozenset[str] = frozenset(),
) -> tuple[Drawing, Findings]:
    """Join chains of lines that meet end to end."""
    lines, _ = join(drawing.lines, tolerance.coincide, kind=same_kind(drawing.lines))
    return drawing.with_lines(lines), ()
