"""Follow a G-code file as the interpreter of NISTIR 6556 would.

Kramer, Proctor, Messina, *The NIST RS274NGC Interpreter - Version 3*, NISTIR 6556, 2000; sections
stand beside each rule. Within a line the words are obeyed in the order of its Table 8. What a
machine's tool is raised by (an axis, a servo word, words of its own) comes from its profile.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from itertools import islice

from cutprep.limits import Limits
from cutprep.model.findings.catalogue import entry_of
from cutprep.model.findings.finding import Findings, Severity
from cutprep.profile.machine import Machine
from cutprep.stages.readback.curves import chord_count, chords_on_arc
from cutprep.stages.readback.gcode.lifting import Lifting, lifting_of
from cutprep.stages.readback.gcode.told import hold_frame, hold_lifting, tell_block
from cutprep.stages.readback.gcode.words import Block, blocks
from cutprep.stages.readback.track import Track, home_of
from cutprep.tolerance import REACH
from cutprep.units import MM_PER

#: Largest difference between the radii at an arc's start and end, mm and in (3.5.3.2).
_RADII_MM = 0.002  # not a tolerance: a rule of the language
_RADII_INCH = 0.0002  # not a tolerance: a rule of the language
_MOTION = {0, 10, 20, 30}
#: Other planes, shifted origins, compensation of tools: followed, they would move the plan.
_CHANGES_MEANING = {100, 180, 190, 410, 420, 430, 550, 560, 570, 580, 590, 591, 592, 593, 920, 921, 922, 923}
_CYCLES = {382, 810, 820, 830, 840, 850, 860, 870, 880, 890}
_UNFOLLOWED = "G%s changes what the following words mean, and is not followed here"
_ASKED = re.compile(r"\s*MSG\s*,\s*tool\s+(\d{1,2})\b", re.IGNORECASE)


class GcodeReader:
    """One reading; `run` takes the text, `track` holds what came of it.

    Parameters
    ----------
    machine
        Whose axes, way of lifting and unit of waiting apply; without it the axis Z lifts when it
        is used, else M3 lowers and M5 lifts.
    limits
        How much is followed.
    """

    def __init__(self, machine: Machine | None = None, limits: Limits | None = None) -> None:
        self.machine = machine
        self.track = Track(home_of(machine), fed=True, limits=limits)
        self.lifting: Lifting = lifting_of(machine)
        self.scale = 1.0
        self.absolute = True
        self.motion: int | None = None
        self.feed = 0.0
        self.z = math.inf
        self.selected = 0
        self.asked = 0
        self.ended = False
        if machine is not None and len(machine.tools) == 1:
            self.track.take(machine.tools[0].number)

    def run(self, text: str) -> None:
        """Follow every line up to the program's end."""
        framed = 0
        empty = True
        for block in blocks(text):
            empty = False
            self.track.obey(block.line)
            if self.ended:
                self.track.say("other", "something after the end of the program")
                break
            if block.plain == "%":
                framed += 1
                self.track.say("other", "%")
                continue
            self.obey(block)
        if empty:
            self.track.note("empty-file", "the file holds no line")
        elif not self.ended and not framed:
            self.track.note("no-program-end", "the program has no M2 or M30", "End it with M2.")
        if self.track.down:
            self.track.note("tool-left-down", "the file ends with the tool down", "Lift it before the end.")

    def obey(self, block: Block) -> None:
        """Follow one line."""
        if block.moving:
            if "F" in block.words:
                self.feed = block.words["F"] * self.scale / 60
            if self.lifting.heeds_motion:
                self.lifting.hear(block)
                self._apply_lifting()
            self._along(block.g, block)
            return
        serious = False
        for code, problem in block.faults:
            self.track.note(code, problem)
            serious |= Severity.ERROR in entry_of(code).severities
        if serious:
            return  # the interpreter stops at such a line (3.3.5)
        for remark in block.remarks:
            self._hear(remark)
        self._frame(block)
        self._tools(block)
        self.switch(block)
        self._modes(block)
        self._wait(block)
        self._move(block)
        self._stop(block)

    def _hear(self, remark: str) -> None:
        """A message asks the maker for a tool; she has it once the program has paused."""
        asked = _ASKED.match(remark)
        if asked is None:
            return
        self.asked = int(asked[1])
        self.track.say("ask", self.asked)
        if not self.track.tool or (self.machine is not None and self.machine.change_how == "none"):
            self.track.take(self.asked)

    def _frame(self, block: Block) -> None:
        """Feed mode and feed (Table 8, 2 to 3); units come later, but F is read in the line's own."""
        if 930 in block.g:
            self.track.note("not-followed", "inverse time feed (G93) is not followed here")
        if 200 in block.g or 210 in block.g:
            self.scale = MM_PER["in"] if 200 in block.g else 1.0
        if "F" in block.words:
            if block.words["F"] < 0:
                self.track.note("negative-feed", "F is negative")
            self.feed = max(block.words["F"], 0.0) * self.scale / 60
        hold_frame(self.track, block)

    def _tools(self, block: Block) -> None:
        """T selects, M6 changes (3.7.1, 3.6.3)."""
        if "T" in block.words:
            number = block.words["T"]
            if number < 0 or number != int(number) or number > 99:
                self.track.note("tool-number", f"T{number:g} is no tool from 0 to 99")
            else:
                self.selected = int(number)
        if 6 in block.m:
            if self.track.down:
                self.track.note("tool-down-at-change", "the tool is down while it is changed")
            self.asked = 0
            self.track.say("tool", self.selected)
            self.track.take(self.selected)

    def _modes(self, block: Block) -> None:
        for code in block.g:
            if code in (900, 910):
                self.absolute = code == 900
            elif code in _CHANGES_MEANING:
                self.track.note("not-followed", _UNFOLLOWED % f"{code / 10:g}")

    def _wait(self, block: Block) -> None:
        """G4: seconds (3.5.4), or milliseconds where the profile says so."""
        if 40 not in block.g:
            return
        seconds = block.words.get("P", math.nan)
        if not seconds >= 0:
            self.track.note("dwell", "G4 needs P and a time that is not negative")
            return
        thousandths = self.machine is not None and self.machine.gcode.dwell_unit == "ms"
        seconds = seconds / 1000 if thousandths else seconds
        self.track.dwell += seconds
        self.track.say("wait", seconds)

    def _stop(self, block: Block) -> None:
        if 0 in block.m and self.asked:
            if self.track.down:
                self.track.note("tool-down-at-change", "the tool is down while the maker changes it")
            self.track.take(self.asked)
            self.asked = 0
        if 0 in block.m:
            self.track.say("pause")
        self.ended = 2 in block.m or 30 in block.m
        if self.ended:
            self.track.say("end")

    # --- motion ----------------------------------------------------------------------------------

    def _move(self, block: Block) -> None:
        given = [code for code in block.g if code in _MOTION]
        if any(code in _CYCLES for code in block.g):
            self.motion = None
            self.track.note("not-followed", "probing and drilling cycles are not followed here")
            return
        if 800 in block.g:
            self.motion = None
        if 280 in block.g or 300 in block.g:
            self.motion = given[0] if given else self.motion
            self._go_home(_axes(block))
        elif any(code in (100, 920) for code in block.g):
            self.motion = given[0] if given else self.motion
        else:
            self._along(given, block)

    def _along(self, given: Sequence[int], block: Block) -> None:
        """Move as the line says, or as the last one did that said how."""
        if given:
            self.motion = given[0]
        axes = _axes(block)
        if axes or (given and given[0] in (20, 30)):
            self._motion(axes, block)
        elif given:
            self.track.note("no-axis-word", f"G{given[0] // 10} has no axis word (3.5.1)")

    def _motion(self, axes: dict[str, float], block: Block) -> None:
        if self.motion is None:
            self.track.note("no-motion-mode", "axis words stand on a line without any motion mode")
            return
        if self.motion and not self.feed > 0:
            self.track.note("no-feed", f"G{self.motion // 10} without any feed (F)")
            return
        end = self._end(axes)
        if max(abs(end[0]), abs(end[1])) > REACH:
            self.track.note("out-of-range", f"{end[0]:g}, {end[1]:g} mm is beyond any machine")
            return
        z = self.z if "Z" not in axes else self._height(axes["Z"])
        if self.motion in (20, 30):
            self._go_at(self.feed)
            self._arc(end, axes, block)
            if "Z" in axes:
                self.track.say("height", z, self.feed)
            self.reach(z)
            return
        # The tool counts as down when either end of the move is; a plunge goes straight down.
        if self.lifting.below(z):
            self.reach(z)
        self._go_at(self.feed if self.motion else 0.0)
        if "Z" in axes:
            self.track.say("height", z, self.track.speed)
        if "X" in axes or "Y" in axes:
            self.track.move(*end)
        self.reach(z)

    def _end(self, axes: dict[str, float]) -> tuple[float, float]:
        (x, y), scale = self.track.at, self.scale
        if "X" in axes:
            x = axes["X"] * scale if self.absolute else x + axes["X"] * scale
        if "Y" in axes:
            y = axes["Y"] * scale if self.absolute else y + axes["Y"] * scale
        return (x, y)

    def _height(self, value: float) -> float:
        if self.absolute or not math.isfinite(self.z):
            return value * self.scale
        return self.z + value * self.scale

    def _go_at(self, speed: float) -> None:
        self.track.speed = speed
        if speed != self.track.held.speed:
            self.track.hold(speed=speed)

    def switch(self, block: Block) -> None:
        """Let the words of a line raise or lower the tool."""
        self.lifting.hear(block)
        self._apply_lifting()
        tell_block(self.track, block, self.lifting)

    def reach(self, z: float) -> None:
        """Take the axis that lifts to a height, mm."""
        if z == self.z:
            return
        self.z = z
        if math.isfinite(z) and z != self.track.held.height:
            self.track.hold(height=z)
        self.lifting.reach(z)
        self._apply_lifting()

    def _apply_lifting(self) -> None:
        self.track.down, self.track.force = self.lifting.down, self.lifting.force
        hold_lifting(self.track, self.lifting)

    def _go_home(self, axes: dict[str, float]) -> None:
        """G28, G30: over the given point, if any, to the stored one (3.5.8)."""
        if axes:
            self._go_at(0.0)
            self.track.move(*self._end(axes))
        self.reach(math.inf if self.lifting.by_height else self.z)
        self._go_at(0.0)
        self.track.move(*home_of(self.machine))

    def _arc(self, end: tuple[float, float], axes: dict[str, float], block: Block) -> None:
        words, start = block.words, self.track.at
        clockwise = self.motion == 20
        if not ("X" in axes or "Y" in axes):
            self.track.note("arc", "an arc needs X or Y (3.5.3)")
            return
        if "R" in words and ("I" in words or "J" in words):
            self.track.note("arc", "an arc has both a radius and a centre")
            return
        if "R" in words:
            found = self._by_radius(start, end, words["R"] * self.scale, clockwise)
        elif "I" in words or "J" in words:
            offset = (words.get("I", 0.0) * self.scale, words.get("J", 0.0) * self.scale)
            found = self._by_centre(start, end, (start[0] + offset[0], start[1] + offset[1]), clockwise)
        else:
            self.track.note("arc", "an arc has neither a radius nor a centre")
            return
        if found is None:
            return
        centre, sweep = found
        count = chord_count(math.dist(centre, start), sweep)
        self.track.allow_moves(count)
        for x, y in islice(chords_on_arc(centre, start, sweep, count), count - 1):
            self.track.move(x, y, curved=True)
        self.track.move(*end, curved=True)

    def _by_centre(
        self,
        start: tuple[float, float],
        end: tuple[float, float],
        centre: tuple[float, float],
        clockwise: bool,
    ) -> tuple[tuple[float, float], float] | None:
        """Centre format (3.5.3.2): the radii at both ends agree; start = end is a full circle."""
        radius, other = math.dist(centre, start), math.dist(centre, end)
        limit = _RADII_MM if self.scale == 1 else _RADII_INCH * self.scale
        if abs(radius - other) > limit:
            self.track.note(
                "arc-radii", f"the arc's radius is {radius:.4f} mm at its start and {other:.4f} mm at its end;"
                f" they may differ by {limit:.4f} mm",
            )  # fmt: skip
            return None
        if radius > REACH:
            self.track.note("arc", f"the arc's radius of {radius:g} mm is beyond any machine")
            return None
        if radius == 0:
            self.track.note("arc", "the arc has no radius")
            return None
        first = math.atan2(start[1] - centre[1], start[0] - centre[0])
        last = math.atan2(end[1] - centre[1], end[0] - centre[0])
        sweep = (last - first) % (2 * math.pi)
        if start == end:
            sweep = 2 * math.pi if not clockwise else 0.0
        return centre, sweep - (2 * math.pi if clockwise else 0.0)

    def _by_radius(
        self, start: tuple[float, float], end: tuple[float, float], radius: float, clockwise: bool
    ) -> tuple[tuple[float, float], float] | None:
        """Radius format (3.5.3.1): the short way for a positive radius, the long for a negative."""
        chord = math.dist(start, end)
        if chord == 0:
            self.track.note("arc", "an arc in radius format ends where it starts")
            return None
        if abs(radius) > REACH:
            self.track.note("arc", f"the arc's radius of {radius:g} mm is beyond any machine")
            return None
        if abs(radius) < chord / 2 - _RADII_MM:
            self.track.note("arc", f"the radius {abs(radius):g} mm does not span {chord:g} mm")
            return None
        height = math.sqrt(max(radius * radius - chord * chord / 4, 0.0))
        side = -1.0 if clockwise == (radius > 0) else 1.0
        ux, uy = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
        centre = (
            (start[0] + end[0]) / 2 - side * height * uy,
            (start[1] + end[1]) / 2 + side * height * ux,
        )
        small = 2 * math.asin(min(chord / 2 / max(abs(radius), _RADII_MM), 1.0))
        sweep = small if radius > 0 else 2 * math.pi - small
        return centre, -sweep if clockwise else sweep


def _axes(block: Block) -> dict[str, float]:
    return {letter: value for letter, value in block.words.items() if letter in "XYZ"}


def follow_gcode(text: str, machine: Machine | None, limits: Limits | None = None) -> tuple[Track, Findings]:
    """Follow a G-code file.

    Returns
    -------
    tuple
        All that the file says, and what was noticed.
    """
    reader = GcodeReader(machine, limits)
    reader.run(text)
    return reader.track, reader.track.findings
