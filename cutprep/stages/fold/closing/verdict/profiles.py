"""Chains of open stretches along a rim, and rims that rise and fall: two panels that face one another have the same profile, as the sides of a display tray."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.shell import loose_ends
from cutprep.stages.fold.closing.verdict.state import State

#: What lies nearer than this to the plane of a rim's corners lies in it; profiles differ by no more, mm.
_IN_PLANE, _ALIKE = 1.0, 1.0
#: A rim slopes by more than this along a panel (sine of 3 degrees).
_SLOPED = 0.052
#: A profile nowhere turns by more than 75 degrees (cosine).
_SQUARE = 0.259


def alike_along(
    state: State, panels: Points, ends: Points, centre: Points, normal: Points, uneven: tuple[int, ...]
) -> tuple[int, ...]:
    """Two panels of a sloping rim with the same profile, nothing of which lies in the plane of its corners; else none.

    A notch or a header leaves a piece of the rim on either side of it, or has nothing like it opposite; or the
    rim goes on level beside it.

    Parameters
    ----------
    state
        The folded part.
    panels
        (n,) ndarray of int: panel of each open stretch.
    ends
        (n, 2, 3) ndarray of float: ends of each in space, mm.
    centre, normal
        (3,) ndarray of float each: of the plane of the rim's corners.
    uneven
        Panels that leave that plane.
    """
    off = np.abs((ends - centre) @ normal).max(axis=1)
    steep = [p for p in uneven if off[panels == p].min() > _IN_PLANE]
    if len(steep) != 2 or len(np.unique(panels)) < 3:
        return ()
    one, two = (in_turn(ends[panels == p]) for p in steep)
    if not all(_slopes(state, p, chain) for p, chain in zip(steep, (one, two), strict=True)):
        return ()
    if len(one) != len(two) or len(one) < 3:
        return ()
    steps = [np.linalg.norm(np.diff(chain, axis=0), axis=1) for chain in (one, two[::-1])]
    heights = [(chain - centre) @ normal for chain in (one, two[::-1])]
    alike = max(float(np.abs(a - b).max()) for a, b in (steps, heights))
    return tuple(steep) if alike < _ALIKE else ()


def _slopes(state: State, panel: int, chain: Points) -> bool:
    """Whether a chain ends higher than it begins: along none of its panel's hinges; round a missing wall it turns square."""
    span = chain[-1] - chain[0]
    steps = np.diff(chain, axis=0)
    steps = steps / np.linalg.norm(steps, axis=1)[:, None]
    if (steps[:-1] * steps[1:]).sum(axis=1).min(initial=1.0) < _SQUARE:
        return False
    part = state.frame.part
    runs = [part.hinges[k].ends for k in part.hinges_at(panel)]
    along = [state.turn[panel][:, :2] @ ((run[1] - run[0]) / np.hypot(*(run[1] - run[0]))) for run in runs]
    return all(np.linalg.norm(np.cross(span, u)) > _SLOPED * np.linalg.norm(span) for u in along)


def chain_ends(panels: Points, ends: Points, within: float) -> list[Points]:
    """For each panel of a rim, the points where its open stretches begin and end, (n, 3) each, mm.

    The shorter chords of a curve, such as a thumb notch, are no open stretches: the gaps that they leave in a
    panel's chain begin and end nothing.

    Parameters
    ----------
    panels
        (n,) ndarray of int: panel of each stretch.
    ends
        (n, 2, 3) ndarray of float: ends of each in space, mm.
    within
        Ends no further apart than this go on from one another, mm.
    """
    found = []
    for p in np.unique(panels):
        own = ends[panels == p]
        outer = loose_ends(own, within, round_itself=False)
        found.append(outer if len(outer) > 1 else loose_ends(own))
    return [f for f in found if len(f)]


def in_turn(ends: Points) -> Points:
    """Corners of a chain of stretches, (n, 2, 3), from its first to its last, (n + 1, 3), mm."""
    far = np.linalg.norm(ends[:, None, 0] - ends[None, :, 1], axis=2)
    np.fill_diagonal(far, np.inf)
    at = int(far.min(axis=1).argmax())
    order = [at]
    while len(order) < len(ends):
        gap = np.linalg.norm(ends[:, 0] - ends[order[-1], 1], axis=1)
        gap[order] = np.inf
        order.append(int(gap.argmin()))
    return np.vstack((ends[order, 0], ends[order[-1:], 1]))


def ruled_between(one: Points, two: Points, anchor: Points) -> float:
    """Three times the volume, mm3, that the surface ruled between two chains, (n, 3), spans with a point.

    Parameters
    ----------
    one
        In the direction of the border that it is part of.
    two
        Against it: its corners face those of the first.
    anchor
        (3,) ndarray of float.
    """
    total = 0.0
    for (a, b), (c, d) in zip(pairwise(one), pairwise(two), strict=True):
        for x, y, z in ((c, a, b), (b, d, c)):
            total -= float((x - anchor) @ np.cross(y - x, z - x)) / 2
    return total
