"""Ribs: two strips alike between two bases, folded up back to back, that stand in the box as a divider."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from cutprep.stages.fold.closing.verdict.state import FoldingFrame, depth_of
from cutprep.stages.fold.closing.ways.candidates import Candidate, also_turned
from cutprep.stages.fold.declared.constraints import FoldConstraints

#: Scores of a rib are parallel (cosine of 2 degrees), and its two strips are as deep and as long within this share.
_PARALLEL, _ALIKE = 0.9994, 0.02
#: What lies on either side of a rib hangs on so many scores at least: it is a base with walls.
_BASE = 2


@dataclass(frozen=True, slots=True)
class Rib:
    """Scores at the feet of a rib and the one along its top."""

    feet: tuple[int, int]
    top: int


def ribs_of(frame: FoldingFrame) -> tuple[Rib, ...]:
    """Find pairs of strips alike, side by side, with a base beyond each."""
    part, found = frame.part, []
    for top, h in enumerate(part.hinges):
        if h.kind != "straight" or any(len(part.hinges_at(p)) != 2 for p in (h.a, h.b)):
            continue
        one, two = (next(k for k in part.hinges_at(p) if k != top) for p in (h.a, h.b))
        bases = (part.hinges[one].other(h.a), part.hinges[two].other(h.b))
        based = all(len(part.hinges_at(base)) >= _BASE for base in bases) and bases[0] != bases[1]
        if based and all(_parallel(frame, top, k) for k in (one, two)):
            deep = [depth_of(frame, p, top) for p in (h.a, h.b)]
            if abs(deep[0] - deep[1]) <= _ALIKE * deep[0]:
                found.append(Rib((one, two), top))
    return tuple(found)


def _parallel(frame: FoldingFrame, top: int, foot: int) -> bool:
    a, b = (frame.part.hinges[k] for k in (top, foot))
    return a.cosine_to(b) > _PARALLEL and abs(a.length - b.length) <= _ALIKE * a.length


def ribbed(
    frame: FoldingFrame, constraints: FoldConstraints, ways: Iterable[Candidate]
) -> Iterator[Candidate]:
    """Ways as they are, then each with all ribs stood up in the room."""
    turns = {
        hinge: angle
        for rib in ribs_of(frame)
        for hinge, angle in ((rib.feet[0], 90.0), (rib.feet[1], 90.0), (rib.top, -180.0))
    }
    return also_turned(constraints, turns, ways)
