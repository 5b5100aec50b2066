"""What a panel may be: body, flap or half a gusset. Not decided at once, but proposed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity

from cutprep.model.lines import Points
from cutprep.stages.fold.net.part import HingedPart

#: A leaf that fills less of its box than this narrows away from its hinge.
_NARROWS = 0.985
#: Depth over length up to which a leaf may be a flap.
_SHALLOW = (0.35, 0.6, 1.0)
#: A flap is smaller than this share of the largest panel, where depth does not tell.
_SMALL = 0.25
#: Beside walls that narrow too, as those of a cup, what narrows is a flap when its area is below this share of the largest panel
#: (a high cup), or of the one it hangs on (a low one, whose base is the largest).
_NARROWER = 0.8
#: Share of area by which mirror images may differ.
_ALIKE = 0.04
#: Sides of a single half at a seam may be as much shorter than those of the others: the last wall is trimmed by the card, mm.
_TRIMMED = 2.0
#: How far the three hinge lines of a gusset may miss one another, mm.
_CONCURRENT = 2.0


@dataclass(frozen=True, slots=True)
class Leaf:
    """A panel with a single hinge.

    Attributes
    ----------
    depth, length
        How far it reaches from its hinge; how long the hinge is, mm.
    narrows
        It gets narrower away from the hinge and has more than three corners.
    """

    panel: int
    hinge: int
    on: int
    depth: float
    length: float
    narrows: bool


@dataclass(frozen=True, slots=True)
class Pleat:
    """Two mirrored halves (the second None at a seam) between two walls."""

    half_a: int
    half_b: int | None
    hinge_a: int
    hinge_b: int | None
    middle: int | None


@dataclass(frozen=True, slots=True)
class Guess:
    """Which panels are flaps and which are gussets."""

    flaps: frozenset[int]
    pleats: tuple[Pleat, ...] = ()

    @property
    def halves(self) -> frozenset[int]:
        """Panels that are gusset halves."""
        return frozenset(h for p in self.pleats for h in (p.half_a, p.half_b) if h is not None)


def leaves_of(part: HingedPart) -> tuple[Leaf, ...]:
    """Find the panels that hang on one straight hinge."""
    found = []
    for panel in range(len(part.panels)):
        hinges = part.hinges_at(panel)
        if len(hinges) != 1 or part.hinges[hinges[0]].kind != "straight":
            continue
        hinge = part.hinges[hinges[0]]
        along = hinge.ends[1] - hinge.ends[0]
        along = along / np.hypot(*along)
        ring = part.xy[list(part.rings[panel])] - hinge.ends[0]
        u, v = ring @ along, ring @ np.array([-along[1], along[0]])
        box = float(np.ptp(u) * np.ptp(v))
        corners = len(_corners(part.polygons[panel], max(part.tolerance, 0.1)))
        found.append(
            Leaf(
                panel=panel,
                hinge=hinges[0],
                on=hinge.other(panel),
                depth=float(np.abs(v).max()),
                length=hinge.length,
                narrows=corners > 3 and part.polygons[panel].area < _NARROWS * box,
            )
        )
    return tuple(found)


def _corners(polygon: shapely.Polygon, within: float) -> Points:
    """Corners of a polygon without those that hardly turn, (n, 2)."""
    xy = shapely.get_coordinates(polygon.exterior.simplify(within))[:-1]
    before, after = np.roll(xy, 1, axis=0), np.roll(xy, -1, axis=0)
    chord = after - before
    size = np.hypot(*chord.T)
    far = np.abs(chord[:, 0] * (xy - before)[:, 1] - chord[:, 1] * (xy - before)[:, 0]) / np.maximum(
        size, within
    )
    return np.asarray(xy[far > within])


def pleats_of(part: HingedPart) -> tuple[Pleat, ...]:
    """Find pairs of gusset halves, and single halves at a seam that look like one of a pair."""
    found = []
    taken: set[int] = set()
    for k, hinge in enumerate(part.hinges):
        others = [[h for h in part.hinges_at(p) if h != k] for p in (hinge.a, hinge.b)]
        if hinge.kind != "straight" or any(len(o) != 1 for o in others) or {hinge.a, hinge.b} & taken:
            continue
        one, two = others[0][0], others[1][0]
        if one == two or not _mirrored(part, k) or not _concurrent(part, k, one, two):
            continue
        taken |= {hinge.a, hinge.b}
        found.append(Pleat(hinge.a, hinge.b, one, two, k))
    shapes = [_side_lengths(part, p.half_a) for p in found]
    for leaf in leaves_of(part):
        if leaf.panel in taken:
            continue
        mine = _side_lengths(part, leaf.panel)
        if any(len(mine) == len(s) and np.abs(mine - s).max() < _TRIMMED for s in shapes):
            found.append(Pleat(leaf.panel, None, leaf.hinge, None, None))
    return tuple(found)


def _mirrored(part: HingedPart, k: int) -> bool:
    """Whether the panels of a hinge are mirror images in it."""
    hinge = part.hinges[k]
    a, b = part.polygons[hinge.a], part.polygons[hinge.b]
    if abs(a.area - b.area) > _ALIKE * max(a.area, b.area):
        return False
    (px, py), d = hinge.ends[0], hinge.ends[1] - hinge.ends[0]
    c, s = (d[0] ** 2 - d[1] ** 2) / (d @ d), 2 * d[0] * d[1] / (d @ d)
    turned = affinity.affine_transform(a, [c, s, s, -c, px - c * px - s * py, py - s * px + c * py])
    return bool(turned.symmetric_difference(b).area < 2 * _ALIKE * b.area)


def _concurrent(part: HingedPart, middle: int, one: int, two: int) -> bool:
    """Whether three hinge lines pass through one point."""
    p, q = part.hinges[one].ends, part.hinges[two].ends
    r, s = p[1] - p[0], q[1] - q[0]
    bottom = r[0] * s[1] - r[1] * s[0]
    if abs(bottom) < 1e-2 * np.hypot(*r) * np.hypot(*s):
        return False
    where = p[0] + r * ((q[0] - p[0])[0] * s[1] - (q[0] - p[0])[1] * s[0]) / bottom
    ends = part.hinges[middle].ends
    along = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    away = where - ends[0]
    return bool(abs(along[0] * away[1] - along[1] * away[0]) < _CONCURRENT)


def _side_lengths(part: HingedPart, panel: int) -> Points:
    xy = _corners(part.polygons[panel], max(part.tolerance, 0.1))
    return np.asarray(np.sort(np.hypot(*(np.roll(xy, -1, axis=0) - xy).T)))


def guesses(part: HingedPart, known: dict[int, bool]) -> Iterator[Guess]:
    """Propose flaps and gussets, without repeats.

    Parameters
    ----------
    known
        Panels that the maker declared to be flaps (True) or not (False).
    """
    leaves = [leaf for leaf in leaves_of(part) if leaf.panel not in known]
    said = frozenset(p for p, flap in known.items() if flap)
    narrow = {leaf.panel for leaf in leaves if leaf.narrows}
    shallow = {
        limit: {leaf.panel for leaf in leaves if leaf.depth < limit * leaf.length} for limit in _SHALLOW
    }
    areas = part.areas
    small = {leaf.panel for leaf in leaves if areas[leaf.panel] < _SMALL * areas.max()}
    narrower = {leaf.panel for leaf in leaves if areas[leaf.panel] < _NARROWER * areas.max()}
    beside = {leaf.panel for leaf in leaves if areas[leaf.panel] < _NARROWER * areas[leaf.on]}
    sets = [narrow, narrow & small, narrow & narrower, narrow & beside]
    sets += [narrow & s for s in shallow.values()]
    sets += [*(narrow | s for s in shallow.values()), _outer(part, leaves) & small, set()]
    pleats = tuple(p for p in pleats_of(part) if p.half_a not in known)
    seen = set()
    for with_pleats in (pleats, ()) if pleats else ((),):
        halves = Guess(frozenset(), with_pleats).halves
        for flaps in sets:
            guess = Guess((frozenset(flaps) - halves) | said, with_pleats)
            if guess not in seen and len(guess.flaps) + len(halves) < len(part.panels):
                seen.add(guess)
                yield guess


def _outer(part: HingedPart, leaves: list[Leaf]) -> set[int]:
    """Leaves that hang on a panel which itself hangs on the one with the most hinges."""
    root = max(range(len(part.panels)), key=lambda p: (len(part.hinges_at(p)), part.areas[p], -p))
    walls = {part.hinges[k].other(root) for k in part.hinges_at(root)}
    return {leaf.panel for leaf in leaves if leaf.on != root and leaf.on in walls}


def likely_flaps(part: HingedPart) -> frozenset[int]:
    """Leaves that narrow, are small, and reach less far than their hinge is long."""
    areas = part.areas
    return frozenset(
        leaf.panel
        for leaf in leaves_of(part)
        if leaf.narrows and leaf.depth < leaf.length and areas[leaf.panel] < _SMALL * areas.max()
    )
