"""Parts that close nothing: cards, leaflets, stands, inserts, pop-ups. They only bend."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.judge import judge
from cutprep.stages.fold.closing.verdict.state import all_angles, folded_by, frame_of
from cutprep.stages.fold.closing.ways.candidates import signed
from cutprep.stages.fold.closing.ways.search import reach_of
from cutprep.stages.fold.closing.ways.tubes import PanelRow, paired, rows_of, wall_ranges
from cutprep.stages.fold.closing.zip.body import across, as_meetings
from cutprep.stages.fold.closing.zip.solve import solve
from cutprep.stages.fold.declared.constraints import FoldConstraints
from cutprep.stages.fold.net.part import HingedPart

#: Scores within 3 degrees are parallel (cosine).
_PARALLEL = 0.9986
#: An end panel no wider than this share of the narrowest wall is a flap; so many walls make a ring with one,
#: and one more with a flap at each end.
_FLAP, _RING = 0.75, 3
#: A tube of three walls without a glue flap has none narrower than this share of the widest.
_THIN = 0.4
#: Leaves that lie in one another differ by more than the first, mm, and less than the second, as a share.
_ALIKE = (0.3, 0.05)


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
    if not _is_strip(part):
        return False
    for row in rows_of(frame_of(part)):
        inner = row.widths[1:-1]
        if not inner:
            continue
        ends = sum(width <= _FLAP * min(inner) for width in (row.widths[0], row.widths[-1]))
        if ends and len(row.widths) - ends >= _RING + ends - 1:
            return False
    return True


def is_cover(part: HingedPart) -> bool:
    """Whether all scores are parallel and a ring of three walls would have to be far too thin for a tube.

    Covers with a spine, jackets and cards with a lip look like that. So do leaflets: each leaf a little
    narrower than the one it lies on.
    """
    if not _is_strip(part):
        return False
    rows = rows_of(frame_of(part))
    return bool(rows) and not any(_rings(row) for row in rows)


def is_zigzag(part: HingedPart) -> bool:
    """Whether all scores are parallel, and drawn to fold to and fro in turn: pages of an album, a leporello."""
    if not _is_strip(part):
        return False
    folds = [int(part.hinges[k].fold) for row in rows_of(frame_of(part))[:1] for k in row.hinges]
    return len(folds) == len(part.hinges) and all(a * b < 0 for a, b in pairwise(folds))


def _is_strip(part: HingedPart) -> bool:
    """Whether all scores are straight and parallel."""
    if not part.hinges or any(h.kind != "straight" for h in part.hinges):
        return False
    runs = [(h.ends[1] - h.ends[0]) / h.length for h in part.hinges]
    return all(abs(float(runs[0] @ run)) >= _PARALLEL for run in runs)


def _rings(row: PanelRow) -> bool:
    """Whether a row of panels may be a tube."""
    for first, last in wall_ranges(row):
        walls = row.widths[first : last + 1]
        left_out = (*row.widths[:first], *row.widths[last + 1 :])
        if len(walls) > _RING:
            if paired(walls) or row.one_flap:
                return True
            continue
        if left_out and max(left_out) <= _FLAP * min(walls):
            return True
        leaves = _ALIKE[0] < max(walls) - min(walls) < _ALIKE[1] * max(walls)
        if not left_out and min(walls) >= _THIN * max(walls) and not leaves:
            return True
    return False


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
