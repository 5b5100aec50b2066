"""What a reader writes down while it follows a machine file: the moves, and what it noticed."""

from __future__ import annotations

import math
from collections import Counter
from typing import Any

import numpy as np

from cutprep.errors import Place, ReadbackError
from cutprep.geometry.affine import apply, invert
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine
from cutprep.stages.readback.held import Held, Said

#: Of one kind, so many findings are kept word for word; a broken file repeats itself.
_MOST_OF_A_KIND = 20
#: A file of a few kilobytes can ask for millions, by circles of the finest chords; these are followed in some
#: ten seconds.
MOST_MOVES = 1_000_000


class Track:
    """The path of the tool, in the machine's own mm, and the findings on the way.

    Parameters
    ----------
    start
        Where the tool stands before the first move, machine mm.
    fed
        A speed holds with the tool up, too (the feed of G-code; not the VS of HP-GL).
    """

    def __init__(self, start: tuple[float, float] = (0.0, 0.0), *, fed: bool = False) -> None:
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
        self._xy: list[tuple[float, float]] = []
        self._rows: list[tuple[bool, int, float, float, bool]] = []
        self.held = Held()
        self.said: list[Said] = []
        self.helds: list[Held] = []
        self.lines: list[int] = []
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

    def _stand(self) -> None:
        """A lift between two moves with the tool down, or at the end, is a travel of no length."""
        if self._rows and self._rows[-1][0]:
            down, self._down = self._down, False
            self._add(*self.at, False)
            self._down = down

    def _add(self, x: float, y: float, curved: bool) -> None:
        if len(self._xy) >= MOST_MOVES:
            raise ReadbackError(
                f"the file asks for more than {MOST_MOVES:,} moves; no more are followed",
                fix="Check what it is: a sheet of card takes some hundred thousand.",
                place=Place(line=self.line or None),
            )
        self.at = (x, y)
        self._xy.append(self.at)
        self.helds.append(self.held)
        self.lines.append(self.line)
        if self._down:
            self._rows.append((True, self.tool, self.speed, self.force, curved))
        else:
            self._rows.append((False, self.tool, self.speed if self._fed else 0.0, math.nan, curved))

    def hold(self, **changes: Any) -> None:
        """Change some of what lasts from now on; see `Held`."""
        self.held = self.held._replace(**changes)

    def say(self, kind: str, *values: float | str) -> None:
        """Write down what is said once; see `Said`."""
        self.said.append(Said(kind, values, len(self._rows), self.line))

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
        more = {code: n - _MOST_OF_A_KIND for code, n in self._count.items() if n > _MOST_OF_A_KIND}
        rest = [
            Finding.of("more-of-the-same", f"{n} more findings '{code}' are not listed")
            for code, n in more.items()
        ]
        return (*self._findings, *rest)

    def moves(self, machine: Machine | None) -> Moves:
        """The path as moves in mm on the sheet; strokes are numbered as they come."""
        if not self._down:
            self._stand()
        xy = np.array([self.start, *self._xy])
        if machine is not None:
            xy = apply(invert(machine.to_machine), xy)
        down = np.array([row[0] for row in self._rows], bool)
        tool = np.array([row[1] for row in self._rows], np.int8)
        begins = down.copy()
        begins[1:] &= ~(down[:-1] & (tool[1:] == tool[:-1]))
        return Moves(
            xy=xy[1:],
            down=down,
            tool=tool,
            speed=np.array([row[2] for row in self._rows], np.float64),
            force=np.array([row[3] for row in self._rows], np.float64),
            stroke=np.where(down, np.cumsum(begins) - 1, -1).astype(np.int32),
            home=(float(xy[0, 0]), float(xy[0, 1])),
            dwell=self.dwell,
            changes=self.changes,
            curved=np.array([row[4] for row in self._rows], bool),
        )


def home_of(machine: Machine | None) -> tuple[float, float]:
    """Where the tool waits, machine mm."""
    if machine is None:
        return (0.0, 0.0)
    x, y = apply(machine.to_machine, np.array(machine.home)).tolist()
    return (x, y)
