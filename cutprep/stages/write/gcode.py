"""G-code as NISTIR 6556 describes it, kept within what small firmwares take.

Kramer, Proctor, Messina, *The NIST RS274NGC Interpreter - Version 3*, NISTIR 6556, 2000. G21 G90
G17 G94 first; one motion a line, each with its own G word (printer firmwares keep no motion mode);
F on the first feed move of each tool; arcs in centre format; at most 70 characters a line. What
the tool is made of (an axis, a servo word, the profile's own words) is the profile's business.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from cutprep.errors import ProfileError
from cutprep.geometry.affine import apply
from cutprep.geometry.curves.arcs import recover_arcs
from cutprep.model.lines import Points
from cutprep.profile.machine import Machine, Tool
from cutprep.stages.write.dialect import Spots
from cutprep.stages.write.plain_text import checked_lines, comment, number

#: Digits after the point. Two ends and a centre rounded to these keep the two radii of an arc
#: within 0.0003 mm; NISTIR 6556, 3.5.3.2 refuses an arc from 0.002 mm on.
_DIGITS = 4
#: Largest distance of a written position from the wanted one, mm.
ROUNDED: float = 10.0**-_DIGITS / math.sqrt(2)
#: Depths beyond this (mm) are a force in grams that was taken for a depth.
_DEEPEST = 25.0
#: Least height between raised and touching, mm: less does not clear any card.
_LEAST_LIFT = 0.05


class Gcode:
    """Writes G-code; see `cutprep.stages.write.dialect.Dialect`."""

    def __init__(self, machine: Machine) -> None:
        self._machine = machine
        self._style = machine.gcode
        self._out: list[str] = []
        self._at: tuple[float, float] | None = None
        self._tool: Tool | None = None
        self._pressed: float | None = None  # the force with which the tool is down, or None: up
        self._feed = ""
        style = machine.gcode
        self._start = checked_lines(style.start, "gcode.start")
        self._end = checked_lines(style.end, "gcode.end")
        self._up = checked_lines(style.up_words, "gcode.up_words", still=True)
        self._down = checked_lines(style.down_words, "gcode.down_words", still=True, force=0.0)
        if style.lift == "words" and not (self._up and self._down):
            raise ProfileError(
                'gcode: lift = "words" needs up_words and down_words',
                fix='Add both, for example up_words = ["M5"] and down_words = ["M3 S90"].',
            )

        if style.lift == "words" and self._up == self._down:
            raise ProfileError(
                "gcode: up_words and down_words are the same", fix="One of them must lower the tool."
            )
        if style.lift == "z" and not style.up_z > style.down_z + _LEAST_LIFT:
            raise ProfileError(
                f"gcode: up_z ({style.up_z:g} mm) is not above down_z ({style.down_z:g} mm)",
                fix="Give the height at which the raised tool clears the card as up_z.",
            )

    def begin(self, title: str) -> None:
        """Units, absolute positions, plane, feed mode; then the profile's own words; tool up."""
        self._say("G21 G90 G17 G94")
        if title:
            self._say(comment(f"job: {title}"))
        self._lines(self._start)
        self.lift()

    def choose(self, tool: Tool) -> None:
        """Ask for a tool: a message and M0, or T and M6."""
        if self._pressed is not None:
            self.lift()
        first, self._tool, self._feed = self._tool is None, tool, ""
        self._say(comment(f"MSG,tool {tool.number}: {tool.name}"))
        if not first:
            change = (
                row.replace("{number}", str(tool.number)).replace("{name}", comment(tool.name)[1:-1])
                for row in self._style.change
            )
            self._lines(checked_lines(tuple(change), "gcode.change"))
        if self._machine.change_how == "automatic" or self._style.change_by == "tool-word":
            self._say(f"T{tool.number} M6")
        elif self._machine.change_how == "pause" and not first:
            self._say("M0")

    def place(self, points: Points) -> Spots:
        """(n, 2) sheet mm to the machine's own mm, rounded once."""
        inside = np.clip(points, 0.0, (self._machine.width, self._machine.height))
        rounded = np.round(apply(self._machine.to_machine, inside), _DIGITS) + 0.0  # no minus zero
        return [(x, y) for x, y in rounded.tolist()]

    def travel(self, spots: Spots) -> None:
        """G0 with the tool up; the machine's mm."""
        if self._pressed is not None:
            self.lift()
        for spot in spots:
            if spot != self._at:
                self._say(f"G0 X{number(spot[0], _DIGITS)} Y{number(spot[1], _DIGITS)}")
                self._at = spot

    def work(self, spots: Spots, points: Points, speed: float, force: float) -> None:  # noqa: ARG002 - see Dialect
        """Lower, and G1 or G2 and G3.

        Parameters
        ----------
        spots, points, speed, force
            As for `Dialect.work`; the machine's mm, (n, 2) mm, mm/s.
        """
        if spots[0] != self._at:
            self.travel(spots[:1])
        if not math.isfinite(force) and self._tool is not None:
            force = self._tool.force
        self._lower(force)
        if not speed > 0:
            speed = self._tool.speed if self._tool is not None else self._machine.travel_speed
        feed = f" F{number(max(speed * 60, 0.1), 1)}"
        kept = [spots[0], *(spot for i, spot in enumerate(spots[1:]) if spot != spots[i])]
        if len(kept) == 1:
            kept *= 2  # a dot is said, too: lowering alone is no stroke
        for move in self._curves(kept) if self._style.arcs else _chords(kept):
            self._say(move + ("" if feed == self._feed else feed))
            self._feed = feed
        self._at = spots[-1]

    def finish(self, home: tuple[float, float]) -> None:
        """Lift, go home, say the profile's own words, end."""
        self.travel(self.place(np.array([home])))
        self._lines(self._end)
        self._say("M2")

    def text(self) -> str:
        """The file."""
        return "".join(f"{row}\n" for row in self._out)

    def _say(self, row: str) -> None:
        self._out.append(row)

    def _lines(self, rows: Iterable[str]) -> None:
        self._out.extend(rows)

    def _curves(self, spots: list[tuple[float, float]]) -> Iterable[str]:
        """Motions along a polyline, arcs where it was flattened from them."""
        points = np.array(spots)
        for piece in recover_arcs(points):
            if piece.centre is None:
                yield from _chords(spots[piece.first : piece.last + 1])
                continue
            (x, y), (x0, y0) = spots[piece.last], spots[piece.first]
            i, j = piece.centre[0] - x0, piece.centre[1] - y0
            word = "G3" if piece.sweep > 0 else "G2"
            yield (
                f"{word} X{number(x, _DIGITS)} Y{number(y, _DIGITS)}"
                f" I{number(i, _DIGITS)} J{number(j, _DIGITS)}"
            )

    def lift(self) -> None:
        """Raise the tool where it stands."""
        style = self._style
        if style.lift == "z":
            self._say(f"G0 Z{number(style.up_z, _DIGITS)}")
        elif style.lift == "servo":
            self._say("M5" if style.up_s <= 0 else f"M3 S{number(style.up_s, 2)}")
        else:
            self._lines(self._up)
        self._pressed = None
        self._wait()

    def _lower(self, force: float) -> None:
        style = self._style
        given = force if math.isfinite(force) else None
        pressed = given if given is not None else -1.0
        if pressed == self._pressed:
            return
        self._pressed = pressed
        if style.lift == "z":
            self._say(f"G1 Z{number(self._depth(given or 0.0), _DIGITS)} F{number(style.plunge * 60, 1)}")
            self._feed = ""
        elif style.lift == "servo":
            self._say(f"M3 S{number(self._servo(given), 2)}")
        else:
            self._lines(checked_lines(style.down_words, "gcode.down_words", still=True, force=given or 0.0))
        self._wait()

    def _servo(self, given: float | None) -> float:
        """The servo word of the lowered tool; it can't be that of the raised one."""
        word = self._style.down_s if given is None else given
        if not word > 0 or number(word, 2) == number(self._style.up_s, 2):
            raise ProfileError(
                f"the servo word S{word:g} for the lowered tool leaves it raised (up_s is {self._style.up_s:g})",
                fix="Give down_s, or the tool's force, the S value at which the tool touches the card.",
            )
        return word

    def _depth(self, below: float) -> float:
        """Height of the axis with the tool down: the card's surface less the depth."""
        if not 0 <= below <= _DEEPEST:
            raise ProfileError(
                f'tool: force is {below:g}, and with lift = "z" it is the depth in mm',
                fix=f"Give a depth from 0 to {_DEEPEST:g}.",
            )
        return self._style.down_z - below

    def _wait(self) -> None:
        if self._style.dwell > 0:
            seconds = self._style.dwell
            self._say(
                f"G4 P{number(seconds * 1000, 0) if self._style.dwell_unit == 'ms' else number(seconds, 3)}"
            )


def _chords(spots: list[tuple[float, float]]) -> Iterable[str]:
    for x, y in spots[1:]:
        yield f"G1 X{number(x, _DIGITS)} Y{number(y, _DIGITS)}"
