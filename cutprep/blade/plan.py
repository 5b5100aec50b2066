"""From strokes to the moves of the machine."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutprep.blade.swivel import pivot_path
from cutprep.blade.track import Track, track
from cutprep.errors import OutOfReach, Place, PlanError
from cutprep.model.lines import Index, Lines, Points
from cutprep.model.moves import Moves
from cutprep.model.operation import WORKED, Operation
from cutprep.model.strokes import Strokes
from cutprep.profile.machine import Machine, Tool
from cutprep.profile.stock import Stock
from cutprep.tolerance import Tolerance


def compensate(
    strokes: Strokes,
    machine: Machine,
    tolerance: Tolerance,
    *,
    stock: Stock | None = None,
    blade_offset: float | None = None,
) -> Moves:
    """Turn the strokes of a sheet into moves of the tool's pivot.

    Parameters
    ----------
    strokes
        The lines in working order.
    machine, stock
        What works them; the stock's speed factor and passes apply.
    tolerance
        `blade` is the largest blade error.
    blade_offset
        Offset of all knives, in place of the profile's, mm.

    Raises
    ------
    PlanError
        When the machine has no tool for an operation.
    OutOfReach
        When a move would leave the machine's area.
    """
    lines = strokes.lines
    tips = track(lines, 1.25 * tolerance.sagitta, tolerance.zero)
    worked = [i for i in range(len(strokes)) if lines.operation[i] in WORKED]
    tools = [_tool(machine, Operation(int(lines.operation[i])), blade_offset) for i in worked]
    parts = [tips.part(i) for i in worked]
    closed = lines.closed
    parts = [
        _overcut(part, tool.overcut) if closed[i] else part
        for part, tool, i in zip(parts, tools, worked, strict=True)
    ]
    _land(parts, tools)
    runs = Track.concat(parts)
    offsets = np.array([tool.offset for tool in tools])
    points, start = pivot_path(runs, offsets, tolerance.blade)
    _check_area(points, start, worked, lines, machine)
    factor = stock.speed_factor if stock else 1.0
    return _moves(points, start, worked, tools, machine, factor)


def _tool(machine: Machine, operation: Operation, blade_offset: float | None) -> Tool:
    tool = machine.tool_for(operation)
    if tool is None:
        raise PlanError(
            f"the machine '{machine.name}' has no tool that does '{operation.word}'",
            fix="Give those lines another operation, or add the tool to the machine's profile.",
        )
    if blade_offset is not None and tool.kind == "knife":
        tool = replace(tool, offset=blade_offset)
    return tool


def _overcut(part: Track, length: float) -> Track:
    """Run on past the start of a closed line."""
    steps = np.hypot(*np.diff(part.xy, axis=0).T)
    length = min(length, float(steps.sum()))
    if length <= 0:
        return part
    reached = np.cumsum(steps)
    last = int(np.searchsorted(reached, length))
    share = 1.0 - (reached[last] - length) / steps[last]
    end = part.xy[last] + share * (part.xy[last + 1] - part.xy[last])
    xy = np.vstack((part.xy[:-1], part.xy[: last + 1], end))
    heading = part.leave[last]
    arrive = np.concatenate((part.arrive[:-1], part.arrive[-1:], part.arrive[1 : last + 1], [heading]))
    leave = np.concatenate((part.leave[:-1], part.leave[: last + 1], [heading]))
    return Track(xy, arrive, leave, np.array([0, len(xy)]))


def _land(parts: list[Track], tools: list[Tool]) -> None:
    """Let each line begin with the heading that the blade has from the one before."""
    known: dict[int, float] = {}
    for i, (part, tool) in enumerate(zip(parts, tools, strict=True)):
        arrive, leave = part.arrive.copy(), part.leave.copy()
        arrive[0] = known.get(tool.number, leave[0])
        leave[-1] = arrive[-1]
        if tool.offset > 0:
            known[tool.number] = float(leave[-1])
        parts[i] = replace(part, arrive=arrive, leave=leave)


def _check_area(points: Points, start: Index, worked: list[int], lines: Lines, machine: Machine) -> None:
    area = np.array([machine.width, machine.height])
    beyond = np.maximum(-points, points - area).max(axis=1, initial=0.0)
    if not len(points) or beyond.max() <= 1e-6:  # not a tolerance: rounding of sums
        return
    worst = int(beyond.argmax())
    i = worked[int(np.searchsorted(start, worst, side="right")) - 1]
    element = lines.element(i)
    raise OutOfReach(
        f"the tool would go {beyond[worst]:.2f} mm beyond the machine's area of "
        f"{machine.width:g} x {machine.height:g} mm",
        fix="Leave a wider margin: the pivot runs ahead of the blade by its offset.",
        place=Place(
            element.file, element.line, element.name or None, element.layer or None, _at(points[worst])
        ),
    )


def _at(point: Points) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _moves(
    points: Points, start: Index, worked: list[int], tools: list[Tool], machine: Machine, factor: float
) -> Moves:
    """Lay the runs behind each other with travel between them, and go home."""
    counts = np.diff(start)
    run = np.repeat(np.arange(len(counts)), counts)
    down = np.ones(len(points), bool)
    down[start[:-1]] = False
    tool = np.array([t.number for t in tools], dtype=np.int64)
    speed = np.array([t.speed * factor for t in tools])
    force = np.array([t.force for t in tools])
    last = tool[-1] if len(tools) else (machine.tools[0].number if machine.tools else 1)
    return Moves(
        xy=np.vstack((points, [machine.home])),
        down=np.append(down, False),
        tool=np.append(tool[run], last),
        speed=np.append(np.where(down, speed[run], 0.0), 0.0),
        force=np.append(force[run], np.nan),
        stroke=np.append(np.where(down, np.array(worked, dtype=np.int64)[run], -1), -1),
        home=machine.home,
        changes=int((np.diff(tool) != 0).sum()),
    )
