"""Pages of a PDF, and its operators in mm: what every page of ours is made with.

No dates, no identifiers, so that the same pages give the same bytes.
"""

from __future__ import annotations

import io
from collections.abc import Mapping

import pydyf

from cutprep.units import MM_PER

#: In a millimetre.
POINTS = 1 / MM_PER["pt"]


def point(mm: float) -> float:
    """PDF counts in points of 1/72 in (ISO 32000-1, 8.3.2.3)."""
    return round(mm * POINTS, 4)


def stroke(stream: pydyf.Stream, start: tuple[float, float], end: tuple[float, float]) -> None:
    """Draw a straight line; mm."""
    stream.move_to(*map(point, start))
    stream.line_to(*map(point, end))
    stream.stroke()


def say(stream: pydyf.Stream, x: float, y: float, size: float, words: str) -> None:
    """A line of text in Helvetica, one of the fonts that every reader has (ISO 32000-1, 9.6.2.2).

    Parameters
    ----------
    x, y
        Where it begins, mm.
    size
        Points.
    words
        Letters beyond Latin 1 become question marks.
    """
    encoded = words.encode("cp1252", "replace").hex()
    stream.begin_text()
    stream.set_font_size("F1", size)
    stream.set_text_matrix(1, 0, 0, 1, point(x), point(y))
    stream.show_text(f"<{encoded}>")
    stream.end_text()


class PdfPages:
    """A file of pages, one after the other."""

    def __init__(self) -> None:
        self.pdf = pydyf.PDF()
        self._font = pydyf.Dictionary(
            {"Type": "/Font", "Subtype": "/Type1", "BaseFont": "/Helvetica", "Encoding": "/WinAnsiEncoding"}
        )
        self.pdf.add_object(self._font)

    def add_page(
        self,
        size: tuple[float, float],
        content: pydyf.Stream,
        images: Mapping[str, pydyf.Stream] | None = None,
    ) -> None:
        """Add a page.

        Parameters
        ----------
        size
            Width and height, mm.
        content
            What is drawn.
        images
            Name to picture, each added to `pdf` already.
        """
        self.pdf.add_object(content)
        resources = {"Font": pydyf.Dictionary({"F1": self._font.reference})}
        if images:
            resources["XObject"] = pydyf.Dictionary({name: one.reference for name, one in images.items()})
        self.pdf.add_page(
            pydyf.Dictionary(
                {
                    "Type": "/Page",
                    "Parent": self.pdf.pages.reference,
                    "MediaBox": pydyf.Array([0, 0, *map(point, size)]),
                    "Contents": content.reference,
                    "Resources": pydyf.Dictionary(resources),
                }
            )
        )

    def written(self) -> bytes:
        """The file."""
        out = io.BytesIO()
        self.pdf.write(out, version=b"1.7", compress=False)
        return out.getvalue()
