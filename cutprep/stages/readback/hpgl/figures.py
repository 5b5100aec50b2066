"""Speeds and forces that an HP-GL file has said, for one tool or for all (HP 7470A manual, p. 3-3)."""

from __future__ import annotations

_ALL = -1


class Figures:
    """What VS and FS have said so far: mm/s, and force in the profile's own unit, by tool."""

    def __init__(self) -> None:
        self.speeds: dict[int, float] = {}
        self.forces: dict[int, float] = {}

    def speed(self, value: float, tool: float = _ALL) -> None:
        """VS: for a tool, or for all of them."""
        _say(self.speeds, value, int(tool))

    def force(self, value: float, tool: float = _ALL) -> None:
        """FS: for a tool, or for all of them."""
        _say(self.forces, value, int(tool))

    def of(self, tool: int) -> tuple[float | None, float | None]:
        """Speed and force of a tool; None where nothing has been said."""
        speed, force = (table.get(tool, table.get(_ALL)) for table in (self.speeds, self.forces))
        return speed, force


def _say(table: dict[int, float], value: float, tool: int) -> None:
    if tool == _ALL:
        table.clear()
    table[tool] = value
