"""Whether the tool is down in a G-code file: by height, by a servo word, or by words of a profile."""

from __future__ import annotations

import math
import re
from collections import deque
from typing import Protocol

from cutprep.profile.machine import GcodeStyle, Machine
from cutprep.stages.readback.gcode.words import Block

#: What a height may differ by, mm: half a step of two decimals, the coarsest that files are written with.
_ROUNDED = 0.005  # not a tolerance: rounding of the file


class Lifting(Protocol):
    """Follows the words that raise and lower a tool.

    `down` and `force` hold the state; `by_height` tells whether the axis Z decides, `heeds_motion` whether a line
    of motion and feed alone may mean something to `hear`.
    """

    heeds_motion: bool

    @property
    def down(self) -> bool:
        """Whether the tool is down."""

    @property
    def force(self) -> float:
        """With what force or depth; NaN when nothing is said."""

    @property
    def by_height(self) -> bool:
        """Whether the axis Z decides."""

    def hear(self, block: Block) -> None:
        """Take in a line's words, before it moves."""

    def reach(self, z: float) -> None:
        """Take in the height reached, mm."""

    def below(self, z: float) -> bool:
        """Whether the tool would be down at a height, mm."""


class ByHeight:
    """The tool is down at and below the height at which it touches the card."""

    by_height = True
    heeds_motion = False

    def __init__(self, touch: float) -> None:
        self.touch = touch
        self.down = False
        self.force = math.nan

    def hear(self, block: Block) -> None:
        """Words mean nothing to an axis."""

    def reach(self, z: float) -> None:
        """Down at or below the card's surface."""
        self.down = self.below(z)
        self.force = max(self.touch - z, 0.0) if self.down else math.nan

    def below(self, z: float) -> bool:
        """At or below the card's surface, less the rounding of the file."""
        return z <= self.touch + _ROUNDED


class ByServo:
    """M3 or M4 with an S word lowers, M5 or the S word of the raised tool lifts."""

    by_height = False
    heeds_motion = False

    def __init__(self, up: float) -> None:
        self.up = up
        self.running = False
        self.switch = ""
        self.word = 0.0
        self.down = False
        self.force = math.nan

    @property
    def mode(self) -> tuple[str, float]:
        """The word that switched it last, and the number that holds with it."""
        return (self.switch, self.word if self.running else 0.0)

    def hear(self, block: Block) -> None:
        """S sets the place of the servo; M3 and M5 switch it."""
        self.word = block.words.get("S", self.word)
        for code in (3, 4, 5):
            if code in block.m:
                self.switch, self.running = f"M{code}", code != 5
        self.down = self.running and self.word not in (self.up, 0.0)
        self.force = self.word if self.down else math.nan

    def reach(self, z: float) -> None:
        """A height means nothing to a servo."""

    def below(self, z: float) -> bool:  # noqa: ARG002 - the height is not what lowers it
        """As it is."""
        return self.down


class ByWords:
    """The profile's own lines lower and lift, when they come in full and in order."""

    by_height = False
    heeds_motion = True

    def __init__(self, style: GcodeStyle) -> None:
        self.lines = {True: _patterns(style.down_words), False: _patterns(style.up_words)}
        self.heard: deque[str] = deque(maxlen=max(len(p) for p in self.lines.values()) or 1)
        self.down = False
        self.force = math.nan

    def hear(self, block: Block) -> None:
        """Compare the last lines with the profile's."""
        if not block.plain:
            return
        self.heard.append(block.plain)
        for state, patterns in self.lines.items():
            recent = list(self.heard)[-len(patterns) :] if patterns else []
            matches = [p.fullmatch(row) for p, row in zip(patterns, recent, strict=False)]
            if patterns and len(recent) == len(patterns) and all(matches):
                self.down = state
                given = [m["force"] for m in matches if m is not None and "force" in m.re.groupindex]
                self.force = float(given[0]) if given else math.nan

    def reach(self, z: float) -> None:
        """A height means nothing here."""

    def below(self, z: float) -> bool:  # noqa: ARG002 - the height is not what lowers it
        """As it is."""
        return self.down


class Unknown:
    """No profile: Z decides once the file uses it, else M3 lowers and M5 lifts."""

    by_height = False
    heeds_motion = True

    def __init__(self) -> None:
        self._servo = ByServo(0.0)
        self._axis = ByHeight(0.0)

    @property
    def _now(self) -> Lifting:
        return self._axis if self.by_height else self._servo

    @property
    def down(self) -> bool:
        """Whether the tool is down."""
        return self._now.down

    @property
    def force(self) -> float:
        """With what force."""
        return self._now.force

    def hear(self, block: Block) -> None:
        """Find out what decides."""
        self._servo.hear(block)
        if "Z" in block.words:
            self.by_height = True

    def reach(self, z: float) -> None:
        """Hand on."""
        self._axis.reach(z)

    def below(self, z: float) -> bool:
        """Hand on."""
        return self._now.below(z)


def lifting_of(machine: Machine | None) -> Lifting:
    """How a machine raises its tool."""
    if machine is None:
        return Unknown()
    style = machine.gcode
    if style.lift == "z":
        return ByHeight(style.down_z)
    if style.lift == "servo":
        return ByServo(style.up_s)
    return ByWords(style)


def _patterns(rows: tuple[str, ...]) -> tuple[re.Pattern[str], ...]:
    """A profile's lines as patterns of plain lines; `{force}` stands for any number."""
    plain = (re.sub(r"\([^()]*\)|\s+", "", row) for row in rows)
    made = (re.escape(row).replace(r"\{force\}", r"(?P<force>[-+.\d]+)") for row in plain if row)
    return tuple(re.compile(row, re.IGNORECASE) for row in made)
