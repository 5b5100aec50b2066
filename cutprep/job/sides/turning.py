"""Where the back of a card has what its front has, and the marks by which both are brought together.

A card is turned over sideways, like a page: what lies at x from its left edge lies at x from its right edge then, so
(x, y) is at (width - x, y). Its lower edge stays below and its left edge comes to the right. Where the machine takes
the left or right edge in first, it is turned over endways instead, and that edge stays where it was: (x, height - y).
The edge that changes sides is the one to lay the card by on both sides: laid by the opposite edge, whatever the card is
wider or narrower than planned shifts the scores by as much.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutprep.job.job import Job
from cutprep.job.printing.marks import ARM, kept_for_marks, mark_spots
from cutprep.job.sides.asked import FROM_BACK
from cutprep.job.sides.folds import from_back
from cutprep.model.lines import Lines, Points
from cutprep.model.operation import Operation
from cutprep.model.part import Template
from cutprep.model.sheet import Sheet
from cutprep.model.strokes import Strokes
from cutprep.profile.machine import Machine


def turned_way(machine: Machine) -> str:
    """How sheets are turned over: "sideways", or "endways" where the left or right edge goes in first."""
    return "endways" if machine.leading_edge in ("left", "right") else "sideways"


def to_back(width: float, height: float, way: str) -> Points:
    """The matrix from places on the front to those on the sheet with its back up, and back again; (2, 3), mm."""
    if way == "endways":
        return np.array([[1.0, 0.0, 0.0], [0.0, -1.0, height]])
    return np.array([[-1.0, 0.0, width], [0.0, 1.0, 0.0]])


def parted(sheet: Sheet, job: Job) -> tuple[Sheet, Sheet]:
    """A sheet with what is worked from the front alone, and one with what is scored from the back."""
    fold = FROM_BACK[job.from_back]

    def only(template: Template, *, back: bool) -> Template:
        lines = template.lines
        other = from_back(lines, fold) != back
        operation = np.where(other, Operation.GUIDE, lines.operation)
        return replace(template, lines=lines.with_operations(operation, np.where(other, 0, lines.fold)))

    front, back = (
        replace(sheet, templates=tuple(only(one, back=side) for one in sheet.templates))
        for side in (False, True)
    )
    return front, replace(back, extra=Lines.empty())


def crosses(sheet: Sheet, job: Job) -> Points:
    """Middles of the crosses that are cut through a sheet's corners, seen from its front; (n, 2), mm."""
    if job.turn_by != "marks":
        return np.empty((0, 2))
    return mark_spots(sheet.width, sheet.height, job.nesting.margin, job.unit)


def kept_for_crosses(job: Job, width: float, height: float) -> tuple[tuple[float, float, float, float], ...]:
    """Corners that stay free for crosses: left, bottom, right, top of each, mm."""
    if job.turn_by != "marks":
        return ()
    return kept_for_marks(width, height, job.nesting.margin, job.unit)


def with_crosses(strokes: Strokes, spots: Points) -> Strokes:
    """Strokes with two short cuts at each spot, (n, 2) mm, behind them."""
    if not len(spots):
        return strokes
    arms = np.array([[[-ARM, 0.0], [ARM, 0.0]], [[0.0, -ARM], [0.0, ARM]]])
    cuts = Lines.of(list((spots[:, None, None, :] + arms).reshape(-1, 2, 2)), operation=Operation.CUT)
    last = int(strokes.stage.max(initial=0)) + 1
    return Strokes(
        Lines.concat((strokes.lines, cuts)),
        np.append(strokes.stage, np.full(len(cuts), last)),
        np.append(strokes.part, np.full(len(cuts), -1)),
        np.append(strokes.outline, np.zeros(len(cuts), bool)),
        strokes.home,
    )


def turned_strokes(strokes: Strokes, matrix: Points, home: tuple[float, float]) -> Strokes:
    """The same strokes by a (2, 3) matrix, from another home."""
    return replace(strokes, lines=strokes.lines.transform(matrix), home=home, reasons=())
