"""SVG to a drawing in mm.

The text is parsed within limits (`xml`), the tree is walked with the style of each element
(`walk`, `style`, `css`), shapes become segments (`shapes`, `path`), and all segments
become lines at once (`lines`). Nothing outside the bytes is ever opened.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np

from cutprep.errors import DrawingError, Place, at
from cutprep.limits import Limits, more
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Severity
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.read.other_units import sizes_in
from cutprep.stages.read.svg.document import Document
from cutprep.stages.read.svg.notes import Notes
from cutprep.stages.read.svg.shapes.clip import clip_lines
from cutprep.stages.read.svg.shapes.lines import FlatShapes, flatten_shapes
from cutprep.stages.read.svg.shapes.viewport import Page
from cutprep.stages.read.svg.walk import DocumentWalk
from cutprep.stages.read.svg.xml import parse_xml
from cutprep.tolerance import Tolerance
from cutprep.units import MM_PER, say_size, unit_name

#: Shapes of page and viewBox may differ by this share without a word: rounded figures of one size.
_SAME_SHAPE = 0.005  # not a tolerance: a share
#: Units that programs draw in without saying so.
_LIKELY = ("mm", "in", "pt", "px90")


def read_svg(
    data: bytes, *, file: str, tolerance: Tolerance, units: str | None = None, limits: Limits
) -> Drawing:
    """Read an SVG document.

    Parameters
    ----------
    data
        The file's bytes, plain or gzip.
    file
        Its name, for places.
    tolerance
        Its `sagitta` is the chord error of flattened curves.
    units
        What a number without a unit stands for in the size of the page, such as "mm".
    limits
        Upper bounds on what the file may ask for.

    Returns
    -------
    Drawing
        Lines in mm, y up, the origin in the lower left corner of the page.

    Raises
    ------
    DrawingError
        When the file can't be read, or holds no line work.
    JobError
        When the unit is not known.
    """
    with at(file=file):
        notes = Notes(file)
        root, repaired, has_sheet = parse_xml(data, limits)
        if has_sheet:
            notes.say(
                "style-left-out",
                "a style sheet in another file was not read; other files are never opened",
                fix="Put the styles into this file.",
                place=Place(),
            )
        if repaired:
            notes.say(
                "xml-repaired",
                f"an undeclared prefix was overlooked ({repaired})",
                place=Place(),
            )
        document = Document(root, notes, tolerance, limits)
        page = document.page(units)
        _refuse_vast(page, limits)
        walk = DocumentWalk(document, limits)
        with _no_search_for_cycles():
            walk.run(page.matrix, page.scale)
        flat = flatten_shapes(walk.shapes, tolerance, coordinate=tolerance.reach, most_points=limits.points)
        for shape in flat.lost.tolist():
            notes.count("far-left-out", walk.place_of(shape))
        for shape in flat.slivers.tolist():
            notes.count("point-left-out", walk.place_of(shape))
        lines = _lines(clip_lines(flat, walk, tolerance, limits), walk)
        if not len(lines):
            raise _nothing_drawn(notes)
        if units and page.named and abs(MM_PER[unit_name(units)] / page.matrix[0] - 1.0) > _SAME_SHAPE:
            notes.say(
                "unit-not-used",
                f"the file names its size ({page.note}); the unit given, {unit_name(units)}, is for drawings that name none",
                place=Place(),
            )
        return _drawing(lines, page, notes, file, walk)


@contextmanager
def _no_search_for_cycles() -> Iterator[None]:
    """Keep what is made from being looked through for cycles: it has none, and the looking takes a seventh of the time."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _refuse_vast(page: Page, limits: Limits) -> None:
    if page.size is not None and not max(page.size) <= limits.page:
        raise DrawingError(
            f"the page is {page.size[0]:g} by {page.size[1]:g} mm; the limit is {limits.page:g} mm",
            fix=more("Check the unit of width and height.", "page"),
        )


def _lines(flat: FlatShapes, walk: DocumentWalk) -> Lines:
    """Lines with their elements; elements without a line drop out of the table."""
    used, source = np.unique(flat.shape, return_inverse=True)
    return Lines(
        xy=flat.xy,
        start=flat.start,
        operation=np.full(len(flat.shape), Operation.UNPLACED, dtype=np.int8),
        fold=np.zeros(len(flat.shape), dtype=np.int8),
        source=source.astype(np.int32),
        curved=flat.curved,
        elements=tuple(walk.elements[i] for i in used.tolist()),
    )


def _tell_scale(page: Page, lines: Lines, notes: Notes) -> None:
    """Tell what is in doubt about the size, each time with the size that the drawing would have otherwise."""
    left, bottom, right, top = lines.bounds
    width, height = right - left, top - bottom
    across, up = page.matrix[0], -page.matrix[3]
    if page.assumed:
        notes.say(
            "unit-assumed",
            page.note,
            fix=f"If that is not its size, say its unit: {sizes_in(lines, across, _LIKELY)}.",
            place=Place(),
            severity=Severity.NOTE if page.assumed == "px" else None,
        )
    if page.stretched:
        notes.say(
            "page-stretched",
            f"width and height are scaled differently, so the drawing measures {say_size(width, height)}; at the "
            f"scale of its width it would measure {say_size(width, height * across / up)}, at that of its height "
            f"{say_size(width * up / across, height)}",
            place=Place(),
        )
    if page.size is not None and abs(page.other - 1.0) > _SAME_SHAPE:
        notes.say(
            "page-fitted",
            f"the page of {say_size(*page.size)} has another shape than its viewBox, so the drawing was fitted into "
            f"it and measures {say_size(width, height)}; fitted by the other side it would measure "
            f"{say_size(width * page.other, height * page.other)}",
            place=Place(),
        )


def _drawing(lines: Lines, page: Page, notes: Notes, file: str, walk: DocumentWalk) -> Drawing:
    _tell_scale(page, lines, notes)
    size, texts = page.size, walk.texts
    if size is None:
        # No size anywhere: the page reaches from the origin to the furthest line (right and down).
        _, bottom, right, _ = lines.bounds
        lines = lines.transform([[1.0, 0.0, 0.0], [0.0, 1.0, -bottom]])
        texts = [place.moved(0.0, -bottom) for place in texts]
        size = (right, -bottom) if right > 0 and bottom < 0 else None
    return Drawing(
        name=file.rpartition(".")[0] or file,
        lines=lines,
        page=size,
        scale_note=page.note,
        unit_mm=page.matrix[0],
        unit_named=page.named,
        notes=notes.findings(),
        texts=tuple(texts),
    )


def _nothing_drawn(notes: Notes) -> DrawingError:
    if notes.has("text-left-out"):
        return DrawingError(
            "the drawing holds nothing but text, and letters are no lines",
            fix="Turn text into outlines first.",
        )
    if notes.has("image-left-out"):
        return DrawingError(
            "the drawing holds nothing but a picture", fix="Trace the picture into lines first."
        )
    told = "; ".join(finding.problem for finding in notes.findings()[:3])
    return DrawingError(
        "the drawing holds no line that shows" + (f" ({told})" if told else ""),
        fix="Draw lines with a stroke, and show the layers they are on.",
    )
