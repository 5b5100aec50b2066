"""Lids on a zipped body: flaps at its flat rim that close it when they are laid level over the opening."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutprep.stages.fold.closing.verdict.judge import judge
from cutprep.stages.fold.closing.verdict.state import FoldingFrame, folded_by
from cutprep.stages.fold.closing.zip.body import Body, measured
from cutprep.stages.fold.closing.zip.guesses import Guess
from cutprep.stages.fold.closing.zip.solve import solve
from cutprep.stages.fold.net.part import hang_from


def with_lids(
    frame: FoldingFrame, body: Body, degrees: dict[int, float], lids: dict[int, int], reach: float
) -> Body | None:
    """Make lids part of a body, if they leave nothing open.

    Parameters
    ----------
    degrees
        Fold angle of every hinge, those of the lids level.
    lids
        Panel to the hinge it hangs on.
    reach
        Distance within which edges touch, mm.
    """
    part = frame.part
    angles = np.array([degrees.get(k, 0.0) for k in range(len(part.hinges))])
    judged = judge(folded_by(frame, angles), reach)
    if not judged.sound or judged.flat or judged.openings:
        return None
    tree = hang_from(part, body.root, [*body.members, *lids])
    start = np.radians(np.append(angles, 0.0)[tree.hinge])
    kept = solve(tree, body.meetings, start, np.empty(0, dtype=np.int64), size=body.size)
    guess = Guess(body.guess.flaps - set(lids), body.guess.pleats)
    closed = measured(
        part, guess, body.zipped, tree, body.meetings, kept, body.free, 2 * len(body.zipped.pairs), body.size
    )
    zipped = replace(body.zipped, rims=(), rim_fans=())
    return replace(
        closed, zipped=zipped, volume=body.volume, loops=(), open_sides=0, open_length=0.0, rim_bend=0.0
    )
