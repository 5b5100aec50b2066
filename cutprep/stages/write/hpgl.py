"""HP-GL, in the narrow form that every cutter reads.

Upper case, integers, exactly one comma between parameters, every instruction ended by a
semicolon: the strict syntax of the HP 9872, which later devices all accept (HP 7470A Interfacing
and Programming Manual, p. 1-9). No RO, SC, LT; AA only where the profile says that the machine
draws it, PE of HP-GL/2 only where it says that the machine takes it. Curves are plain chords otherwise.
"""

from __future__ import annotations

import math
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from cutprep.errors import OutOfReach, Place
from cutprep.geometry.affine import apply
from cutprep.geometry.curves.arcs import FittedSpan, recover_arcs
from cutprep.model.lines import Points
from cutprep.profile.machine import Machine, Tool
from cutprep.stages.write.dialect import Spots
from cutprep.stages.write.plain_text import number
from cutprep.stages.write.polyline import through
from cutprep.tolerance import ZERO

#: VS takes centimetres a second, at most 127 (HP 7470A manual, p. 3-3: range 0 to 127.9999).
FASTEST_CM = 127
#: How far a vertex may lie from an arc whose centre is rounded, and the sagitta from which the chord
#: angle of AA is made, plotter units: together within one. Arcs that slip further are said as chords.
_ARC_SLIP, _ARC_SAGITTA = 0.6, 0.3


class Hpgl:
    """Writes HP-GL; see `cutprep.stages.write.dialect.Dialect`."""

    def __init__(self, machine: Machine) -> None:
        self._machine = machine
        self._style = machine.hpgl
        self._out: list[str] = []
        self._at: tuple[float, float] | None = None
        self._down = False
        self._said: dict[str, int] = {}
        self._force = math.nan

    def begin(self, title: str) -> None:  # noqa: ARG002 - HP-GL has no comments
        """Put the machine into its default state, tool up."""
        self._say("IN")

    def choose(self, tool: Tool) -> None:
        """Select a tool; a machine with one holder must pause by itself, or get a file for each tool."""
        self._lift()
        self._force = tool.force
        self._say(f"SP{tool.number}")
        self._said.clear()  # what a machine keeps over a tool change differs: say it again

    def place(self, points: Points) -> Spots:
        """(n, 2) sheet mm to plotter units, rounded once, checked against the range of HP-GL."""
        units = plotter_units(points, self._machine)
        most = self._style.most
        if units.size and int(np.abs(units).max()) > most:
            worst = int(np.abs(units).max(axis=1).argmax())
            raise OutOfReach(
                f"the position is {int(np.abs(units).max())} plotter units away from the machine's zero;"
                f" HP-GL counts to {most} ({most * self._style.unit:.1f} mm)",
                fix="Use a smaller sheet, or write G-code for this machine; if its manual says HP-GL/2, put"
                ' counts = "hpgl2" under [hpgl] in its profile.',
                place=Place(xy=(float(points[worst, 0]), float(points[worst, 1]))),
            )
        return [(x, y) for x, y in units.tolist()]

    def travel(self, spots: Spots) -> None:
        """Move with the tool up; plotter units."""
        for spot in spots:
            if self._down or spot != self._at:
                self._say(f"PU{spot[0]},{spot[1]}")
                self._down, self._at = False, spot

    def work(self, spots: Spots, points: Points, speed: float, force: float) -> None:
        """Lower and move.

        Parameters
        ----------
        spots, points, speed, force
            As for `Dialect.work`; plotter units, (n, 2) mm, mm/s.
        """
        if spots[0] != self._at:
            self.travel(spots[:1])
        if self._style.send_speed and speed > 0:
            # Whole cm/s, never faster than wanted: a slow blade cuts, a hasty one tears.
            self._set("VS", min(max(math.floor(speed / 10 + ZERO), 1), FASTEST_CM))
        force = force if math.isfinite(force) else self._force
        if self._style.send_force and math.isfinite(force):
            self._set("FS", max(round(force), 1 if force > 0 else 0))
        if self._style.arcs and len(spots) > 1:
            self._draw_curves(points, spots)
        else:
            self._draw(spots[1:] or spots)

    def finish(self, home: tuple[float, float]) -> None:
        """Go home and put the tool away."""
        self.travel(self.place(np.array([home])))
        self._say("SP0")

    def text(self) -> str:
        """The file, one instruction a line."""
        return "".join(f"{row};\n" for row in self._out)

    def _say(self, instruction: str) -> None:
        self._out.append(instruction)

    def _set(self, mnemonic: str, value: int) -> None:
        if self._said.get(mnemonic) != value:
            self._say(f"{mnemonic}{value}")
            self._said[mnemonic] = value

    def _lift(self) -> None:
        if self._down and self._at is not None:
            self._say(f"PU{self._at[0]},{self._at[1]}")
            self._down = False

    def _draw(self, spots: Spots) -> None:
        """PD, or PE, through the spots, those that rounding has made equal said once."""
        kept = [spot for i, spot in enumerate(spots) if spot != (spots[i - 1] if i else self._at)]
        kept = kept or ([] if self._down else spots[:1])
        if self._style.encoded and len(kept) > 1:
            self._out += through(((int(x), int(y)) for x, y in kept), self._machine.line.block)
        else:
            for i in range(0, len(kept), self._style.pairs):
                # Two whole numbers are written in half the time of a format for both.
                self._say("PD" + ",".join(map(str, chain.from_iterable(kept[i : i + self._style.pairs]))))
        self._down, self._at = True, spots[-1]

    def _draw_curves(self, points: Points, spots: Spots) -> None:
        """As `_draw`, with AA where points were flattened from an arc, for machines that draw it."""
        unit = self._style.unit
        exact = apply(self._machine.to_machine, points) / unit
        new = np.append(True, (np.diff(exact, axis=0) != 0).any(axis=1))
        exact, spots = exact[new], [spot for spot, fresh in zip(spots, new, strict=True) if fresh]
        if len(spots) == 1:
            self._draw(spots)
        for piece in recover_arcs(exact * unit):
            arc = None
            if piece.centre is not None:
                arc = _arc_words(
                    piece,
                    exact[piece.first : piece.last + 1],
                    spots[piece.first],
                    self._style.unit,
                    self._style.most,
                )
            if arc is not None:
                if not self._down:
                    self._draw(spots[piece.first : piece.first + 1])
                self._say(arc)
                self._at = None  # within a unit of the end: say the end itself
            self._draw(spots[piece.last : piece.last + 1] if arc else spots[piece.first + 1 : piece.last + 1])


