"""A piece as walls that go round: which panels are walls, and what closes an end.

Terms: a *tube* is a row of walls that goes round and meets itself at a seam; its *ends* are
whatever hangs on the walls at either end of it. A *cover* is a panel that closes an end, its *tuck
flaps* hang on it, *dust flaps* on the walls beside it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cutprep.model.folded import Flap, Role
from cutprep.report.hands.assembly.structure import OVER, PanelTree

#: Folds that come nearer than this meet, mm.
_MEETS = 2.0
#: Folds of a fan turn by angles that differ by less than this, radians: 1 degree.
_ALIKE = 0.0175


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
    """

    covers: tuple[int, ...] = ()
    tucks: tuple[Flap, ...] = ()
    dust: tuple[Flap, ...] = ()
    gussets: tuple[int, ...] = ()

    @property
    def open(self) -> bool:
        """Nothing closes it."""
        return not (self.covers or self.dust or self.gussets)

    @property
    def glued_shut(self) -> bool:
        """One panel lies on flaps beside it, and no flap of its own could hold it shut and open it again."""
        return len(self.covers) == 1 and bool(self.dust) and not self.tucks and not self.gussets

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
    """

    walls: tuple[int, ...]
    seam: Flap | None
    ends: tuple[End, End]


def tube_of(hung: PanelTree) -> Tube | None:
    """Find the walls that go round, when there are any.

    A tray with a hinged lid goes round as well, from base over back and lid to the front; it is told by
    its side walls, which hold on by tabs beside their fold and not by one across from it, or by tabs of front
    and back: as the ends of a tube they would both be glued shut, and only its seam could open.
    """
    report = hung.report
    ways: list[tuple[list[int], Flap | None]] = [
        (_round(hung, flap.on, flap.target, hung.near[flap.panel][flap.on]), flap)
        for flap in report.flaps
        if flap.target is not None
    ]
    ways += [(_round(hung, mate.panel_a, mate.panel_b, None), None) for mate in report.mates]
    # With a flap before without, long before short.
    ways.sort(key=lambda w: (-len(w[0]), w[1] is None))
    for way, seam in ways:
        if len(way) < 3:
            break
        ends = _ends(hung, way, seam)
        if any(_side_wall(hung, cover, way) for end in ends for cover in end.covers):
            continue
        if not all(end.glued_shut for end in ends):
            return Tube(tuple(way), seam, ends)
    return None


def _round(hung: PanelTree, begin: int, end: int, seam: int | None) -> list[int]:
    """The way from one wall to another when all its folds are parallel or fan out, and the seam's fold too."""
    way = hung.way(begin, end)
    rows = [hung.near[a][b] for a, b in pairwise(way)]
    folds = rows if seam is None else [seam, *rows]
    if len(way) < 3 or not (all(hung.parallel(rows[0], row) for row in folds) or _fanned(hung, folds)):
        return []
    if any(abs(hung.report.hinges[row].angle) > OVER for row in rows):
        return []
    return way


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
    on = next(k for k in hung.near[panel] if k in walls)
    row = hung.near[panel][on]
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
    skip = {*walls, *((seam.panel,) if seam is not None else ())}
    for number, wall in enumerate(walls):
        # Up turns from wall to wall where they fan out.
        here = hung.along(hung.near[walls[max(number - 1, 0)]][walls[max(number, 1)]])
        along = here if here @ along > 0 else -here
        middle = np.array(hung.report.panels[wall].inner_point)
        for k in hung.near[wall]:
            if k in skip:
                continue
            side = int(float((np.array(hung.report.panels[k].inner_point) - middle) @ along) > 0)
            kind = "dust" if k in hung.flaps else "covers"
            found[side].setdefault(kind, []).append(k)
            gussets = [n for n in hung.beyond(k, wall) - skip if hung.report.panels[n].role is Role.GUSSET]
            found[side].setdefault("gussets", []).extend(gussets)
    ends = []
    for members in found:
        covers = members.get("covers", [])
        ends.append(
            End(
                tuple(covers),
                tuple(f for c in covers for f in hung.flaps_on(c)),
                tuple(hung.flaps[k] for k in members.get("dust", [])),
                tuple(dict.fromkeys(members.get("gussets", []))),
            )
        )
    return ends[0], ends[1]
