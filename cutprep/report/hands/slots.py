"""Slots that pieces are pushed into each other by: where they begin, how deep and how wide they are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Flags, Lines
from cutprep.model.operation import Operation

#: Widest slot that strips are pushed into each other by, mm; common practice, no published source.
_WIDEST = 4.0
#: Cosine beyond which two sides of a slot run back along each other.
_ANTIPARALLEL = 0.99
#: A slot is this many times as deep as wide; a notch that is less is none.
_DEEP = 4


@dataclass(frozen=True, slots=True)
class Slot:
    """One slot.

    Attributes
    ----------
    side
        The edge it opens to: "upper", "lower", "left" or "right".
    at
        Distance of its middle from the left edge, or from the lower one for a slot from a side, mm.
    depth, width
        mm.
    """

    side: str
    at: float
    depth: float
    width: float


def _uneven(lines: Lines) -> Flags:
    """Which lines have a side so much longer than another that it may be the side of a slot; of lace hardly any."""
    steps = np.hypot(*np.diff(lines.xy, axis=0, append=lines.xy[-1:]).T)
    last = lines.start[1:] - 1
    if not len(last):
        return np.zeros(0, bool)
    steps[last] = steps[last - 1]  # from line to line is no side
    first = lines.start[:-1]
    return np.asarray(np.maximum.reduceat(steps, first) > _DEEP * np.minimum.reduceat(steps, first))


def slots_of(lines: Lines) -> tuple[Slot, ...]:
    """Find the slots of a piece: notches with two equal long sides, square to a narrow bottom.

    Returns
    -------
    tuple of Slot
        By edge, then by distance.
    """
    found = []
    for line in lines.take(lines.closed & (lines.operation == Operation.CUT) & _uneven(lines)):
        points = line.points[:-1]
        step = np.diff(line.points, axis=0)
        length = np.hypot(*step.T)
        before, after = np.roll(length, 1), np.roll(length, -1)
        back = np.einsum("ij,ij->i", np.roll(step, 1, axis=0), np.roll(step, -1, axis=0))
        slot = (length < _WIDEST) & (np.minimum(before, after) > _DEEP * length)
        slot &= (np.abs(before - after) < _WIDEST) & (back < -_ANTIPARALLEL * before * after)
        for i in np.flatnonzero(slot).tolist():
            bottom = (points[i] + points[(i + 1) % len(points)]) / 2
            inward = points[i] - points[i - 1]
            if abs(inward[1]) >= abs(inward[0]):
                side, at = ("upper" if inward[1] < 0 else "lower"), bottom[0]
            else:
                side, at = ("right" if inward[0] < 0 else "left"), bottom[1]
            found.append(Slot(side, float(at), float(min(before[i], after[i])), float(length[i])))
    return tuple(sorted(found, key=lambda s: (s.side, s.at)))
