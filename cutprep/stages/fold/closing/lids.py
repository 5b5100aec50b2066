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
    """Make lids part of a body, if they leave nothing open but rims without a lid.

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
    lidless = [k for k, rim in enumerate(body.zipped.rims) if not _hung(body, rim) & set(lids.values())]
    if not judged.sound or judged.flat or len(judged.openings) != len(lidless):
        return None
    tree = hang_from(part, body.root, [*body.members, *lids])
    start = np.radians(np.append(angles, 0.0)[tree.hinge])
    kept = solve(tree, body.meetings, start, np.empty(0, dtype=np.int64), size=body.size)
    guess = Guess(body.guess.flaps - set(lids), body.guess.pleats)
    rims = tuple(body.zipped.rims[k] for k in lidless)
    fans = tuple(body.zipped.rim_fans[k] for k in lidless)
    zipped = replace(body.zipped, rims=rims, rim_fans=fans)
    closed = measured(
        part, guess, zipped, tree, body.meetings, kept, body.free, 2 * len(zipped.pairs), body.size
    )
    return replace(closed, volume=body.volume)


def _hung(body: Body, rim: tuple[int, ...]) -> set[int]:
    """Hinges of the flaps on a rim."""
    return {k for side in rim for k in body.zipped.side(side).hung}
