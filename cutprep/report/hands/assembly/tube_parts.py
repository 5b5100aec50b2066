"""A piece as walls that go round: which panels are walls, and what closes an end.

Terms: a *tube* is a row of walls that goes round and meets itself at a seam; its *ends* are
whatever hangs on the walls at either end of it. A *cover* is a panel that closes an end, its *tuck
flaps* hang on it, *dust flaps* on the walls beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cutprep.model.duties import Duty
from cutprep.model.folded import Flap, FoldReport, Role, Verdict
from cutprep.report.hands.assembly.structure import OVER, PanelTree

#: Folds that come nearer than this meet, mm.
_MEETS = 2.0
#: Folds of a fan turn by angles that differ by less than this, radians: 1 degree.
_ALIKE = 0.0175
#: What goes on from a seam into the tube: a partition and the foot that it stands on.
_WITHIN = (Duty.TURNED_WALL, Duty.FOOT)


@dataclass(frozen=True, slots=True)
class End:
    """What closes one end of a tube.

    Attributes
    ----------
    covers
        Body panels hanging on the walls there.
    tucks
        Flaps on the covers.
    dust
        Flaps on the walls that come to lie under a cover.
    gussets
        Folded corners between gathered panels.
    hems
        Strips that are folded down onto the walls they hang on.
    tabs
        Flaps on the walls that meet nothing of this piece.
    roof
        Of its covers the two that lean together over corners folded back under them, as those of a ridge do.
    """

    covers: tuple[int, ...] = ()
    tucks: tuple[Flap, ...] = ()
    dust: tuple[Flap, ...] = ()
    gussets: tuple[int, ...] = ()
    hems: tuple[Flap, ...] = ()
    tabs: tuple[Flap, ...] = ()
    roof: tuple[int, ...] = ()

    @property
    def open(self) -> bool:
        """Nothing closes it."""
        return not (self.covers or self.dust or self.gussets)

    @property
    def glued_shut(self) -> bool:
        """One panel lies on flaps beside it, and no flap of its own could hold it shut and open it again."""
        return len(self.covers) == 1 and bool(self.dust) and not self.tucks and not self.gussets

    @property
    def lapped(self) -> bool:
        """Panels close it one over the other."""
        return len(self.covers) != 1 or any(f.duty is Duty.CLOSURE_FLAP for f in self.dust)

    @property
    def tucks_in(self) -> bool:
        """One cover closes it with a tuck flap across from its fold, over dust flaps."""
        return len(self.covers) == 1 and bool(self.dust) and 1 <= len(self.tucks) <= 2


@dataclass(frozen=True, slots=True)
class Tube:
    """Walls that go round.

    Attributes
    ----------
    walls
        In order, from one side of the seam to the other.
    seam
        The flap under the seam, or None when the walls only meet.
    ends
        The lower (or left) end on the drawing, and the other.
    within
        Flaps that go on from the seam's flap into the tube, the nearest first.
    pointed
        The folds between the walls run to one point, so that one end is shut by the walls alone.
    """

    walls: tuple[int, ...]
    seam: Flap | None
    ends: tuple[End, End]
    within: tuple[Flap, ...] = ()
    pointed: bool = False


def tube_of(hung: PanelTree) -> Tube | None:
    """Find the walls that go round, when there are any, and all else of the piece closes their ends.

    A tray with a hinged lid goes round as well, from base over back and lid to the front; it is told by
    its side walls, which hold on by tabs beside their fold and not by one across from it, or by tabs of front
    and back: as the ends of a tube they would both be glued shut, and only its seam could open.
    """
    report = hung.report
    rimmed = [f for f in hung.lying if _rimmed(hung, f)]
    ways: list[tuple[list[int], Flap | None]] = [
        (_round(hung, flap.on, flap.target, hung.near[flap.panel][flap.on]), flap)
        for flap in hung.lying
        if flap.target is not None and flap not in rimmed
    ]
    rims = [{f.on, f.target} for f in rimmed]
    ways += [
        (_round(hung, mate.panel_a, mate.panel_b, None), None)
        for mate in report.mates
        if {mate.panel_a, mate.panel_b} not in rims
    ]
    # With a flap before without, long before short.
    ways.sort(key=lambda w: (-len(w[0]), w[1] is None))
    for way, seam in ways:
        if len(way) < 3:
            break
        ends = _ends(hung, way, seam)
        if any(_side_wall(hung, cover, way) for end in ends for cover in end.covers):
            continue
        if all(end.glued_shut and not end.lapped for end in ends) or any(map(_eared, ends)):
            continue
        pointed = _to_a_point(hung, way)
        if not _rest(hung, way, ends) and not (pointed and _corner(report, ends)):
            return Tube(tuple(way), seam, ends, _within(hung, seam), pointed)
    return None


def _within(hung: PanelTree, seam: Flap | None) -> tuple[Flap, ...]:
    """What goes on from the seam into the tube."""
    found: list[Flap] = []
    todo = [seam.panel] if seam is not None else []
    while todo:
        mine = [f for f in hung.flaps_on(todo.pop()) if f.duty in _WITHIN and f in hung.lying]
        found += mine
        todo += [f.panel for f in mine]
    return tuple(found)


def _corner(report: FoldReport, ends: tuple[End, End]) -> bool:
    """Panels whose folds meet are only a corner of something: a cone has nothing beside them, a pyramid its base."""
    covers = sum(len(end.covers) for end in ends)
    return covers > (report.verdict is Verdict.CLOSED)


def _rimmed(hung: PanelTree, flap: Flap) -> bool:
    """Whether dust flaps hang on a flap: the front of a lid that is a tray itself, and no glue flap of a seam."""
    return any(f.duty is Duty.DUST_FLAP for f in hung.flaps_on(flap.panel))


def _eared(end: End) -> bool:
    """A wall has a flap on the cover, and the cover a flap on that wall: a side of a tray, and ears of its lid."""
    tucked = {f.target for f in end.tucks}
    return any(f.duty is Duty.CLOSURE_FLAP and f.on in tucked for f in end.dust)


def _rest(hung: PanelTree, walls: list[int], ends: tuple[End, End]) -> set[int]:
    """Panels of the body that are no part of walls or ends; what hangs on gathered or ridged covers is."""
    rest = set(hung.body)
    for wall in walls:
        rest -= hung.level_with(wall)
    for end in ends:
        for cover in end.covers:
            rest -= hung.level_with(cover)
            beyond = hung.beyond(cover, next((w for w in walls if w in hung.near[cover]), cover))
            if end.gussets or _backed(hung, cover, set(walls)):
                rest -= beyond
    return rest


def _round(hung: PanelTree, begin: int, end: int, seam: int | None) -> list[int]:
    """The way from one wall to another when all its folds are parallel or fan out, and the seam's fold too."""
    way = hung.way(begin, end)
    rows = [hung.near[a][b] for a, b in pairwise(way)]
    folds = rows if seam is None else [seam, *rows]
    if len(way) < 3 or not set(way) <= set(hung.body):
        return []
    along = all(hung.parallel(rows[0], row) for row in folds) or _fanned(hung, folds)
    if not along and not _to_a_point(hung, way):
        return []
    if any(abs(hung.report.hinges[row].angle) > OVER for row in rows):
        return []
    return way


