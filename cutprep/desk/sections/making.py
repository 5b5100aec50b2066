"""What is made: the drawings, with a picture and a size each, and their pieces."""

from __future__ import annotations

from collections.abc import Sequence

from cutprep.desk.sections.store import Shown, Store
from cutprep.job.job import Job
from cutprep.job.loading import Loaded
from cutprep.job.settings.compound import OwnPiece
from cutprep.report.answers import make_answer
from cutprep.report.pictures.findings import findings_picture
from cutprep.stages.divide import divide
from cutprep.units import plural, say_size

_MOST_PIECES = 40


def in_rows(loaded: Sequence[Loaded]) -> list[Loaded]:
    """Each drawing once, in the order of the job file: of one with pieces of their own, that with the others."""
    return sorted((one for one in loaded if not one.item.only), key=lambda one: one.item.row)


def making(job: Job, loaded: Sequence[Loaded], store: Store) -> Shown:
    """Show the drawings in the order of the job file."""
    rows = []
    for one in in_rows(loaded):
        drawing = one.whole or one.drawing
        left, bottom, right, top = drawing.lines.bounds
        parts = [part.name for part in divide(drawing, job.tolerance).parts]
        rows.append(
            {
                "row": one.item.row,
                "file": one.item.path.name,
                "size": say_size(right - left, top - bottom, job.unit),
                "parts": plural(len(parts), "part"),
                "pieces": _pieces(one, parts),
                "scale_note": drawing.scale_note,
                "picture": store.keep("drawing", findings_picture(drawing, (), words=False), "svg"),
            }
        )
    made = sorted(loaded, key=lambda one: one.item.row)
    return {
        "state": "done",
        "answer": make_answer([(_named(one), one.item.copies) for one in made]),
        "drawings": rows,
    }


def _named(one: Loaded) -> str:
    return f"{one.item.path.name} ({one.item.only})" if one.item.only else one.item.path.name


def _pieces(one: Loaded, names: Sequence[str]) -> list[Shown]:
    """The pieces of a drawing that has several: how they are named in a job file, and what they have of their own."""
    if len(names) < 2 or len(names) > _MOST_PIECES:
        return []
    asked: Sequence[OwnPiece] = one.item.settings["pieces"] if one.item.settings is not None else ()
    own = {piece.name.lower(): piece for piece in asked}
    shown = []
    for number, name in enumerate(names, 1):
        key = name if list(names).count(name) == 1 else str(number)
        piece = own.get(key.lower()) or own.get(str(number))
        shown.append(
            {
                "name": piece.name if piece is not None else key,
                "shown": name if key == name else f"{name}, number {number}",
                "stock": piece.stock if piece is not None else "",
                "count": piece.count if piece is not None else 1,
            }
        )
    return shown
