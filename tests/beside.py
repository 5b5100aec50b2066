"""Moves laid beside moves, stroke by stroke, where no file says more than they do."""

from __future__ import annotations

from cutprep.model.findings.finding import Findings
from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine
from cutprep.stages.readback.compare.runs import strokes_of
from cutprep.stages.readback.compare.strokes import ends_rightly, lay_beside


def compare(
    planned: Moves, read: Moves, *, within: float, machine: Machine, sagitta: float = 0.0
) -> Findings:
    """Every stroke once, in order, with its tool, along its line; the tool up at the end; nothing outside the area."""
    found = lay_beside(strokes_of(planned), strokes_of(read), within)[1]
    return (*(finding for _, finding in found), *ends_rightly(read, within, machine, sagitta))
