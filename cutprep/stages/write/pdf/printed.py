"""A sheet as a PDF page of its own size: its copies printed where they are cut later, and register marks.

Written with pydyf as the PDF to cut by hand is (`by_hand`): no dates, no identifiers, so that the same sheet gives
the same bytes. A rendered piece stands in the file once, however many copies show it (ISO 32000-1, 8.8 "External
Objects" and 8.9.5 "Image Dictionaries").
"""

from __future__ import annotations

import io
import zlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pydyf

from cutprep.model.lines import Points
from cutprep.stages.write.pdf.render import Picture
from cutprep.units import MM_PER

_POINTS = 1 / MM_PER["pt"]
#: Thin enough that its middle can be found by eye, thick enough to be printed, mm.
_MARK = 0.15
_RING = 1.5
#: How far words stand from a line of a mark, mm.
_BESIDE = 0.6


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
    """

    picture: int
    matrix: Points
    outlines: tuple[Points, ...]


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
    pdf = pydyf.PDF()
    font = pydyf.Dictionary(
        {"Type": "/Font", "Subtype": "/Type1", "BaseFont": "/Helvetica", "Encoding": "/WinAnsiEncoding"}
    )
    pdf.add_object(font)
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
        pdf.add_object(image)
        images[f"P{number}"] = image.reference
    stream = pydyf.Stream(compress=True)
    # First, so that where there is no room for the words, a copy covers them.
    _say(stream, marks[0, 0] + _RING + 2.0, marks[0, 1] + _BESIDE, words)
    for copy in copies:
        _show(stream, copy, pictures[copy.picture])
    for number, (x, y) in enumerate(marks.tolist(), 1):
        _mark(stream, x, y, arm, str(number), page[0])
    pdf.add_object(stream)
    pdf.add_page(
        pydyf.Dictionary(
            {
                "Type": "/Page",
                "Parent": pdf.pages.reference,
                "MediaBox": pydyf.Array([0, 0, *(_point(side) for side in page)]),
                "Contents": stream.reference,
                "Resources": pydyf.Dictionary(
                    {
                        "Font": pydyf.Dictionary({"F1": font.reference}),
                        "XObject": pydyf.Dictionary(images),
                    }
                ),
            }
        )
    )
    # A reader that prints this page is asked not to scale it (ISO 32000-1, 12.2 "Viewer Preferences").
    pdf.catalog["ViewerPreferences"] = pydyf.Dictionary({"PrintScaling": "/None"})
    out = io.BytesIO()
    pdf.write(out, version=b"1.7", compress=False)
    return out.getvalue()


def _show(stream: pydyf.Stream, copy: PrintedCopy, picture: Picture) -> None:
    """Show a picture where its copy lies, as far as the card of the copy reaches."""
    left, bottom, right, top = picture.box
    a, b = copy.matrix[:, 0] * (right - left), copy.matrix[:, 1] * (top - bottom)
    corner = copy.matrix @ np.array([left, bottom, 1.0])
    stream.push_state()
    for ring in copy.outlines:
        for number, (x, y) in enumerate(ring[:-1].tolist()):
            (stream.line_to if number else stream.move_to)(_point(x), _point(y))
        stream.close()
    stream.clip()
    stream.end()
    stream.set_matrix(*(_point(v) for v in (a[0], a[1], b[0], b[1], corner[0], corner[1])))
    stream.draw_x_object(f"P{copy.picture}")
    stream.pop_state()


def _mark(stream: pydyf.Stream, x: float, y: float, arm: float, words: str, width: float) -> None:
    """A cross in a square, with its number on the side of the sheet's middle; not a circle, which no cut line is near."""
    stream.push_state()
    stream.set_color_rgb(0, 0, 0, stroke=True)
    stream.set_color_rgb(0, 0, 0)
    stream.set_line_width(_point(_MARK))
    for start, end in (((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm))):
        stream.move_to(*map(_point, start))
        stream.line_to(*map(_point, end))
        stream.stroke()
    stream.rectangle(*map(_point, (x - _RING, y - _RING, 2 * _RING, 2 * _RING)))
    stream.stroke()
    _say(stream, x + _RING + _BESIDE if x < width / 2 else x - _RING - 1.6, y + _BESIDE, words)
    stream.pop_state()


def _say(stream: pydyf.Stream, x: float, y: float, words: str) -> None:
    stream.begin_text()
    stream.set_font_size("F1", 5)
    stream.set_text_matrix(1, 0, 0, 1, _point(x), _point(y))
    stream.show_text(f"<{words.encode('cp1252', 'replace').hex()}>")
    stream.end_text()


def _point(mm: float) -> float:
    """PDF counts in points of 1/72 in (ISO 32000-1, 8.3.2.3)."""
    return round(mm * _POINTS, 4)
