"""Follow an HP-GL file as a plotter would.

Sources: HP 7470A Interfacing and Programming Manual (1984) for HP-GL, HP PCL 5 Technical Reference Manual
Part II for HP-GL/2; pages stand beside each rule. Where the two differ the stricter one is reported.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import accumulate

from cutprep.geometry.affine import compose
from cutprep.limits import Limits
from cutprep.model.findings.finding import Findings
from cutprep.profile.machine import HpglStyle, Machine
from cutprep.stages.readback.curves import chords_on_arc
from cutprep.stages.readback.hpgl.encoded import encoded_runs
from cutprep.stages.readback.hpgl.figures import Figures
from cutprep.stages.readback.hpgl.frame import Scaling
from cutprep.stages.readback.hpgl.many import Many, stretches
from cutprep.stages.readback.hpgl.plain import moved, named, numbers_of, plain_matrix, shown, size_of
from cutprep.stages.readback.hpgl.window import clipped
from cutprep.stages.readback.hpgl.words import (
    ASIDE,
    DRAWING,
    FOLLOWED,
    OBEYED,
    STILL,
    Instruction,
    instructions,
)
from cutprep.stages.readback.track import Track, home_of

#: Turns of an arc beyond which it is no arc but a mistake, degrees.
_WIDEST = 3600.0
#: Chord angle when none is given, degrees (7470A pp. 3-12, 3-17).
_CHORD = 5.0


class HpglReader:
    """One reading; `run` takes the text, `track` holds what came of it.

    Parameters
    ----------
    machine
        Whose axes, area, plotter unit and speeds apply; without it 0.025 mm, no area.
    limits
        How much is followed.
    """

    def __init__(self, machine: Machine | None = None, limits: Limits | None = None) -> None:
        self.machine = machine
        self.track = Track(home_of(machine), limits=limits)
        style = machine.hpgl if machine else HpglStyle()
        self.least, self.most = -style.most - 1, style.most  # 7470A p. 2-3
        self.frame = Scaling(unit=style.unit, size=size_of(machine))
        self.spot = (0.0, 0.0)  # where the pen is, in the units that numbers are in now
        self._reframe(self.frame)
        self.relative = False
        self.window: tuple[float, float, float, float] | None = None
        self.figures = Figures()
        self._told: set[str] = set()

    def run(self, text: str) -> None:
        """Follow every instruction."""
        last: Instruction | Many | None = None
        line = 1
        for part in stretches(text):
            if isinstance(part, Many) and self._go_many(part, line):
                last = part
            else:
                for last in instructions(str(part), line):
                    self.track.obey(last.line)
                    self._obey(last)
            line += str(part).count("\n")
        if last is None:
            self.track.note("empty-file", "the file holds no instruction")
        elif isinstance(last, Instruction) and not last.ended:
            self.track.note(
                "missing-terminator", f"the last instruction {last.name} has no semicolon; some machines wait"
                " for it", "End every instruction with a semicolon.",
            )  # fmt: skip
        if self.track.down and self.track.tool:
            self.track.note("tool-left-down", "the file ends with the tool down", "End it with PU and SP0.")

    def _obey(self, instruction: Instruction) -> None:
        name = instruction.name
        if instruction.small and "small" not in self._told:
            self._told.add("small")
            self.track.say("other", f"{name} in small letters")
        if name not in FOLLOWED:
            written = ",".join(instruction.numbers[:8])
            self.track.say("other", f"{name}{written}" if name.isalpha() else named(instruction.text))
        if name == ASIDE:
            return
        if name == "PE":
            self._go_encoded(instruction.text)
        elif name in OBEYED:
            numbers = numbers_of(instruction, self.track)
            if numbers is not None:
                getattr(self, OBEYED[name])(numbers)
        elif name in DRAWING:
            self.track.note("instruction-not-followed", f"{name} draws, and is not followed here")
        elif not name:
            self.track.note("not-hpgl", f"'{shown(instruction.text)}' is no HP-GL")
        elif name not in STILL:
            self.track.note("unknown-instruction", f"the instruction {name} is not known; it is passed over")

    def _reframe(self, frame: Scaling) -> None:
        """Take another coordinate system; the pen stays where it is (PCL 5 TRM II p. 19-35)."""
        self.spot = frame.back(self.track.at)  # refuses a frame without area, and the old one stays
        self.frame = frame
        if frame.user is None:
            x, y = self.spot
            self.spot = (float(round(x)), float(round(y)))  # plotter units are whole
        self._units = plain_matrix(frame.units_of_user)
        self._mm = plain_matrix(compose(frame.mm_of_units, frame.units_of_user))

    def initialise(self, _: tuple[float, ...] = ()) -> None:
        """IN and DF: everything to default; the position and the tool stay."""
        self._reframe(Scaling(unit=self.frame.unit, size=self.frame.size))
        self.relative, self.window, self.track.down = False, None, False
        self.figures = Figures()
        self.track.hold(speed=None, force=None, line="")
        self.track.say("start")

    def select(self, numbers: tuple[float, ...]) -> None:
        """SP: take a tool; 0 puts it away (7470A p. 3-3)."""
        number = int(numbers[0]) if numbers else 0
        if number < 0 or number > 99:
            self.track.note("tool-number", f"SP asks for tool {number}; 0 to 99 are known")
            return
        if number == 0:
            self.track.down = False  # put away
        elif self.track.down:
            self.track.note("tool-down-at-change", f"tool {number} is taken while another is down")
        self.track.say("tool", number)
        self.track.take(number)

    def set_speed(self, numbers: tuple[float, ...]) -> None:
        """VS: cm/s, for one tool or for all (7470A p. 3-3)."""
        if numbers and not 0 <= numbers[0] < 128:
            self.track.note("speed-range", f"VS{numbers[0]:g} lies outside 0 to 127 cm/s")
        elif numbers:
            self.figures.speed(numbers[0] * 10, *numbers[1:2])
        else:
            self.figures.speeds.clear()
        self._press_on()

    def set_force(self, numbers: tuple[float, ...]) -> None:
        """FS: force, for one tool or for all."""
        if numbers:
            self.figures.force(*numbers[:2])
        else:
            self.figures.forces.clear()
        self._press_on()

    def set_points(self, numbers: tuple[float, ...]) -> None:
        """IP: where P1 and P2 lie (PCL 5 TRM II p. 19-24)."""
        try:
            self._reframe(self.frame.with_points(numbers))
        except ValueError as fault:
            self.track.note("wrong-count", f"IP: {fault}")

    def set_scale(self, numbers: tuple[float, ...]) -> None:
        """SC: user units over P1 and P2 (7470A p. 2-7)."""
        if numbers and self.frame.corners is None and self.frame.size is None:
            self.track.note("unknown-area", "SC maps onto P1 and P2, and neither IP nor a machine gives them")
            return
        try:
            self._reframe(self.frame.with_scale(numbers))
        except ValueError as fault:
            self.track.note("wrong-count", f"SC: {fault}")

    def rotate(self, numbers: tuple[float, ...]) -> None:
        """RO: quarter turns of the axes (PCL 5 TRM II p. 19-34)."""
        degrees = numbers[0] if numbers else 0.0
        if degrees % 90:
            self.track.note("wrong-angle", f"RO turns by quarters, not by {degrees:g}")
        elif degrees and self.frame.size is None:
            self.track.note(
                "unknown-area", "RO shifts by the area's size, which only a machine profile gives"
            )
        else:
            self._reframe(replace(self.frame, turn=int(degrees // 90) % 4))

    def set_window(self, numbers: tuple[float, ...]) -> None:
        """IW: plotter units in HP-GL, user units in HP-GL/2 (PCL 5 TRM II p. 19-29); the latter here."""
        if not numbers:
            self.window = None
        elif len(numbers) != 4:
            self.track.note("wrong-count", "IW takes four numbers")
        else:
            (ax, ay), (bx, by) = moved(self._mm, *numbers[:2]), moved(self._mm, *numbers[2:])
            self.window = (min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))

    def set_line_type(self, numbers: tuple[float, ...]) -> None:
        """LT: broken lines; noted, not followed."""
        self.track.hold(line=",".join(f"{n:g}" for n in numbers))
        if numbers:
            self._once("line-type", "LT breaks lines; they are shown whole here")

    def go_absolute(self, numbers: tuple[float, ...]) -> None:
        """PA: coordinates are places from now on."""
        self.relative = False
        self._go(numbers)

    def go_relative(self, numbers: tuple[float, ...]) -> None:
        """PR: coordinates are steps from now on."""
        self.relative = True
        self._go(numbers)

    def lift(self, numbers: tuple[float, ...]) -> None:
        """PU: lift, then go."""
        self.track.down = False
        self._go(numbers)

    def lower(self, numbers: tuple[float, ...]) -> None:
        """PD: lower, then go."""
        self._press()
        self._go(numbers)

    def _go_encoded(self, body: str) -> None:
        """PE: steps with the tool down, unless a flag says otherwise; PA or PR holds again behind it (p. 20-34)."""
        was = self.relative
        runs, fault = encoded_runs(body)
        self.track.allow_moves(sum(len(run.numbers) for run in runs) // 2)
        for run in runs:
            if run.tool is not None:
                self.select((float(run.tool),))
            self.relative = not run.absolute
            (self.lower if run.down else self.lift)(run.numbers)
        self.relative = was
        if fault:
            self.track.note("not-hpgl", f"PE holds what is not encoded: {shown(fault)}")

    def _go(self, numbers: tuple[float, ...]) -> None:
        """Through pairs of coordinates; an odd one is refused after the whole pairs (7470A p. 3-8)."""
        if len(numbers) % 2:
            self.track.note("odd-coordinates", f"{len(numbers)} coordinates: the last one has no partner")
        unscaled = self.frame.user is None
        if unscaled and not all(map(float.is_integer, numbers)):
            numbers = tuple(self._whole(value) for value in numbers)
        xs, ys = numbers[: len(numbers) // 2 * 2 : 2], numbers[1::2]
        if self.relative:
            xs, ys = (tuple(accumulate(s, initial=at))[1:] for at, s in zip(self.spot, (xs, ys), strict=True))
        within = not xs or (self.least <= min(*xs, *ys) and max(*xs, *ys) <= self.most)
        if unscaled and self.window is None and xs and within:
            (a, b, c, d, e, f), self.spot = self._mm, (xs[-1], ys[-1])  # as `_to` does
            spots = [(x * a + y * b + c, x * d + y * e + f) for x, y in zip(xs, ys, strict=True)]
            self.track.go_through(*zip(*spots, strict=True))
            return
        all(self._to(x, y) for x, y in zip(xs, ys, strict=True))  # to the first one that is refused

    def _go_many(self, many: Many, line: int) -> bool:
        """Follow a stretch of PU and PD at once, where each does what it would do alone; False where it might not."""
        plain = self.frame.user is None and self.window is None and not self.relative
        held = self.figures.of(self.track.tool)
        if not plain or not many.fits(self.track, (self.least, self.most), held):
            return False
        if many.down.any():
            self._take_figures()
        self.spot = many.follow(self.track, self._mm, line)
        return True

    def _whole(self, value: float) -> float:
        """Fractions are dropped while scaling is off (7470A p. 2-3)."""
        if value != int(value):
            self._once("fraction", f"{value:g} has a fraction; without scaling a plotter drops it")
            return float(int(value))
        return value

    def _to(self, x: float, y: float, *, curved: bool = False) -> bool:
        """Move; False when the place is out of range, which discards the rest (7470A p. 2-3)."""
        units = (x, y) if self.frame.user is None else moved(self._units, x, y)
        if not all(self.least <= v <= self.most for v in (x, y, *units)):
            self.track.note("out-of-range", f"{x:g}, {y:g} lies outside {self.least} to {self.most}")
            return False
        self.spot = (x, y)
        self._step(moved(self._mm, x, y), curved)
        return True

    def _step(self, end: tuple[float, float], curved: bool) -> None:
        track = self.track
        if self.window is None or not track.down:
            track.move(*end, curved=curved)
            return
        for place, drawn in clipped(track.at, end, self.window):
            track.down = drawn
            track.move(*place, curved=curved)
        track.down = True

    def _press_on(self) -> None:
        """A tool that is down works on with what has just been said."""
        if self.track.down:
            self._press()

    def _press(self) -> None:
        track = self.track
        track.down = True
        if not track.tool:
            self._once(
                "no-tool", "the tool goes down before SP has chosen one; many machines draw nothing then"
            )
        self._take_figures()

    def _take_figures(self) -> None:
        """Let the tool have the speed and the force that hold for it now."""
        track = self.track
        speed, force = self.figures.of(track.tool)
        tool = self.machine.tool_numbered(track.tool) if self.machine and speed is None else None
        track.speed = speed if speed is not None else tool.speed if tool else 0.0
        track.force = math.nan if force is None else force
        if (speed, force) != track.held[:2]:
            track.hold(speed=speed, force=force)

    def _once(self, code: str, problem: str) -> None:
        if code not in self._told:
            self._told.add(code)
            self.track.note(code, problem)

    def arc_absolute(self, numbers: tuple[float, ...]) -> None:
        """AA: the centre is a place."""
        self._arc(numbers, (0.0, 0.0))

    def arc_relative(self, numbers: tuple[float, ...]) -> None:
        """AR: the centre is a step away."""
        self._arc(numbers, self.spot)

    def _arc(self, numbers: tuple[float, ...], origin: tuple[float, float]) -> None:
        """AA and AR: centre, sweep, chord angle (7470A pp. 3-17 to 3-19)."""
        if len(numbers) not in (3, 4):
            self.track.note("wrong-count", "an arc takes a centre, a sweep and perhaps a chord angle")
            return
        if abs(numbers[2]) > _WIDEST:
            self.track.note("out-of-range", f"a sweep of {numbers[2]:g} degrees is no arc")
            return
        centre = (origin[0] + numbers[0], origin[1] + numbers[1])
        self._curve(centre, numbers[2], numbers[3] if len(numbers) == 4 else _CHORD)

    def circle(self, numbers: tuple[float, ...]) -> None:
        """CI: lowers by itself, comes back to the centre, as it was (7470A p. 3-12)."""
        if len(numbers) not in (1, 2):
            self.track.note("wrong-count", "CI takes a radius and perhaps a chord angle")
            return
        centre, was = self.spot, self.track.down
        self.track.down = False
        if self._to(centre[0] + numbers[0], centre[1]):
            self._press()
            self._curve(centre, 360.0, numbers[1] if len(numbers) == 2 else _CHORD)
            self.track.down = False
            self._to(*centre)
        self.track.down = was

    def _curve(self, centre: tuple[float, float], sweep: float, chord: float) -> None:
        chord = min(max(abs(chord), 0.5), 180.0)  # range of HP-GL/2 (PCL 5 TRM II p. 20-25)
        count = max(1, math.ceil(abs(sweep) / chord - 1e-9))  # not a tolerance: 45 / 5 must give 9
        self.track.allow_moves(count)
        for x, y in chords_on_arc(centre, self.spot, math.radians(sweep), count):
            if not self._to(x, y, curved=True):
                return

    def edge_absolute(self, numbers: tuple[float, ...]) -> None:
        """EA: the opposite corner is a place."""
        self._edge(numbers, (0.0, 0.0))

    def edge_relative(self, numbers: tuple[float, ...]) -> None:
        """ER: the opposite corner is a step away."""
        self._edge(numbers, self.spot)

    def _edge(self, numbers: tuple[float, ...], origin: tuple[float, float]) -> None:
        """EA and ER: the rectangle up to the opposite corner (PCL 5 TRM II p. 21-3)."""
        if len(numbers) != 2:
            self.track.note("wrong-count", "a rectangle takes the opposite corner")
            return
        (x, y), was = self.spot, self.track.down
        a, b = origin[0] + numbers[0], origin[1] + numbers[1]
        self._press()
        for corner in ((a, y), (a, b), (x, b), (x, y)):
            if not self._to(*corner):
                break
        self.track.down = was


def follow_hpgl(text: str, machine: Machine | None, limits: Limits | None = None) -> tuple[Track, Findings]:
    """Follow an HP-GL file.

    Returns
    -------
    tuple
        All that the file says, and what was noticed.
    """
    reader = HpglReader(machine, limits)
    reader.run(text)
    return reader.track, reader.track.findings
