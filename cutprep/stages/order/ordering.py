"""How a sheet is to be ordered: every parameter of the stage, with its default."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from cutprep.model.operation import Operation


class KickBudget(NamedTuple):
    """How often a sheet is kicked: counted work, not time, so that the result repeats.

    Attributes
    ----------
    each, first
        Kicks for each of the first lines, and how many those are.
    further
        Kicks for each line beyond them.
    most
        Kicks in all, at most.
    """

    each: int
    first: int
    further: float
    most: int

    def of(self, lines: int) -> int:
        """Kicks for so many lines."""
        further = int(self.further * max(lines - self.first, 0))
        return min(self.each * min(lines, self.first) + further, self.most)


#: `quick` kicks the lines beyond the first 100 less: on sheets of 1,400 to 1,700 lines travel came out 0.5 to 0.8 % longer,
#: mean of three seeds, than with the first 250 and one for each further line, and a coastline's order took two fifths less.
EFFORTS = {
    "quick": KickBudget(each=12, first=100, further=0.5, most=16_000),
    "normal": KickBudget(each=60, first=1000, further=30, most=280_000),
    "thorough": KickBudget(each=300, first=1000, further=300, most=6_000_000),
}
FINISH = ("sheet", "copy")
METRICS = ("length", "time")


@dataclass(frozen=True, slots=True)
class Ordering:
    """How a sheet is to be ordered.

    Attributes
    ----------
    home
        Where the tool starts and ends, mm on the sheet.
    tools
        For each tool of the machine, in tool order, the operations it does; empty for a machine
        that does everything with one tool.
    seed, effort
        The same seed and effort ("quick", "normal", "thorough") give the same strokes on any
        machine: work is counted in steps, not in seconds.
    tear_weight
        Travel, mm, that one millimetre of tear exposure is worth; 0 looks at travel alone. Chosen by
        measurement (see docs/ORDER.md): beyond 5 exposure hardly falls any more, while travel rises.
    more_travel
        How much longer than the shortest travel the order may become for the sake of the card, as a
        share; the weight is halved until it holds. `math.inf` lets the weight decide alone.
    finish
        "sheet" works each stage over the whole sheet, "copy" finishes each copy before the next.
    metric
        "length" keeps the travel short, "time" the time that it takes with `speed`,
        `top_speed` and `acceleration`.
    speed
        Speed of travel, mm/s.
    top_speed, acceleration
        Of each axis, mm/s and mm/s2.
    explain
        Give a reason for the place of each stroke.

    Raises
    ------
    ValueError
        For an effort, finish or metric that is not known, or a weight below 0.
    """

    home: tuple[float, float] = (0.0, 0.0)
    tools: tuple[frozenset[Operation], ...] = ()
    seed: int = 0
    effort: str = "normal"
    tear_weight: float = 5.0
    more_travel: float = 0.05
    finish: str = "sheet"
    metric: str = "length"
    speed: float = 300.0
    top_speed: tuple[float, float] = (400.0, 400.0)
    acceleration: tuple[float, float] = (500.0, 500.0)
    explain: bool = False

    def __post_init__(self) -> None:
        for name, value, known in (
            ("effort", self.effort, tuple(EFFORTS)),
            ("finish", self.finish, FINISH),
            ("metric", self.metric, METRICS),
        ):
            if value not in known:
                raise ValueError(f"{name} is {value!r}; it must be one of {', '.join(known)}")
        if not self.tear_weight >= 0:
            raise ValueError(f"tear_weight is {self.tear_weight!r}; it must be 0 or more")
