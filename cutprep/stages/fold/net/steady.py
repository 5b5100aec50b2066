"""The same lines whatever their order, their direction and where they are split, so that these decide nothing.

Ends that lie within the snapping distance of one another, but not on one another, are drawn together one after the other: which comes
first, and where a line is in two, would move corners by hundredths.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from cutprep.geometry.lines.pose import DECIMALS
from cutprep.model.lines import Index, Lines, Points
from cutprep.stages.fold.net.net_lines import NetLines

#: An end this near the straight between the vertices before and after it is one that a split has left, mm.
STRAIGHT = 2e-7  # not a tolerance: twice what rounding leaves
#: Stands for a fold angle that no name says.
_UNSAID = -999.0


def steady(drawn: NetLines) -> NetLines:
    """Join what was split, then turn and sort the lines by where they lie, rounded."""
    return _sorted(unsplit(drawn))


def sorts_of(*columns: ArrayLike) -> Index:
    """Number the different rows of some columns, (k,)."""
    table = np.column_stack([np.nan_to_num(np.asarray(c, np.float64), nan=_UNSAID) for c in columns])
    return np.asarray(np.unique(table, axis=0, return_inverse=True)[1]).ravel()


def goes_straight_on(a: Points, b: Points, c: Points) -> bool:
    """Whether b lies on the straight between a and c, (2,) each, mm."""
    (x, y), (s, t) = (b - a).tolist(), (c - b).tolist()
    return bool(abs(x * t - y * s) < STRAIGHT * np.hypot(x + s, y + t) and x * s + y * t > 0)


def unsplit(drawn: NetLines) -> NetLines:
    """Lines of one sort that go straight on from one another, where no third of that sort ends, as one."""
    lines = drawn.lines
    if not len(lines):
        return drawn
    rows = np.column_stack((lines.start[:-1], lines.start[1:] - 1))
    beside = np.column_stack((rows[:, 0] + 1, rows[:, 1] - 1))
    spots = lines.xy[rows.ravel()].round(DECIMALS) + 0.0
    sort = sorts_of(drawn.operations, drawn.fold, drawn.degrees)
    place = sorts_of(*spots.T, np.repeat(sort, 2))
    order = np.argsort(place, kind="stable")
    first = np.flatnonzero(np.bincount(place) == 2)
    start = np.searchsorted(place[order], first)
    partner = np.full(2 * len(lines), -1)
    for one, two in zip(order[start].tolist(), order[start + 1].tolist(), strict=True):
        before, end, after = lines.xy[[beside.ravel()[one], rows.ravel()[one], beside.ravel()[two]]]
        if one // 2 != two // 2 and goes_straight_on(before, end, after):
            partner[one], partner[two] = two, one
    if (partner < 0).all():
        return drawn
    chains = _chains(partner)
    points, flags = [], []
    for chain in chains:
        xy: list[Points] = []
        curved: list[bool] = []
        for end in chain:
            step = slice(None) if end % 2 == 0 else slice(None, None, -1)
            own, flag = lines.points(end // 2)[step], lines.curves(end // 2)[step]
            joint = 1 if xy else 0
            xy, curved = (
                [*xy[: len(xy) - joint], *own[joint:]],
                [*curved[: len(curved) - joint], *flag[joint:]],
            )
        points.append(np.array(xy))
        flags.append(np.array(curved))
    own = np.array([min(end // 2 for end in chain) for chain in chains])
    made = Lines.of(
        points,
        operation=lines.operation[own].tolist(),
        fold=lines.fold[own].tolist(),
        source=lines.source[own].tolist(),
        curved=flags,
        elements=lines.elements,
    )
    return NetLines(made, drawn.operations[own], drawn.fold[own], drawn.degrees[own], drawn.line[own])


def _chains(partner: Index) -> list[list[int]]:
    """Lines one after another, each by the end it begins with (2 i forwards, 2 i + 1 backwards); a ring begins anywhere."""
    found, seen = [], set()
    heads = [e for e in range(len(partner)) if partner[e] < 0]
    for head in [*heads, *range(len(partner))]:
        if head // 2 in seen:
            continue
        chain, end = [], head
        while end >= 0 and end // 2 not in seen:
            seen.add(end // 2)
            chain.append(end)
            end = int(partner[end ^ 1])
        found.append(chain)
    return found


def _sorted(drawn: NetLines) -> NetLines:
    """Every line from its lower end, what is closed counter-clockwise; the lines from left to right."""
    lines = drawn.lines
    if not len(lines):
        return drawn
    ends = lines.xy[np.column_stack((lines.start[:-1], lines.start[1:] - 1))].round(DECIMALS) + 0.0
    one, two = ends[:, 0], ends[:, 1]
    back = (two[:, 0] < one[:, 0]) | ((two[:, 0] == one[:, 0]) & (two[:, 1] < one[:, 1]))
    for k in np.flatnonzero((one == two).all(axis=1)).tolist():
        x, y = (lines.points(k) - lines.points(k)[0]).T
        back[k] = float(x[:-1] @ y[1:] - y[:-1] @ x[1:]) < 0
    low, high = np.where(back[:, None], two, one), np.where(back[:, None], one, two)
    middle = np.array([lines.points(k).mean(axis=0) for k in range(len(lines))]).round(DECIMALS)
    sort = sorts_of(drawn.operations, drawn.fold, drawn.degrees)
    keys = (sort, *middle.T, *high.T, *low.T)
    order = np.lexsort(keys)
    taken = lines.take(order, reverse=back[order])
    # Of two ends as far from a third the same is taken in every turn.
    taken = replace(taken, xy=taken.xy.round(DECIMALS) + 0.0)
    return NetLines(
        taken, drawn.operations[order], drawn.fold[order], drawn.degrees[order], drawn.line[order]
    )
