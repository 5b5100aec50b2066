"""A plan as a drawing, for machines that take only one, in their maker's own program.

Real size in mm on a page of the sheet's size; one layer for each tool and pass, in working order, each
line in the direction and order of the plan. Nothing else: no words, no dashes, nothing beyond the page.
"""

from __future__ import annotations

import numpy as np

from cutprep.errors import PlanError
from cutprep.model.lines import Element, Lines, Points
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.profile.layers import FRAME, FRAME_COLOUR, layers_of
from cutprep.profile.machine import Machine
from cutprep.stages.write.dialect import check_reach, tool_of
from cutprep.stages.write.dxf_file import write_dxf
from cutprep.stages.write.svg_file import write_svg


def write_drawing(
    moves: Moves, machine: Machine, language: str, *, page: tuple[float, float], title: str = ""
) -> str:
    """Write a plan as a drawing.

    Parameters
    ----------
    moves
        The plan, mm on the sheet.
    machine
        Whose tools name the layers; whether there is a frame.
    language
        "svg" or "dxf".
    page
        Width and height of the sheet, mm.
    title
        Of the drawing, in SVG.

    Raises
    ------
    PlanError
        When the plan has nothing to draw, or uses a tool that the machine does not have.
    OutOfReach
        When a position lies outside the machine's area.
    """
    check_reach(moves, machine)
    runs: list[Points] = []
    source: list[int] = []
    elements: list[Element] = []
    if machine.frame:
        w, h = page
        runs.append(np.array([(0, 0), (w, 0), (w, h), (0, h), (0, 0)], dtype=np.float64))
        source.append(0)
        elements.append(Element(layer=FRAME, colour=FRAME_COLOUR))
    path = moves.path
    for layer in layers_of(moves, machine):
        tool_of(machine, layer.tool)
        for first, last in _runs(moves, layer.first, layer.last):
            runs.append(path[first : last + 1])
            source.append(len(elements))
        elements.append(Element(layer=layer.name, colour=layer.colour))
    if not runs:
        raise PlanError("nothing is left to draw", fix="Look at the layers with `cutprep check`.")
    lines = Lines.of(runs, operation=Operation.CUT, source=source, elements=tuple(elements))
    if language == "svg":
        return write_svg(lines, page=page, title=title, keep=True)
    return write_dxf(lines, keep=True)


def _runs(moves: Moves, first: int, last: int) -> list[tuple[int, int]]:
    """Ranges of moves with the tool down."""
    down = np.concatenate(([False], moves.down[first:last], [False])).astype(np.int8)
    edges = np.flatnonzero(np.diff(down)) + first
    return [(a, b) for a, b in edges.reshape(-1, 2).tolist()]
