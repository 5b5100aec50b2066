"""Other angles for the limbs that a way of folding leaves unexplained: straight on, folded over, the other way.

Limbs that look alike (as long a score, as large a panel, as far out) are turned alike, so that
what is found does not depend on where the part lies or in which order it was drawn.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.contact import uncovered
from cutprep.stages.fold.closing.verdict.judge import Judged
from cutprep.stages.fold.closing.verdict.state import FoldingFrame, depth_of, strips_of
from cutprep.stages.fold.closing.ways.candidates import Candidate
from cutprep.stages.fold.declared.constraints import FoldConstraints

#: Angles to try, in the sense of the part, degrees.
_ANGLES = (180.0, 0.0, -180.0, -90.0, 90.0)
_UPRIGHT = (0.0, -90.0, 90.0)

#: A side at least this long, mm, of which no more than this share is free, is held.
_LEAST_SIDE, _REST = 6.0, 0.2
#: What is turned back and carries more is a wall turned in: it is no deeper than this share of the wall it lies on, and
#: what it carries no deeper than this share of itself.
_TURNED_IN, _FOOT = 1.05, 0.8

Group = tuple[int, ...]


def groups_of(frame: FoldingFrame) -> dict[int, Group]:
    """Hinges that look alike, for each hinge above a panel."""
    part, tree = frame.part, frame.tree
    areas = part.areas
    alike: dict[tuple[float, float, float, int], list[int]] = {}
    key_of = {}
    for panel in tree.members[1:].tolist():
        hinge = int(tree.hinge[panel])
        on = int(tree.parent[panel])
        key = (
            round(part.hinges[hinge].length),
            round(float(areas[panel]), -1),
            round(float(areas[on]), -1),
            frame.depth[panel],
        )
        alike.setdefault(key, []).append(hinge)
        key_of[hinge] = key
    return {hinge: tuple(sorted(alike[key])) for hinge, key in key_of.items()}


def doubtful(judged: Judged) -> list[int]:
    """Hinges above the panels that a judged way does not explain, and above those that hang on them."""
    frame = judged.state.frame
    panels = set(judged.unexplained) | set(judged.loners)
    panels |= {p for a, b, _ in judged.contacts.crossing for p in (a, b)}
    panels |= {s.panel for r in judged.bad_rims for s, _ in r.stretches}
    outer = {p for p in panels if frame.depth[p] > 1 or len(frame.part.hinges_at(p)) == 1}
    found = set()
    for panel in sorted(p for p in outer if not _held(judged, p)):
        found.add(int(frame.tree.hinge[panel]))
        above = int(frame.tree.parent[panel])
        if above >= 0 and frame.depth[above] > 1 and not _held(judged, above):
            found.add(int(frame.tree.hinge[above]))
    return sorted(h for h in found if h >= 0)


def _held(judged: Judged, panel: int) -> bool:
    """Whether a side of a panel meets others along most of its length: it stands where it belongs."""
    for side in judged.state.frame.sides[panel]:
        if side.hinge >= 0 or side.length < _LEAST_SIDE:
            continue
        met = [s for found in judged.touching(side).values() for s in found]
        if sum(b - a for a, b in uncovered(side.length, met, 1.0)) < _REST * side.length:
            return True
    return False


def turned(
    constraints: FoldConstraints, degrees: Points, groups: list[Group], angles: tuple[float, ...]
) -> Points | None:
    """Angles with some groups of hinges turned otherwise; None against what is drawn or declared.

    Parameters
    ----------
    constraints
        What is drawn and declared.
    degrees
        (h,) ndarray of float: fold angles to begin with.
    groups, angles
        Hinges that turn together, and the angle of each group, degrees.
    """
    found = degrees.copy()
    for group, angle in zip(groups, angles, strict=True):
        for hinge in group:
            if hinge in constraints.fixed:
                return None
            if constraints.signs[hinge] * constraints.sense * angle < 0:
                return None
            found[hinge] = angle * constraints.sense
    return found


def limb_ways(frame: FoldingFrame, constraints: FoldConstraints, judged: Judged) -> Iterator[Candidate]:
    """Vary one group of doubtful limbs at a time, then two where one hangs on the other."""
    of = groups_of(frame)
    groups = sorted({of[h] for h in doubtful(judged) if h in of})
    angles = {group: _ANGLES if _may_turn_back(frame, group) else _UPRIGHT for group in groups}
    degrees = judged.state.degrees
    for group in groups:
        for angle in angles[group]:
            found = turned(constraints, degrees, [group], (angle,))
            if found is not None:
                yield Candidate("limbs", found)
    for one, two in _nested(frame, groups):
        for first in angles[one]:
            for second in angles[two]:
                found = turned(constraints, degrees, [one, two], (first, second))
                if found is not None:
                    yield Candidate("limbs", found)


def _may_turn_back(frame: FoldingFrame, hinges: Group) -> bool:
    """Whether panels may lie back on what they hang on: they carry nothing, or each is a wall turned in with its foot."""
    strips = strips_of(frame)
    for hinge in hinges:
        for panel in _child(frame, hinge):
            carried = np.flatnonzero(frame.tree.parent == panel).tolist()
            if not carried:
                continue
            on = int(frame.tree.parent[panel])
            deep = depth_of(frame, panel, hinge)
            if int(frame.tree.hinge[on]) < 0 or deep > _TURNED_IN * depth_of(frame, on, hinge):
                return False
            feet = {s.panel for s in strips.get(panel, []) if s.depth < _FOOT * deep}
            if not feet.issuperset(carried):
                return False
    return True


def _nested(frame: FoldingFrame, groups: list[Group]) -> list[tuple[Group, Group]]:
    part = frame.part
    found = []
    for one in groups:
        below = {int(p) for h in one for p in (part.hinges[h].a, part.hinges[h].b)}
        for two in groups:
            above = {int(frame.tree.parent[p]) for h in two for p in _child(frame, h)}
            if one != two and above & below & {p for h in one for p in _child(frame, h)}:
                found.append((one, two))
    return found


def _child(frame: FoldingFrame, hinge: int) -> list[int]:
    return np.flatnonzero(frame.tree.hinge == hinge).tolist()
