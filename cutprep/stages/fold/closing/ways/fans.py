"""Fans: panels in a row across scores that converge, closed to a ring: cones, lampshades, leaning tubes.

Round the point where the scores meet the panels cut a polygon out of a sphere. Unless an end panel
holds it, that polygon can move; the regular position is the one with all its corners on a circle.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.state import FoldingFrame, folded_by
from cutprep.stages.fold.closing.ways.candidates import Candidate, signed
from cutprep.stages.fold.closing.zip.start import corner_folds
from cutprep.stages.fold.declared.constraints import FoldConstraints

#: Scores that turn by less than this from one another are parallel (sine of 0.6 degrees).
_PARALLEL = 0.01
#: How far a line may miss the point where others meet: this share of how far away it is, and at least so much, mm.
_MISS_SHARE, _MISS = 0.01, 0.5
#: An end panel no wider than this share of the narrowest wall is a flap.
_FLAP = 0.6
#: A fan has at least this many walls, and none is wider, degrees.
_LEAST_WALLS, _WIDEST = 3, 75.0


@dataclass(frozen=True, slots=True, eq=False)
class PanelFan:
    """Panels in a row round a point.

    Attributes
    ----------
    point
        Where the scores meet, mm.
    panels, hinges
        In order; hinge i lies between panels i and i + 1.
    sectors
        Angle of each panel at the point, degrees; 0 for an end panel whose far side points elsewhere.
    """

    point: Points
    panels: tuple[int, ...]
    hinges: tuple[int, ...]
    sectors: tuple[float, ...]


def meets(point: Points, ends: Points) -> bool:
    """Whether the line through two points, (2, 2), passes a third, (2,), as nearly as the third is well known."""
    d = ends[1] - ends[0]
    rel = point - ends[0]
    off = abs(float(d[0] * rel[1] - d[1] * rel[0])) / float(np.hypot(*d))
    away = float(np.hypot(*(point - ends.mean(axis=0))))
    return off <= max(_MISS, _MISS_SHARE * away)


def common_point(runs: Sequence[Points]) -> Points | None:
    """The point where lines, (2, 2) each, meet, (2,), mm; None when they don't or are parallel."""
    one = runs[0]
    d = one[1] - one[0]
    for other in runs[1:]:
        e = other[1] - other[0]
        bottom = float(d[0] * e[1] - d[1] * e[0])
        if abs(bottom) < _PARALLEL * float(np.hypot(*d) * np.hypot(*e)):
            continue
        rel = other[0] - one[0]
        point = one[0] + d * float(rel[0] * e[1] - rel[1] * e[0]) / bottom
        return point if all(meets(point, run) for run in runs) else None
    return None


def fans_of(frame: FoldingFrame) -> list[PanelFan]:
    """Every row of three panels or more across converging scores, the longest first."""
    hinges = frame.part.hinges
    straight = {k for k, h in enumerate(hinges) if h.kind == "straight"}
    seen: set[frozenset[int]] = set()
    found = []
    for panel in range(len(frame.part.panels)):
        here = [k for k in frame.part.hinges_at(panel) if k in straight]
        for i, one in enumerate(here):
            for two in here[i + 1 :]:
                point = common_point([hinges[one].ends, hinges[two].ends])
                if point is None or any({one, two} <= s for s in seen):
                    continue
                fan = _fan(frame, straight, point, panel, one, two)
                seen.add(frozenset(fan.hinges))
                found.append(fan)
    return sorted(found, key=lambda f: (-len(f.panels), -round(sum(f.sectors), 1), f.panels))


def _fan(frame: FoldingFrame, straight: set[int], point: Points, panel: int, one: int, two: int) -> PanelFan:
    """Go on from a panel across scores that pass the point, both ways."""
    hinges = frame.part.hinges
    chain, panels = [one, two], [panel]
    for grow_hinge, grow_panel, begin in (
        (chain.append, panels.append, two),
        (lambda k: chain.insert(0, k), lambda p: panels.insert(0, p), one),
    ):
        last, here = begin, hinges[begin].other(panel)
        while here not in panels:
            grow_panel(here)
            beyond = [
                k
                for k in frame.part.hinges_at(here)
                if k in straight and k not in chain and meets(point, hinges[k].ends)
            ]
            if not beyond:
                break
            last = max(beyond, key=lambda k: (round(hinges[k].length, 1), -k))
            grow_hinge(last)
            here = hinges[last].other(here)
    sectors = [_between(point, hinges[a].ends, hinges[b].ends) for a, b in pairwise(chain)]
    first, final = (_end_sector(frame, point, panels[k], chain[k]) for k in (0, -1))
    return PanelFan(point, tuple(panels), tuple(chain), (first, *sectors, final))


