"""Handles in one piece: a strip that goes straight on from a wall, over the room and down on the far wall."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cutprep.stages.fold.closing.verdict.state import FoldingFrame
from cutprep.stages.fold.closing.ways.candidates import Candidate, also_turned
from cutprep.stages.fold.declared.constraints import FoldConstraints

#: A handle is no wider than this share of the wall that it goes on from; its scores are parallel (cosine of 2 degrees).
_NARROW, _PARALLEL = 0.7, 0.9994
#: Angles of its scores, from the wall on: leg, span, far leg, degrees.
_TURNS = (0.0, 90.0, 90.0)


def handles_of(frame: FoldingFrame) -> tuple[tuple[int, ...], ...]:
    """Find chains of three strips that go on from walls; the scores of each."""
    part, tree, found = frame.part, frame.tree, []
    for tip in tree.members[1:].tolist():
        if len(part.hinges_at(tip)) != 1:
            continue
        chain, at = [int(tree.hinge[tip])], int(tree.parent[tip])
        while len(chain) < len(_TURNS) and len(part.hinges_at(at)) == 2 and int(tree.hinge[at]) >= 0:
            chain.append(int(tree.hinge[at]))
            at = int(tree.parent[at])
        foot = int(tree.hinge[at])
        if len(chain) == len(_TURNS) and foot >= 0 and _goes_on(frame, [*chain, foot]):
            found.append(tuple(reversed(chain)))
    return tuple(found)


def _goes_on(frame: FoldingFrame, hinges: list[int]) -> bool:
    """Whether scores are parallel to the last, the wall's foot, and clearly shorter."""
    *chain, foot = (frame.part.hinges[k] for k in hinges)
    return all(h.length <= _NARROW * foot.length and h.cosine_to(foot) > _PARALLEL for h in chain)


def handled(
    frame: FoldingFrame, constraints: FoldConstraints, ways: Iterable[Candidate]
) -> Iterator[Candidate]:
    """Ways as they are, then each with all handles led over the room."""
    turns = {hinge: angle for chain in handles_of(frame) for hinge, angle in zip(chain, _TURNS, strict=True)}
    return also_turned(constraints, turns, ways)
