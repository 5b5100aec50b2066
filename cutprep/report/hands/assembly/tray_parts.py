"""A piece as a base with walls; a *lid* is a panel that hangs on one of its walls and closes it."""

from __future__ import annotations

from dataclasses import dataclass

from cutprep.model.duties import Duty
from cutprep.report.hands.assembly.structure import PanelTree

#: A lid faces away from the base, or nearly (cosine of 135 degrees).
_FACES = -0.7
#: A lid has two halves at most; what closes in more parts has no flaps on it.
HALVES = 2


@dataclass(frozen=True, slots=True)
class TurnedStrip:
    """A strip that is folded over into a tray.

    Attributes
    ----------
    strip, wall
        The strip, and the wall that it comes to lie in.
    rim
        The panel between them along the upper edge, or None when the strip hangs on the wall.
    """

    strip: int
    wall: int
    rim: int | None = None


@dataclass(frozen=True, slots=True)
class Tray:
    """A base with what stands on it.

    Attributes
    ----------
    base
        Its panel.
    walls
        Panels on the base.
    strips
        What is folded over a wall into the tray.
    lids
        Panels on a wall that close it: one, two halves, or a ring of petals.
    """

    base: int
    walls: tuple[int, ...]
    strips: tuple[TurnedStrip, ...]
    lids: tuple[int, ...]


def tray_of(hung: PanelTree) -> Tray | None:
    """Take a piece as a base with walls, of equals the larger panel as the base; None when it has panels beside those."""
    report = hung.report
    base = max(hung.body, key=lambda k: (len(hung.bodies_at(k)), -k))
    walls = tuple(hung.bodies_at(base))
    strips = [TurnedStrip(f.panel, f.on) for f in hung.lying if f.target == f.on]
    lids: list[int] = []
    for wall in walls:
        for k in hung.bodies_at(wall):
            if k == base:
                continue
            within = [f for f in hung.flaps_on(k) if f.target == wall and f.duty is Duty.TURNED_WALL]
            if hung.over(k, wall):
                strips.append(TurnedStrip(k, wall))
            elif within:
                strips += [TurnedStrip(f.panel, wall, k) for f in within]
            else:
                lids.append(k)
    parts = {base, *walls, *lids, *(k for s in strips for k in (s.strip, s.rim))}
    if not set(hung.body) <= parts:
        return None
    if lids and (report.open_sides or not _closes(hung, base, lids)):
        return None
    return Tray(base, walls, tuple(strips), tuple(lids))


def _closes(hung: PanelTree, base: int, lids: list[int]) -> bool:
    """Whether panels on walls are a lid that one opens: it faces the base, or petals close it that no flap joins."""
    if len(lids) > HALVES:
        return not any({f.panel, f.on, f.target} & set(lids) for f in hung.lying)
    return all(hung.across(base, lid) < _FACES for lid in lids)
