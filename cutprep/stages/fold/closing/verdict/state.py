"""A part folded in one way: where every panel lies in space."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.geometry.closeness.grades import grades
from cutprep.geometry.space.hinged import Tree, carry, pose_panels
from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.crossing import shrunk
from cutprep.stages.fold.closing.work import WorkBudget
from cutprep.stages.fold.net.hems import Hem, end_tabs_of, hems_of
from cutprep.stages.fold.net.idle import inner_vertices, straight_lines
from cutprep.stages.fold.net.part import HingedPart, hang_from

#: Turns of less than this beside a vertex are noise or chords of a straight side, mm off the chord.
_STRAIGHT = 0.1
#: A strip between wall and turned-in wall is a rim when it is no deeper than this share of the wall.
NARROW_RIM = 0.35
#: Beyond a rim wider than this the inner side stands off the outer, mm: a narrower one only gives room for the card.
_THICK_RIM = 1.75
#: A hollow wall is no thicker than this share of its height; its inner side is as deep as its outer, within these shares.
_BROAD_RIM, _AS_DEEP = 1.2, (0.9, 1.03)
#: Areas that differ by less than this are equal when a panel is chosen, mm2.
_SAME_AREA = 0.1
#: Directions within this are parallel (sine of 2 degrees).
_PARALLEL = 0.035


@dataclass(frozen=True, slots=True, eq=False)
class PanelSide:
    """A straight run of a panel's border.

    Attributes
    ----------
    panel
        The panel on its left.
    hinge
        The hinge it is, or -1 for a free side.
    ends
        (2, 2) flat.
    length
        Length, mm.
    """

    panel: int
    hinge: int
    ends: Points
    length: float = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "length", float(np.hypot(*(self.ends[1] - self.ends[0]))))


@dataclass(frozen=True, slots=True, eq=False)
class FoldingFrame:
    """What all ways of folding one part share.

    Attributes
    ----------
    part
        The part.
    tree
        How its panels hang on the first, for placing them.
    rings
        Corners of each panel, flat, simplified, (n, 2).
    shapes
        Each panel with its outer ring only, simplified.
    depth
        (p,) steps from the first panel.
    across
        Hinges that the tree leaves out.
    inner
        Each panel without its rim, to look for crossings.
    sides
        The straight runs of each panel's outer border.
    apart
        Pairs of a wall and the strip turned in beyond a narrow rim: how far they may stand apart, mm.
    rims
        Those narrow rims.
    lines
        For each hinge the number of the straight line that it is a part of.
    cornered
        Panels at corners inside the card where four scores or more meet.
    hems
        Strips of one depth across several walls.
    end_tabs
        Tabs round the end of a tube that leave the most of it open.
    hollow
        Inner side of a hollow wall to its outer side.
    grown
        Panels made larger all round, by panel and distance: filled as they are asked for.
    work
        Where judging is counted.
    """

    part: HingedPart
    tree: Tree
    rings: tuple[Points, ...]
    shapes: tuple[shapely.Polygon, ...]
    depth: tuple[int, ...]
    across: tuple[int, ...]
    inner: tuple[BaseGeometry, ...]
    sides: tuple[tuple[PanelSide, ...], ...]
    apart: dict[frozenset[int], float]
    rims: frozenset[int]
    lines: tuple[int, ...]
    cornered: frozenset[int] = frozenset()
    hems: tuple[Hem, ...] = ()
    end_tabs: frozenset[int] = frozenset()
    hollow: dict[int, int] = field(default_factory=dict)
    grown: dict[tuple[int, float], BaseGeometry] = field(default_factory=dict)
    work: WorkBudget = field(default_factory=WorkBudget)

    def wider(self, panel: int, by: float) -> BaseGeometry:
        """A panel made larger all round, mm."""
        key = (panel, by)
        if key not in self.grown:
            self.grown[key] = self.shapes[panel].buffer(by, join_style="mitre")
        return self.grown[key]


def frame_of(part: HingedPart, root: int | None = None, work: WorkBudget | None = None) -> FoldingFrame:
    """Hang all panels on the one with the most hinges, or on a given one."""
    count = len(part.panels)
    if root is None:
        root = _middle_of(part)
    tree = hang_from(part, root, list(range(count)))
    within = max(_STRAIGHT, part.tolerance)
    shapes = tuple(
        shapely.Polygon(shapely.get_coordinates(p.exterior.simplify(within))) for p in part.polygons
    )
    rings = tuple(shapely.get_coordinates(s.exterior)[:-1] for s in shapes)
    depth = [0] * count
    for panel in tree.members[1:].tolist():
        depth[panel] = depth[int(tree.parent[panel])] + 1
    used = set(tree.hinge.tolist())
    across = tuple(k for k in range(len(part.hinges)) if k not in used)
    inner = tuple(shrunk(p) for p in part.polygons)
    sides = tuple(tuple(_sides_of(part, p, within)) for p in range(count))
    frame = FoldingFrame(
        part, tree, rings, shapes, tuple(depth), across, inner, sides, {}, frozenset(), straight_lines(part)
    )
    strips = strips_of(frame)
    apart: dict[frozenset[int], float] = {}
    rims: set[int] = set()
    hollow: dict[int, int] = {}
    for wall, beyond in strips.items():
        hinge = int(tree.hinge[wall])
        deep = depth_of(frame, wall, hinge) if hinge >= 0 else 0.0
        room = depth_of(frame, int(tree.parent[wall]), hinge) if hinge >= 0 else 0.0
        for rim in beyond:
            # What is shallower than the panel it hangs on is a glue flap on an end wall, not a wall turned in.
            further = strips.get(rim.panel, [])
            turned = [s for s in further if s.depth >= rim.depth]
            if rim.depth > NARROW_RIM * deep:
                plain = len(part.hinges_at(rim.panel)) == 2  # a wall of a tube carries more
                turned = [s for s in further if plain and _stands_in(strips, rim, s, deep, room)]
            if rim.depth > _THICK_RIM:
                hollow |= {s.panel: wall for s in turned}
            if turned:
                apart |= {frozenset((wall, s.panel)): rim.depth for s in turned}
                rims.add(rim.panel)
    hems = hems_of(part)
    hemmed = {k for hem in hems for k in hem.hinges}
    corners = [around for around in inner_vertices(part).values() if len(around) > 3]
    ties = [k for around in corners if hemmed.isdisjoint(around) for k in around]
    cornered = frozenset(p for k in ties for p in (part.hinges[k].a, part.hinges[k].b))
    frame = replace(
        frame,
        cornered=cornered,
        hems=hems,
        end_tabs=end_tabs_of(part),
        hollow=hollow,
    )
    return replace(frame, apart=apart, rims=frozenset(rims), work=WorkBudget() if work is None else work)


def _middle_of(part: HingedPart) -> int:
    """The panel with the most hinges, the largest of these, and of equal ones that from which the others are nearest."""
    count = len(part.panels)
    most = max(len(part.hinges_at(p)) for p in range(count))
    busy = [p for p in range(count) if len(part.hinges_at(p)) == most]
    size = grades(part.areas[busy], _SAME_AREA)
    equal = [p for p, grade in zip(busy, size.tolist(), strict=True) if grade == size.max()]
    if len(equal) == 1:
        return equal[0]
    far = _steps_from(part, _farthest(_steps_from(part, _farthest(_steps_from(part, 0)))))
    back = _steps_from(part, _farthest(far))
    return min(equal, key=lambda p: (max(far[p], back[p]), p))


def _farthest(steps: Sequence[int]) -> int:
    return max(range(len(steps)), key=lambda p: (steps[p], -p))


def _steps_from(part: HingedPart, panel: int) -> list[int]:
    """Hinges between a panel and every panel."""
    steps = [-1] * len(part.panels)
    steps[panel], todo = 0, [panel]
    for here in todo:
        for k in part.hinges_at(here):
            there = part.hinges[k].other(here)
            if steps[there] < 0:
                steps[there] = steps[here] + 1
                todo.append(there)
    return steps


def _stands_in(strips: dict[int, list[Strip]], rim: Strip, strip: Strip, deep: float, room: float) -> bool:
    """Whether a strip beyond a broad rim comes down to a base, with a foot on it: the wall is hollow.

    Of a square tube with a glue flap the last wall comes down to the far side of the first: no room for a foot is left there.
    """
    low, high = _AS_DEEP
    feet = [s for s in strips.get(strip.panel, []) if s.depth < deep and not strips.get(s.panel)]
    foot = any(rim.depth + s.depth < room + _THICK_RIM for s in feet)
    return foot and rim.depth <= _BROAD_RIM * deep and low * deep <= strip.mean <= high * deep


def _sides_of(part: HingedPart, panel: int, within: float) -> list[PanelSide]:
    """Walk round a panel: a side ends where another hinge begins or the border turns."""
    ring = part.rings[panel]
    runs = list(zip(ring, (*ring[1:], ring[0]), strict=True))
    tags = [part.joins.get(run, -1) for run in runs]
    first = next((k for k in range(len(runs)) if tags[k] != tags[k - 1]), 0)
    order = [(first + k) % len(runs) for k in range(len(runs))]
    found: list[PanelSide] = []
    for tag, group in groupby(order, key=lambda k: tags[k]):
        members = list(group)
        xy = part.xy[[runs[members[0]][0], *(runs[k][1] for k in members)]]
        if tag >= 0 and part.hinges[tag].kind == "straight":
            xy = xy[[0, -1]]
        elif len(members) == len(runs):
            xy = np.vstack((xy[:-1], xy[:1]))
        kept = shapely.get_coordinates(shapely.LineString(xy).simplify(within))
        found += [PanelSide(panel, tag, kept[k : k + 2]) for k in range(len(kept) - 1)]
    return found


@dataclass(frozen=True, slots=True)
class Strip:
    """A panel that goes on from another across parallel scores: its hinge, and how deep it is.

    `mean` is how deep it is on the average: a tongue at its edge adds nothing to that.
    """

    panel: int
    on: int
    hinge: int
    depth: float
    mean: float


def strips_of(frame: FoldingFrame) -> dict[int, list[Strip]]:
    """For every panel, those that go on from it on the side away from the hinge it hangs on."""
    part, tree = frame.part, frame.tree
    found: dict[int, list[Strip]] = {}
    for panel in tree.members[1:].tolist():
        on, hinge = int(tree.parent[panel]), int(tree.hinge[panel])
        above = int(tree.hinge[on])
        if above < 0:
            continue
        one, two = (part.hinges[k].ends for k in (above, hinge))
        u = (one[1] - one[0]) / part.hinges[above].length
        v = (two[1] - two[0]) / part.hinges[hinge].length
        if abs(u[0] * v[1] - u[1] * v[0]) > _PARALLEL:
            continue
        if part.hinges[hinge].length < 0.5 * part.hinges[above].length:
            continue
        depth = depth_of(frame, panel, hinge)
        mean = min(depth, frame.shapes[panel].area / part.hinges[hinge].length)
        found.setdefault(on, []).append(Strip(panel, on, hinge, depth, mean))
    return found


def depth_of(frame: FoldingFrame, panel: int, hinge: int) -> float:
    """How far a panel reaches from a hinge, mm."""
    h = frame.part.hinges[hinge]
    along = (h.ends[1] - h.ends[0]) / h.length
    return float(np.abs((frame.rings[panel] - h.ends[0]) @ np.array([-along[1], along[0]])).max())


@dataclass(frozen=True, slots=True, eq=False)
class State:
    """One way of folding a part.

    Attributes
    ----------
    degrees
        (h,) ndarray of float: fold angle of every hinge.
    turn, shift
        (p, 3, 3) and (p, 3) ndarray of float: where the panels lie.
    corners
        Corners of each panel in space, (n, 3).
    closure_error
        How far hinges that close a ring of panels are torn apart, mm.
    low, high
        (p, 3) ndarray of float each: the box round every panel in space.
    """

    frame: FoldingFrame
    degrees: Points
    turn: Points
    shift: Points
    corners: tuple[Points, ...]
    closure_error: float
    low: Points
    high: Points

    def lift(self, panel: int, xy: Points) -> Points:
        """Flat points of a panel in space: (n, 2) to (n, 3), mm."""
        return carry(self.turn[panel], self.shift[panel], xy)

    def lower(self, panel: int, xyz: Points) -> Points:
        """Points in space as seen in the plane of a panel, (n, 2)."""
        return np.asarray(((xyz - self.shift[panel]) @ self.turn[panel])[:, :2])

    def normal(self, panel: int) -> Points:
        """Unit normal of a panel on the side of the card that the drawing shows, (3,)."""
        return np.asarray(self.turn[panel][:, 2])


def folded_by(frame: FoldingFrame, degrees: Points) -> State:
    """Fold a part by given angles, (h,), degrees, one a hinge."""
    tree = frame.tree
    turn, shift = pose_panels(tree, np.radians(np.append(degrees, 0.0)[tree.hinge]))
    corners = tuple(carry(turn[p], shift[p], ring) for p, ring in enumerate(frame.rings))
    closure_error = 0.0
    for k in frame.across:
        h = frame.part.hinges[k]
        one, two = (carry(turn[p], shift[p], h.ends) for p in (h.a, h.b))
        closure_error = max(closure_error, float(np.linalg.norm(one - two, axis=1).max()))
    low, high = (np.array([f(c, axis=0) for c in corners]) for f in (np.min, np.max))
    return State(frame, degrees, turn, shift, corners, closure_error, low, high)


def all_angles(state: State) -> Points:
    """Fold angle of every hinge, (h,), degrees; of those that close a ring of panels as they have come to lie."""
    degrees = state.degrees.copy()
    for k in state.frame.across:
        h = state.frame.part.hinges[k]
        along = state.turn[h.a][:, :2] @ ((h.ends[1] - h.ends[0]) / h.length)
        one, two = state.normal(h.a), state.normal(h.b)
        degrees[k] = np.degrees(np.arctan2(np.cross(one, two) @ along, one @ two))
    return degrees
