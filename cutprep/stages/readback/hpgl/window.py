"""A window over the paper: where the tool is lifted because a line leaves it (7470A p. 3-7)."""

from __future__ import annotations

Spot = tuple[float, float]


def clipped(start: Spot, end: Spot, window: tuple[float, float, float, float]) -> list[tuple[Spot, bool]]:
    """Cut a line at a window (Liang and Barsky 1984).

    Parameters
    ----------
    start, end
        The line, mm.
    window
        Left, bottom, right, top, mm.

    Returns
    -------
    list of (place, drawn)
        Ends of the parts in order; the part before the place is drawn or travelled.
    """
    span = _inside(start, end, window)
    if span is None:
        return [(end, False)]
    enter, leave = span
    parts: list[tuple[Spot, bool]] = []
    if enter > 0:
        parts.append((_at(start, end, enter), False))
    parts.append((_at(start, end, leave), True))
    if leave < 1:
        parts.append((end, False))
    return parts


def _at(start: Spot, end: Spot, t: float) -> Spot:
    if t == 1:
        return end
    return (start[0] + (end[0] - start[0]) * t, start[1] + (end[1] - start[1]) * t)


def _inside(start: Spot, end: Spot, window: tuple[float, float, float, float]) -> tuple[float, float] | None:
    enter, leave = 0.0, 1.0
    for axis in (0, 1):
        step = end[axis] - start[axis]
        for room, way in ((start[axis] - window[axis], -step), (window[axis + 2] - start[axis], step)):
            if way == 0:
                if room < 0:
                    return None
            elif way < 0:
                enter = max(enter, room / way)
            else:
                leave = min(leave, room / way)
    return (enter, leave) if enter <= leave else None
