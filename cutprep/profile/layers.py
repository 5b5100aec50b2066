"""Layers of a drawing for a machine: one for each tool and pass, named and coloured by the profile."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from cutprep.errors import ProfileError
from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine, Tool

#: For tools whose profile names no colour, in the order of the profile; far apart in black and white too.
_COLOURS = ("#2b2118", "#c2571a", "#00796b", "#6b3f8f", "#a8a100", "#7a8fa6")
FRAME = "frame"
FRAME_COLOUR = "#b8b2a7"
_UNFIT = re.compile(r"[^A-Za-z0-9 _.-]+")
_COLOUR = re.compile(r"#[0-9a-f]{6}")


@dataclass(frozen=True, slots=True)
class LayerUse:
    """What one layer is for.

    Attributes
    ----------
    name, colour
        As they stand in the drawing; the colour as "#rrggbb".
    tool
        Number.
    speed, force
        To be typed in: mm/s, and in the profile's own unit or NaN.
    first, last
        Moves of the plan, the last one not included.
    """

    name: str
    colour: str
    tool: int
    speed: float
    force: float
    first: int
    last: int


def layers_of(planned: Moves, machine: Machine) -> Iterator[LayerUse]:
    """Divide a plan into layers, in working order: another one wherever tool, speed or force changes.

    Raises
    ------
    ProfileError
        When a tool's layer or colour can't stand in a drawing.
    """
    used: dict[str, int] = {}
    rows = [k for k, down in enumerate(planned.down.tolist()) if down]
    key: tuple[int, float, str] | None = None
    first = 0
    for at in [*rows, len(planned)]:
        now = None if at == len(planned) else _key(planned, at)
        if now == key:
            continue
        if key is not None:
            yield _layer(machine, key, first, at, used)
        key, first = now, at


def _key(planned: Moves, row: int) -> tuple[int, float, str]:
    # An unsaid force is NaN, which equals nothing; as text it does.
    return int(planned.tool[row]), float(planned.speed[row]), repr(float(planned.force[row]))


def _layer(
    machine: Machine, key: tuple[int, float, str], first: int, last: int, used: dict[str, int]
) -> LayerUse:
    number, speed, force = key
    tool = machine.tool_numbered(number)
    name = name_of(tool, number)
    used[name] = used.get(name, 0) + 1
    named = name if used[name] == 1 else f"{name} {used[name]}"
    return LayerUse(named, colour_of(machine, tool), number, speed, float(force), first, last)


def name_of(tool: Tool | None, number: int) -> str:
    """The layer of a tool: as the profile names it, else by the tool's own name."""
    text = (tool.layer or tool.name) if tool is not None else f"tool {number}"
    name = " ".join(_UNFIT.sub(" ", text).split()) or f"tool {number}"
    if tool is not None and tool.layer and name != tool.layer:
        raise ProfileError(
            f"the layer '{tool.layer}' of '{tool.name}' holds signs that not every program takes",
            fix="Use letters, digits, spaces, points, - and _.",
        )
    return f"{name} layer" if name.lower() in (FRAME, "0") else name


def colour_of(machine: Machine, tool: Tool | None) -> str:
    """The colour of a tool's layers."""
    place = machine.tools.index(tool) if tool is not None else 0
    colour = (tool.colour if tool is not None else "") or _COLOURS[place % len(_COLOURS)]
    if not _COLOUR.fullmatch(colour):
        raise ProfileError(
            f"the colour '{colour}' of a tool is none", fix='Write it as "#rrggbb" in small letters.'
        )
    return colour
