"""A full-size PDF to print and cut by hand, tiled over A4 or letter.

Every page carries two check bars, 100 mm and 4 in long, because printers like to scale; marks
where neighbouring pages meet; and its place in the grid. Written with pydyf, a small writer of
PDF's own operators (ISO 32000-1), because a page of lines needs nothing larger; no dates, no
identifiers, so that the same lines give the same bytes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pydyf
import shapely

from cutprep.errors import JobError
from cutprep.model.lines import Lines
from cutprep.stages.write.layer_style import LayerStyle, by_layer
from cutprep.stages.write.pdf.pages import POINTS, PdfPages, point, say, stroke
from cutprep.tables import suggest
from cutprep.tolerance import ZERO
from cutprep.units import MM_PER, letters

#: Portrait sizes, mm: ISO 216 A4, and ANSI/ASME Y14.1 A (8.5 x 11 in).
PAPERS = {"A4": (210.0, 297.0), "letter": (8.5 * MM_PER["in"], 11 * MM_PER["in"])}
#: Border that home printers leave white (mm; common practice, no published source), and the strip
#: below the drawing for bars and words.
_BORDER, _FOOT = 8.0, 16.0
_OVERLAP = 10.0
_MOST_PAGES = 200
_LONGEST_TITLE = 60
#: The window's frame is pale, so that nobody takes it for a line of the drawing.
_FRAME = (0.7, 0.7, 0.7)


@dataclass(frozen=True, slots=True)
class Tile:
    """One page's window on the drawing.

    Attributes
    ----------
    column, row
        Place in the grid, from 0, rows from the bottom.
    left, bottom
        Lower left of the window, mm of the drawing.
    """

    column: int
    row: int
    left: float
    bottom: float

    @property
    def name(self) -> str:
        """Row as a letter, column as a number."""
        return f"{letters(self.row)}{self.column + 1}"


@dataclass(frozen=True, slots=True)
class Grid:
    """How a drawing is spread over pages; mm.

    Attributes
    ----------
    paper
        Width and height of a page as it is used.
    window
        Width and height of what a page shows.
    overlap
        How much of it the next page shows again.
    columns, rows
        Count of pages each way.
    origin
        Lower left of the first window.
    """

    paper: tuple[float, float]
    window: tuple[float, float]
    overlap: float
    columns: int
    rows: int
    origin: tuple[float, float]

    @property
    def tiles(self) -> list[Tile]:
        """All windows, row by row from the top."""
        stride_x, stride_y = self.window[0] - self.overlap, self.window[1] - self.overlap
        return [
            Tile(column, row, self.origin[0] + column * stride_x, self.origin[1] + row * stride_y)
            for row in reversed(range(self.rows))
            for column in range(self.columns)
        ]


def write_pdf(
    lines: Lines,
    *,
    page: tuple[float, float] | None = None,
    title: str = "",
    paper: str = "A4",
    overlap: float = _OVERLAP,
) -> bytes:
    """Write lines as a PDF in full size.

    Parameters
    ----------
    lines
        mm, y up.
    page
        Width and height of the sheet from the origin, mm; None for the box around the lines.
    title
        Name of the drawing; letters beyond Latin 1 become question marks.
    paper
        "A4" or "letter"; turned when that takes fewer pages.
    overlap
        How much two neighbouring pages share, mm.

    Returns
    -------
    bytes
        The file; the same lines give the same bytes. Pages without a line are left out.

    Raises
    ------
    JobError
        When the paper is not known, the overlap leaves no room, or too many pages would come out.
    """
    if paper not in PAPERS:
        raise JobError(f"the paper '{paper}' is not known", fix=suggest(paper, list(PAPERS)))
    box = (0.0, 0.0, *page) if page is not None else lines.bounds
    grid = spread(box, paper, overlap)
    layers = {name: members for name, members in by_layer(lines).items() if name != "unplaced"}
    tiles = _with_lines(grid, lines)
    document = PdfPages()
    for number, tile in enumerate(tiles, 1):
        foot = f"{title[:_LONGEST_TITLE]}  page {number} of {len(tiles)}, {tile.name}: print at 100 %"
        stream = pydyf.Stream(compress=True)
        _draw_tile(stream, grid, tile, lines, layers)
        _draw_foot(stream, grid, foot.strip(), [members[0][1] for members in layers.values()])
        document.add_page(grid.paper, stream)
    return document.written()


def spread(box: tuple[float, float, float, float], paper: str, overlap: float) -> Grid:
    """Choose portrait or landscape and the grid of pages for a box.

    Parameters
    ----------
    box
        Left, bottom, right, top, mm.
    paper
        A key of `PAPERS`.
    overlap
        mm.

    Raises
    ------
    JobError
        When the overlap leaves no room, or more than 200 pages would come out.
    """
    width, height = box[2] - box[0], box[3] - box[1]
    grids = []
    for sides in (PAPERS[paper], PAPERS[paper][::-1]):
        window = (sides[0] - 2 * _BORDER, sides[1] - 2 * _BORDER - _FOOT)
        if not 0 <= overlap < min(window) / 2:
            raise JobError(
                f"an overlap of {overlap:g} mm leaves no room on the page",
                fix=f"Choose one from 0 to {min(window) / 2:.0f} mm.",
            )
        columns = _count(width, window[0], overlap)
        rows = _count(height, window[1], overlap)
        grids.append(Grid(sides, window, overlap, columns, rows, (box[0], box[1])))
    best = min(grids, key=lambda grid: grid.columns * grid.rows)
    if best.columns * best.rows > _MOST_PAGES:
        raise JobError(
            f"{width:.0f} x {height:.0f} mm would take {best.columns * best.rows} pages; {_MOST_PAGES} is the limit",
            fix="Check the drawing's units.",
        )
    return best


def _count(length: float, window: float, overlap: float) -> int:
    """Windows that cover a length; one that fits to the last digit takes no further one."""
    return max(1, math.ceil((length - overlap) / (window - overlap) - ZERO))


def _with_lines(grid: Grid, lines: Lines) -> list[Tile]:
    """The tiles that show something; the first one when nothing is drawn at all."""
    tiles = grid.tiles
    boxes = shapely.box(
        [t.left for t in tiles],
        [t.bottom for t in tiles],
        [t.left + grid.window[0] for t in tiles],
        [t.bottom + grid.window[1] for t in tiles],
    )
    shapes = [shapely.LineString(lines.points(i)) for i in range(len(lines))]
    hit = shapely.STRtree(boxes).query(shapes, predicate="intersects")[1] if shapes else np.array([0])
    return [tiles[k] for k in np.unique(hit).tolist()]


def _draw_tile(
    stream: pydyf.Stream,
    grid: Grid,
    tile: Tile,
    lines: Lines,
    layers: dict[str, list[tuple[int, LayerStyle]]],
) -> None:
    """The window of one page: clipped lines, its frame, and marks where the next pages begin."""
    left, bottom = _BORDER, _BORDER + _FOOT
    stream.push_state()
    stream.set_line_width(point(0.1))
    stream.set_color_rgb(*_FRAME, stroke=True)
    stream.rectangle(*(point(v) for v in (left, bottom, *grid.window)))
    stream.stroke()
    _draw_marks(stream, grid, left, bottom)
    stream.rectangle(*(point(v) for v in (left, bottom, *grid.window)))
    stream.clip()
    stream.end()
    shift = np.array([left - tile.left, bottom - tile.bottom])
    low, high = (tile.left, tile.bottom), (tile.left + grid.window[0], tile.bottom + grid.window[1])
    for members in layers.values():
        _set_style(stream, members[0][1])
        for i, _ in members:
            points = lines.points(i)
            if (points.max(axis=0) < low).any() or (points.min(axis=0) > high).any():
                continue
            spots = ((points + shift) * POINTS).tolist()
            stream.move_to(*(round(v, 4) for v in spots[0]))
            for x, y in spots[1:]:
                stream.line_to(round(x, 4), round(y, 4))
            stream.stroke()
    stream.pop_state()


def _draw_marks(stream: pydyf.Stream, grid: Grid, left: float, bottom: float) -> None:
    """Short strokes at the window's edge where the neighbours' windows end."""
    width, height = grid.window
    for x in (grid.overlap, width - grid.overlap) if grid.columns > 1 else ():
        for y, way in ((0.0, -1), (height, 1)):
            stroke(stream, (left + x, bottom + y), (left + x, bottom + y + 3 * way))
    for y in (grid.overlap, height - grid.overlap) if grid.rows > 1 else ():
        for x, way in ((0.0, -1), (width, 1)):
            stroke(stream, (left + x, bottom + y), (left + x + 3 * way, bottom + y))


def _draw_foot(stream: pydyf.Stream, grid: Grid, words: str, styles: list[LayerStyle]) -> None:
    """Check bars, legend and words below the window."""
    inch = MM_PER["in"]
    stream.push_state()
    stream.set_color_rgb(0, 0, 0, stroke=True)
    stream.set_line_width(point(0.2))
    left, low = _BORDER, _BORDER
    _bar(stream, left, low + 3.5, 100.0, 10.0, "100 mm")
    _bar(stream, left, low - 1.5, 4 * inch, inch, "4 in")
    say(stream, left, low + 9.0, 8, words)
    step = (grid.paper[0] - 2 * _BORDER - 120) / 3
    for k, style in enumerate(styles[:9]):
        x, y = left + 118 + (k % 3) * step, low + 3.5 - (k // 3) * 3.5
        _set_style(stream, style)
        stroke(stream, (x, y + 0.8), (x + 9, y + 0.8))
        say(stream, x + 10, y, 6, style.layer)
    stream.pop_state()


def _bar(stream: pydyf.Stream, x: float, y: float, length: float, tick: float, word: str) -> None:
    """A bar of an exact length with ticks."""
    stroke(stream, (x, y), (x + length, y))
    for k in range(round(length / tick) + 1):
        high = 2.0 if k in (0, round(length / tick)) else 1.0
        stroke(stream, (x + k * tick, y), (x + k * tick, y + high))
    say(stream, x + length + 1.5, y, 7, word)


def _set_style(stream: pydyf.Stream, style: LayerStyle) -> None:
    digits = style.colour.removeprefix("#")
    stream.set_color_rgb(*(round(int(digits[k : k + 2], 16) / 255, 4) for k in (0, 2, 4)), stroke=True)
    stream.set_line_width(point(style.width))
    stream.set_dash([point(d) for d in style.dash], 0)
