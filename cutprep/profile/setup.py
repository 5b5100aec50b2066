"""A machine as it is set up for a card: the figures that a trial of the card on it gave, in place of the profile's."""

from __future__ import annotations

import math
from dataclasses import replace

from cutprep.errors import PlanError
from cutprep.model.operation import Operation
from cutprep.profile.machine import Machine, Tool
from cutprep.profile.stock import Stock


def set_up(machine: Machine, stock: Stock) -> Machine:
    """Set the tools of a machine for a card.

    Parameters
    ----------
    machine
        As its profile says.
    stock
        Its `cut_force`, `score_force`, `offset` and `overcut` count where they are given.

    Returns
    -------
    Machine
        The same one when none of them is.
    """
    if (stock.cut_force, stock.score_force, stock.offset, stock.overcut) == (None, None, None, None):
        return machine
    return replace(machine, tools=tuple(_tool(tool, machine, stock) for tool in machine.tools))


def _tool(tool: Tool, machine: Machine, stock: Stock) -> Tool:
    if tool is machine.tool_for(Operation.CUT):
        tool = replace(
            tool,
            force=tool.force if stock.cut_force is None else stock.cut_force,
            offset=tool.offset if stock.offset is None or tool.kind != "knife" else stock.offset,
            overcut=tool.overcut if stock.overcut is None else stock.overcut,
        )
    scorer = scoring_tool(machine)
    if stock.score_force is None or scorer is None or tool.number != scorer.number:
        return tool
    if Operation.CUT not in tool.does:
        return replace(tool, force=stock.score_force)
    # A knife that cuts through as well scores at a share of its force.
    known = math.isfinite(tool.force) and tool.force > 0
    return replace(tool, part_force=min(1.0, stock.score_force / tool.force)) if known else tool


def require_force(force: float, tool: Tool | None, machine: Machine) -> None:
    """Refuse to press a tool harder than the machine may, where its profile says how hard that is.

    Raises
    ------
    PlanError
        Naming what is allowed.
    """
    if tool is not None and tool.most_force and force > tool.most_force:
        raise PlanError(
            f"force {force:g} is asked for, and '{machine.name}' may press its {tool.name} with "
            f"{tool.most_force:g} at most",
            fix="Ask for less; more passes cut thick card. The profile's most_force is what the manual allows.",
        )


def scoring_tool(machine: Machine) -> Tool | None:
    """The tool whose force a score depends on; None where scores are perforations, or nothing scores."""
    if machine.score_by == "perforate":
        return None
    own = machine.tool_for(Operation.SCORE) if machine.score_by == "tool" else None
    return own or machine.tool_for(Operation.PARTIAL_CUT)
