"""Pieces of a drawing that are cut from a card of their own, or in a number of their own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from cutprep.errors import CutprepError, JobError
from cutprep.geometry.affine import shift
from cutprep.job.job import Item
from cutprep.job.settings.compound import OwnPiece
from cutprep.limits import Limits
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Findings
from cutprep.model.operation import WORKED
from cutprep.model.part import Template
from cutprep.stages.classify import classify
from cutprep.stages.divide import divide
from cutprep.stages.mend.mend import mend
from cutprep.stages.mend.mending import Mending
from cutprep.stages.read.reader import read as read_file
from cutprep.tables import suggest
from cutprep.tolerance import Tolerance


@dataclass(frozen=True, slots=True)
class Reading:
    """How drawings of a job are read before they are divided."""

    mending: Mending | None
    tolerance: Tolerance
    limits: Limits

    def classified(self, item: Item) -> Drawing:
        """Read the drawing of an item, and classify its lines."""
        drawing = read_file(item.path, tolerance=self.tolerance, units=item.units, limits=self.limits)
        return classify(drawing, item.rules)

    def mended(self, drawing: Drawing, item: Item) -> tuple[Drawing, Findings]:
        """Mend it as the job says, but for the changes that the item leaves; with the changes, none where nothing is mended."""
        if self.mending is None:
            return drawing, ()
        return mend(drawing, self.tolerance, replace(self.mending, leave=item.leave))


def own_items(item: Item, reading: Reading) -> tuple[Item, list[tuple[str, Item]]]:
    """Part an item into what stays together, and its pieces that are laid by themselves or say otherwise.

    Parameters
    ----------
    item
        A template of the job.
    reading
        How its drawing is read, where each piece of it is laid by itself.

    Returns
    -------
    rest
        The item without them.
    own
        For each of them the name of its card, "" for the item's, and an item of its own.
    """
    asked: tuple[OwnPiece, ...] = item.settings["pieces"] if item.settings is not None else ()
    if item.settings is not None and item.settings["pieces_apart"]:
        asked = (*asked, *_others(item, asked, reading))
    own = [
        (
            piece.stock,
            replace(
                item, only=piece.name, in_set=item.in_set * piece.count, copies=item.copies * piece.count
            ),
        )
        for piece in asked
    ]
    return replace(item, less=tuple(piece.name for piece in asked)), own


def _others(item: Item, asked: Sequence[OwnPiece], reading: Reading) -> list[OwnPiece]:
    """Pieces of which nothing was said, but for the first of them, which stays the drawing's."""
    try:
        drawing, _ = reading.mended(reading.classified(item), item)
        template = divide(drawing, reading.tolerance)
        said = {number_of(template, piece.name) for piece in asked}
    except CutprepError:
        return []  # the job says so when it loads the drawing
    names = [part.name for part in template.parts]
    spoken = len({name.lower() for name in names}) == len(names) and not any(map(str.isdecimal, names))
    left = [k for k in range(len(names)) if k not in said]
    return [OwnPiece(names[k] if spoken and names[k] else str(k + 1)) for k in left[1:]]


def only_its_pieces(drawing: Drawing, item: Item, tolerance: Tolerance) -> Drawing:
    """The drawing with those pieces alone that an item makes.

    Raises
    ------
    JobError
        When there is no piece of a name, or none is left without one.
    """
    if not item.only and not item.less:
        return drawing
    template = divide(drawing, tolerance)
    named = {name: number_of(template, name) for name in (item.only, *item.less) if name}
    if item.only:
        kept = [named[item.only]]
    else:
        kept = [k for k in range(len(template.parts)) if k not in named.values()]
    if not kept:
        raise JobError(
            "each of its pieces names a card or a count of its own, so none is left for the drawing's",
            fix="Leave one out: it is made as the drawing says.",
        )
    rows = [
        i
        for k in kept
        for i in (template.parts[k].outline, *template.parts[k].holes, *template.parts[k].inner)
    ]
    loose = () if item.only else template.loose
    worked = drawing.lines.take(np.isin(drawing.lines.operation, WORKED)).bounds
    lines = template.lines.take(sorted((*rows, *loose))).transform(shift(*worked[:2]))
    outlines = [shapely.Polygon(template.lines.points(template.parts[k].outline)) for k in kept]
    card = shapely.transform(shapely.union_all(outlines), lambda xy: xy + np.array(worked[:2]))
    texts = tuple(place for place in drawing.texts if card.covers(shapely.Point(place.at)))
    return replace(drawing, name=item.name, lines=lines, texts=texts, rules=())


def number_of(template: Template, name: str) -> int:
    """Index of the part that is called so, or has that number.

    Raises
    ------
    JobError
        When there is none.
    """
    names = [part.name for part in template.parts]
    for number, part in enumerate(names):
        if name.lower() in (part.lower(), str(number + 1)):
            return number
    raise JobError(
        f"'{name}' is no piece of this drawing"
        if names
        else "the drawing has no piece with a closed outline",
        fix=suggest(name, [f"{part} (number {k})" for k, part in enumerate(names, 1)])
        if len(set(names)) == len(names)
        else f"Its pieces are numbered 1 to {len(names)}.",
    )


def file_of(item: Item) -> str:
    """What fits name an item by: its file, with `#` and the piece."""
    return f"{item.path.name}#{item.only}" if item.only else item.path.name