def _to_a_point(hung: PanelTree, walls: Sequence[int]) -> bool:
    """Whether all folds between walls run to one point."""
    first, *others = (hung.report.hinges[hung.near[a][b]].ends for a, b in pairwise(walls))
    return any(all(np.hypot(*(two - tip).T).min() < _MEETS for two in others) for tip in first)


def _fanned(hung: PanelTree, rows: list[int]) -> bool:
    """Whether folds turn from one to the next by one angle without meeting: the walls of a cup."""
    ends = [hung.report.hinges[row].ends for row in rows]
    turns = []
    for one, two in pairwise(ends):
        if np.hypot(*(one[:, None] - two[None]).reshape(-1, 2).T).min() < _MEETS:
            return False
        p, q = one[1] - one[0], two[1] - two[0]
        angle = np.arctan2(p[0] * q[1] - p[1] * q[0], p @ q)
        turns.append((float(angle) + np.pi / 2) % np.pi - np.pi / 2)
    return len(turns) > 1 and min(map(abs, turns)) > 0 and max(turns) - min(turns) < _ALIKE


def _side_wall(hung: PanelTree, panel: int, walls: list[int]) -> bool:
    """Whether a panel holds on by tabs at both sides of its fold and none across: a wall, no cover.

    On three walls that go round a cover has no side across from its fold.
    """
    if len(walls) == 3:
        return False
    on, part = next((w, k) for w in walls for k in sorted(hung.level_with(w)) if k in hung.near[panel])
    row = hung.near[panel][part]
    flaps = hung.flaps_on(panel)
    across = [f for f in flaps if hung.parallel(row, hung.near[f.panel][panel])]
    targets = {f.target for f in flaps}
    at = walls.index(on)
    beside = {walls[at - 1], walls[(at + 1) % len(walls)]}
    return not across and len(flaps) >= 2 and targets <= beside


