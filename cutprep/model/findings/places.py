"""Places of lines, for findings."""

from __future__ import annotations

from collections.abc import Iterable

from cutprep.errors import Place
from cutprep.model.lines import Lines

#: A finding names no more places than this; its sentence gives the full count.
MOST_PLACES = 100


def place_of(lines: Lines, i: int, xy: Iterable[float] | None = None) -> Place:
    """Say where line i is: its file, element and layer, and a point on it (its first when None)."""
    element = lines.element(i)
    x, y = lines.points(i)[0] if xy is None else xy
    return Place(
        file=element.file,
        line=element.line,
        element=element.name or None,
        layer=element.layer,
        xy=(float(x), float(y)),
    )
