"""What a reader writes down while it follows a machine file: the moves, and what it noticed."""

from __future__ import annotations

import math
from array import array
from collections import Counter
from collections.abc import Sequence
from typing import Any

import numpy as np

from cutprep.errors import Place, TooLarge
from cutprep.geometry.affine import apply, invert
from cutprep.limits import Limits, more
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.lines import Flags, Index, Points
from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine
from cutprep.stages.readback.held import Held, Said
from cutprep.units import plural

#: Of one kind, so many findings are kept word for word; a broken file repeats itself.
_MOST_OF_A_KIND = 20


class Track:
    """The path of the tool, in the machine's own mm, and the findings on the way.

    Parameters
    ----------
    start
        Where the tool stands before the first move, machine mm.
    fed
        A speed holds with the tool up, too (the feed of G-code; not the VS of HP-GL).
    limits
        How many moves and instructions are followed.
    """

    def __init__(
        self, start: tuple[float, float] = (0.0, 0.0), *, fed: bool = False, limits: Limits | None = None
    ) -> None:
        limits = limits or Limits()
        self._most_moves, self._most_instructions = limits.moves, limits.instructions
        self._fed = fed
        self.start = start
        self.at = start
        self._down = False
        self._lifted = False
        self.tool = 0
        self.speed = 0.0
        self.force = float("nan")
        self.dwell = 0.0
        self.changes = 0
        self.line = 0
        self._first_tool = False
        self._obeyed = 0
        # Columns of one kind of number each: an object for each of a million moves would take a gigabyte. What the
        # moves of one instruction share stands there once, with their count.
        self._xs, self._ys = array("d"), array("d")
        self._counts = array("q")
        self._downs, self._curves = array("b"), array("b")
        self._tools, self._lines = array("b"), array("q")
        self._speeds, self._forces = array("d"), array("d")
        self._helds: list[Held] = []
        self.held = Held()
        self.said: list[Said] = []
        self._findings: list[Finding] = []
        self._count: Counter[str] = Counter()

    @property
    def down(self) -> bool:
        """Whether the tool is down."""
        return self._down

    @down.setter
    def down(self, down: bool) -> None:
        self._lifted |= self._down and not down
        self._down = down

    def move(self, x: float, y: float, *, curved: bool = False) -> None:
        """Go straight to a point with the tool as it is."""
        if self._lifted:
            if self._down:
                self._stand()
            self._lifted = False
        self._add(x, y, curved)

    def go_through(self, xs: Sequence[float], ys: Sequence[float]) -> None:
        """Go straight from point to point with the tool as it is, as by `move` for each of them."""
        if not len(xs):
            return
        self.move(xs[0], ys[0])
        more = len(xs) - 1
        self.allow_moves(more)
        self.at = (xs[-1], ys[-1])
        self._xs.extend(xs[1:])
        self._ys.extend(ys[1:])
        self._counts[-1] += more  # what was written for the first of them holds for all

    @property
    def lifted(self) -> bool:
        """Whether the tool has been lifted since the last move."""
        return self._lifted

    def allows(self, instructions: int, moves: int) -> bool:
        """Whether so many more of both are followed."""
        return (
            self._obeyed + instructions <= self._most_instructions
            and len(self._xs) + moves <= self._most_moves
        )

    def go_along(self, xy: tuple[Points, Points], count: Index, down: Flags, line: Index) -> None:
        """Follow many instructions that `allows` allows: through points with the tool up or down; not after a lift.

        Parameters
        ----------
        xy
            All points, machine mm, (n,) each.
        count, down, line
            (k,) of each instruction: its number of points, above 0; how the tool is; on which line it stands.
        """
        k = len(count)
        columns: tuple[tuple[array[Any], Points | Index | Flags], ...] = (
            (self._xs, xy[0]),
            (self._ys, xy[1]),
            (self._counts, count),
            (self._lines, line),
            (self._downs, down),
            (self._curves, np.zeros(k)),
            (self._tools, np.full(k, self.tool)),
            (self._speeds, np.where(down, self.speed, self.speed if self._fed else 0.0)),
            (self._forces, np.where(down, self.force, math.nan)),
        )
        for column, new in columns:
            column.frombytes(new.astype(column.typecode).tobytes())
        self._helds += [self.held] * k
        self._obeyed += k
        self.at = (float(xy[0][-1]), float(xy[1][-1]))
        self._down, self.line = bool(down[-1]), int(line[-1])

    def _stand(self) -> None:
        """A lift between two moves with the tool down, or at the end, is a travel of no length."""
        if self._downs and self._downs[-1]:
            down, self._down = self._down, False
            self._add(*self.at, False)
            self._down = down

    def _add(self, x: float, y: float, curved: bool) -> None:
        self.allow_moves(1)
        self.at = (x, y)
        self._xs.append(x)
        self._ys.append(y)
        self._counts.append(1)
        self._helds.append(self.held)
        self._lines.append(self.line)
        down = self._down
        self._downs.append(down)
        self._tools.append(self.tool)
        self._curves.append(curved)
        self._speeds.append(self.speed if down or self._fed else 0.0)
        self._forces.append(self.force if down else math.nan)

    @property
    def helds(self) -> list[Held]:
        """What holds in each move."""
        return [held for held, count in zip(self._helds, self._counts, strict=True) for _ in range(count)]

    @property
    def lines(self) -> Index:
        """The line of the file on which each move stands, (k,)."""
        return np.repeat(np.array(self._lines, np.int64), self._counts)

    def allow_moves(self, count: int) -> None:
        """Refuse so many more moves where they are more than is followed."""
        if len(self._xs) + count > self._most_moves:
            raise self._too_much("asks for", self._most_moves, "moves")

    def obey(self, line: int) -> None:
        """Begin with another instruction, which stands on a line of the file."""
        self.line = line
        self._obeyed += 1
        if self._obeyed > self._most_instructions:
            raise self._too_much("holds", self._most_instructions, "instructions")

    def _too_much(self, verb: str, most: int, what: str) -> TooLarge:
        return TooLarge(
            f"the file {verb} more than {most:,} {what}; no more are followed",
            fix=more("Check what it is: a sheet of card takes some hundred thousand.", what),
            place=Place(line=self.line or None),
        )

    def hold(self, **changes: Any) -> None:
        """Change some of what lasts from now on; see `Held`."""
        self.held = self.held._replace(**changes)

    def say(self, kind: str, *values: float | str) -> None:
        """Write down what is said once; see `Said`."""
        self.said.append(Said(kind, values, len(self._xs), self.line))

    def take(self, tool: int) -> None:
        """Change to another tool."""
        if tool != self.tool and tool:
            self.changes += self._first_tool
            self._first_tool = True
        self.tool = tool

    def note(self, code: str, problem: str, fix: str | None = None) -> None:
        """Keep a finding at the line that is being read; the catalogue knows how bad it is, and what to do."""
        self._count[code] += 1
        if self._count[code] <= _MOST_OF_A_KIND:
            place = Place(line=self.line) if self.line else Place(xy=self.at)
            self._findings.append(Finding.of(code, problem, fix, (place,)))

    @property
    def findings(self) -> Findings:
        """What was noticed, with a last word on what was left out."""
        rest = [
            Finding.of(
                "more-of-the-same",
                f"{plural(n - _MOST_OF_A_KIND, 'more finding')} '{code}' {'is' if n == _MOST_OF_A_KIND + 1 else 'are'} not listed",
            )
            for code, n in self._count.items()
            if n > _MOST_OF_A_KIND
        ]
        return (*self._findings, *rest)

    def moves(self, machine: Machine | None) -> Moves:
        """The path as moves in mm on the sheet; strokes are numbered as they come."""
        if not self._down:
            self._stand()
        xy = np.vstack(([self.start], np.column_stack((self._xs, self._ys))))
        if machine is not None:
            xy = apply(invert(machine.to_machine), xy)
        down, tool, speed, force, curved = (
            np.repeat(np.array(column), self._counts)
            for column in (self._downs, self._tools, self._speeds, self._forces, self._curves)
        )
        down = down.astype(bool)
        begins = down.copy()
        begins[1:] &= ~(down[:-1] & (tool[1:] == tool[:-1]))
        return Moves(
            xy=xy[1:],
            down=down,
            tool=tool,
            speed=speed,
            force=force,
            stroke=np.where(down, np.cumsum(begins) - 1, -1).astype(np.int32),
            home=(float(xy[0, 0]), float(xy[0, 1])),
            dwell=self.dwell,
            changes=self.changes,
            curved=curved,
        )


def home_of(machine: Machine | None) -> tuple[float, float]:
    """Where the tool waits, machine mm."""
    if machine is None:
        return (0.0, 0.0)
    x, y = apply(machine.to_machine, np.array(machine.home)).tolist()
    return (x, y)