def _arc_words(
    piece: FittedSpan, exact: Points, start: tuple[float, float], unit: float, most: int
) -> str | None:
    """AA for an arc, unless rounding its centre takes a vertex more than a unit away.

    Parameters
    ----------
    piece
        The arc; its centre in the machine's mm.
    exact
        (n, 2) its vertices, plotter units, not rounded.
    start
        Where the pen is, plotter units.
    unit, most
        One plotter unit, mm; the largest coordinate.
    """
    assert piece.centre is not None
    centre = np.rint(np.array(piece.centre) / unit)
    radius = math.hypot(start[0] - centre[0], start[1] - centre[1])
    off = np.abs(np.hypot(exact[:, 0] - centre[0], exact[:, 1] - centre[1]) - radius)
    first, last = np.array(start) - centre, exact[-1] - centre
    turn = math.atan2(first[0] * last[1] - first[1] * last[0], float(first @ last))
    sweep = turn + 2 * math.pi * round((piece.sweep - turn) / (2 * math.pi))
    if radius == 0 or float(off.max()) > _ARC_SLIP or np.abs(centre).max() > most:
        return None
    widest = 2 * math.acos(max(1 - _ARC_SAGITTA / radius, 0.0))
    chord = max(1, min(int(math.degrees(widest)), 45))
    return f"AA{int(centre[0])},{int(centre[1])},{number(math.degrees(sweep), 3)},{chord}"


def plotter_units(points: Points, machine: Machine) -> NDArray[np.int64]:
    """Sheet mm to the machine's plotter units, rounded to the nearest and kept inside the area.

    Parameters
    ----------
    points
        (n, 2) positions, mm on the sheet.

    Returns
    -------
    (n, 2) ndarray of int
        Plotter units on the machine's axes.
    """
    inside = np.clip(points, 0.0, (machine.width, machine.height))
    return np.rint(apply(machine.to_machine, inside) / machine.hpgl.unit).astype(np.int64)
