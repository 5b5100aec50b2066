"""From flat to folded: fold angles for a picture at every stage.

The angles grow together. Where panels are connected in rings (webbed corners), angles that grow
evenly would tear them; there the ring is closed again by least squares near those angles. Such
frames are pictures; they don't prove that rigid panels can pass that way.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

import numpy as np

from cutprep.geometry.space.hinged import Tree, pose_panels, tree_of
from cutprep.model.folded import FoldReport, Motion
from cutprep.model.lines import Points
from cutprep.stages.fold.closing.zip.body import as_meetings
from cutprep.stages.fold.closing.zip.solve import Meetings, solve
from cutprep.stages.fold.net.part import HingedPart, hang_from

#: Frames when rings have to be closed in each.
_FRAMES = 17
#: Of parts with more panels than this fewer frames are closed, so that it ends in time.
_LARGE, _FEW_FRAMES = 60, 7
#: How firmly a frame holds to evenly grown angles before its rings are closed.
_HOLD = 0.05


def full_tree(
    part: HingedPart, root: int, body: frozenset[int], known: Collection[int] | None = None
) -> Tree:
    """Hang every panel of a part: the body first, then what hangs on it.

    Parameters
    ----------
    part, root, body
        The part, the panel that lies still, and the panels of the body.
    known
        Hinges whose angles were found, which must reach all of the body; all when None. Where scores close a ring
        within it, as a tear line across one wall does, those of one way round are not found but follow.
    """
    inner = [k for k, h in enumerate(part.hinges) if h.a in body and h.b in body]
    outer = frozenset(range(len(part.hinges))) - frozenset(inner)
    follow = outer if known is None else outer.union(k for k in inner if k not in known)
    first = hang_from(part, root, sorted(body), shun=follow)
    used = {int(k) for k in first.hinge if k >= 0}
    shut = frozenset(inner) - used
    return hang_from(part, root, list(range(len(part.panels))), shun=shut)


def hinge_angles(part: HingedPart, tree: Tree, degrees: dict[int, float]) -> Points:
    """Fold angle of every hinge, (h,), degrees within half a turn; those outside the tree are measured."""
    count = len(part.hinges)
    angles = np.array([degrees.get(k, 0.0) for k in range(count)])
    # A search may go past a panel that is turned right back: the same place is reached the other way round.
    angles = np.where(np.abs(angles) > 180.0, (angles + 180.0) % 360.0 - 180.0, angles)
    turn, _ = pose_panels(tree, above(tree, angles))
    for k in set(range(count)) - set(tree.hinge.tolist()):
        if k in degrees:
            continue
        h = part.hinges[k]
        along = turn[h.a][:, :2] @ ((h.ends[1] - h.ends[0]) / h.length)
        one, two = turn[h.a][:, 2], turn[h.b][:, 2]
        angles[k] = np.degrees(np.arctan2(np.cross(one, two) @ along, one @ two))
    return angles


def above(tree: Tree, degrees: Points) -> Points:
    """Fold angle of the hinge above each panel, radians, (p,)."""
    return np.asarray(np.radians(np.append(degrees, 0.0)[tree.hinge]))


def motion_of(tree: Tree, angles: Points) -> Motion:
    """The way from flat to folded by its two ends; angles (h,), degrees."""
    ends = np.array([np.zeros(len(angles)), angles])
    return Motion(tree.members, tree.parent, tree.hinge, np.array([0.0, 1.0]), ends)


def with_frames(part: HingedPart, report: FoldReport) -> FoldReport:
    """Put frames between the ends of a report's motion where its panels are connected in rings."""
    tree, motion = tree_of(report), report.motion
    others = tuple(with_frames(part, r) for r in report.alternatives)
    if tree is None or motion is None or not motion.angles.any():
        return replace(report, alternatives=others)
    used, angles = set(tree.hinge.tolist()), motion.angles[-1]
    across = [k for k in range(len(part.hinges)) if k not in used]
    rows = [(part.hinges[k].a, part.hinges[k].b, end, end) for k in across for end in part.hinges[k].ends]
    if rows:
        fractions = np.linspace(0.0, 1.0, _FRAMES if len(part.panels) <= _LARGE else _FEW_FRAMES)
        meetings = as_meetings(rows)
        between = [_closed(part, tree, angles * f, meetings) for f in fractions[1:-1]]
        motion = replace(motion, fractions=fractions, angles=np.vstack((0.0 * angles, *between, angles)))
    return replace(report, motion=motion, alternatives=others)


def _closed(part: HingedPart, tree: Tree, degrees: Points, meetings: Meetings) -> Points:
    """Close the rings of one frame near given angles; give all hinge angles, degrees."""
    above_rings = tree.above[np.unique(meetings.panel)].any(axis=0)
    free = np.flatnonzero(above_rings & (tree.hinge >= 0))
    size = float(np.sqrt(part.areas.mean()))
    near = solve(tree, meetings, above(tree, degrees), free, size=size, pull=_HOLD)
    exact = solve(tree, meetings, near.radians, free, size=size)
    found = degrees.copy()
    hung = tree.hinge >= 0
    found[tree.hinge[hung]] = np.degrees(exact.radians[hung])
    return found
