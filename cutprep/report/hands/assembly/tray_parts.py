"""A piece as a base with walls; a *lid* is a panel that hangs on one of its walls and closes it."""

from __future__ import annotations

from dataclasses import dataclass

from cutprep.report.hands.assembly.structure import PanelTree


@dataclass(frozen=True, slots=True)
class Tray:
    """A base with what stands on it.

    Attributes
    ----------
    base
        Its panel.
    walls
        Panels on the base.
    turned
        Strips that are folded over a wall, each with the panel it lies on.
    lids
        Panels on a wall that close it.
    deep
        Panels hang on panels further out than a lid does: a solid of many sides.
    """

    base: int
    walls: tuple[int, ...]
    turned: tuple[tuple[int, int], ...]
    lids: tuple[int, ...]
    deep: bool


def tray_of(hung: PanelTree) -> Tray:
    """Take a piece as a base with walls; of equals the larger panel is the base."""
    base = max(hung.body, key=lambda k: (len(hung.bodies_at(k)), -k))
    walls = tuple(hung.bodies_at(base))
    turned: list[tuple[int, int]] = []
    lids: list[int] = []
    for wall in walls:
        for k in hung.bodies_at(wall):
            if k == base:
                continue
            if hung.over(k, wall):
                turned.append((k, wall))
            else:
                lids.append(k)
    turned += [(f.panel, f.on) for f in hung.report.flaps if f.target == f.on]
    return Tray(base, walls, tuple(turned), tuple(lids), deep=len(lids) > 2)
