"""Which machine languages there are."""

from __future__ import annotations

LANGUAGES = ("hpgl", "gcode")
