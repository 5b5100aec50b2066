"""Which tool does an operation on a machine, how hard, and whether in dashes."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from cutprep.errors import PlanError
from cutprep.model.operation import Operation
from cutprep.profile.machine import Machine, Tool


@dataclass(frozen=True, slots=True)
class ToolUse:
    """How an operation is done.

    Attributes
    ----------
    tool
        With the offset that counts.
    force
        In the profile's own unit; NaN: the tool's own.
    broken
        In dashes.
    """

    tool: Tool
    force: float
    broken: bool = False


def find_way(machine: Machine, operation: Operation, blade_offset: float | None = None) -> ToolUse:
    """Find how a machine does an operation.

    A score is made by its own tool; where there is none, or the profile says so, by a cut of
    part depth or by a perforation.

    Parameters
    ----------
    machine, operation
        Who shall do what.
    blade_offset
        Offset of all knives, in place of the profile's, mm.

    Returns
    -------
    ToolUse
        With the tool's offset as it counts.

    Raises
    ------
    PlanError
        When the machine can't do it, or the offset is below 0.
    """
    if blade_offset is not None and not 0 <= blade_offset < math.inf:
        raise PlanError(
            f"the blade offset is {blade_offset:g} mm; it can't be below 0",
            fix="Measure from the pivot's axis to the blade's tip; 0 for a blade that is turned by a motor.",
        )
    way = _score(machine) if operation is Operation.SCORE else _plain(machine, operation)
    if way is None:
        raise _lacking(machine, operation)
    if blade_offset is not None and way.tool.kind == "knife":
        return replace(way, tool=replace(way.tool, offset=blade_offset))
    return way


def worked_by(machine: Machine, operations: Iterable[Operation]) -> list[set[Operation]]:
    """Find which of some operations each tool does in fact.

    Parameters
    ----------
    machine
        Whose tools, in its order.
    operations
        What is asked for.

    Returns
    -------
    list of set of Operation
        One set a tool: with a knife alone, its scores are among what the knife does.

    Raises
    ------
    PlanError
        When the machine can't do one of them.
    """
    done: list[set[Operation]] = [set() for _ in machine.tools]
    numbers = [tool.number for tool in machine.tools]
    for operation in operations:
        done[numbers.index(find_way(machine, operation).tool.number)].add(operation)
    return done


def _lacking(machine: Machine, operation: Operation) -> PlanError:
    """What to say when a machine can't do an operation."""
    problem = f"the machine '{machine.name}' has no tool that does '{operation.word}'"
    if operation is not Operation.SCORE:
        fix = "Give those lines another operation, or add the tool to the machine's profile."
    elif machine.score_by == "partial-cut":
        problem += (
            ", and its profile says score_by = \"partial-cut\" although no tool does 'partial-cut' either"
        )
        fix = 'Add "partial-cut" to what its knife `does`, or set score_by = "perforate" in the profile.'
    else:
        problem += ", nor a knife that could score by a part-depth cut or a perforation (score_by)"
        fix = (
            'Add "score" to what one of its tools `does`, or add a knife with does = ["cut"] to the profile.'
        )
    return PlanError(problem, fix=fix)


def _plain(machine: Machine, operation: Operation) -> ToolUse | None:
    """The way of any operation but a score."""
    tool = machine.tool_for(operation)
    if operation is Operation.PERFORATE:
        tool = tool or machine.tool_for(Operation.CUT)
        return ToolUse(tool, tool.force, broken=True) if tool else None
    if operation is Operation.PARTIAL_CUT and tool is not None:
        return ToolUse(tool, _part_force(machine, tool))
    return ToolUse(tool, tool.force) if tool else None


def _score(machine: Machine) -> ToolUse | None:
    """The way of a score, by the profile's wish and what there is."""
    if machine.score_by == "tool":
        tool = machine.tool_for(Operation.SCORE)
        if tool is not None:
            return ToolUse(tool, _part_force(machine, tool) if tool.kind == "knife" else tool.force)
    if machine.score_by != "perforate":
        part = _plain(machine, Operation.PARTIAL_CUT)
        if part is not None or machine.score_by == "partial-cut":
            return part
    return _plain(machine, Operation.PERFORATE)


def _part_force(machine: Machine, tool: Tool) -> float:
    """Force of a part-depth cut; a tool that never cuts through keeps its own."""
    if Operation.CUT not in tool.does:
        return tool.force
    if math.isnan(tool.force):
        raise PlanError(
            f"the profile of '{machine.name}' gives no force for '{tool.name}', so that it can't be told "
            "how much less a part-depth cut needs",
            fix="Add `force`, and `part_force` if one half of it is not right, to that tool; or set "
            'score_by = "perforate" where it is for scores.',
        )
    return tool.force * tool.part_force
