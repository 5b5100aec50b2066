"""Artwork to dots: 600 to the inch, so that small letters come out as sharp as a home printer prints them."""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from cutprep.errors import DrawingError, PlanError
from cutprep.model.drawing import Artwork
from cutprep.units import MM_PER

#: Dots to the inch, as the data sheets of home printers count them; common practice, no published source.
DOTS_PER_INCH = 600
#: A sheet of A3 at that resolution has 70 million; larger artwork gets fewer dots to the inch.
_MOST_DOTS = 80_000_000
#: An artwork that takes longer than this is one that nobody meant, s.
_LONGEST = 120
_CHILD = Path(__file__).with_name("render_child.py")

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """A rectangle of artwork in dots.

    Attributes
    ----------
    box
        Left, bottom, right, top in the frame of the lines, mm.
    width, height
        Dots.
    rgb
        Three bytes a dot, row by row from the top.
    """

    box: Box
    width: int
    height: int
    rgb: bytes

    @property
    def dots_per_inch(self) -> int:
        """How fine it is."""
        return round(self.width / (self.box[2] - self.box[0]) * MM_PER["in"])


def can_render() -> bool:
    """Whether the libraries that render artwork are installed."""
    return find_spec("resvg_py") is not None and find_spec("PIL") is not None


def render(
    artwork: Artwork, box: Box, *, dots_per_inch: float = DOTS_PER_INCH, texts: bool = True
) -> Picture:
    """Render a part of an artwork.

    Parameters
    ----------
    artwork
        What is printed.
    box
        Left, bottom, right, top of what is wanted, in the frame of the lines, mm.
    dots_per_inch
        How fine; less where there would be too many dots.
    texts
        With its texts, or without.

    Raises
    ------
    PlanError
        When the libraries are not installed.
    DrawingError
        When the renderer gives up, or takes too long.
    """
    if not can_render():
        raise PlanError(
            "to print a layer, cutprep needs two libraries more",
            fix='Install them in the folder of cutprep with: python -m pip install ".[print]".',
        )
    wide, tall = box[2] - box[0], box[3] - box[1]
    scale = min(dots_per_inch / MM_PER["in"], math.sqrt(_MOST_DOTS / (wide * tall)))
    width, height = max(1, round(wide * scale)), max(1, round(tall * scale))
    left, top = box[0] - artwork.origin[0], artwork.page[1] - (box[3] - artwork.origin[1])
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
        f'viewBox="{left:.6f} {top:.6f} {wide:.6f} {tall:.6f}" preserveAspectRatio="none">'
        f"{'' if texts else '<style>text{display:none}</style>'}{artwork.svg}</svg>"
    )
    try:
        done = subprocess.run(  # noqa: S603 - our own file, run by our own interpreter
            [sys.executable, str(_CHILD)],
            input=svg.encode("utf-8"),
            capture_output=True,
            timeout=_LONGEST,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise DrawingError(
            f"the printed layers take longer than {_LONGEST} s to render",
            fix="Simplify them, or make a picture of them.",
        ) from None
    if done.returncode or len(done.stdout) != 3 * width * height:
        said = done.stderr.decode("utf-8", "replace").strip().splitlines()
        raise DrawingError(
            f"the printed layers can't be rendered ({said[-1][:200] if said else 'the renderer ended'})",
            fix="Simplify them, or make a picture of them.",
        )
    return Picture(box, width, height, done.stdout)
