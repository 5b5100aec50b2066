"""resvg 0.48.1 (through resvg_py 0.5.0) as a reference for SVG: our lines on its ink, its ink on our lines.

The drawing is rendered with solid, round-joined strokes. Every point of our lines that lies on the page
must have ink within a pixel and a half, and every inked pixel must lie within half a stroke and a
pixel and a half of one of our lines.

resvg wants `dpi=96` (its default of 0 turns every mm into nothing) and `languages=["en"]`. Where it does
not follow the specification, a second drawing stands in for it: `name.plain.svg` says the same as
`name.svg` in attributes that resvg follows, and names the rule in its first line.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import resvg_py
import shapely
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

from cutprep.errors import CutprepError
from cutprep.model.lines import Lines
from tests.svg_text import read_text

HOME = Path(__file__).parents[1] / "data" / "svg"
#: Solid lines without caps or mitres: ink lies within half the stroke of the line.
_SHEET = "*{stroke-dasharray:none!important;stroke-linejoin:round!important;stroke-linecap:butt!important}"
#: Pixels along the longer side of the page.
_SIDE = 512
#: Share of points or pixels that may be off, for corners of clips and single grey pixels.
_MAY_BE_OFF = 0.01


@dataclass(frozen=True)
class Ink:
    """How lines and ink compare.

    Attributes
    ----------
    points, bare
        Points taken on our lines inside the page; those without ink.
    pixels, stray
        Inked pixels; those far from every line of ours.
    where
        One place that is off, mm, for a person to look at.
    """

    points: int
    bare: int
    pixels: int
    stray: int
    where: tuple[float, float] | None = None

    @property
    def agrees(self) -> bool:
        """Whether both lie on each other."""
        return (
            self.bare <= _MAY_BE_OFF * self.points
            and self.stray <= _MAY_BE_OFF * self.pixels
            and (self.points > 0) == (self.pixels > 0)
        )


@dataclass(frozen=True)
class Picture:
    """A rendering in grey, (rows, columns), and its pixels for each mm."""

    grey: NDArray[np.uint8]
    per_mm: float


def render(text: str, *, side: int = _SIDE) -> Picture:
    """Render a drawing in grey, its longer side about so many pixels."""
    first = Image.open(io.BytesIO(_png(text, 1.0)))
    zoom = side / max(first.size)
    grey = np.asarray(Image.open(io.BytesIO(_png(text, zoom))).convert("L"))
    return Picture(grey, zoom * 96 / 25.4)


def _png(text: str, zoom: float) -> bytes:
    return bytes(
        resvg_py.svg_to_bytes(
            svg_string=text,
            background="#ffffff",
            dpi=96,
            zoom=zoom,
            languages=["en"],
            style_sheet=_SHEET,
            skip_system_fonts=True,
        )
    )


def compare(lines: Lines, page: tuple[float, float] | None, picture: Picture) -> Ink:
    """Compare lines in mm with a rendering of the whole page."""
    grey, per_mm = picture.grey, picture.per_mm
    rows, columns = grey.shape
    dark = np.argwhere(grey < 110)
    if page is None or not len(lines):
        return Ink(0, 0, len(dark), len(dark))
    height = page[1]
    geometry = np.array([shapely.LineString(lines.points(i)) for i in range(len(lines))], dtype=object)
    near = ndimage.binary_dilation(grey < 200, iterations=2)
    spots = np.concatenate([_along(line, 0.7 / per_mm) for line in geometry])
    at = np.floor(np.column_stack(((height - spots[:, 1]) * per_mm, spots[:, 0] * per_mm))).astype(int)
    inside = ((at >= 1) & (at < np.array([rows, columns]) - 1)).all(axis=1)
    bare = inside.copy()
    bare[inside] = ~near[at[inside, 0], at[inside, 1]]
    where = spots[bare][0] if bare.any() else None
    centres = np.column_stack(((dark[:, 1] + 0.5) / per_mm, height - (dark[:, 0] + 0.5) / per_mm))
    half = max((element.width or 0.0) for element in lines.elements) / 2
    stray = np.zeros(len(centres), dtype=bool)
    if len(centres):
        pairs, away = shapely.STRtree(geometry).query_nearest(
            shapely.points(centres), return_distance=True, all_matches=False
        )
        stray[pairs[0]] = away > half + 1.6 / per_mm
        where = centres[stray][0] if where is None and stray.any() else where
    return Ink(
        int(inside.sum()),
        int(bare.sum()),
        len(dark),
        int(stray.sum()),
        None if where is None else (float(where[0]), float(where[1])),
    )


def _along(line: shapely.LineString, step: float) -> NDArray[np.float64]:
    share = np.linspace(0.0, 1.0, max(int(line.length / step), 2))
    return shapely.get_coordinates(shapely.line_interpolate_point(line, share, normalized=True))


def probes(feature: str) -> list[Path]:
    """Drawings of a feature."""
    return sorted(p for p in (HOME / feature).glob("*.svg") if not p.name.endswith(".plain.svg"))


def features() -> list[str]:
    """All features."""
    return sorted(folder.name for folder in HOME.iterdir() if folder.is_dir())


def judge(path: Path) -> tuple[bool, str]:
    """Compare one drawing with its reference.

    Returns
    -------
    agrees
        Whether they agree.
    said
        What was found, and against which reference.
    """
    plain = path.with_name(f"{path.stem}.plain.svg")
    reference = "resvg, restated" if plain.exists() else "resvg"
    picture = render((plain if plain.exists() else path).read_text(encoding="utf-8"))
    try:
        drawing = read_text(path.read_bytes())
    except CutprepError as fault:
        dark = int((picture.grey < 110).sum())
        return dark == 0, f"{reference}: {dark} inked pixels, ours: {fault}"
    ink = compare(drawing.lines, drawing.page, picture)
    return ink.agrees, f"{reference}: {ink}"


def verdicts() -> Iterator[tuple[str, Path, bool, str]]:
    """Every drawing with its feature, whether it agrees, and what was found."""
    for feature in features():
        for path in probes(feature):
            yield feature, path, *judge(path)
