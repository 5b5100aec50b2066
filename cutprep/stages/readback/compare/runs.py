"""The runs of a path with the tool down, each with its tool."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutprep.model.lines import Flags, Points
from cutprep.model.moves import Moves


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """One run with the tool down.

    Attributes
    ----------
    points
        (n, 2) from where the tool comes down, mm.
    curved
        (n,) ndarray of bool: the step to this point is a chord of an arc.
    tool
        Number.
    first
        Index of its first move.
    """

    points: Points
    curved: Flags
    tool: int
    first: int


def strokes_of(moves: Moves) -> list[Stroke]:
    """Runs of moves with the same tool down."""
    if not len(moves):
        return []
    new = np.ones(len(moves) + 1, bool)
    new[1:-1] = (moves.down[1:] != moves.down[:-1]) | (moves.tool[1:] != moves.tool[:-1])
    edges = np.flatnonzero(new)
    path = moves.path
    return [
        Stroke(
            points=path[a : b + 1],
            curved=np.concatenate(([False], moves.curved[a:b])),
            tool=int(moves.tool[a]),
            first=a,
        )
        for a, b in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True)
        if moves.down[a]
    ]
