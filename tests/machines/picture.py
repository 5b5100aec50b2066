"""What a simulated machine has drawn, and how it answers: late, not at all, or nonsense."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

Spot = tuple[float, float]


@dataclass
class Picture:
    """Strokes, each a list of the places that were reached; `tip` is where the tool is on its way."""

    at: Spot = (0.0, 0.0)
    down: bool = False
    strokes: list[list[Spot]] = field(default_factory=list)
    tip: Spot | None = None

    def lower(self) -> None:
        if not self.down:
            self.down = True
            self.strokes.append([self.at])

    def lift(self) -> None:
        self.down = False

    def reach(self, spot: Spot) -> None:
        self.at, self.tip = spot, None
        if self.down and self.strokes[-1][-1] != spot:
            self.strokes[-1].append(spot)


@dataclass
class Leg:
    """A straight way that takes its time."""

    to: Spot
    seconds: float
    begun: Spot | None = None
    gone: float = 0.0

    def advance(self, picture: Picture, dt: float) -> float:
        """Go on for some time; gives what is left of it."""
        self.begun = self.begun or picture.at
        used = min(dt, self.seconds - self.gone)
        self.gone += used
        if self.gone >= self.seconds:
            picture.reach(self.to)
        else:
            share = self.gone / self.seconds
            (ax, ay), (bx, by) = self.begun, self.to
            picture.tip = (ax + share * (bx - ax), ay + share * (by - ay))
        return dt - used


def seconds_of(a: Spot, b: Spot, speed: float) -> float:
    """Of a straight way at a speed."""
    return math.hypot(b[0] - a[0], b[1] - a[1]) / speed


@dataclass
class Faults:
    """What goes wrong, by the simulated clock.

    Attributes
    ----------
    delay
        Seconds by which each answer is late.
    lose
        Numbers of answers that are never given.
    garbage
        Times at which nonsense is sent, and the nonsense.
    hang
        When the machine does nothing more, answers included.
    drop
        When the line is cut.
    refuse
        Number of a line of G-code that is refused.
    """

    delay: float = 0.0
    lose: frozenset[int] = frozenset()
    garbage: tuple[tuple[float, bytes], ...] = ()
    hang: float = math.inf
    drop: float = math.inf
    refuse: int = -1


class Speaker:
    """Answers of a machine with its faults."""

    def __init__(self, faults: Faults) -> None:
        self.faults = faults
        self.now = 0.0
        self._count = 0
        self._queue: list[tuple[float, bytes]] = list(faults.garbage)

    def say(self, data: bytes) -> None:
        """Answer."""
        self._count += 1
        if self._count not in self.faults.lose:
            self._queue.append((self.now + self.faults.delay, data))

    def due(self) -> bytes:
        """What has been said by now."""
        spoken = b"".join(data for when, data in self._queue if when <= self.now)
        self._queue = [row for row in self._queue if row[0] > self.now]
        return spoken

    @property
    def hangs(self) -> bool:
        return self.now >= self.faults.hang
