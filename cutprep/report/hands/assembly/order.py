"""In which order a person folds, glues, fills and closes a piece, read off how it folds.

What is inside comes first; a seam is glued while the piece can still be laid flat; a base is glued
through the open end; nothing is closed before it is filled; a lid is never glued; dust flaps go in
before the tuck flap. Common practice, no published source. Each step knows which folds are made
when it is done, so that a picture of it can be drawn.
"""

from __future__ import annotations

from dataclasses import dataclass

from cutprep.model.folded import FoldReport, Verdict
from cutprep.report.hands.assembly.outwards import outward_steps
from cutprep.report.hands.assembly.soft import curved_steps, folded_over_steps, locked_steps
from cutprep.report.hands.assembly.structure import PanelTree
from cutprep.report.hands.assembly.tray import tray_steps
from cutprep.report.hands.assembly.tray_parts import tray_of
from cutprep.report.hands.assembly.tube import base_and_lid, tube_steps
from cutprep.report.hands.assembly.tube_parts import Tube, tube_of
from cutprep.report.hands.assembly.way import AssemblyWay, Beside, Step


@dataclass(frozen=True, slots=True)
class Assembly:
    """How a piece is put together.

    Attributes
    ----------
    steps
        Empty when folding on the screen told nothing that a person could go by.
    up
        What points up on the table, in the space of the folded panels.
    """

    steps: tuple[Step, ...]
    up: tuple[float, float, float]


def assembly(report: FoldReport, beside: Beside = Beside.NOTHING, *, locks: bool = False) -> Assembly:
    """Work out how a scored, cut and creased piece is put together.

    Parameters
    ----------
    report
        How it folds.
    beside
        What else it has to do with.
    locks
        It has a slot from one edge and one from the edge across.
    """
    if not report.hinges:
        return Assembly((), report.up)
    way, up = AssemblyWay(PanelTree(report), beside), report.up
    if locks and locked_steps(way):
        return Assembly(tuple(way.steps), up)
    if report.verdict is Verdict.CURVED:
        curved_steps(way)
    elif report.verdict in {Verdict.LEAF, Verdict.FOLDED_OVER}:
        folded_over_steps(way)
    elif report.closes:
        tube = tube_of(way.hung)
        tray = tray_of(way.hung) if tube is None else None
        if tube is not None:
            tube_steps(way, tube)
            up = _standing(way.hung, tube)
        elif tray is not None:
            tray_steps(way, tray)
        else:
            outward_steps(way)
    return Assembly(tuple(way.steps), up)


def _standing(hung: PanelTree, tube: Tube) -> tuple[float, float, float]:
    """What is up for a tube that stands on the end that is closed first, while that end's cover may be flat."""
    report = hung.report
    base, lid = base_and_lid(tube.ends)
    if report.base in tube.walls:
        # The wall that stays in the plane of the drawing has the tube's direction in that plane.
        x, y = hung.upward(tube.walls).tolist()
        turn = 1.0 if base is tube.ends[0] else -1.0
        return (turn * x, turn * y, 0.0)
    if report.base in lid.covers:
        x, y, z = report.up
        return (-x, -y, -z)
    return report.up
