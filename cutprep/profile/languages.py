"""Which machine languages there are."""

from __future__ import annotations

LANGUAGES = ("hpgl", "gcode", "svg", "dxf")
#: Languages of machines that take only a drawing, in their maker's own program.
DRAWINGS = ("svg", "dxf")
#: What a machine reads of which nothing is said.
USUAL = ("hpgl", "gcode")
