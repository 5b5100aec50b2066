"""What touches what in a folded part: panels flush on panels, sides along sides, panels across panels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.model.lines import Points
from cutprep.stages.fold.closing.verdict.crossing import Posed, crossing_of
from cutprep.stages.fold.closing.verdict.state import PanelSide, State

#: Planes that lean by less than this are parallel (cosine of 2 degrees: noise turns a short hinge by one).
_PARALLEL = 0.9994
#: Planes that lean by more than 15 degrees from one another stand at an angle (cosine).
_UPRIGHT = 0.966
#: Regions are worked out on a grid this fine, mm, where turning has left slivers of rounding.
_GRID = 1e-4  # not a tolerance: grid of the geometry library
#: Lengths that differ by less are equal, mm: a rim of 2 mm is one in every turn of the drawing.
_ROUNDED = 1e-6  # not a tolerance: keeps rounding from deciding
#: Common areas smaller than this are corners that touch, mm2.
_LEAST_AREA = 1.0

#: Pairs of panels over one another, for each panel, that make a pile.
_PILED = 8

Stretch = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Contacts:
    """Contacts between panels.

    Attributes
    ----------
    flush
        Panel to the panels in its plane and the region they share, in the flat of the first.
    crossing
        Pairs that pass through one another, and over which length, mm.
    tangled
        So many panels cross or lie over one another that the rest was not looked for.
    """

    flush: dict[int, dict[int, BaseGeometry]]
    crossing: tuple[tuple[int, int, float], ...]
    tangled: bool = False


def contacts_of(state: State, reach: float, most: int | None = None) -> Contacts:
    """Find which panels lie in one plane over one another, and which cross.

    Parameters
    ----------
    reach
        Distance within which things touch, mm.
    most
        Stop looking when so many pairs cross.
    """
    frame = state.frame
    flush: dict[int, dict[int, BaseGeometry]] = {p: {} for p in range(len(state.corners))}
    crossing = []
    layers = 0
    friends = {frozenset((h.a, h.b)) for h in frame.part.hinges}
    poses: dict[int, Posed] = {}
    below, above = _distances(state)
    cosine = state.turn[:, :, 2] @ state.turn[:, :, 2].T
    level = np.abs(cosine) >= _PARALLEL
    for a, b in _boxes_meet(state, reach + max(frame.apart.values(), default=0.0)):
        # Only a wall that turns back stands off the other over its rim; two steps that face one way do not.
        turned = frame.apart.get(frozenset((a, b)), 0.0) if cosine[a, b] < 0 else 0.0
        apart = reach + turned + _ROUNDED
        if level[a, b] and max(-below[b, a], above[b, a]) <= apart:
            shared = _common(frame.shapes[a], _seen_from(state, a, b))
            if shared.area > _LEAST_AREA:
                flush[a][b] = shared
                flush[b][a] = _moved(state, b, a, shared)
                layers += 1
        elif min(-below[a, b], above[a, b], -below[b, a], above[b, a]) <= reach + _ROUNDED:
            continue  # all of one on one side of the other
        elif frozenset((a, b)) not in friends:
            size = crossing_of(_posed(state, a, poses), _posed(state, b, poses), slack=reach)
            if size > 0:
                crossing.append((a, b, size))
        if most is not None and (len(crossing) >= most or layers > _PILED * len(state.corners)):
            return Contacts(flush, tuple(crossing), tangled=True)
    return Contacts(flush, tuple(crossing))


def _common(a: shapely.Polygon, b: shapely.Polygon) -> BaseGeometry:
    """What two regions share, without lines and points."""
    shared = shapely.intersection(a, b, grid_size=_GRID)
    if shared.geom_type == "GeometryCollection":
        shared = shapely.union_all([g for g in shapely.get_parts(shared) if g.area > 0], grid_size=_GRID)
    return shared


def area_of(regions: Sequence[BaseGeometry]) -> float:
    """Area that some regions cover together, mm2."""
    try:
        return float(shapely.union_all(list(regions)).area)
    except shapely.GEOSException:  # slivers of rounding: slower, but it always ends
        return float(shapely.union_all(list(regions), grid_size=_GRID).area)


def _boxes_meet(state: State, reach: float) -> list[tuple[int, int]]:
    low, high = state.low - reach / 2, state.high + reach / 2
    meet = ((low[:, None] <= high[None]) & (high[:, None] >= low[None])).all(axis=2)
    one, two = np.nonzero(np.triu(meet, 1))
    return list(zip(one.tolist(), two.tolist(), strict=True))


def _distances(state: State) -> tuple[Points, Points]:
    """Least and largest distance of the corners of panel i from the plane of panel j, (p, p) each, mm."""
    normals = state.turn[:, :, 2]
    starts = np.cumsum([0, *(len(c) for c in state.corners[:-1])])
    far = np.vstack(state.corners) @ normals.T - (state.shift * normals).sum(axis=1)
    return np.minimum.reduceat(far, starts, axis=0), np.maximum.reduceat(far, starts, axis=0)


def is_upright(state: State, a: int, b: int) -> bool:
    """Whether two panels stand at a clear angle to one another."""
    return abs(float(state.normal(a) @ state.normal(b))) < _UPRIGHT


def _seen_from(state: State, a: int, b: int) -> shapely.Polygon:
    """Panel b in the flat of panel a."""
    return shapely.Polygon(state.lower(a, state.corners[b])).buffer(0)


def _moved(state: State, to: int, of: int, shape: BaseGeometry) -> BaseGeometry:
    return shapely.transform(shape, lambda xy: state.lower(to, state.lift(of, xy)))


def _posed(state: State, panel: int, known: dict[int, Posed]) -> Posed:
    """A panel without its rim in space; worked out once."""
    if panel not in known:
        shape = state.frame.inner[panel]
        xyz = state.lift(panel, shapely.get_coordinates(shape))
        known[panel] = (shape, xyz, state.turn[panel], state.shift[panel])
    return known[panel]


def touched(state: State, side: PanelSide, reach: float) -> dict[int, list[Stretch]]:
    """Find the stretches of a side that touch other panels.

    Returns
    -------
    dict
        Panel to stretches, mm from the start of the side.
    """
    ends = state.lift(side.panel, side.ends)
    low, high = ends.min(axis=0) - reach, ends.max(axis=0) + reach
    near = ((state.low <= high) & (state.high >= low)).all(axis=1)
    near[side.panel] = False
    beside = np.flatnonzero(near)
    normals = state.turn[beside, :, 2]
    far = ends @ normals.T - (state.shift[beside] * normals).sum(axis=1)
    found: dict[int, list[Stretch]] = {}
    most = reach + _ROUNDED
    for k in np.flatnonzero((far.min(axis=0) <= most) & (far.max(axis=0) >= -most)).tolist():
        stretches = _stretches(state, side, ends, int(beside[k]), far[:, k], reach)
        if stretches:
            found[int(beside[k])] = stretches
    return found


def _stretches(
    state: State, side: PanelSide, ends: Points, q: int, far: Points, reach: float
) -> list[Stretch]:
    """Where a side runs along panel q: on its face or edge, or beside it in one plane.

    Parameters
    ----------
    far
        (2,) ndarray of float: distance of the side's ends from the plane of panel q, mm.
    """
    span = _within(far, reach)
    length = side.length
    if span is None or (span[1] - span[0]) * length < 2 * reach - _ROUNDED:
        return []
    facing = float(state.normal(q) @ state.normal(side.panel))
    level = abs(facing) > _PARALLEL
    points = ends[0] + span[:, None] * (ends[1] - ends[0])
    if level:
        along = (side.ends[1] - side.ends[0]) / length
        out = state.turn[side.panel][:, :2] @ np.array([along[1], -along[0]])
        points = points + 1.5 * reach * out
    around = state.frame.wider(q, 0.5 * reach + 0.05 if level else reach + _ROUNDED)
    flat = state.lower(q, points)
    direction = flat[1] - flat[0]
    size = float(direction @ direction)
    if size == 0:
        return []
    common: BaseGeometry = shapely.intersection(shapely.LineString(flat), around)
    pieces: list[BaseGeometry] = (
        [common] if common.geom_type == "LineString" else list(shapely.get_parts(common))
    )
    if level and facing < 0 and {side.panel, q} & state.frame.cornered:
        # a gusset folded back on its neighbour: their edges coincide
        edge = state.frame.shapes[q].exterior.buffer(0.5 * reach + 0.05)
        back = shapely.LineString(state.lower(q, ends[0] + span[:, None] * (ends[1] - ends[0])))
        pieces += [p for p in shapely.get_parts(back.intersection(edge)) if p.length > 2 * reach]
    found = []
    for piece in pieces:
        if piece.length < 2 * reach - _ROUNDED:
            continue
        t = (shapely.get_coordinates(piece) - flat[0]) @ direction / size
        t = span[0] + t * (span[1] - span[0])
        found.append((float(t.min()) * length, float(t.max()) * length))
    return found


def _within(far: Points, reach: float) -> Points | None:
    """The part of a run, as fractions, whose distance from a plane is within reach."""
    a, b = float(far[0]), float(far[1])
    if max(abs(a), abs(b)) <= reach + _ROUNDED:
        return np.array([0.0, 1.0])
    if a == b:
        return None
    t = sorted(((reach - a) / (b - a), (-reach - a) / (b - a)))
    low, high = max(0.0, t[0]), min(1.0, t[1])
    return np.array([low, high]) if low < high else None


def uncovered(length: float, stretches: list[Stretch], least: float) -> list[Stretch]:
    """What is left of a side; rests shorter than `least` are let pass."""
    rest, at = [], 0.0
    for a, b in sorted(stretches):
        if a - at > least + _ROUNDED:
            rest.append((at, a))
        at = max(at, b)
    if length - at > least + _ROUNDED:
        rest.append((at, length))
    return rest
