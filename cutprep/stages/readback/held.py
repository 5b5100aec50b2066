"""What a machine file says beside where the tool goes.

A *held* state lasts from move to move: speed, force, height, what raised or lowered the tool, line
type, units. What is *said* happens once, between two moves: waiting, a change of tool, raising and
lowering, and every instruction that has no effect here but may have one on a machine.
"""

from __future__ import annotations

from typing import NamedTuple


class Held(NamedTuple):
    """What lasts while the tool moves; None where the file has said nothing.

    Attributes
    ----------
    speed
        mm/s; 0: as fast as the machine travels.
    force
        In the profile's own unit.
    height
        Of an axis that lifts, mm.
    mode
        The word that raised or lowered the tool last, and its number: ("M3", 90.0).
    line
        Type of broken lines; empty for whole ones.
    frame
        Units, kind of positions, plane and kind of feed, as the file has said them.
    """

    speed: float | None = None
    force: float | None = None
    height: float | None = None
    mode: tuple[str, float] | None = None
    line: str = ""
    frame: tuple[str, ...] = ()


class Said(NamedTuple):
    """What is said once.

    Attributes
    ----------
    kind
        "start", "wait", "height", "mode", "tool", "ask", "pause", "end", "other".
    values
        Numbers or words: seconds; height in mm and speed in mm/s; word and number; tool number; text.
    before
        Index of the move before which it is said.
    line
        Of the file, from 1; 0 when there is none.
    """

    kind: str
    values: tuple[float | str, ...]
    before: int
    line: int = 0
