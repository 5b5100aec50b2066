"""Lines that belong to no part are laid out with the parts: inside the margin, and apart from copies."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import cutprep

SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="60mm" viewBox="0 0 80 60">
<g id="cut" fill="none" stroke="black"><path d="M10 10H70V50H10Z"/>{beside}</g></svg>"""


@pytest.mark.parametrize(
    "beside", ['<path d="M20 58H40H20Z"/>', '<path d="M20 58H40"/>'], ids=["a ring without area", "a line"]
)
def test_lines_beside_the_part_keep_the_margin(tmp_path: Path, beside: str) -> None:
    source = tmp_path / "card.svg"
    source.write_text(SVG.format(beside=beside), encoding="utf-8")
    outcome = cutprep.prepare(source, copies=3, despite_findings=True)
    for sheet in outcome.sheets:
        (template,) = sheet.sheet.templates
        assert len(template.parts) == 1
        size, margin = np.array([sheet.sheet.width, sheet.sheet.height]), sheet.sheet.margin
        assert sheet.placed.xy.min() >= margin - 1e-6
        assert (sheet.placed.xy <= size - margin + 1e-6).all()
