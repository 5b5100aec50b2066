"""The lines of a drawing one after the other, each as a stroke of the tool that its layer is for."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.affine import apply
from cutprep.limits import Limits
from cutprep.model.findings.finding import Findings
from cutprep.profile.layers import FRAME, name_of
from cutprep.profile.machine import Machine
from cutprep.stages.readback.drawing.dxf import read_dxf_tags
from cutprep.stages.readback.drawing.svg import Drawn, read_svg_rows
from cutprep.stages.readback.track import Track, home_of


def follow_drawing(
    text: str, language: str, machine: Machine, limits: Limits | None = None
) -> tuple[Track, Findings]:
    """Follow a drawing as the machine's own program would take it, in the order of its lines.

    Parameters
    ----------
    text, language
        The file; "svg" or "dxf".
    machine
        Whose tools the layers are for.
    limits
        How large a file is followed.

    Returns
    -------
    tuple
        All that it says, and what was noticed.
    """
    track = Track(home_of(machine), limits=limits)
    tools = {name_of(tool, tool.number): tool.number for tool in machine.tools}
    framed = False
    drawn = read_svg_rows(text) if language == "svg" else read_dxf_tags(text)
    for one in drawn:
        track.obey(one.line)
        if one.kind == "page":
            track.say("page", *one.spots[0])
        elif one.kind == "layer":
            framed = one.name == FRAME
            track.say("layer", one.name, one.colour)
            if not framed:
                number = _tool_of(one.name, tools)
                if number is None:
                    track.note("not-of-the-drawing", f"the layer '{one.name}' is for no tool of the machine")
                track.take(number or 0)
        elif one.kind == "end":
            track.say("end")
        elif one.kind == "other":
            track.note("not-of-the-drawing", f"'{one.name}' has no place in a drawing for a machine")
        elif framed:
            figures = [figure for spot in one.spots for figure in spot]
            track.say("frame", *(round(figure, 3) for figure in figures))
        else:
            _draw(track, one, machine)
    track.down = False
    track.move(*home_of(machine))
    return track, track.findings


def _draw(track: Track, line: Drawn, machine: Machine) -> None:
    track.allow_moves(len(line.spots))
    first, *rest = apply(machine.to_machine, np.array(line.spots)).tolist()
    track.down = False
    track.move(*first)
    track.down = True
    for x, y in rest:
        track.move(x, y)


def _tool_of(name: str, tools: dict[str, int]) -> int | None:
    """A layer's tool: later passes have their number behind the name."""
    if name in tools:
        return tools[name]
    stem, _, count = name.rpartition(" ")
    return tools.get(stem) if count.isdigit() else None
