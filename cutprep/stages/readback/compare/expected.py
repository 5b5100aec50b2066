"""What a machine must be told for a plan, worked out from the plan and the profile alone.

Nothing here looks at a machine file, and nothing is shared with the writers: this is the second
answer that a proof needs. Lines that a profile gives in its own words are followed as any file is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Protocol

import numpy as np

from cutprep.geometry.affine import apply
from cutprep.model.lines import Points
from cutprep.model.moves import Moves
from cutprep.profile.languages import DRAWINGS
from cutprep.profile.machine import Machine, Tool
from cutprep.stages.readback.compare.drawn import drawn_track
from cutprep.stages.readback.gcode.follow import GcodeReader
from cutprep.stages.readback.gcode.words import Block, block
from cutprep.stages.readback.track import Track, home_of

#: The frame in which every figure of a G-code plan stands: mm, places, plane XY, mm a minute.
_FRAME = ("G21", "G90", "G17", "G94")
#: VS counts whole cm/s from 1 to 127 (HP 7470A manual, p. 3-3); never faster than planned.
_CM, _FASTEST_CM = 10.0, 127
_TINY = 1e-9  # not a tolerance: 60 mm/s must give 6 cm/s


class _Sayer(Protocol):
    """A language, as far as it can say a plan."""

    track: Track

    def begin(self) -> None:
        """What stands before everything."""

    def choose(self, tool: Tool) -> None:
        """Another tool, or the first."""

    def travel(self, points: Points) -> None:
        """(n, 2) machine mm, tool up."""

    def work(self, points: Points, speed: float, force: float) -> None:
        """(n, 2) machine mm, tool down."""

    def finish(self, home: Points) -> None:
        """(1, 2) machine mm, and the end."""


def expected_track(
    planned: Moves, machine: Machine, language: str, page: tuple[float, float] | None = None
) -> Track:
    """Work out what a file of a language must say.

    Parameters
    ----------
    planned
        mm on the sheet.
    machine
        Whose tools, ways of lifting and own words apply.
    language
        "hpgl", "gcode", "svg" or "dxf".
    page
        Size of the sheet, mm, for drawings; the machine's area when None.
    """
    if language in DRAWINGS:
        return drawn_track(planned, machine, language, page or (machine.width, machine.height))
    sayer: _Sayer = _Hpgl(machine) if language == "hpgl" else _Gcode(machine)
    spots = apply(machine.to_machine, np.vstack(([planned.home], planned.xy)))
    sayer.begin()
    current = 0
    for first, last in _alike(planned):
        number = int(planned.tool[first])
        down = bool(planned.down[first])
        tool = machine.tool_numbered(number)
        if number != current and tool is not None:
            sayer.choose(tool)
            current = number
        if down:
            sayer.work(spots[first : last + 1], float(planned.speed[first]), float(planned.force[first]))
        else:
            sayer.travel(spots[first + 1 : last + 1])
    sayer.finish(apply(machine.to_machine, np.array([planned.home])))
    return sayer.track


def _alike(planned: Moves) -> Iterator[tuple[int, int]]:
    """Ranges of moves that are worked alike, as (first, last + 1)."""
    if not len(planned):
        return
    down, force = planned.down, planned.force
    both = down[1:] & down[:-1]
    other = (down[1:] != down[:-1]) | (planned.tool[1:] != planned.tool[:-1])
    other |= both & (planned.speed[1:] != planned.speed[:-1])
    # No force twice is no change, although NaN equals nothing.
    other |= both & (force[1:] != force[:-1]) & ~(np.isnan(force[1:]) & np.isnan(force[:-1]))
    edges = [0, *(np.flatnonzero(other) + 1).tolist(), len(down)]
    yield from pairwise(edges)


def _follow(track: Track, points: Points) -> None:
    track.go_through(points[:, 0].tolist(), points[:, 1].tolist())


class _Hpgl:
    """HP-GL: IN, SP, VS, FS, PU, PD, and SP0 at the end; nothing else."""

    def __init__(self, machine: Machine) -> None:
        self._machine = machine
        self._usual = math.nan
        self.track = Track(home_of(machine))

    def begin(self) -> None:
        """IN: the tool is up, nothing is said of speed and force."""
        self.track.say("start")

    def choose(self, tool: Tool) -> None:
        """SP."""
        self.track.down = False
        self._usual = tool.force
        self.track.say("tool", tool.number)
        self.track.take(tool.number)

    def travel(self, points: Points) -> None:
        """PU."""
        self.track.down = False
        _follow(self.track, points)

    def work(self, points: Points, speed: float, force: float) -> None:
        """VS and FS where the machine takes them, and PD."""
        style, track = self._machine.hpgl, self.track
        if style.send_speed and speed > 0:
            centimetres = min(max(math.floor(speed / _CM + _TINY), 1), _FASTEST_CM)
            track.hold(speed=centimetres * _CM)
        force = force if math.isfinite(force) else self._usual
        if style.send_force and math.isfinite(force):
            # Whole numbers; a force that is wanted is never rounded to none.
            track.hold(force=float(max(round(force), 1 if force > 0 else 0)))
        track.down = True
        _follow(track, points[1:])

    def finish(self, home: Points) -> None:
        """Home, and the tool put away."""
        self.travel(home)
        self.track.say("tool", 0)


class _Gcode:
    """G-code as the profile has it; `down` is what presses the tool, or None while it is up."""

    def __init__(self, machine: Machine) -> None:
        self._machine = machine
        self._style = machine.gcode
        self._reader = GcodeReader(machine)
        self._tool: Tool | None = None
        self._down: str | None = None
        self.track = self._reader.track

    def begin(self) -> None:
        """The frame, the profile's own lines, and the tool up."""
        self.track.hold(frame=_FRAME)
        self._own(self._style.start)
        self._lift()

    def choose(self, tool: Tool) -> None:
        """The maker is asked for it; the machine changes, or pauses."""
        if self._down is not None:
            self._lift()
        first, self._tool = self._tool is None, tool
        self.track.say("ask", tool.number)
        self._reader.asked = tool.number
        if not first:
            named = (
                row.replace("{number}", str(tool.number)).replace("{name}", "") for row in self._style.change
            )
            self._own(named)
        if self._machine.change_how == "automatic" or self._style.change_by == "tool-word":
            self.track.say("tool", tool.number)
        elif self._machine.change_how == "pause" and not first:
            self.track.say("pause")
        self.track.take(tool.number)

    def travel(self, points: Points) -> None:
        """G0."""
        if self._down is not None:
            self._lift()
        self.track.hold(speed=0.0)
        _follow(self.track, points)

    def work(self, points: Points, speed: float, force: float) -> None:
        """Down, and G1, G2, G3 with the feed."""
        tool = self._tool
        force = tool.force if not math.isfinite(force) and tool is not None else force
        self._lower(force if math.isfinite(force) else None)
        if not speed > 0:
            speed = tool.speed if tool is not None else self._machine.travel_speed
        self.track.hold(speed=max(round(speed * 60, 1), 0.1) / 60)
        _follow(self.track, points[1:])

    def finish(self, home: Points) -> None:
        """Home, the profile's own lines, and the end."""
        self.travel(home)
        self._own(self._style.end)
        self.track.say("end")

    def _own(self, rows: tuple[str, ...] | Iterator[str]) -> None:
        """The profile's own lines, followed as any other."""
        for row in rows:
            self._reader.obey(block(row))

    def _lift(self) -> None:
        style, self._down = self._style, None
        if style.lift == "z":
            self._height(round(style.up_z, 4), 0.0)
        elif style.lift == "servo":
            self._switch(5 if style.up_s <= 0 else 3, style.up_s)
        else:
            self._own(style.up_words)
        self._wait()

    def _lower(self, force: float | None) -> None:
        style = self._style
        if self._down == repr(force):
            return
        self._down = repr(force)
        if style.lift == "z":
            self._height(round(style.down_z - (force or 0.0), 4), round(style.plunge * 60, 1) / 60)
        elif style.lift == "servo":
            self._switch(3, style.down_s if force is None else force)
        else:
            given = f"{force or 0.0:.3f}"
            self._own(tuple(row.replace("{force}", given) for row in style.down_words))
        self._wait()

    def _height(self, z: float, speed: float) -> None:
        self.track.say("height", z, speed)
        self._reader.reach(z)

    def _switch(self, code: int, number: float) -> None:
        words = {"S": round(number, 2)} if code != 5 else {}
        self._reader.switch(Block(0, m=[code], words=words))

    def _wait(self) -> None:
        if self._style.dwell > 0:
            seconds = self._style.dwell
            self.track.say(
                "wait", round(seconds * 1000) / 1000 if self._style.dwell_unit == "ms" else round(seconds, 3)
            )
