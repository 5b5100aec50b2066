"""A drawing as read: its lines, its page, what of it is printed, and what the reader has to say about it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from cutprep.model.findings.finding import Findings
from cutprep.model.lines import Element, Lines
from cutprep.model.text import TextPlace


@dataclass(frozen=True, slots=True)
class Artwork:
    """The printed layers of a drawing, and nothing else of it.

    Attributes
    ----------
    svg
        An `svg` element of the size of the page in mm, to be drawn within another one.
    page
        Width and height of the page, mm.
    origin
        Where the page's lower left corner lies in the frame of the lines, mm.
    texts
        How many texts are in it: they need a font of the machine that draws them.
    """

    svg: str
    page: tuple[float, float]
    origin: tuple[float, float] = (0.0, 0.0)
    texts: int = 0

    def moved(self, dx: float, dy: float) -> Artwork:
        """The same, in a frame in which the drawing lies elsewhere; mm."""
        return replace(self, origin=(self.origin[0] + dx, self.origin[1] + dy))


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """What came out of a file.

    Attributes
    ----------
    name
        Short name for the job sheet, taken from the file's name.
    lines
        All line work, mm, y up.
    page
        Width and height of the page, mm, or None when the file has none. The page's lower
        left corner is the origin.
    scale_note
        How units were settled, for the maker.
    notes
        What was left out, assumed or repaired while reading and classifying.
    rules
        Which rule placed each element (same index as `lines.elements`), once classified.
    unit_mm
        Length of one unit of the file, as it was read, mm; None when there is no file.
    unit_named
        The file names its unit itself, so that the maker can't.
    texts
        Places where each copy gets a text of its own.
    artwork
        What its printed layers show, or None.
    """

    name: str
    lines: Lines
    page: tuple[float, float] | None = None
    scale_note: str = ""
    notes: Findings = ()
    rules: tuple[str, ...] = ()
    unit_mm: float | None = None
    unit_named: bool = False
    texts: tuple[TextPlace, ...] = ()
    artwork: Artwork | None = None

    @property
    def elements(self) -> tuple[Element, ...]:
        """What the lines came from."""
        return self.lines.elements

    def with_lines(self, lines: Lines, notes: Findings = ()) -> Drawing:
        """Return the drawing with other lines, and more notes."""
        rules = self.rules if lines.elements is self.lines.elements else ()
        return replace(self, lines=lines, notes=self.notes + notes, rules=rules)
