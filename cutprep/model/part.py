"""Parts and templates: what comes away from the sheet, and what is copied onto it."""

from __future__ import annotations

from dataclasses import dataclass

from cutprep.model.drawing import Artwork
from cutprep.model.lines import Lines, Points


@dataclass(frozen=True, slots=True)
class Part:
    """One piece of card that comes away; all numbers index the template's lines.

    Attributes
    ----------
    outline
        The closed cut line around it, counter-clockwise.
    holes
        Closed cut lines directly inside it (their inside is waste), clockwise.
    inner
        Every other worked line on it: slits, scores, perforations, pen lines, and lines that lie
        inside its holes' waste.
    """

    outline: int
    holes: tuple[int, ...] = ()
    inner: tuple[int, ...] = ()
    name: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class PrintedWords:
    """A text that is printed on one copy alone.

    Attributes
    ----------
    strokes
        (n, 2) ndarrays in the template, mm: lines, or where `width` is 0 closed rings to be filled.
    colour
        "#rrggbb".
    width
        Of the lines, mm.
    """

    strokes: tuple[Points, ...]
    colour: str
    width: float


@dataclass(frozen=True, slots=True, eq=False)
class Template:
    """A drawing divided into parts, ready to be copied.

    Attributes
    ----------
    lines
        Every line classified; the lower left of `bounds` of the cut lines is the origin.
    parts
        Covers all cut lines; guides belong to none.
    loose
        Worked lines that belong to no part (a pen line beside the box, an open cut).
    grain
        Direction of the main folds in degrees from x, 0 <= grain < 180, or None.
    text
        What is written on this copy alone; empty when copies are alike.
    artwork
        What is printed on it before it is cut, or None.
    words
        What is printed on this copy alone, over the artwork.
    """

    name: str
    lines: Lines
    parts: tuple[Part, ...]
    loose: tuple[int, ...] = ()
    grain: float | None = None
    text: str = ""
    artwork: Artwork | None = None
    words: tuple[PrintedWords, ...] = ()

    @property
    def size(self) -> tuple[float, float]:
        """Width and height over all worked lines, mm."""
        left, bottom, right, top = self.lines.bounds
        return right - left, top - bottom
