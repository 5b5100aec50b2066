"""The emitter that every machine language implements, and the one walk over the moves.

`emit` is the only code that decides *when* the tool is chosen, lowered, lifted and moved; a
dialect only says *how*. So the same plan describes the same motion in every language. Terms: a
*stretch* is a run of moves that share tool, height, speed and force.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Protocol, TypeAlias

import numpy as np

from cutprep.errors import OutOfReach, Place, PlanError
from cutprep.model.lines import Points
from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine, Tool

#: A position may lie this far beyond the area, mm.
_SLACK = 0.005  # not a tolerance: rounding of the plan, not a wish


#: Positions as a language counts them, rounded once, on the machine's axes.
Spots: TypeAlias = list[tuple[float, float]]


class Dialect(Protocol):
    """What a machine language must be able to say. All points are mm on the sheet.

    Must be implemented: everything. `emit` calls `begin` and `place` once, then `choose`, `travel` and `work`
    in any order, then `finish` once; `text` gives the whole file.
    """

    def begin(self, title: str) -> None:
        """Open the file: a known state, tool up."""

    def choose(self, tool: Tool) -> None:
        """Lift the tool if it is down, and take another one (or the first)."""

    def place(self, points: Points) -> Spots:
        """Say (n, 2) points as positions of the language: those of a whole plan at once."""

    def travel(self, spots: Spots) -> None:
        """Move with the tool up through positions, lifting it first if it is down."""

    def work(self, spots: Spots, points: Points, speed: float, force: float) -> None:
        """Move with the tool down from the first position through the rest; it may be down there already.

        Parameters
        ----------
        spots, points
            The positions; and (n, 2) what they were rounded from, mm.
        speed, force
            mm/s; in the profile's own unit.
        """

    def finish(self, home: tuple[float, float]) -> None:
        """Lift the tool, go home, put the tool away, end the program."""

    def text(self) -> str:
        """The file, ASCII, lines ending in a newline."""


def emit(moves: Moves, machine: Machine, dialect: Dialect, title: str = "") -> str:
    """Say a plan in a language.

    Parameters
    ----------
    moves
        The plan; a tool number of 0 on a travel keeps the tool.
    machine
        Whose area is not left, and whose tools are used.
    dialect
        A fresh emitter.
    title
        Name of the job, for languages that have comments.

    Returns
    -------
    str
        The machine file.

    Raises
    ------
    OutOfReach
        When a position lies outside the machine's area.
    PlanError
        When the plan uses a tool that the machine does not have.
    """
    check_reach(moves, machine)
    path = moves.path
    dialect.begin(title)
    spots = dialect.place(path)
    current = 0
    for first, last in stretches(moves):
        number = int(moves.tool[first])
        down = bool(moves.down[first])
        if number != current and (number or down):
            dialect.choose(tool_of(machine, number))
            current = number
        if down:
            rows = slice(first, last + 1)
            dialect.work(spots[rows], path[rows], float(moves.speed[first]), float(moves.force[first]))
        else:
            dialect.travel(spots[first + 1 : last + 1])
    dialect.finish(moves.home)
    return dialect.text()


def stretches(moves: Moves) -> Iterator[tuple[int, int]]:
    """Ranges of moves that share tool, height, speed and force, as (first, last + 1)."""
    if not len(moves):
        return
    force = np.nan_to_num(moves.force, nan=-np.inf)
    speed = np.where(moves.down, moves.speed, 0.0)
    force = np.where(moves.down, force, 0.0)
    new = np.ones(len(moves), bool)
    new[1:] = (
        (np.diff(moves.tool) != 0)
        | (moves.down[1:] != moves.down[:-1])
        | (speed[1:] != speed[:-1])
        | (force[1:] != force[:-1])
    )
    edges = np.append(np.flatnonzero(new), len(moves))
    yield from zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True)


def check_reach(moves: Moves, machine: Machine) -> None:
    """Refuse a plan that leaves the machine's area.

    Raises
    ------
    OutOfReach
        Naming the worst position and by how much it lies outside.
    """
    xy = np.vstack((moves.xy, [moves.home]))
    beyond = np.maximum(-xy, xy - (machine.width, machine.height)).max(axis=1)
    worst = int(beyond.argmax())
    if beyond[worst] > _SLACK:
        x, y = xy[worst].tolist()
        raise OutOfReach(
            f"the tool would move {beyond[worst]:.2f} mm beyond the {machine.width:g} x "
            f"{machine.height:g} mm area of '{machine.name}'",
            fix="Leave a wider margin on the sheet, or move the plan inwards.",
            place=Place(xy=(x, y)),
        )


def tool_of(machine: Machine, number: int) -> Tool:
    """The machine's tool with a number.

    Raises
    ------
    PlanError
        When it has none.
    """
    tool = machine.tool_numbered(number)
    if tool is None:
        known = ", ".join(str(t.number) for t in machine.tools)
        raise PlanError(
            f"the plan uses tool {number}, which '{machine.name}' does not have",
            fix=f"Its tools are {known}: name the operation in one of them, or choose another machine.",
        )
    return tool
