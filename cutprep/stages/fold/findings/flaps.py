"""Flaps looked at closely: deep enough, not beyond the panel they lie on, not over one another."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from cutprep.errors import Place
from cutprep.geometry.space.hinged import carry
from cutprep.model.duties import Duty, Fastening
from cutprep.model.findings.finding import Finding
from cutprep.model.folded import Flap, Panel
from cutprep.model.lines import Flags, Points
from cutprep.stages.fold.closing.duties import AttachedPanel
from cutprep.stages.fold.net.part import HingedPart

#: Glue flaps on card: 6 to 12 mm (common practice, no published source).
LEAST_DEPTH, USUAL_DEPTH = 6.0, 12.0
#: Depths are measured off the drawing and told to a tenth, mm.
_ROUNDING = 0.05
#: A flap may stand out beyond its panel by this, mm.
_OVERHANG = 1.0
#: A panel may end so far before the hinge of the flap that lies on it, mm.
_SLIT = 3.0
#: A hinge of which less than this share is left, seen from above its target, stands upright on it.
_END_ON = 0.05
#: Panels in one plane (cosine of 2 degrees).
_LEVEL = 0.9994
#: A tongue may reach this far through a slot, mm.
_TONGUE = 6.0
#: Overlaps smaller than this, or thinner on average than the second, are let pass, mm2 and mm.
_OVERLAP, _OVERLAP_WIDTH = 10.0, 0.5

#: Flaps that have the panel they lie on to themselves; others are meant to lie over one another.
_ALONE = frozenset({Duty.GLUE_FLAP, Duty.DUST_FLAP, Duty.TUCK_FLAP})
#: What stands within or above the room.
_STANDING = frozenset({Duty.PARTITION, Duty.HANDLE})

At = Callable[[Sequence[float]], Place]


def flaps_of(
    part: HingedPart, hung: Sequence[AttachedPanel], turn: Points, shift: Points
) -> tuple[Flap, ...]:
    """Measure every flap: how deep it is, how far it stands out beyond its target.

    Parameters
    ----------
    part, hung
        The part, and its panels beside the shell.
    turn, shift
        (p, 3, 3) and (p, 3) ndarray of float: where every panel lies when folded, mm.
    """
    found = []
    targets = frozenset(f.target for f in hung)
    for flap in hung:
        overhang = 0.0
        if flap.target is not None:
            shape = laid_on(part, flap, turn, shift)
            room = _room(part, flap, turn, shift)
            corners = shapely.get_coordinates(shape)
            beyond = np.asarray(shapely.distance(room, shapely.points(corners)))
            if beyond.max() > _OVERHANG:
                beyond = np.minimum(beyond, _from_others(part, flap, corners, hung, turn, shift))
            if beyond.max() > _OVERHANG:
                xyz = carry(turn[flap.target], shift[flap.target], corners)
                beyond[_through_slot(part, xyz, turn, shift)] = 0.0
            overhang = float(beyond.max())
        stands = flap.duty in _STANDING
        duty, fastening = (
            (flap.duty, flap.fastening) if flap.lies_on or stands else _told(part, flap, targets)
        )
        depth = depth_of(part, flap)
        layer = flap.layer if flap.target is not None else 0
        found.append(
            Flap(
                flap.panel, flap.on, flap.target, depth, overhang, flap.source, duty, fastening, layer, flap.lies_on
            )
        )  # fmt: skip
    return tuple(found)


def _room(part: HingedPart, flap: AttachedPanel, turn: Points, shift: Points) -> shapely.Polygon:
    """The panel that a flap lies on, or several in one plane and what lies between them."""
    target = flap.target
    assert target is not None
    room = shapely.Polygon(part.polygons[target].exterior)
    others = [p for p in flap.lies_on if p != target]
    ends = flap.duty in {Duty.CLOSURE_FLAP, Duty.DUST_FLAP}
    if not others and not ends:
        return _up_to_hinge(part, flap, room, turn, shift)
    shapes = [carry(turn[p], shift[p], part.xy[list(part.rings[p])]) for p in others]
    flat: list[BaseGeometry] = [
        shapely.Polygon(((xyz - shift[target]) @ turn[target])[:, :2]) for xyz in shapes
    ]
    if ends:  # the opening reaches to the walls that its flaps hang on, whatever their reliefs
        hinge = carry(turn[flap.panel], shift[flap.panel], part.hinges[flap.hinge].ends)
        flat.append(shapely.LineString(((hinge - shift[target]) @ turn[target])[:, :2]))
    hull = shapely.convex_hull(shapely.GeometryCollection([room, *flat]))
    return _up_to_hinge(part, flap, hull if isinstance(hull, shapely.Polygon) else room, turn, shift)


def _from_others(
    part: HingedPart,
    flap: AttachedPanel,
    corners: Points,
    hung: Sequence[AttachedPanel],
    turn: Points,
    shift: Points,
) -> Points:
    """How far corners of a flap, flat on its target, lie from the walls in the same plane, (n,), mm.

    The glued corner of a bottom flap lies between that flap and the next one, and may reach beyond the one but not both.
    """
    beside = {f.panel for f in hung} - {flap.on} | {flap.panel, flap.target}
    found = np.full(len(corners), np.inf)
    for p in range(len(part.rings)):
        level = abs(float(turn[p][:, 2] @ turn[flap.target][:, 2])) > _LEVEL
        if p in beside or not level:
            continue
        xyz = carry(turn[p], shift[p], part.xy[list(part.rings[p])])
        local = (xyz - shift[flap.target]) @ turn[flap.target]
        if np.abs(local[:, 2]).max() < _OVERHANG:
            found = np.minimum(
                found, shapely.distance(shapely.Polygon(local[:, :2]), shapely.points(corners))
            )
    return found


def _through_slot(part: HingedPart, corners: Points, turn: Points, shift: Points) -> Flags:
    """Which points in space stand in a slot or window of a panel, or just beyond it, (n,) bool."""
    found = np.zeros(len(corners), bool)
    for p, polygon in enumerate(part.polygons):
        for hole in polygon.interiors:
            local = (corners - shift[p]) @ turn[p]
            near = shapely.distance(shapely.Polygon(hole), shapely.points(local[:, :2])) < _OVERHANG
            found |= near & (np.abs(local[:, 2]) < _TONGUE)
    return found


def _up_to_hinge(
    part: HingedPart, flap: AttachedPanel, room: shapely.Polygon, turn: Points, shift: Points
) -> shapely.Polygon:
    """A panel led on to the hinge of a flap that lies on it: the slit between them is no overhang."""
    hinge = carry(turn[flap.on], shift[flap.on], part.hinges[flap.hinge].ends)
    flat = ((hinge - shift[flap.target]) @ turn[flap.target])[:, :2]
    size = float(np.hypot(*(flat[1] - flat[0])))
    if size < _END_ON * part.hinges[flap.hinge].length:
        return room
    along = (flat[1] - flat[0]) / size
    out = np.array([-along[1], along[0]])
    away = (shapely.get_coordinates(room) - flat[0]) @ out
    short = -float(away[np.abs(away).argmin()])
    if not 0.0 < abs(short) <= _SLIT or away.min() * away.max() < 0:
        return room
    moved = affinity.translate(room, *(short * out))
    hull = shapely.convex_hull(shapely.union(room, moved))
    return hull if isinstance(hull, shapely.Polygon) else room


def _told(part: HingedPart, flap: AttachedPanel, targets: frozenset[int | None]) -> tuple[Duty, Fastening]:
    """What a flap is for and how it stays."""
    if flap.target is None:
        return Duty.FREE_FLAP, Fastening.NOTHING
    if flap.turned_in:
        return Duty.TURNED_WALL, Fastening.GLUED
    if flap.on in targets and is_tuck(part, flap):
        return Duty.TUCK_FLAP, Fastening.TUCKED
    return Duty.GLUE_FLAP, Fastening.GLUED


def depth_of(part: HingedPart, flap: AttachedPanel) -> float:
    """How far a flap reaches from its hinge, mm."""
    h = part.hinges[flap.hinge]
    along = (h.ends[1] - h.ends[0]) / h.length
    return float(
        np.abs((part.xy[list(part.rings[flap.panel])] - h.ends[0]) @ np.array([-along[1], along[0]])).max()
    )


def width_of(part: HingedPart, flap: AttachedPanel) -> float:
    """How wide a flap is along its hinge, half way out, mm: a taper beside the hinge is no width."""
    h = part.hinges[flap.hinge]
    along = (h.ends[1] - h.ends[0]) / h.length
    out = np.array([-along[1], along[0]])
    away = (part.xy[list(part.rings[flap.panel])] - h.ends[0]) @ out
    half = (h.ends[0] + h.ends[1]) / 2 + out * float(away[np.abs(away).argmax()]) / 2
    reach = 10.0 * h.length
    level = shapely.LineString([half - reach * along, half + reach * along])
    return float(level.intersection(part.polygons[flap.panel]).length)


def laid_on(part: HingedPart, flap: AttachedPanel, turn: Points, shift: Points) -> shapely.Polygon:
    """A folded flap in the flat coordinates of the panel it lies on.

    Parameters
    ----------
    part, flap
        The part, and the flap, which has a target.
    turn, shift
        (p, 3, 3) and (p, 3) ndarray of float: where every panel lies when folded, mm.
    """
    assert flap.target is not None
    xyz = carry(turn[flap.panel], shift[flap.panel], part.xy[list(part.rings[flap.panel])])
    return shapely.Polygon(((xyz - shift[flap.target]) @ turn[flap.target])[:, :2])


def flap_findings(
    hung: Sequence[AttachedPanel], flaps: Sequence[Flap], panels: Sequence[Panel], at: At, slack: float = 0.0
) -> list[Finding]:
    """Look at each flap by itself.

    Parameters
    ----------
    slack
        What the drawing's lines may be off by, mm.
    """
    found = []
    for how, flap in zip(hung, flaps, strict=True):
        name, place = f"flap {panels[flap.panel].name}", (at(panels[flap.panel].inner_point),)
        if (flap.duty is Duty.FREE_FLAP and flap.target is not None) or flap.duty in _STANDING:
            continue  # a door; a wall within; a handle
        if flap.target is None:
            found.append(
                Finding.of(
                    "flap-meets-nothing",
                    f"{name} on panel {panels[flap.on].name} meets no other panel",
                    "Take it away, or declare what it lies on.",
                    place,
                )
            )
            continue
        if how.turned_in:
            found.append(
                Finding.of(
                    "flap-turned-in",
                    f"{name} hangs on a free rim and is taken to be turned in on panel {panels[flap.on].name}",
                    "Declare its fold angle if it is meant to stand.",
                    place,
                )
            )
        if flap.depth < LEAST_DEPTH - _ROUNDING and flap.duty is not Duty.TURNED_WALL:
            found.append(
                Finding.of(
                    "flap-narrow",
                    f"{name} is {flap.depth:.1f} mm deep; glue on card needs {LEAST_DEPTH:g} to {USUAL_DEPTH:g} mm",
                    "Make it deeper.",
                    place,
                    flap.depth,
                    LEAST_DEPTH,
                )
            )
        if flap.overhang > _OVERHANG + _ROUNDING + slack:
            found.append(
                Finding.of(
                    "flap-wide",
                    f"{name} stands out {flap.overhang:.1f} mm beyond panel {panels[flap.target].name} that it lies on",
                    f"Make it {flap.overhang:.1f} mm smaller on that side.",
                    place,
                    flap.overhang,
                    _OVERHANG,
                )
            )
    return found


def overlap_findings(
    part: HingedPart,
    hung: Sequence[AttachedPanel],
    panels: Sequence[Panel],
    turn: Points,
    shift: Points,
    at: At,
) -> list[Finding]:
    """Flaps that lie over one another on the same panel; a turned-in wall is meant to cover others.

    Parameters
    ----------
    part, hung, panels
        The part, its panels beside the shell, and all panels by name.
    turn, shift
        (p, 3, 3) and (p, 3) ndarray of float: where every panel lies when folded, mm.
    at
        Gives the place of a point of the drawing.
    """
    laid = [(f, laid_on(part, f, turn, shift)) for f in hung if f.target is not None and f.duty in _ALONE]
    overlaps: dict[int, list[tuple[float, int, int]]] = {}
    for i, (f, shape) in enumerate(laid):
        for g, other in laid[i + 1 :]:
            if f.target is None or f.target != g.target or is_tuck(part, f) != is_tuck(part, g):
                continue  # a tuck flap slides over the tabs that hold the wall
            common = shape.intersection(other)
            if common.area >= max(_OVERLAP, _OVERLAP_WIDTH * common.length / 2):
                overlaps.setdefault(f.target, []).append((float(common.area), f.panel, g.panel))
    return [_overlap_finding(overlaps[target], target, panels, at) for target in sorted(overlaps)]


def _overlap_finding(
    pairs: Sequence[tuple[float, int, int]], target: int, panels: Sequence[Panel], at: At
) -> Finding:
    """All overlaps on one panel in one message, the largest by its figure."""
    area, one, two = max(pairs, key=lambda p: (round(p[0], 3), -p[1], -p[2]))
    flaps = sorted({k for _, a, b in pairs for k in (a, b)}, key=lambda k: (k not in {one, two}, k))
    more = sorted(
        {panels[k].name for k in flaps} - {panels[one].name, panels[two].name}, key=lambda n: (len(n), n)
    )
    rest = f"; so do others there ({', '.join(more)})" if more else ""
    return Finding.of(
        "flap-overlap",
        f"flaps {panels[one].name} and {panels[two].name} overlap by {area:.1f} mm2 "
        f"on panel {panels[target].name}: three layers of card there{rest}",
        "Shorten one of them, or both to half.",
        tuple(at(panels[k].inner_point) for k in flaps),
        area,
        _OVERLAP,
        "mm2",
    )


def tuck_findings(
    part: HingedPart, hung: Sequence[AttachedPanel], panels: Sequence[Panel], thickness: float, at: At
) -> list[Finding]:
    """Tuck flaps as wide as the room they slide into.

    Parameters
    ----------
    part, hung, panels
        The part, its panels beside the shell, and all panels by name.
    thickness
        Of the card, mm.
    at
        Gives the place of a point of the drawing.
    """
    found = []
    lids = {f.target for f in hung}
    for flap in hung:
        if flap.target is None or flap.on not in lids or not is_tuck(part, flap):
            continue
        if flap.duty is Duty.TURNED_WALL:
            continue  # told with the layers
        h = part.hinges[flap.hinge]
        along = (h.ends[1] - h.ends[0]) / h.length
        room = float(np.ptp(part.xy[list(part.rings[flap.on])] @ along)) - thickness
        width = width_of(part, flap)
        if width > room:
            found.append(
                Finding.of(
                    "tuck-tight",
                    f"tuck flap {panels[flap.panel].name} is {width:.1f} mm wide, the room between the walls {room:.1f} mm",
                    f"Take {width - room + thickness:.1f} mm off its width, half on each side.",
                    (at(panels[flap.panel].inner_point),),
                    width,
                    room,
                )
            )
    return found


def is_tuck(part: HingedPart, flap: AttachedPanel) -> bool:
    """Whether a flap hangs on a lid: a panel with only one other hinge, opposite."""
    hinges = [part.hinges[k] for k in part.hinges_at(flap.on)]
    if len(hinges) != 2:
        return False
    one, two = (h.ends[1] - h.ends[0] for h in hinges)
    return bool(abs(one[0] * two[1] - one[1] * two[0]) < 0.05 * np.hypot(*one) * np.hypot(*two))
