"""Scores that take no part in folding: tear lines, scores for show, scores that others lock.

Where two straight scores cross inside the card, only one of them can fold at a time; where one
ends on another that goes straight on, it can't fold at all. (Rigid folding at a vertex: closure
of the sectors round it; Demaine and O'Rourke, Geometric Folding Algorithms, 2007, chapter 12.)
"""

from __future__ import annotations

import numpy as np
import shapely

from cutprep.model.lines import Points
from cutprep.model.operation import Fold
from cutprep.stages.fold.net.net_lines import PERFORATION
from cutprep.stages.fold.net.panels import is_score
from cutprep.stages.fold.net.part import HingedPart

#: Scores that turn by less than this at a vertex go straight on, degrees.
_STRAIGHT = 3.0


def straight_lines(part: HingedPart) -> tuple[int, ...]:
    """Number the straight lines that hinges make: those that go on from one another share a number."""
    line = list(range(len(part.hinges)))
    for vertex, around in _hinges_at(part).items():
        for one, two in _pairs(part, vertex, around):
            old, new = line[two], line[one]
            line = [new if k == old else k for k in line]
    return tuple(line)


def idle_hinges(part: HingedPart) -> frozenset[int]:
    """Hinges that stay flat: crossed by scores that fold, or ending on one."""
    line = straight_lines(part)
    crossing: dict[int, set[int]] = {k: set() for k in line}
    idle = set()
    for vertex, around in inner_vertices(part).items():
        pairs = _pairs(part, vertex, around)
        straight = {k for pair in pairs for k in pair}
        if len(around) == 3 and len(pairs) == 1:
            idle |= {line[k] for k in around if k not in straight}
        elif len(around) == 4 and len(pairs) == 2:
            one, two = (line[pair[0]] for pair in pairs)
            crossing[one].add(two)
            crossing[two].add(one)
    while True:
        met = {k: crossing[k] - idle for k in crossing if k not in idle}
        busy = [k for k, others in met.items() if others]
        if not busy:
            break
        first = max(busy, key=lambda k: (_perforated(part, line, k), len(met[k]), -k))
        worst = (_perforated(part, line, first), len(met[first]))
        rivals = [k for k in met[first] if (_perforated(part, line, k), len(met[k])) == worst]
        if rivals:
            return frozenset(k for k in range(len(line)) if line[k] in idle)
        idle.add(first)
    return frozenset(k for k in range(len(line)) if line[k] in idle)


def door_hinges(part: HingedPart) -> frozenset[int]:
    """Scores of doors: panels cut on all other sides out of the panel that they hang on. Closing leaves them flat."""
    found = set()
    for k, h in enumerate(part.hinges):
        for door, wall in ((h.a, h.b), (h.b, h.a)):
            if len(part.hinges_at(door)) == 1 and part.polygons[wall].interiors:
                outer = shapely.Polygon(part.polygons[wall].exterior)
                if outer.contains_properly(part.polygons[door]):
                    found.add(k)
    return frozenset(found)


def lone_tear(part: HingedPart) -> frozenset[int]:
    """The one score of a flat piece when it is a perforation that is not said to fold: a stub is torn off there."""
    torn = len(part.hinges) == 1 and part.hinges[0].fold is Fold.UNSAID and is_perforated(part, 0)
    return frozenset({0}) if torn else frozenset()


def is_perforated(part: HingedPart, hinge: int) -> bool:
    """Whether a hinge is drawn as a perforation."""
    operations = part.net.pieces.operations[list(part.hinges[hinge].pieces)]
    return bool((operations & PERFORATION).all())


def _perforated(part: HingedPart, line: tuple[int, ...], number: int) -> bool:
    return all(is_perforated(part, k) for k in range(len(line)) if line[k] == number)


def _hinges_at(part: HingedPart) -> dict[int, list[int]]:
    found: dict[int, list[int]] = {}
    for k, hinge in enumerate(part.hinges):
        if hinge.kind == "straight":
            for tip in hinge.tips:
                found.setdefault(tip, []).append(k)
    return found


def inner_vertices(part: HingedPart) -> dict[int, list[int]]:
    """Vertices with card all round, and the hinges that end there."""
    pieces = part.net.pieces
    cut = {
        int(v) for k, ends in enumerate(pieces.ends) if not is_score(int(pieces.operations[k])) for v in ends
    }
    return {v: around for v, around in _hinges_at(part).items() if v not in cut and len(around) >= 3}


def _away(part: HingedPart, vertex: int, hinge: int) -> Points:
    h = part.hinges[hinge]
    ends = h.ends if h.tips[0] == vertex else h.ends[::-1]
    return np.asarray((ends[1] - ends[0]) / h.length)


def _pairs(part: HingedPart, vertex: int, around: list[int]) -> list[tuple[int, int]]:
    """Hinges at a vertex that go straight on from one another."""
    found = []
    for i, one in enumerate(around):
        for two in around[i + 1 :]:
            cos = float(_away(part, vertex, one) @ _away(part, vertex, two))
            if cos < -np.cos(np.radians(_STRAIGHT)):
                found.append((one, two))
    return found


def stem_vertices(part: HingedPart) -> list[Points]:
    """Inner vertices, (2,) each, mm, where one score ends on another that goes straight on."""
    inner = inner_vertices(part).items()
    return [part.xy[v] for v, around in inner if len(around) == 3 and len(_pairs(part, v, around)) == 1]