def _between(point: Points, a: Points, b: Points) -> float:
    """Angle between two runs seen from a point, degrees."""
    p, q = a.mean(axis=0) - point, b.mean(axis=0) - point
    return float(abs(np.degrees(np.arctan2(p[0] * q[1] - p[1] * q[0], p @ q))))


def _end_sector(frame: FoldingFrame, point: Points, panel: int, hinge: int) -> float:
    """Angle of a panel at the end of a fan, 0 when no free side of it points to the middle."""
    ends = frame.part.hinges[hinge].ends
    sides = [
        s for s in frame.sides[panel] if s.hinge < 0 and s.length > 0.5 * frame.part.hinges[hinge].length
    ]
    found = [_between(point, ends, s.ends) for s in sides if meets(point, s.ends)]
    return max(found, default=0.0)


def fan_ways(frame: FoldingFrame, constraints: FoldConstraints) -> Iterator[Candidate]:
    """Close the longest fans to rings with all corners on a circle."""
    for fan in fans_of(frame)[:3]:
        first, last = 0, len(fan.panels) - 1
        least = min(fan.sectors[1:-1])
        if fan.sectors[0] <= _FLAP * least:
            first += 1
        if fan.sectors[-1] <= _FLAP * least:
            last -= 1
        if last - first + 1 < _LEAST_WALLS or max(fan.sectors[first : last + 1]) > _WIDEST:
            continue  # the corner of a box
        folds = corner_folds(fan.sectors[first : last + 1])
        if folds is None or max(folds) <= 0:
            continue
        degrees = signed(constraints, np.full(len(frame.part.hinges), 90.0))
        for k, hinge in enumerate(fan.hinges):
            if hinge not in constraints.fixed:
                degrees[hinge] = folds[(k - first) % len(folds)] * constraints.sense
        if len(fan.panels) == len(frame.part.panels):
            yield Candidate("tube", degrees)
        elif len(set(np.round(fan.sectors[first : last + 1], 0))) == 1:
            # What else there is holds the fan, and its seams tell the folds, unless it lies level.
            level = _level_ends(frame, constraints, fan, degrees)
            if level is not None:
                yield Candidate("capped", level)


def _level_ends(
    frame: FoldingFrame, constraints: FoldConstraints, fan: PanelFan, degrees: Points
) -> Points | None:
    """Fold what hangs on the outer edges of a regular fan square to its axis; None when more hangs on that."""
    part = frame.part
    hung = {}
    for panel in set(range(len(part.panels))) - set(fan.panels):
        (hinge, *more) = part.hinges_at(panel)
        on = part.hinges[hinge].other(panel)
        if more or on not in fan.panels or hinge in constraints.fixed:
            return None
        hung[hinge] = on
    state = folded_by(frame, degrees)
    walls = [p for k, p in enumerate(fan.panels) if fan.sectors[k] > _FLAP * max(fan.sectors)]
    axis = sum((state.normal(p) for p in walls), np.zeros(3))
    axis = axis / float(np.linalg.norm(axis))
    found = degrees.copy()
    for hinge, on in hung.items():
        h = part.hinges[hinge]
        ends = h.ends if h.a == on else h.ends[::-1]
        along = state.lift(on, ends)
        along = (along[1] - along[0]) / h.length
        normal = state.normal(on)
        turns = [
            float(np.degrees(np.arctan2(np.cross(along, normal) @ (s * axis), normal @ (s * axis))))
            for s in (1.0, -1.0)
        ]
        found[hinge] = next((t for t in turns if t * constraints.sense > 0), turns[0])
    return found
