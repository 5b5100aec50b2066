"""Slanting scores of standing walls that stay flat: pre-glued corners are folded there for the post."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cutprep.stages.fold.closing.verdict.state import FoldingFrame
from cutprep.stages.fold.closing.ways.candidates import Candidate, also_turned
from cutprep.stages.fold.declared.constraints import FoldConstraints

#: Cosines between a slanting score and its wall's foot: 25 to 65 degrees.
_SLANTING = (0.42, 0.91)


def slanting_scores(frame: FoldingFrame) -> tuple[int, ...]:
    """Scores that cut a corner off a wall, from an end of its foot, with nothing hanging beyond."""
    part, tree, found = frame.part, frame.tree, []
    for panel in tree.members[1:].tolist():
        score, foot = int(tree.hinge[panel]), int(tree.hinge[int(tree.parent[panel])])
        if foot < 0 or len(part.hinges_at(panel)) != 1:
            continue
        one, two = part.hinges[score], part.hinges[foot]
        if _SLANTING[0] < one.cosine_to(two) < _SLANTING[1] and set(one.tips) & set(two.tips):
            found.append(score)
    return tuple(found)


def left_flat(
    frame: FoldingFrame, constraints: FoldConstraints, ways: Iterable[Candidate]
) -> Iterator[Candidate]:
    """Ways as they are, then each with slanting scores left flat."""
    return also_turned(constraints, dict.fromkeys(slanting_scores(frame), 0.0), ways)
