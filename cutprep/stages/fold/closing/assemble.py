"""From a way of folding that was judged to the body it closes: its sides, seams and exact angles."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutprep.geometry.space.hinged import Tree, carry, pose_panels
from cutprep.model.lines import Index, Points
from cutprep.stages.fold.closing.verdict.judge import Judged, judge
from cutprep.stages.fold.closing.verdict.state import State, folded_by, frame_of
from cutprep.stages.fold.closing.zip.body import (
    Body,
    across,
    as_meetings,
    concavity_of,
    measured,
    meetings_of,
)
from cutprep.stages.fold.closing.zip.guesses import Guess
from cutprep.stages.fold.closing.zip.outline import LOOKS, CornerRule, OutlineSide, outline_of
from cutprep.stages.fold.closing.zip.seams import Zip, Zipped
from cutprep.stages.fold.closing.zip.solve import Answer, Meetings, loose_angles, solve
from cutprep.stages.fold.closing.zip.zips import distances
from cutprep.stages.fold.declared.constraints import FoldConstraints
from cutprep.stages.fold.net.part import HingedPart, hang_from

#: Scores drawn by hand are not quite parallel, so that a ring of panels is stiff on paper: what stretches
#: its seams by less than this share moves all the same.
_SLACK = 5e-3  # not a tolerance: rank of a matrix
#: A wall of a ring hangs on no more than its neighbours.
_BOTH_SIDES = 2
#: A part that an end panel holds is stiff though its motions may be soft, as of a drum.
_FIRM = 1e-4  # not a tolerance: rank of a matrix
#: A side is held where it touches along so many mm, or this share of it.
_HELD, _HELD_SHARE = 10.0, 0.5
#: Sides further apart than this only lie beside one another (a flap cut narrower than its opening), mm.
_SEAM = 0.75
#: Sides further apart than this share of the shorter one only come near, as chords of the round corners of petals do.
_SEAM_SHARE = 0.5
#: Sides whose lengths differ by more meet along the shorter, mm.
_RELIEF = 0.2
#: Closing the seams exactly turns no hinge by more than this, degrees; else the seams are not those.
_MOST_TURN = 12.0
#: A way whose hinges move by less than this when the seams are closed is exact already, degrees.
_EXACT = 1e-7  # not a tolerance: spares a second judging
#: Seams closer than this have met, mm; a turn away from the way's angles has to gain this share.
_MET, _BETTER = 1e-7, 0.1  # not a tolerance: spares the search
#: A fold of less than this is none, degrees.
_FLAT = 1.0
#: How firmly angles that the seams leave free are held where they are.
_HOLD = 1e-3  # not a tolerance: weight of the start


def assembled(judged: Judged, constraints: FoldConstraints) -> tuple[Body, Judged]:
    """Find the seams of a judged way, close them exactly, and judge it again."""
    part = judged.state.frame.part
    members = sorted(judged.shell.panels)
    root = judged.state.frame.tree.root
    if root not in judged.shell.panels:
        root = max(members, key=lambda p: (len(part.hinges_at(p)), round(float(part.areas[p]), 2), -p))
        judged = judge(folded_by(frame_of(part, root, constraints.work), judged.state.degrees), judged.limit)
        members = sorted(judged.shell.panels)
    zipped = max((_zipped(judged, look) for look in LOOKS), key=lambda z: len(z.pairs))
    tree = hang_from(part, root, members)
    start = np.radians(np.append(judged.state.degrees, 0.0)[tree.hinge])
    rows = [row for p in zipped.pairs for row in _shared(judged.state, zipped.side(p.a), zipped.side(p.b))]
    seams = len(rows)
    rows += across(part, tree, members)
    meetings = as_meetings(rows)
    hung = np.flatnonzero(tree.hinge >= 0)
    free = hung[[int(h) not in constraints.fixed for h in tree.hinge[hung]]]
    size = float(np.sqrt(part.areas[members].mean()))
    answer = _closed(tree, meetings, start, free, size)
    body = measured(part, _guess(judged), zipped, tree, meetings, answer, free, seams, size)
    degrees = judged.state.degrees.copy()
    degrees[tree.hinge[hung]] = np.degrees(answer.radians[hung])
    if np.abs(degrees - judged.state.degrees).max() > _EXACT:
        judged = judge(folded_by(judged.state.frame, degrees), judged.limit)
    return _with_verdict(part, body, judged), judged


def _shared(state: State, a: OutlineSide, b: OutlineSide) -> list[tuple[int, int, Points, Points]]:
    """Points of the shorter of two sides and where they lie on the longer: a relief is no gap."""
    if abs(a.length - b.length) < _RELIEF:
        return meetings_of([(a, b)])
    short, long = (a, b) if a.length < b.length else (b, a)
    start, end = state.lift(long.panel, long.ends)
    u = (end - start) / np.linalg.norm(end - start)
    places = (state.lift(short.panel, short.ends) - start) @ u
    along = (long.ends[1] - long.ends[0]) / long.length
    return [
        (short.panel, long.panel, xy, long.ends[0] + min(max(float(t), 0.0), long.length) * along)
        for xy, t in zip(short.ends, places, strict=True)
    ]


def _closed(tree: Tree, meetings: Meetings, start: Points, free: Index, size: float) -> Answer:
    """Close the seams near the way's angles; keep these when that leads away."""
    kept = solve(tree, meetings, start, np.empty(0, dtype=np.int64), size=size)
    if kept.gaps.max(initial=0.0) < _MET:
        return kept
    answer = solve(tree, meetings, start, free, size=size, pull=_HOLD)
    answer = solve(tree, meetings, answer.radians, free, size=size)
    turned = np.degrees(np.abs(answer.radians - start)).max(initial=0.0)
    better = answer.gaps.max(initial=0.0) < _BETTER * kept.gaps.max(initial=0.0)
    return answer if turned <= _MOST_TURN and better else kept


