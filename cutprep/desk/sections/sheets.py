"""The sheets: what lies where, as a picture and as places that a hand can move."""

from __future__ import annotations

from collections.abc import Collection

from cutprep.desk.fields import on_the_page
from cutprep.desk.sections.store import BETTER, Shown, Store
from cutprep.job.job import Job
from cutprep.job.own.left_over import offered
from cutprep.model.findings.finding import Finding, in_words, sentence
from cutprep.model.operation import Operation
from cutprep.report.answers import card_answer, sheets_answer
from cutprep.report.outcome import OF_SHEETS, Outcome, SheetOutcome
from cutprep.report.pictures.sheet import room_round, sheet_map, sheet_marks
from cutprep.stages.write.svg_file import write_svg
from cutprep.units import plural, say_size

_MOST_SHEETS = 24


def card(job: Job) -> Shown:
    """Show on what and with what it is cut."""
    stocks = {batch.stock.name: batch.stock for batch in job.batches}
    return {"state": "done", "answer": card_answer(stocks.values(), job.machine), "note": job.machine.note}


def sheets(job: Job, outcome: Outcome, store: Store, *, first: bool) -> Shown:
    """Show every sheet that differs.

    Parameters
    ----------
    job, outcome
        The job, and what came of it.
    store
        Takes the pictures.
    first
        A better layout is still being looked for.
    """
    answer = sheets_answer(outcome)
    laid = {
        (batch.stock.name, spot.x, spot.y, spot.turn)
        for batch in job.batches
        for spot in batch.spots
        if not spot.loose
    }
    rows = []
    for done in outcome.sheets[:_MOST_SHEETS]:
        sheet = done.sheet
        picture = sheet_map(done, alone=True, marks=sheet_marks(outcome, done), unit=outcome.unit)
        rows.append(
            {
                "number": sheet.number,
                "runs": sheet.runs,
                "stock": done.stock.title,
                "card": done.stock.name,
                "size": say_size(sheet.width, sheet.height, outcome.unit),
                "copies": plural(len({placement.copy for placement in sheet.placements}), "copy", "copies"),
                "used": f"{100 * sheet.utilisation:.0f} %",
                "picture": store.keep("sheet", picture, "svg"),
                "places": store.keep_data("places", _places(outcome, done, laid)),
                "width": round(sheet.width, 2),
                "height": round(sheet.height, 2),
                "room": " ".join(f"{room:.3f}" for room in room_round(sheet)),
                "cut": "" if first else store.keep("cut", _cut(done), "svg"),
                "notes": [_said(in_words(note, outcome.unit)) for note in sheet.notes],
            }
        )
    return {
        "state": "working" if first else "done",
        "answer": f"{answer}{BETTER}" if first else answer,
        "sheets": rows,
        "told": [on_the_page(_said(in_words(f, job.unit))) for f in outcome.findings if f.code in OF_SHEETS],
        "offcuts": [one.name for one in offered(job, outcome)],
        "more": max(0, len(outcome.sheets) - _MOST_SHEETS),
    }


def _said(note: Finding) -> str:
    return f"{sentence(note.problem)} {note.fix}".strip()


def _cut(done: SheetOutcome) -> str:
    """What is cut out of a sheet, as a drawing: a later job on what is left of it keeps clear of that."""
    lines = done.placed.take(done.placed.operation == Operation.CUT)
    return write_svg(lines, page=(done.sheet.width, done.sheet.height), title="cut already")


def _places(outcome: Outcome, done: SheetOutcome, laid: Collection[tuple[str, float, float, float]]) -> Shown:
    """What a hand moves: outlines of the copies in the drawing's own place, where each one lies, and which it has moved."""
    sheet = done.sheet
    sources = {t.name: t.source for t in outcome.templates if t.stock.name == done.stock.name}
    shapes = []
    for template, mark in zip(sheet.templates, sheet_marks(outcome, done), strict=True):
        outlines = [template.lines.points(part.outline) for part in template.parts]
        rounded = [[[round(x, 2), round(y, 2)] for x, y in outline.tolist()] for outline in outlines]
        shapes.append({"file": sources[template.name], "mark": mark, "outlines": rounded})
    return {
        "width": sheet.width,
        "height": sheet.height,
        "shapes": shapes,
        "spots": [
            {
                "shape": s.template,
                "x": s.x,
                "y": s.y,
                "turn": s.turn,
                "mirror": s.mirror,
                "copy": s.copy,
                "part": s.part,
                "hand": (done.stock.name, s.x, s.y, s.turn) in laid,
            }
            for s in sheet.placements
        ],
    }
