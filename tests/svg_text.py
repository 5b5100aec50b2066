"""SVG drawings as text, for tests of the reader."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cutprep.limits import Limits
from cutprep.model.drawing import Drawing
from cutprep.stages.read.svg.drawing import read_svg
from cutprep.tolerance import Tolerance

SPACE = 'xmlns="http://www.w3.org/2000/svg"'
#: A page of 60 mm by 60 mm in which a unit is a millimetre, for lines that are drawn black.
PAGE = f'{SPACE} width="60mm" height="60mm" viewBox="0 0 60 60" fill="none" stroke="black"'


def svg(body: str, attributes: str = PAGE) -> str:
    """A document around some elements."""
    return f"<svg {attributes}>{body}</svg>"


def read_text(text: str | bytes, *, units: str | None = None, limits: Limits | None = None) -> Drawing:
    """Read a document."""
    data = text.encode() if isinstance(text, str) else text
    return read_svg(data, file="probe.svg", tolerance=Tolerance(), units=units, limits=limits or Limits())


def read_body(body: str, attributes: str = PAGE) -> Drawing:
    """Read some elements on a page."""
    return read_text(svg(body, attributes))


def points(drawing: Drawing, line: int = 0) -> NDArray[np.float64]:
    """Vertices of a line with y down, as they stand in the text of a page of 60 mm."""
    return np.asarray(drawing.lines.points(line) * (1, -1) + (0, 60))


def codes(drawing: Drawing) -> list[str]:
    """Codes of all notes."""
    return [note.code for note in drawing.notes]
