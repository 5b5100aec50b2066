"""The page of a sheet that is printed before it is cut."""

from __future__ import annotations

import numpy as np
import shapely

from cutprep.geometry.affine import apply
from cutprep.job.printing.marks import ARM, BLEED
from cutprep.model.lines import Points
from cutprep.model.part import Template
from cutprep.report.outcome import SheetOutcome
from cutprep.stages.write.pdf.printed import PrintedCopy, write_printed
from cutprep.stages.write.pdf.render import Box, Picture, render


def printed_page(done: SheetOutcome) -> bytes | None:
    """The page to print for a sheet, as PDF; None when nothing of it is printed.

    Raises
    ------
    CutprepError
        When the artwork can't be rendered.
    """
    sheet = done.sheet
    bleed = min(BLEED, sheet.gap / 2)
    pictures: list[Picture] = []
    number: dict[int, int] = {}
    known: dict[tuple[int, Box], int] = {}  # copies with texts of their own are templates of their own
    cards: dict[int, list[shapely.Polygon]] = {}
    for i, template in enumerate(sheet.templates):
        if template.artwork is None or not template.parts:
            continue
        cards[i] = [_card(template, k, bleed) for k in range(len(template.parts))]
        left, bottom, right, top = shapely.total_bounds(np.array(cards[i])).tolist()
        box = (left, bottom, right, top)
        at = known.setdefault((id(template.artwork), box), len(pictures))
        if at == len(pictures):
            pictures.append(render(template.artwork, box))
        number[i] = at
    copies = [
        PrintedCopy(
            number[placement.template],
            placement.matrix,
            tuple(
                apply(placement.matrix, shapely.get_coordinates(card.exterior))
                for k, card in enumerate(cards[placement.template])
                if placement.part in {None, k}
            ),
            sheet.templates[placement.template].words,
        )
        for placement in sheet.placements
        if placement.template in number
    ]
    if not copies:
        return None
    least = min(picture.dots_per_inch for picture in pictures)
    return write_printed(
        pictures,
        copies,
        page=(sheet.width, sheet.height),
        marks=done.marks,
        arm=ARM,
        words=f"sheet {sheet.number}, 100 %, {least} dpi",
    )


def _card(template: Template, part: int, bleed: float) -> shapely.Polygon:
    """A part with its bleed, in the frame of the template; its windows are printed too."""
    outline: Points = template.lines.points(template.parts[part].outline)
    grown = shapely.Polygon(outline).buffer(bleed, join_style="mitre")
    parts: list[shapely.Polygon] = shapely.get_parts(grown).tolist()
    return max(parts, key=lambda part: part.area)