def _guess(judged: Judged) -> Guess:
    return Guess(frozenset(judged.shell.layers) | judged.shell.extras)


def _with_verdict(part: HingedPart, body: Body, judged: Judged) -> Body:
    """Put what the verdict found about rims, volume and openings into the body."""
    open_ = _open_sides(body.zipped, judged)
    headers = {p for r in judged.rims for p in r.headers}
    if open_ == set(body.zipped.open_sides) and not headers and body.concavity <= judged.limit:
        return body  # every side that meets no other is a rim: nothing lies over another there
    loops = tuple(r.corners for r in judged.rims if len(r.corners))
    return replace(
        body,
        concavity=_concavity(part, body, headers) if headers else body.concavity,
        volume=judged.volume,
        flat=judged.flat,
        rim_bend=max((r.bend for r in judged.rims), default=0.0),
        loops=loops,
        open_sides=len(open_),
        open_length=float(judged.open_length),
    )


def _open_sides(zipped: Zipped, judged: Judged) -> set[int]:
    """The sides of the outline that the openings run along, over half their length."""
    along: dict[int, float] = {}
    for rim in judged.openings:
        for side, (a, b) in rim.stretches:
            u = (side.ends[1] - side.ends[0]) / side.length
            middle = side.ends[0] + (a + b) / 2 * u
            mine = [k for k, s in enumerate(zipped.outline.sides) if s.panel == side.panel]
            if mine:
                near = mine[int(np.argmin(distances([zipped.side(k) for k in mine], middle)))]
                along[near] = along.get(near, 0.0) + b - a
    return {k for k, length in along.items() if length > 0.5 * zipped.side(k).length}


def _concavity(part: HingedPart, body: Body, headers: set[int]) -> float:
    """How far the body is from convex, what rises above its rims left out."""
    turn, shift = pose_panels(body.tree, body.radians)
    corners = {p: carry(turn[p], shift[p], part.xy[list(part.rings[p])]) for p in body.members}
    return concavity_of(corners, turn, 1.0 if body.volume >= 0 else -1.0, frozenset(headers))


def _zipped(judged: Judged, look: CornerRule) -> Zipped:
    """Let sides of the shell meet where they lie on one another."""
    state = judged.state
    outline = outline_of(state.frame.part, judged.shell.panels, look)
    zipper = Zip(outline)
    ends = np.array([state.lift(s.panel, s.ends) for s in outline.sides])
    panels = np.array([s.panel for s in outline.sides])
    one = np.linalg.norm(ends[:, None, 0] - ends[None, :, 1], axis=2)
    worst = np.maximum(one, one.T)
    worst[panels[:, None] == panels[None]] = np.inf
    lengths = np.array([s.length for s in outline.sides])
    near = np.minimum(1.2 * judged.limit, _SEAM_SHARE * np.minimum.outer(lengths, lengths))
    one_side, other_side = np.nonzero(worst <= near)
    order = np.lexsort((other_side, one_side, np.round(worst[one_side, other_side], 6)))
    taken: set[int] = set()
    for i, j in zip(one_side[order].tolist(), other_side[order].tolist(), strict=True):
        if taken.isdisjoint((i, j)):
            taken |= {i, j}
            if _beside(ends[i], ends[j]) < _SEAM:
                zipper.glue(i, j)
    return zipper.result()


def _beside(a: Points, b: Points) -> float:
    """How far the ends of one side lie from the line of another, mm."""
    u = (b[1] - b[0]) / np.linalg.norm(b[1] - b[0])
    away = a - b[0]
    return float(np.linalg.norm(away - np.outer(away @ u, u), axis=1).max())


def movable_hinges(body: Body, judged: Judged) -> set[int]:
    """Hinges of the shell that can still turn when everything that touches stays together."""
    state, part = judged.state, judged.state.frame.part
    members = set(body.members)
    rows = []
    for panel in body.members:
        for side in state.frame.sides[panel]:
            if side.hinge >= 0 and part.hinges[side.hinge].other(panel) in members:
                continue
            for other, stretches in judged.touching(side).items():
                if other in members:
                    rows += _held(state, side.panel, side.ends, other, stretches)
    found = as_meetings(rows)
    pairs = np.vstack((body.meetings.panel, found.panel))
    xy = np.vstack((body.meetings.xy, found.xy))
    # A ring of walls without an end panel, as a cone of several sides is, has one opening and nothing that holds it.
    ring = all(
        sum(part.hinges[k].other(p) in members for k in part.hinges_at(p)) <= _BOTH_SIDES for p in members
    )
    slack = _SLACK if len(judged.openings) > 1 or (judged.openings and ring) else _FIRM
    # A score that the finished part leaves flat lets it be folded up for the post: it turns nothing while the part stands.
    turned = np.abs(np.degrees(body.radians[body.free])) > _FLAT
    free = body.free[turned]
    loose = loose_angles(body.tree, Meetings(pairs, xy), body.radians, free, body.size, slack)
    return {int(k) for k in body.tree.hinge[free[loose]]}


def _held(
    state: State, panel: int, ends: Points, other: int, stretches: list[tuple[float, float]]
) -> list[tuple[int, int, Points, Points]]:
    """Points of a side that stay where they touch another panel."""
    u = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    found = []
    least = min(_HELD, _HELD_SHARE * float(np.hypot(*(ends[1] - ends[0]))))
    for a, b in stretches:
        if b - a < least:
            continue  # corners of flaps that come near one another hold nothing
        for t in (a, b):
            point = ends[0] + t * u
            found.append((panel, other, point, state.lower(other, state.lift(panel, point[None]))[0]))
    return found
