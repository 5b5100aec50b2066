"""Staves: panels one above the other on every wall, or on every side of a base, that lean in and out in turn.

Bottles, hourglasses, vases. The widths of the staves at each height give the section there, so that their slopes
follow; what leans to one side only, as a roof or a bowl, is convex and left to the seams.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.state import FoldingFrame
from cutprep.stages.fold.closing.ways.candidates import Candidate, signed
from cutprep.stages.fold.closing.ways.tubes import PanelRow, paired, ring_of, ring_way, rows_of, wall_ranges
from cutprep.stages.fold.declared.constraints import FoldConstraints

#: Edges within this of a level lie on it, and lengths that differ by less are equal, mm.
_LEVEL, _EQUAL = 0.3, 0.75
#: Staves that go on from walls or a base have at least so many levels.
_LEAST_LEVELS = 2
#: A turn outwards of more than this makes a body that is not convex, degrees.
_OUTWARDS = 2.0
#: The smallest section of a tube, and panels with no more hinges than this are no base.
_LEAST_WALLS = 3


@dataclass(frozen=True, slots=True)
class _Stave:
    """A panel beyond a hinge: how far it reaches, how wide it ends there, and its other hinges."""

    panel: int
    hinge: int
    deep: float
    wide: float
    far: int | None
    sides: tuple[int, ...]


def stave_ways(frame: FoldingFrame, constraints: FoldConstraints) -> Iterator[Candidate]:
    """Let staves on the walls of a tube, or round a base, lean as their widths tell."""
    for row in rows_of(frame)[:3]:
        ring = ring_of(row)
        first, last = wall_ranges(row)[0] if ring is None else (ring[0], ring[0] + len(ring[1]) - 1)
        count = last - first + 1
        widths = row.widths[first : last + 1]
        if count < _LEAST_WALLS or (count != 4 and np.ptp(widths) > _EQUAL) or not paired(widths):
            continue
        way = ring_way(frame, constraints, "staves", row, first, np.full(count, 360.0 / count))
        ends = [_ends_of(frame, p, row) for p in row.panels[first : last + 1]]
        starts = ([k for e in ends if (k := e[side]) is not None] for side in (0, 1))
        folds = [
            f
            for hinges in starts
            if len(hinges) == count
            and (f := _Ring(frame, widths, 90.0).folds(hinges, row.panels[first : last + 1]))
        ]
        yield from _folded(constraints, way, folds)
    busy = max(range(len(frame.part.panels)), key=lambda p: (len(frame.part.hinges_at(p)), -p))
    hinges = _in_turn(frame, busy)
    widths = tuple(frame.part.hinges[k].length for k in hinges)
    if len(widths) < _LEAST_WALLS or len(widths) != len(frame.rings[busy]) or not paired(widths):
        return
    if len(widths) == 4 or np.ptp(widths) < _EQUAL:
        found = _Ring(frame, widths, 0.0).folds(hinges, [busy] * len(hinges))
        square = signed(constraints, np.full(len(frame.part.hinges), 90.0))
        yield from _folded(constraints, Candidate("staves", square), [found] if found else [])


def _folded(
    constraints: FoldConstraints, way: Candidate, folds: Sequence[dict[int, float]]
) -> Iterator[Candidate]:
    if not folds:
        return
    degrees = way.degrees.copy()
    for hinge, angle in (item for found in folds for item in found.items()):
        if hinge not in constraints.fixed:
            degrees[hinge] = angle * constraints.sense
    yield Candidate("staves", degrees)


def _ends_of(frame: FoldingFrame, wall: int, row: PanelRow) -> tuple[int | None, int | None]:
    """Hinges at the two ends of a wall of a row, across it."""
    hinges = frame.part.hinges
    along = np.array([-row.across[1], row.across[0]])
    middle = float((frame.rings[wall] @ along).mean())
    found: list[int | None] = [None, None]
    for k in frame.part.hinges_at(wall):
        if k not in row.hinges:
            found[int(float((hinges[k].ends @ along).mean()) > middle)] = k
    return found[0], found[1]


def _in_turn(frame: FoldingFrame, base: int) -> list[int]:
    """Hinges round a base in the order of its sides."""
    middle = frame.rings[base].mean(axis=0)
    hinges = frame.part.hinges
    return sorted(
        frame.part.hinges_at(base),
        key=lambda k: float(np.arctan2(*(hinges[k].ends.mean(axis=0) - middle)[::-1])),
    )


class _Ring:
    """Staves all round, level by level."""

    def __init__(self, frame: FoldingFrame, widths: Sequence[float], slope: float) -> None:
        self.frame, self.slope = frame, slope
        self.count = len(widths)
        self.apart = self._apart(np.array(widths))

    def _apart(self, widths: Points) -> Points:
        """How far the sides of a section lie from its middle: a regular polygon or a rectangle, mm."""
        if self.count == 4:
            return np.asarray(np.roll(widths, 1) / 2)
        return np.asarray(widths / (2 * math.tan(math.pi / self.count)))

    def folds(self, hinges: Sequence[int], walls: Sequence[int]) -> dict[int, float] | None:
        """Folds of all staves and what hangs on them; None where they are not the same all round or lean to one side only."""
        found: dict[int, float] = {}
        turns: list[float] = []
        at, from_, slope = list(hinges), list(walls), np.full(self.count, self.slope)
        levels = 0
        while True:
            staves = [_stave(self.frame, k, p) for k, p in zip(at, from_, strict=True)]
            if any(s is None for s in staves):
                return None
            told = [s for s in staves if s is not None]
            nearer = self.apart - self._apart(np.array([s.wide for s in told]))
            deep = np.array([s.deep for s in told])
            if (np.abs(nearer) > deep).any():
                return None
            rise = np.sqrt(deep**2 - nearer**2)
            if np.ptp(rise) > _EQUAL:
                return None
            steep = np.degrees(np.arctan2(rise, -nearer))
            turns += (steep - slope).tolist()
            for stave, turn, tilt in zip(told, steep - slope, steep, strict=True):
                found[stave.hinge] = float(turn)
                found |= dict.fromkeys(stave.sides, self._between(float(tilt)))
            levels += 1
            self.apart, slope = self.apart - nearer, steep
            beyond = [s.far for s in told]
            if all(k is not None for k in beyond):
                at, from_ = [k for k in beyond if k is not None], [s.panel for s in told]
                continue
            for k, tilt in zip(beyond, steep, strict=True):
                if k is not None:  # a lid, level
                    found[k] = 180.0 - float(tilt)
            return found if levels >= _LEAST_LEVELS and min(turns) < -_OUTWARDS else None

    def _between(self, steep: float) -> float:
        """Fold between staves side by side that are as steep, degrees."""
        tilt, turn = math.radians(steep), 2 * math.pi / self.count
        cosine = math.sin(tilt) ** 2 * math.cos(turn) + math.cos(tilt) ** 2
        return math.degrees(math.acos(min(1.0, max(-1.0, cosine))))


def _stave(frame: FoldingFrame, hinge: int, on: int) -> _Stave | None:
    """The panel beyond a hinge if it is as wide there, ends level, and stands in the middle; else None."""
    h = frame.part.hinges[hinge]
    panel = h.other(on)
    along = (h.ends[1] - h.ends[0]) / h.length
    out = np.array([-along[1], along[0]])
    ring = frame.rings[panel] - h.ends.mean(axis=0)
    u, v = ring @ along, ring @ out
    if v[np.abs(v).argmax()] < 0:
        v = -v
        out = -out
    deep = float(v.max())
    far, near = u[v > deep - _LEVEL], u[v < _LEVEL]
    if (
        len(far) < 2
        or abs(float(far.max() + far.min())) > 2 * _EQUAL
        or abs(np.ptp(near) - h.length) > _EQUAL
    ):
        return None
    wide = float(np.ptp(far))
    beyond: int | None = None
    sides: list[int] = []
    for k in frame.part.hinges_at(panel):
        if k == hinge:
            continue
        level = (frame.part.hinges[k].ends - h.ends.mean(axis=0)) @ out
        if (level > deep - _LEVEL).all():
            beyond = k
        elif len(frame.part.hinges_at(frame.part.hinges[k].other(panel))) == 1:
            sides.append(k)
        else:
            return None  # staves side by side hang together: a web
    return _Stave(panel, hinge, deep, wide, beyond, tuple(sides))
