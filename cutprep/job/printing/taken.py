"""What of a drawing is printed, and what its reader need not have said of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

from cutprep.errors import Place
from cutprep.limits import Limits
from cutprep.model.drawing import Artwork, Drawing
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.lines import Element
from cutprep.model.operation import Operation
from cutprep.model.rules import Rules
from cutprep.stages.classify import kind_of
from cutprep.stages.read.reader import read_printed
from cutprep.stages.read.svg.notes import COUNTED, counted
from cutprep.tolerance import Tolerance
from cutprep.units import plural

#: Artwork of which nothing shows.
NOTHING = '<svg xmlns="http://www.w3.org/2000/svg"/>'
#: What the reader leaves out and a printer doesn't.
_PRINTED = frozenset(
    {
        "text-left-out",
        "image-left-out",
        "fill-left-out",
        "marker-left-out",
        "mask-ignored",
        "foreign-left-out",
    }
)


def with_artwork(
    drawing: Drawing,
    path: Path,
    rules: Rules,
    *,
    tolerance: Tolerance,
    units: str | None = None,
    limits: Limits = Limits(),  # noqa: B008 - frozen
) -> Drawing:
    """Give a classified drawing what its printed layers show.

    Parameters
    ----------
    drawing
        Read from `path` and classified by `rules`.
    path, rules, tolerance, units, limits
        As it was read.

    Returns
    -------
    Drawing
        With its artwork, and without notes on what is printed; of a DXF whose lines are for printing, with a
        warning.

    Raises
    ------
    DrawingError
        When the printed layers name other files, or the page has no size.
    """

    def prints(element: Element) -> bool:
        kind = kind_of(element, rules)
        return kind is not None and kind.operation is Operation.PRINT

    lines = int((drawing.lines.operation == Operation.PRINT).sum())
    noted = any(note.code in _PRINTED and any(map(prints, _elements(note))) for note in drawing.notes)
    named = any(prints(place.element) for place in drawing.texts)
    if not lines and not noted and not named:
        return drawing
    artwork = read_printed(path, prints=prints, tolerance=tolerance, units=units, limits=limits)
    if artwork is None and named and not lines:  # on each copy its own text alone
        return replace(drawing, artwork=Artwork(NOTHING, _page_of(drawing)))
    if artwork is None:
        return replace(drawing, notes=(*drawing.notes, _not_printed(drawing, lines)))
    notes = tuple(left for note in drawing.notes for left in _left_of(note, prints))
    return replace(drawing, artwork=artwork, notes=notes)


def _page_of(drawing: Drawing) -> tuple[float, float]:
    """Size of a page that nothing is printed on but texts, mm."""
    _, _, right, top = drawing.lines.bounds
    return drawing.page or (max(right, 1.0), max(top, 1.0))


def _elements(note: Finding) -> Iterator[Element]:
    """What a note is about, as far as it says."""
    for place in note.places:
        yield Element(
            file=place.file or "", line=place.line, tag="", layer=place.layer or "", label=place.element or ""
        )


def _left_of(note: Finding, prints: Callable[[Element], bool]) -> Findings:
    """What a note still says when some of what was left out is printed."""
    if note.code not in _PRINTED:
        return (note,)
    stays = tuple(
        place for place, element in zip(note.places, _elements(note), strict=True) if not prints(element)
    )
    if len(stays) == len(note.places):
        return (note,)
    if not stays:
        return ()
    return (counted(note.code, len(stays), stays) if note.code in COUNTED else replace(note, places=stays),)


def _not_printed(drawing: Drawing, lines: int) -> Finding:
    """A DXF says what is to be printed, and holds nothing that a printer wants."""
    first = drawing.elements[int(drawing.lines.source[drawing.lines.operation == Operation.PRINT][0])]
    return Finding.of(
        "print-left-out",
        f"{plural(lines, 'line')} on a layer for printing {'was' if lines == 1 else 'were'} left out: a DXF holds "
        "neither fills nor texts to print",
        places=(Place(file=first.file, line=first.line, layer=first.layer or None),),
        measure=float(lines),
        unit="lines",
    )
