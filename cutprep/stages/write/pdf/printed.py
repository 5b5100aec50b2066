"""A sheet as a PDF page of its own size: its copies printed where they are cut later, and register marks.

A rendered piece stands in the file once, however many copies show it (ISO 32000-1, 8.8 "External
Objects" and 8.9.5 "Image Dictionaries").
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pydyf

from cutprep.geometry.affine import apply
from cutprep.model.lines import Points
from cutprep.model.part import PrintedWords
from cutprep.stages.write.pdf.pages import PdfPages, point, say, stroke
from cutprep.stages.write.pdf.render import Picture

#: Thin enough that its middle can be found by eye, thick enough to be printed, mm.
_MARK = 0.15
_RING = 1.5
#: How far words stand from a line of a mark, mm.
_BESIDE = 0.6
#: Of words, points.
_SIZE = 5


@dataclass(frozen=True, slots=True, eq=False)
class PrintedCopy:
    """One copy of a picture on the page.

    Attributes
    ----------
    picture
        Index of its picture.
    matrix
        (2, 3) ndarray: frame of the picture to the sheet, mm.
    outlines
        What of it is printed: closed rings on the sheet, mm.
    words
        Texts of this copy alone, in the frame of the picture.
    """

    picture: int
    matrix: Points
    outlines: tuple[Points, ...]
    words: tuple[PrintedWords, ...] = ()


def write_printed(
    pictures: Sequence[Picture],
    copies: Sequence[PrintedCopy],
    *,
    page: tuple[float, float],
    marks: Points,
    arm: float,
    words: str,
) -> bytes:
    """Write a page to be printed at full size.

    Parameters
    ----------
    pictures
        Each stands in the file once.
    copies
        Where they are shown.
    page
        Width and height of the sheet, mm.
    marks
        (n, 2) ndarray: middles of the register marks on the sheet, mm; each gets its number.
    arm
        How far a mark reaches from its middle, mm.
    words
        Written beside the first mark.

    Returns
    -------
    bytes
        The file.
    """
    document = PdfPages()
    images = {}
    for number, picture in enumerate(pictures):
        image = pydyf.Stream(
            [zlib.compress(picture.rgb, 6)],
            extra={
                "Type": "/XObject",
                "Subtype": "/Image",
                "Width": picture.width,
                "Height": picture.height,
                "ColorSpace": "/DeviceRGB",
                "BitsPerComponent": 8,
                "Filter": "/FlateDecode",
            },
        )
        document.pdf.add_object(image)
        images[f"P{number}"] = image
    stream = pydyf.Stream(compress=True)
    # First, so that where there is no room for the words, a copy covers them.
    say(stream, marks[0, 0] + _RING + 2.0, marks[0, 1] + _BESIDE, _SIZE, words)
    for copy in copies:
        _show(stream, copy, pictures[copy.picture])
    for number, (x, y) in enumerate(marks.tolist(), 1):
        _mark(stream, x, y, arm, str(number), page[0])
    document.add_page(page, stream, images)
    # A reader that prints this page is asked not to scale it (ISO 32000-1, 12.2 "Viewer Preferences").
    document.pdf.catalog["ViewerPreferences"] = pydyf.Dictionary({"PrintScaling": "/None"})
    return document.written()


def _show(stream: pydyf.Stream, copy: PrintedCopy, picture: Picture) -> None:
    """Show a picture where its copy lies, as far as the card of the copy reaches."""
    left, bottom, right, top = picture.box
    a, b = copy.matrix[:, 0] * (right - left), copy.matrix[:, 1] * (top - bottom)
    corner = copy.matrix @ np.array([left, bottom, 1.0])
    stream.push_state()
    for ring in copy.outlines:
        for number, (x, y) in enumerate(ring[:-1].tolist()):
            (stream.line_to if number else stream.move_to)(point(x), point(y))
        stream.close()
    stream.clip()
    stream.end()
    stream.push_state()
    stream.set_matrix(*(point(v) for v in (a[0], a[1], b[0], b[1], corner[0], corner[1])))
    stream.draw_x_object(f"P{copy.picture}")
    stream.pop_state()
    for words in copy.words:
        _write(stream, words, copy.matrix)
    stream.pop_state()


def _write(stream: pydyf.Stream, words: PrintedWords, matrix: Points) -> None:
    """Print a text as lines, or as filled outlines (ISO 32000-1, 8.5.3 "Path-Painting Operators")."""
    colour = [round(int(words.colour[k : k + 2], 16) / 255, 4) for k in (1, 3, 5)]
    stream.set_color_rgb(*colour, stroke=bool(words.width))
    stream.set_line_width(point(words.width))
    stream.set_line_cap(1)
    stream.set_line_join(1)
    for stroke_points in words.strokes:
        for number, (x, y) in enumerate(apply(matrix, stroke_points).tolist()):
            (stream.line_to if number else stream.move_to)(point(x), point(y))
    (stream.stroke if words.width else stream.fill)()


def _mark(stream: pydyf.Stream, x: float, y: float, arm: float, words: str, width: float) -> None:
    """A cross in a square, with its number on the side of the sheet's middle; not a circle, which no cut line is near."""
    stream.push_state()
    stream.set_color_rgb(0, 0, 0, stroke=True)
    stream.set_color_rgb(0, 0, 0)
    stream.set_line_width(point(_MARK))
    for start, end in (((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm))):
        stroke(stream, start, end)
    stream.rectangle(*map(point, (x - _RING, y - _RING, 2 * _RING, 2 * _RING)))
    stream.stroke()
    beside = x + _RING + _BESIDE if x < width / 2 else x - _RING - 1.6
    say(stream, beside, y + _BESIDE, _SIZE, words)
    stream.pop_state()
