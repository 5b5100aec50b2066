"""Chains of open stretches along a rim, and rims that rise and fall: two panels that face one another have the same profile, as the sides of a display tray."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.contact import Stretch
from cutprep.stages.fold.closing.verdict.shell import loose_ends
from cutprep.stages.fold.closing.verdict.state import PanelSide, State

#: What lies nearer than this to the plane of a rim's corners lies in it; profiles differ by no more, mm.
_IN_PLANE, _ALIKE = 1.0, 1.0
#: A rim slopes by more than this along a panel (sine of 3 degrees).
_SLOPED = 0.052
#: So many sides next to each other, none longer than so many times the limit, are chords of a curve, perhaps two in one.
_CHORDS, _CHORD = 3, 4.0
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


def with_chords(
    state: State, stretches: list[tuple[PanelSide, Stretch]], panels: Points, ends: Points, limit: float
) -> tuple[Points, Points]:
    """Open stretches with their panels; and curves beside them, of whose chords some are too short to count, each as a whole.

    Parameters
    ----------
    stretches
        n open stretches: the side, and where on it.
    panels
        (n,) ndarray of int: their panels.
    ends
        (n, 2, 3) ndarray of float: their ends in space, mm.
    limit
        Distance within which edges coincide, mm: a stretch of less than twice that doesn't count.
    """
    numbers = [state.frame.sides[s.panel].index(s) for s, _ in stretches]
    whole = {
        (s.panel, k)
        for (s, (a, b)), k in zip(stretches, numbers, strict=True)
        if b - a > s.length - 2.0 * limit
    }
    bows, owner, within = [], [], set[tuple[int, int]]()
    for panel in np.unique(panels).tolist():
        sides = state.frame.sides[panel]
        for run in _runs([s.hinge < 0 and s.length <= _CHORD * limit for s in sides]):
            beside = [(run[0] - 1) % len(sides), (run[-1] + 1) % len(sides)]
            met = any((panel, k) in whole for k in beside) and all(sides[k].hinge < 0 for k in beside)
            if met and len(run) >= _CHORDS:
                bows.append(state.lift(panel, np.array([sides[run[0]].ends[0], sides[run[-1]].ends[1]])))
                owner.append(panel)
                within |= {(panel, k) for k in run}
    if not bows:
        return panels, ends
    rest = [(s.panel, k) not in within for (s, _), k in zip(stretches, numbers, strict=True)]
    return np.append(panels[rest], owner), np.concatenate((ends[rest], bows))


def _runs(flags: Sequence[bool]) -> list[list[int]]:
    """Numbers of flags that are set, those next to each other round the ring together."""
    found: list[list[int]] = []
    for k, flag in enumerate(flags):
        if flag and k and flags[k - 1]:
            found[-1].append(k)
        elif flag:
            found.append([k])
    if len(found) > 1 and flags[0] and flags[-1]:
        found[0] = found.pop() + found[0]
    return found


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