def _ends(hung: PanelTree, walls: list[int], seam: Flap | None) -> tuple[End, End]:
    """What hangs on the walls at either end."""
    along = hung.upward(walls)
    found: list[dict[str, list[int]]] = [{}, {}]
    skip = {*walls, *(k for w in walls for k in hung.level_with(w)), *seam_flaps(hung, walls, seam)}
    for number, wall in enumerate(walls):
        # Up turns from wall to wall where they fan out.
        here = hung.along(hung.near[walls[max(number - 1, 0)]][walls[max(number, 1)]])
        along = here if here @ along > 0 else -here
        middle = np.array(hung.report.panels[wall].inner_point)
        parts = [*sorted(hung.level_with(wall)), *([seam.panel] if seam and seam.on == wall else [])]
        for k in dict.fromkeys(k for part in parts for k in hung.near[part]):
            if k in skip:
                continue
            side = int(float((np.array(hung.report.panels[k].inner_point) - middle) @ along) > 0)
            kind = _kind(hung, k)
            if not kind or k in found[side].get(kind, ()):
                continue
            found[side].setdefault(kind, []).append(k)
            gussets = [n for n in hung.beyond(k, wall) - skip if hung.report.panels[n].role is Role.GUSSET]
            found[side].setdefault("gussets", []).extend(gussets)
    ends = []
    for members in found:
        covers = members.get("covers", [])
        ends.append(
            End(
                tuple(covers),
                tuple(f for c in covers for f in hung.flaps_on(c) if f.duty is not Duty.GUSSET),
                tuple(hung.flaps[k] for k in members.get("dust", [])),
                tuple(dict.fromkeys(members.get("gussets", []))),
                tuple(hung.flaps[k] for k in members.get("hems", [])),
                tuple(hung.flaps[k] for k in members.get("tabs", [])),
                _roof(hung, covers, skip),
            )
        )
    return ends[0], ends[1]


def seam_flaps(hung: PanelTree, walls: Sequence[int], seam: Flap | None) -> set[int]:
    """The flap under a seam, and what a score that stays flat, or a slit, parts from it."""
    if seam is None:
        return set()
    tips = hung.level_with(walls[0]), hung.level_with(walls[-1])
    beside = {
        f.panel
        for f in hung.lying
        if (f.on in tips[0] and f.target in tips[1]) or (f.on in tips[1] and f.target in tips[0])
    }
    return {seam.panel, *beside}


def _roof(hung: PanelTree, covers: Sequence[int], walls: set[int]) -> tuple[int, ...]:
    """Covers with corners folded back under them, when two of four have such."""
    roof = tuple(c for c in covers if _backed(hung, c, walls))
    return roof if len(roof) == 2 and len(covers) == 4 else ()


def _backed(hung: PanelTree, cover: int, walls: set[int]) -> bool:
    """Whether a corner is folded back under a cover."""
    return any(hung.over(k, cover) for k in set(hung.near[cover]) - walls)


def _kind(hung: PanelTree, panel: int) -> str:
    """What a panel at an end of a tube is there for; empty for a door, a handle, a partition."""
    flap = hung.flaps.get(panel)
    if flap is None:
        return "covers"
    if flap.target is None:
        return "tabs"
    if flap.target == flap.on and flap in hung.lying:
        return "hems"
    return "" if flap not in hung.lying or flap.duty in _WITHIN else "dust"
