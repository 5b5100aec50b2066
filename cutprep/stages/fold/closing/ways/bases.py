"""Walls round a base: they stand square to it, and what hangs at their ends turns with the base's corners."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.state import FoldingFrame
from cutprep.stages.fold.closing.ways.candidates import Candidate, signed
from cutprep.stages.fold.declared.constraints import FoldConstraints

#: A base has at least so many walls, and at most so many panels of a part are tried as one.
_WALLS, _TRIED = 3, 2
#: Corners within so many degrees of square need no way of their own.
_SQUARE = 2.0
#: A score runs across another when they turn by more than 30 degrees (sine).
_ACROSS = 0.5


def base_ways(frame: FoldingFrame, constraints: FoldConstraints) -> Iterator[Candidate]:
    """Stand walls up round a base whose corners are not square."""
    part = frame.part
    busy = [p for p in range(len(part.panels)) if len(part.hinges_at(p)) >= _WALLS]
    for base in sorted(busy, key=lambda p: (-len(part.hinges_at(p)), p))[:_TRIED]:
        turns = _turns(frame.rings[base])
        if np.abs(np.abs(turns) - 90.0).max() < _SQUARE:
            continue
        degrees = signed(constraints, np.full(len(part.hinges), 90.0))
        for hinge, turn in _at_corners(frame, base, turns):
            if hinge not in constraints.fixed:
                degrees[hinge] = turn * constraints.sense
        yield Candidate("round a base", degrees)


def _turns(ring: Points) -> Points:
    """By how many degrees an outline turns at each corner."""
    after, before = np.roll(ring, -1, axis=0) - ring, ring - np.roll(ring, 1, axis=0)
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turns = np.degrees(np.arctan2(cross, (before * after).sum(axis=1)))
    return np.asarray(turns * np.sign(turns.sum()))


def _at_corners(frame: FoldingFrame, base: int, turns: Points) -> Iterator[tuple[int, float]]:
    """Scores at the ends of the walls of a base, with the turn of the corner that each stands on."""
    part, ring = frame.part, frame.rings[base]
    for k in part.hinges_at(base):
        foot = part.hinges[k]
        along = (foot.ends[1] - foot.ends[0]) / foot.length
        for other in part.hinges_at(foot.other(base)):
            side = part.hinges[other]
            step = (side.ends[1] - side.ends[0]) / side.length
            if other == k or abs(along[0] * step[1] - along[1] * step[0]) < _ACROSS:
                continue
            far = np.abs((foot.ends - side.ends.mean(axis=0)) @ along)
            end = foot.ends[int(far.argmin())]
            yield other, float(turns[np.hypot(*(ring - end).T).argmin()])
