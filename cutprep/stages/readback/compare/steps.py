"""Whether a machine file does what was planned move by move: what nearly every file does, found in columns."""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Flags
from cutprep.model.moves import Moves
from cutprep.stages.readback.track import Track


def step_for_step(wanted: tuple[Moves, Track], got: tuple[Moves, Track], within: float) -> bool:
    """Whether two tracks have the same moves, each with all that is said before it and holds in it.

    Then no leg can differ. No means nothing: a file may leave out a move of no length, or say chords as an arc.

    Parameters
    ----------
    wanted, got
        A plan and a file, as moves, mm on the sheet, and as what was followed.
    within
        Largest distance of a place from its planned one, mm.
    """
    (plan, planned), (read, track) = wanted, got
    if read.curved.any():
        return False
    ours, theirs = _counted(plan), _counted(read)
    a, b = plan.path[1:][ours], read.path[1:][theirs]
    return (
        len(a) == len(b)
        and np.array_equal(plan.down[ours], read.down[theirs])
        and np.array_equal(plan.tool[ours], read.tool[theirs])
        and bool((np.hypot(*(np.vstack((a, [plan.home])) - np.vstack((b, [read.home]))).T) <= within).all())
        and _said(planned, ours) == _said(track, theirs)
        and _helds(planned, ours) == _helds(track, theirs)
    )


def _counted(moves: Moves) -> Flags:
    """Moves that count: with the tool up those of some length, and one wherever it is lifted."""
    counted = moves.down | (moves.lengths > 0)
    heads = np.flatnonzero(np.diff(moves.down.astype(np.int8), prepend=np.int8(-1)))
    if len(heads):
        bare = heads[~np.logical_or.reduceat(counted, heads)]
        counted[bare] = True
    return counted


def _said(track: Track, counted: Flags) -> list[tuple[object, ...]]:
    """What is said, each before which of the moves that count."""
    before = np.concatenate(([0], np.cumsum(counted))).tolist()
    return [(said.kind, said.values, before[said.before]) for said in track.said]


def _helds(track: Track, counted: Flags) -> list[object]:
    return [held for held, one in zip(track.helds, counted.tolist(), strict=True) if one]
