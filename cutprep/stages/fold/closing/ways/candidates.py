"""Fold angles to try, cheap ones: as drawn, all square, strips turned in, all flat.

Every way is a vector of angles, one a hinge. The sense of a score that the drawing does not tell
is that of the whole part: the side seen becomes the inside, unless the maker says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.state import NARROW_RIM, FoldingFrame, Strip, depth_of, strips_of
from cutprep.stages.fold.declared.constraints import FoldConstraints
from cutprep.stages.fold.net.hems import Hem

#: What is folded flat hangs on the panel below by no more than so many scores, one after another.
_FOLDER = 3
#: A strip is turned in on its wall when it is as deep, or less by up to this share.
_TURNED_IN = (0.7, 1.03)


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """One way to fold.

    Attributes
    ----------
    family
        Where it comes from: "drawn", "turned in", "square", "tube", "capped", "zipped" ...
    degrees
        (h,) ndarray of float: fold angle of every hinge.
    odd
        What speaks against it before it is folded: 0 for the likeliest of its family.
    """

    family: str
    degrees: Points
    odd: float = 0.0


def signed(constraints: FoldConstraints, magnitudes: Points) -> Points:
    """Give angles their drawn sense; what is declared stands as it is; (h,), degrees."""
    sign = np.where(constraints.signs == 0, constraints.sense, constraints.signs)
    degrees = np.where(magnitudes == 0, 0.0, magnitudes * sign)
    for hinge, angle in constraints.fixed.items():
        degrees[hinge] = angle
    return np.asarray(degrees)


def plain_ways(frame: FoldingFrame, constraints: FoldConstraints) -> Iterator[Candidate]:
    """The cheapest ways: declared angles with square folds elsewhere, strips turned in, all square."""
    count = len(frame.part.hinges)
    square = signed(constraints, np.full(count, 90.0))
    turned = turned_in(frame, constraints)
    if turned is not None:
        yield Candidate("turned in", turned)
    yield Candidate("square", square)


def hemmed(
    frame: FoldingFrame, constraints: FoldConstraints, ways: Iterable[Candidate]
) -> Iterator[Candidate]:
    """Turn hems in on their walls: those in one piece always; of strips first as the way has them, then hem by hem."""
    joined = [hem for hem in frame.hems if hem.folds]
    others = [[hem] for hem in frame.hems if not hem.folds]
    for way in ways:
        for hems in ([], *others):
            yield _hemmed(constraints, way, [*joined, *hems]) if joined or hems else way


def _hemmed(constraints: FoldConstraints, way: Candidate, hems: list[Hem]) -> Candidate:
    degrees = way.degrees.copy()
    for hem in hems:
        for k in hem.hinges:
            if k not in constraints.fixed:
                degrees[k] = 180.0 * (constraints.signs[k] or constraints.sense)
        for inner, outer in hem.folds.items():
            degrees[inner] = -degrees[outer]
    return replace(way, degrees=degrees)


def also_turned(
    constraints: FoldConstraints, turns: Mapping[int, float], ways: Iterable[Candidate]
) -> Iterator[Candidate]:
    """Ways as they are, then each with some scores turned by other angles, unless these are drawn or declared otherwise.

    Parameters
    ----------
    turns
        Hinge to angle in the sense of the part, degrees.
    """
    hinges, angles = list(turns), constraints.sense * np.array(list(turns.values()))
    free = not constraints.fixed.keys() & turns.keys() and bool(
        (constraints.signs[hinges] * angles >= 0).all()
    )
    for way in ways:
        yield way
        if turns and free:
            degrees = way.degrees.copy()
            degrees[hinges] = angles
            yield replace(way, degrees=degrees)


def flat_ways(frame: FoldingFrame, constraints: FoldConstraints) -> Iterator[Candidate]:
    """Everything folded over onto one panel that all others hang on: envelopes and folders."""
    if max(frame.depth) > _FOLDER or len(frame.depth) < 3 or (frame.across and max(frame.depth) > 1):
        return
    degrees = signed(constraints, np.full(len(frame.part.hinges), 180.0))
    if len(set(np.sign(degrees).tolist())) == 1:  # to one side; else it is a zigzag
        yield Candidate("flat", degrees)


def turned_in(frame: FoldingFrame, constraints: FoldConstraints) -> Points | None:
    """Square folds, (h,), degrees, but strips as deep as the wall they go on from lie down on it; None without such."""
    strips = strips_of(frame)
    degrees = signed(constraints, np.full(len(frame.part.hinges), 90.0))
    found = False
    for wall in frame.tree.members[1:].tolist():
        hinge = int(frame.tree.hinge[wall])
        deep = depth_of(frame, wall, hinge)
        for strip in strips.get(wall, []):
            found |= _turn_in(strips, constraints, degrees, strip, deep)
    for inner in frame.hollow:  # a foot too long to stand within a hollow wall lies before it
        rim = int(frame.tree.parent[inner])
        thick = depth_of(frame, rim, int(frame.tree.hinge[rim]))
        for foot in strips.get(inner, []):
            if foot.depth > thick:
                _set(constraints, degrees, foot.hinge, -90.0)
                found = True
    return degrees if found else None


def _turn_in(
    strips: dict[int, list[Strip]], constraints: FoldConstraints, degrees: Points, strip: Strip, deep: float
) -> bool:
    """Lay one strip, or the strip beyond a rim, down along its wall; a foot beyond it on the base."""
    low, high = (share * deep for share in _TURNED_IN)
    if low <= strip.mean <= high + 1.0:
        _set(constraints, degrees, strip.hinge, 180.0)
        inner = strip
    elif strip.depth <= NARROW_RIM * deep:
        beyond = [s for s in strips.get(strip.panel, []) if low <= s.mean <= high + 1.0]
        if not beyond:
            return False
        inner = beyond[0]
    else:
        return False
    for foot in strips.get(inner.panel, []):
        if foot.depth < 0.8 * deep:
            _set(constraints, degrees, foot.hinge, -90.0)
    return True


def _set(constraints: FoldConstraints, degrees: Points, hinge: int, angle: float) -> None:
    if hinge not in constraints.fixed and (
        constraints.signs[hinge] == 0 or constraints.signs[hinge] * constraints.sense * angle > 0
    ):
        degrees[hinge] = angle * constraints.sense
