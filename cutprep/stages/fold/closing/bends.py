"""Parts that close nothing: cards, leaflets, stands, inserts, pop-ups. They only bend."""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.judge import judge
from cutprep.stages.fold.closing.verdict.state import all_angles, folded_by, frame_of
from cutprep.stages.fold.closing.ways.candidates import signed
from cutprep.stages.fold.closing.ways.search import reach_of
from cutprep.stages.fold.closing.ways.tubes import rows_of
from cutprep.stages.fold.closing.zip.body import across, as_meetings
from cutprep.stages.fold.closing.zip.solve import solve
from cutprep.stages.fold.declared.constraints import FoldConstraints
from cutprep.stages.fold.net.part import HingedPart

#: Scores within 3 degrees are parallel (cosine).
_PARALLEL = 0.9986
#: An end panel no wider than this share of the narrowest wall is a flap; so many walls make a ring with one,
#: and one more with a flap at each end.
_FLAP, _RING = 0.6, 3


def touches_nothing(part: HingedPart, constraints: FoldConstraints) -> bool:
    """Whether no two panels come together when every score is folded square: a card, not a box."""
    frame = frame_of(part, work=constraints.work)
    judged = judge(
        folded_by(frame, signed(constraints, np.full(len(part.hinges), 90.0))), reach_of(part, constraints)
    )
    touching = any(judged.touching(s) for sides in frame.sides for s in sides if s.hinge < 0)
    return not touching and not judged.contacts.crossing


def never_closes(part: HingedPart) -> bool:
    """Whether all scores are parallel and no row of panels looks like a ring with its glue flap."""
    if not part.hinges or any(h.kind != "straight" for h in part.hinges):
        return False
    runs = [(h.ends[1] - h.ends[0]) / h.length for h in part.hinges]
    if any(abs(float(runs[0] @ run)) < _PARALLEL for run in runs):
        return False
    for row in rows_of(frame_of(part)):
        inner = row.widths[1:-1]
        if not inner:
            continue
        ends = sum(width <= _FLAP * min(inner) for width in (row.widths[0], row.widths[-1]))
        if ends and len(row.widths) - ends >= _RING + ends - 1:
            return False
    return True


def relaxed(part: HingedPart, constraints: FoldConstraints) -> Points:
    """Square folds, as nearly as rings of panels allow: an example of how a part can stand; (h,), degrees."""
    frame = frame_of(part, work=constraints.work)
    tree = frame.tree
    degrees = signed(constraints, np.full(len(part.hinges), 90.0))
    rows = across(part, tree, list(range(len(part.panels))))
    if not rows:
        return degrees
    start = np.radians(np.append(degrees, 0.0)[tree.hinge])
    free = np.flatnonzero(tree.hinge >= 0)
    answer = solve(tree, as_meetings(rows), start, free, size=float(np.sqrt(part.areas.mean())))
    degrees[tree.hinge[free]] = np.degrees(answer.radians[free])
    return all_angles(folded_by(frame, degrees))
