"""What hands are told of a drawing, without a job around it: for the tests and the table in docs/MAKING.md."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import numpy as np

from cutprep import read
from cutprep.job.loading import fold_up
from cutprep.model.drawing import Drawing
from cutprep.model.operation import WORKED
from cutprep.profile import shelf
from cutprep.report.hands.assembly.way import Step
from cutprep.report.hands.pieces import pieces_of
from cutprep.report.hands.steps import PieceWork, works_of
from cutprep.report.outcome import TemplateOutcome
from cutprep.stages.divide import divide
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance

SAMPLES = Path(__file__).parents[1] / "samples"
DOC = Path(__file__).parents[1] / "docs" / "MAKING.md"


def template_of(drawing: Drawing, caliper: float = 0.3) -> TemplateOutcome:
    """A drawing as reports see it."""
    tolerance = Tolerance()
    template = divide(drawing, tolerance)
    folds, _ = fold_up(drawing, caliper, tolerance)
    lines = drawing.lines
    return TemplateOutcome(
        name=template.name,
        source=f"{drawing.name}.svg",
        copies=1,
        stock=shelf.stock("card-220"),
        lines=template.lines,
        size=template.size,
        parts=len(template.parts),
        scale_note="",
        findings=(),
        folds=folds,
        divided=template.parts,
        offset=lines.take(np.isin(lines.operation, WORKED)).bounds[:2],
    )


@dataclass(frozen=True)
class _Known:
    """A drawing that is the same as another when its lines are."""

    key: tuple[object, ...]
    drawing: Drawing = field(compare=False)


def made(drawing: Drawing, caliper: float = 0.3) -> tuple[tuple[PieceWork, ...], tuple[Step, ...]]:
    """The pieces of a drawing, and how they come together; the same drawing is folded once in a process."""
    lines = drawing.lines
    columns = (lines.xy, lines.start, lines.operation, lines.fold, lines.source, lines.curved)
    return _made(
        _Known((drawing.name, lines.elements, *(column.tobytes() for column in columns)), drawing), caliper
    )


@cache  # not a table of our own: runs of mutants follow what a cache keeps
def _made(known: _Known, caliper: float) -> tuple[tuple[PieceWork, ...], tuple[Step, ...]]:
    tolerance = Tolerance()
    pieces = pieces_of(template_of(known.drawing, caliper), tolerance.gap).shown
    return works_of(pieces, tolerance.coincide)


def told(drawing: Drawing) -> list[str]:
    """Every sentence of putting it together, the preparing ones left out."""
    works, joined = made(drawing)
    return [step.text for work in works for step in work.built.steps] + [step.text for step in joined]


def rows() -> list[tuple[str, str, str]]:
    """Drawing, piece and step of every kind of template and every sample, for the table."""
    drawings = [(f"`template {name}`", kind.from_values()) for name, kind in KINDS.items()]
    drawings += [(f"`samples/{path.name}`", read(path)) for path in sorted(SAMPLES.glob("*.svg"))]
    found = []
    for name, drawing in drawings:
        works, joined = made(drawing)
        for work in works:
            title = work.title if len(works) > 1 else ""
            found += [(name, title, f"{i}. {step.text}") for i, step in enumerate(work.steps, 1)]
        found += [(name, "all", step.text) for step in joined]
    return found


def table() -> str:
    """The table of docs/MAKING.md."""
    lines, last = ["| drawing | piece | step |", "| --- | --- | --- |"], ("", "")
    for drawing, piece, step in rows():
        shown = "" if drawing == last[0] else drawing
        part = "" if (drawing, piece) == last else piece
        lines.append(f"| {shown} | {part} | {step} |")
        last = (drawing, piece)
    return "\n".join(lines)


if __name__ == "__main__":
    print(table())
