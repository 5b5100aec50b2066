"""A body folded up: solved angles, and how well it closes, how convex and how large it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.geometry.space.hinged import Tree, carry, pose_panels
from cutprep.model.lines import Index, Points
from cutprep.stages.fold.closing.zip.guesses import Guess
from cutprep.stages.fold.closing.zip.outline import OutlineSide
from cutprep.stages.fold.closing.zip.seams import Zipped
from cutprep.stages.fold.closing.zip.solve import Answer, Meetings, solve
from cutprep.stages.fold.closing.zip.start import start_folds
from cutprep.stages.fold.declared.constraints import FoldConstraints
from cutprep.stages.fold.net.part import HingedPart, hang_from

#: Start angles tried after the one read off the corners, degrees.
_STARTS = (90.0, 45.0, 60.0, 30.0, 72.0, 120.0)
_MOST_STARTS = 10
#: Panels times starts that are tried at most, so that a large net ends in time.
_EFFORT = 200
#: A body that encloses less than this share of what its area could is flat.
_FLAT = 0.01
#: So is one whose thickness in the mean is less than this share of what layers bulge that are off a little.
_BULGE = 0.2


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """A folded body.

    Attributes
    ----------
    tree
        How its panels hang.
    radians
        (p,) ndarray of float: fold angle above each panel.
    gaps
        Largest distance of each pair of sides, mm.
    closure_error
        Largest distance at gathered corners and at hinges that close a ring of panels, mm.
    concavity
        How far the worst corner stands outside the plane of a panel, mm.
    volume
        mm3, positive when the side seen in the drawing is inside.
    rim_bend
        How far the rims are from flat, mm.
    flat
        It encloses next to nothing.
    free, meetings, size
        What was solved: panels whose hinge was free, points that meet, mean panel size, mm.
    loops
        Corners of every rim in space, (n, 3), the longest rim first.
    open_sides, open_length
        Sides that meet nothing, and their length, mm.
    """

    guess: Guess
    zipped: Zipped
    tree: Tree
    radians: Points
    gaps: tuple[float, ...]
    closure_error: float
    concavity: float
    volume: float
    rim_bend: float
    flat: bool
    free: Index
    meetings: Meetings
    size: float
    loops: tuple[Points, ...]
    open_sides: int
    open_length: float

    @property
    def gap(self) -> float:
        """Largest distance of anything that is to meet, mm."""
        return max((*self.gaps, self.closure_error))

    @property
    def root(self) -> int:
        """The panel that stays put."""
        return self.tree.root

    def seam_angles(self) -> dict[int, float]:
        """Fold of every hinge of its tree (k as k) and every mate (m as -1 - m), degrees; inwards is less than 0."""
        inside = 1.0 if self.volume >= 0 else -1.0
        hung = [p for p, k in enumerate(self.tree.hinge.tolist()) if k >= 0]
        found = {int(self.tree.hinge[p]): inside * float(np.degrees(self.radians[p])) for p in hung}
        turn, _ = pose_panels(self.tree, self.radians)
        for m, pair in enumerate(self.zipped.pairs):
            a, b = self.zipped.side(pair.a), self.zipped.side(pair.b)
            along = turn[a.panel][:, :2] @ ((a.ends[0] - a.ends[1]) / a.length)
            one, two = turn[a.panel][:, 2], turn[b.panel][:, 2]
            found[-1 - m] = inside * float(np.degrees(np.arctan2(np.cross(one, two) @ along, one @ two)))
        return found

    @property
    def members(self) -> tuple[int, ...]:
        """Panels of the body."""
        return tuple(self.tree.members.tolist())


def meetings_of(sides: Sequence[tuple[OutlineSide, OutlineSide]]) -> list[tuple[int, int, Points, Points]]:
    """End points, (2,) each, that come together at pairs of sides."""
    rows = []
    for a, b in sides:
        rows.append((a.panel, b.panel, a.ends[0], b.ends[1]))
        rows.append((a.panel, b.panel, a.ends[1], b.ends[0]))
    return rows


def as_meetings(rows: Sequence[tuple[int, int, Points, Points]]) -> Meetings:
    """Columns out of rows (panel, panel, point, point)."""
    panel = np.array([r[:2] for r in rows], dtype=np.int64).reshape(-1, 2)
    return Meetings(panel, np.array([r[2:] for r in rows], dtype=np.float64).reshape(-1, 2, 2))


def folded_body(
    part: HingedPart, guess: Guess, zipped: Zipped, constraints: FoldConstraints, rng: np.random.Generator
) -> Body:
    """Fold one body as well as it goes.

    Starts are tried in turn until one gives a closed, convex body that is not flat; else the
    best is kept: several exact closures of one net exist, and only convexity tells them apart.

    Parameters
    ----------
    part, guess
        The panels, and which of them are taken for the body.
    zipped
        The sides that meet.
    constraints
        What the folds have to obey.
    rng
        Draws the later starts.
    """
    aside = guess.flaps | guess.halves
    members = [p for p in range(len(part.panels)) if p not in aside]
    tree = hang_from(part, _root(part, members), members)
    rows = meetings_of([(zipped.side(p.a), zipped.side(p.b)) for p in zipped.pairs])
    seams = len(rows)
    rows += across(part, tree, members) + gathered(part, constraints, members)
    meetings = as_meetings(rows)
    hung = np.flatnonzero(tree.hinge >= 0)
    free = hung[[int(h) not in constraints.fixed for h in tree.hinge[hung]]]
    size = float(np.sqrt(part.areas[members].mean()))
    best: Body | None = None
    for n, start in enumerate(_starts(tree, zipped, constraints, rng)):
        answer = solve(tree, meetings, start, free, size=size)
        constraints.work.steps(answer.steps, 3 * len(meetings) * len(free))
        body = measured(part, guess, zipped, tree, meetings, answer, free, seams, size)
        if best is None or _badness(body, constraints) < _badness(best, constraints):
            best = body
        closed = body.gap <= constraints.seam and not body.flat
        if (closed and convex(body, constraints)) or not len(meetings) or not len(free):
            break
        if n == 0 and convex(body, constraints) and not body.flat and body.gap < 0.1 * size:
            break  # it is the drawing that doesn't close, not the search that went astray
    assert best is not None
    return best


def convex(body: Body, constraints: FoldConstraints) -> bool:
    """Whether a body is convex as far as its seam errors let one tell."""
    return body.concavity <= max(1.0, 2 * body.gap, 2 * constraints.seam)


def _badness(body: Body, constraints: FoldConstraints) -> tuple[bool, float]:
    return (body.flat or not convex(body, constraints), max(body.gap, 1.0) + 1e-2 * body.concavity)


def _root(part: HingedPart, members: list[int]) -> int:
    inside = set(members)
    count = dict.fromkeys(members, 0)
    for hinge in part.hinges:
        if hinge.a in inside and hinge.b in inside:
            count[hinge.a] += 1
            count[hinge.b] += 1
    areas = part.areas
    return max(members, key=lambda p: (count[p], round(float(areas[p]), 3), -p))


def across(part: HingedPart, tree: Tree, members: list[int]) -> list[tuple[int, int, Points, Points]]:
    """End points, (2,) each, of the hinges that the spanning tree leaves out: they have to stay together."""
    inside, used = set(members), set(tree.hinge.tolist())
    return [
        (h.a, h.b, end, end)
        for k, h in enumerate(part.hinges)
        if k not in used and h.a in inside and h.b in inside
        for end in h.ends
    ]


def gathered(
    part: HingedPart, constraints: FoldConstraints, members: list[int]
) -> list[tuple[int, int, Points, Points]]:
    """Points, (2,) each, of corners that the maker says come together."""
    rows = []
    for group in constraints.gathers:
        owner = {v: next((p for p in members if v in part.rings[p]), None) for v in group}
        points = [(p, part.xy[v]) for v, p in owner.items() if p is not None]
        rows += [(points[0][0], p, points[0][1], xy) for p, xy in points[1:]]
    return rows


def _starts(
    tree: Tree, zipped: Zipped, constraints: FoldConstraints, rng: np.random.Generator
) -> Iterator[Points]:
    """Fold angles to start from, radians above each panel."""
    hinges = tree.hinge
    known = start_folds(zipped.cycles)
    told = np.array([known.get(int(h), 90.0) for h in hinges])
    fixed = np.array([constraints.fixed.get(int(h), np.nan) for h in hinges])

    def ready(degrees: Points, sign: Points) -> Points:
        angles = np.where(np.isnan(fixed), degrees * sign, fixed)
        return np.asarray(np.radians(np.where(hinges >= 0, angles, 0.0)))

    sense = np.full(len(hinges), constraints.sense)
    drawn = np.append(constraints.signs, 0.0)[hinges]
    most = int(np.clip(_EFFORT // max(1, len(hinges)), 1, _MOST_STARTS))
    yield ready(told, sense)
    most -= 1
    if (drawn * constraints.sense < 0).any():
        yield ready(told, np.where(drawn == 0, sense, drawn))
        most -= 1
    for degrees in _STARTS[: max(0, most)]:
        yield ready(np.full(len(hinges), degrees), sense)
    for _ in range(most - len(_STARTS)):
        yield ready(rng.uniform(10.0, 150.0, len(hinges)), sense)


def measured(
    part: HingedPart,
    guess: Guess,
    zipped: Zipped,
    tree: Tree,
    meetings: Meetings,
    answer: Answer,
    free: Index,
    seams: int,
    size: float,
) -> Body:
    """Measure a body at solved angles.

    Parameters
    ----------
    part, guess, zipped, tree
        What was folded.
    meetings, answer
        Points that come together, and how nearly they do.
    free
        (k,) ndarray of int: panels whose hinge was free to turn.
    seams
        So many of the first meetings are those of the body's sides.
    size
        Length that made distances comparable with angles, mm.
    """
    turn, shift = pose_panels(tree, answer.radians)
    members = tree.members.tolist()
    over = {
        v for side in zipped.outline.sides for v in side.over
    }  # what bows out above a rim encloses nothing
    rings = {
        p: carry(turn[p], shift[p], part.xy[[v for v in part.rings[p] if v not in over]]) for p in members
    }
    rims = [
        np.array([carry(turn[s.panel], shift[s.panel], s.ends[:1])[0] for s in map(zipped.side, rim)])
        for rim in zipped.rims
    ]
    volume = -enclosed([*rings.values(), *(r[::-1] for r in rims)])
    area = float(part.areas[members].sum())
    gaps = answer.gaps[:seams].reshape(-1, 2).max(axis=1) if seams else np.zeros(0)
    # The sphere of the same area encloses area ** 1.5 / sqrt(36 pi), the most that is possible.
    flat = abs(volume) < _FLAT * area**1.5 / np.sqrt(36 * np.pi)
    # Layers whose sides are off a little close only by bulging: by up to the root of both, as an arc above its chord.
    bulge = np.sqrt(2.0 * part.tolerance * np.sqrt(area))
    flat |= 2.0 * abs(volume) < _BULGE * bulge * area
    return Body(
        guess=guess,
        zipped=zipped,
        tree=tree,
        radians=answer.radians,
        gaps=tuple(float(g) for g in gaps),
        closure_error=float(answer.gaps[seams:].max(initial=0.0)),
        concavity=concavity_of(rings, turn, 1.0 if volume >= 0 else -1.0),
        volume=volume,
        rim_bend=max((bend_of(r) for r in rims), default=0.0),
        flat=bool(flat),
        free=free,
        meetings=meetings,
        size=size,
        loops=tuple(rims[k] for k in _longest_first(zipped)),
        open_sides=len(zipped.open_sides),
        open_length=zipped.open_length,
    )


def _longest_first(zipped: Zipped) -> list[int]:
    length = [sum(zipped.side(k).length for k in rim) for rim in zipped.rims]
    return sorted(range(len(length)), key=lambda r: -length[r])


def enclosed(loops: Sequence[Points]) -> float:
    """Volume within closed loops in space, (n, 3) each, mm3; positive when they run counter-clockwise from outside.

    Each loop is triangulated from its centroid (divergence theorem).
    """
    points = np.vstack(loops)
    points = points - points.mean(axis=0)
    count = np.array([len(loop) for loop in loops])
    first = np.cumsum(count) - count
    onward = np.arange(1, len(points) + 1)
    onward[first + count - 1] = first
    (x, y, z), (u, v, w) = points.T, points[onward].T
    across = np.add.reduceat(np.column_stack((y * w - z * v, z * u - x * w, x * v - y * u)), first)
    centre = np.add.reduceat(points, first) / count[:, None]
    return float((centre * across).sum()) / 6.0


def concavity_of(
    rings: Mapping[int, Points], turn: Points, inside: float, headers: frozenset[int] = frozenset()
) -> float:
    """How far any corner stands outside the plane of any panel, mm; 0 for a convex body.

    Parameters
    ----------
    rings
        Corners of each panel in space, (n, 3), mm.
    turn
        (p, 3, 3) ndarray of float: the rotation of every panel.
    inside
        +1 when the panels' normals point into the body, -1 when out of it.
    headers
        Panels that rise above a rim; their corners are left out.
    """
    panels = list(rings)
    normals = -inside * turn[panels][:, :, 2]
    anchors = np.array([rings[p].mean(axis=0) for p in panels])
    corners = np.vstack([ring for p, ring in rings.items() if p not in headers] or list(rings.values()))
    out = corners @ normals.T - (normals * anchors).sum(axis=1)[None, :]
    return float(max(0.0, out.max()))


def bend_of(points: Points) -> float:
    """How far points, (n, 3), are from one plane, mm."""
    if len(points) < 4:
        return 0.0
    away = points - points.mean(axis=0)
    normal = np.linalg.svd(away, full_matrices=False)[2][-1]
    return float(np.abs(away @ normal).max())
