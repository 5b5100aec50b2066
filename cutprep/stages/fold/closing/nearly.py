"""A part of which every angle is said, and that misses closing by a little more than sides may lie apart.

Allowances for thick card look like that where the card's caliper is not told. Such a part is no mere card: it is told how
far its flaps lie off.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutprep.stages.fold.closing.verdict.judge import Judged, judge
from cutprep.stages.fold.closing.verdict.state import FoldingFrame, folded_by
from cutprep.stages.fold.closing.ways.candidates import Candidate, signed
from cutprep.stages.fold.closing.ways.search import Ranked, reach_of
from cutprep.stages.fold.closing.zip.body import Body
from cutprep.stages.fold.declared.constraints import FoldConstraints

#: So many times the distance at which sides meet is a slip, or an allowance.
_NEAR = 2.5


def as_said(frame: FoldingFrame, constraints: FoldConstraints) -> Ranked | None:
    """The part by its declared angles, if it is sound but for such a slip; None where an angle is not said."""
    if len(constraints.fixed) < len(frame.part.hinges):
        return None
    degrees = signed(constraints, np.zeros(len(frame.part.hinges)))
    judged = judge(folded_by(frame, degrees), _NEAR * reach_of(frame.part, constraints))
    if not judged.sound or judged.flat:
        return None
    return Ranked(Candidate("declared", degrees), judged, 0.0)


def off_a_little(body: Body, judged: Judged) -> Body:
    """A body whose gap is how far a panel lies at most off the one below it."""
    state, far = judged.state, body.closure_error
    for panel, under in judged.shell.layers.items():
        for below in under[:1]:
            away = (state.corners[panel] - state.shift[below]) @ state.normal(below)
            far = max(far, float(np.abs(away).max()))
    return replace(body, closure_error=far)
