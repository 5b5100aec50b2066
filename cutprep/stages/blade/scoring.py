"""How a machine makes its scores, in words."""

from __future__ import annotations

import math

from cutprep.model.operation import Operation
from cutprep.profile.machine import Machine
from cutprep.profile.ways import find_way
from cutprep.stages.blade.cutting import Perforation, pattern_of


def say_scoring(machine: Machine, asked: Perforation | None = None) -> str:
    """Say for a person how a machine makes scores.

    Raises
    ------
    PlanError
        When it can't.
    """
    way = find_way(machine, Operation.SCORE)
    if way.broken:
        pattern = pattern_of(Operation.SCORE, asked)
        return f"by the {way.tool.name}, as a perforation: {pattern.cut:g} mm cut, {pattern.gap:g} mm left between"
    if way.tool.kind == "knife":
        force = f" of force {way.force:g}" if math.isfinite(way.force) else ""
        return f"by the {way.tool.name}, as a cut of part depth{force}: try it on a scrap first"
    return f"by the {way.tool.name}"
