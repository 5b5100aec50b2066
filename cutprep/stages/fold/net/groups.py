"""Which panels are parts of their own, which are waste, and which hang on nothing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.net.panels import Net

#: What is no wider than this on the average lies between the two lines of a slit, mm.
_SLIT = 1.2


@dataclass(frozen=True, slots=True)
class Sorted:
    """Groups of panels.

    Attributes
    ----------
    parts
        Groups with an outline of their own.
    waste
        Groups cut out all round from a part (windows, slots), and frames round one.
    loose
        Group cut off from a part, and the number of that part.
    """

    parts: tuple[tuple[int, ...], ...]
    waste: tuple[tuple[int, ...], ...]
    loose: tuple[tuple[tuple[int, ...], int], ...]


def sort_out(net: Net, groups: list[list[int]]) -> Sorted:
    """Tell parts from waste and from panels that came loose.

    Parameters
    ----------
    groups
        Panels that are connected by scores, the largest group first.
    """
    group_of = {p: g for g, panels in enumerate(groups) for p in panels}
    beside: dict[int, dict[int, int]] = {g: {} for g in range(len(groups))}
    for k in range(len(net.pieces)):
        one, two = (group_of.get(p, -1) for p in net.sides(k))
        for a, b in ((one, two), (two, one)):
            if a >= 0 and a != b:
                beside[a][b] = beside[a].get(b, 0) + 1
    parts: list[tuple[int, ...]] = []
    waste: list[tuple[int, ...]] = []
    loose: list[tuple[tuple[int, ...], int]] = []
    numbers: dict[int, int] = {}
    for g, panels in enumerate(groups):
        around = set(beside[g])
        cut_out = bool(around) and all(b in numbers for b in around)
        frame = len(panels) == 1 and bool(net.holes[panels[0]]) and any(b in numbers for b in around)
        if cut_out or frame or (parts and _is_sliver(net, panels)):
            waste.append(tuple(panels))
            continue
        larger = [b for b in around if b >= 0 and b in numbers and len(groups[b]) > max(1, len(panels))]
        if larger:
            loose.append((tuple(panels), numbers[larger[0]]))
            continue
        numbers[g] = len(parts)
        parts.append(tuple(panels))
    return Sorted(tuple(parts), tuple(waste), tuple(loose))


def _is_sliver(net: Net, panels: list[int]) -> bool:
    """Whether a lone panel is what lies between the two lines of a slit."""
    if len(panels) > 1:
        return False
    polygon = net.polygon(panels[0])
    return bool(polygon.area < _SLIT * polygon.length / 2)


def middle_of(net: Net, panels: tuple[int, ...]) -> Points:
    """A point, (2,), inside the largest of some panels, mm."""
    point = net.polygon(panels[0]).representative_point()
    return np.array([point.x, point.y])
