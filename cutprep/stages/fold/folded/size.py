"""The room inside a folded body: which panel is its base, how long, wide and high it is.

The scores lie at half the card's thickness, so every panel takes half a thickness of the room;
the plane of an open rim takes none.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely

from cutprep.geometry.space.halfspaces import corners_of, room
from cutprep.geometry.space.hinged import carry, pose_panels
from cutprep.model.lines import Points
from cutprep.stages.fold.closing.zip.body import Body, enclosed
from cutprep.stages.fold.net.part import HingedPart, hang_from

#: Directions closer than this are one (cosine of about 3 degrees), or square to one another.
_ALONG, _ACROSS = 0.9986, 0.05
#: A rim that leans by less than a degree from a panel is level with it (cosine).
_LEVEL = 0.99985
#: A rim that leans from the base by less than 45 degrees slopes (cosine).
_SLOPED = 0.707
#: So many walls hang on a base at least.
_WALLS = 3
#: Share by which lengths or areas may differ and still be called equal.
_EQUAL = 0.03


@dataclass(frozen=True, slots=True, eq=False)
class Room:
    """The inside of a body in the frame of its base.

    Attributes
    ----------
    base
        The base panel, or the panel that all hang on when no panel faces the rim.
    planes
        (k, 4) ndarray of float: half-spaces n.x <= d; z = 0 on the base.
    size
        Length, width, height, mm.
    up
        (3,) ndarray of float: upwards, seen from the flat base panel.
    ends
        Length and width at the lower and at the upper end, mm.
    volume
        Of the room, mm3.
    """

    base: int
    planes: Points
    size: tuple[float, float, float]
    up: Points
    ends: tuple[tuple[float, float], tuple[float, float]]
    volume: float

    @property
    def tapers(self) -> bool:
        """Whether its ends differ."""
        (a, b), (c, d) = self.ends
        return abs(a - c) > _EQUAL * max(a, c) or abs(b - d) > _EQUAL * max(b, d)


def room_of(
    part: HingedPart, body: Body, thickness: float, hollow: Mapping[int, int], degrees: Mapping[int, float]
) -> Room | None:
    """Measure the room inside; None when there is none.

    Parameters
    ----------
    thickness
        Of the card, mm.
    hollow
        Inner side of a hollow wall to its outer side: the room ends at the inner.
    degrees
        Fold angle of every hinge.
    """
    turn, shift = pose_panels(body.tree, body.radians)
    members = list(body.members)
    inside = 1.0 if body.volume >= 0 else -1.0
    outward = {p: -inside * turn[p][:, 2] for p in members}
    corners = {p: carry(turn[p], shift[p], part.xy[list(part.rings[p])]) for p in members}
    hinged = [carry(turn[h.a], shift[h.a], h.ends) for h in part.hinges if {h.a, h.b} <= set(members)]
    rims = _rim_planes(body, np.vstack(hinged or list(corners.values())), list(outward.values()))
    base, up = _base(part, members, outward, rims)
    frame, origin = _axes(part, base, up, corners, turn)
    rows = []
    for panel in members:
        normal = outward[panel]
        far = float(np.mean((corners[panel] - origin) @ normal)) - thickness / 2
        rows.append((*(frame @ normal), far))
    rows += [(*(frame @ n), float((p - origin) @ n)) for n, p in rims]
    for wall, point in _inner_sides(part, body, hollow, degrees):
        normal = outward[wall]
        rows.append((*(frame @ normal), float((point - origin) @ normal) - thickness / 2))
    planes = np.array(rows)
    half = 2.0 * float(np.abs(np.vstack(list(corners.values())) - origin).max()) + 1.0
    faces = room(planes, half)
    points = corners_of(faces)
    volume = abs(enclosed(faces)) if faces else 0.0
    if not len(points):
        return None
    low, high = points[:, 2].min(), points[:, 2].max()
    ends = tuple(_extent(points[np.abs(points[:, 2] - z) < 1e-2 * half]) for z in (low, high))
    length, width = _extent(points)
    return Room(
        base, planes, (length, width, float(high - low)), turn[base].T @ up, (ends[0], ends[1]), volume
    )


def _inner_sides(
    part: HingedPart, body: Body, hollow: Mapping[int, int], degrees: Mapping[int, float]
) -> list[tuple[int, Points]]:
    """For every hollow wall of a body its outer side, and a point of its inner side in space."""
    walls = {inner: wall for inner, wall in hollow.items() if wall in body.members}
    if not walls:
        return []
    tree = hang_from(part, body.root, list(range(len(part.panels))))
    turned = np.array([degrees.get(int(k), 0.0) if k >= 0 else 0.0 for k in tree.hinge])
    turn, shift = pose_panels(tree, np.radians(turned))
    return [
        (wall, carry(turn[inner], shift[inner], part.xy[list(part.rings[inner])]).mean(axis=0))
        for inner, wall in walls.items()
    ]


def _extent(points: Points) -> tuple[float, float]:
    a, b = (float(np.ptp(points[:, k])) for k in (0, 1))
    return max(a, b), min(a, b)


def _rim_planes(body: Body, corners: Points, normals: list[Points]) -> list[tuple[Points, Points]]:
    """Normal (outwards) and a point of the plane of each rim, the longest rim first."""
    found = []
    for points in body.loops:
        if len(points) < 3:
            continue
        centre = points.mean(axis=0)
        normal = np.linalg.svd(points - centre)[2][-1]
        level = [n for n in normals if abs(float(n @ normal)) > _LEVEL]
        if level:  # level with a panel: one wall a little too high tilts nothing
            normal = level[0]
            off = (points - centre) @ normal
            centre = centre + float(np.median(off)) * normal
        if ((corners - centre) @ normal).sum() > 0:
            normal = -normal
        found.append((normal, centre))
    return found


def _base(
    part: HingedPart, members: list[int], outward: dict[int, Points], rims: list[tuple[Points, Points]]
) -> tuple[int, Points]:
    """The base panel and the direction that is up."""
    areas = part.areas
    if rims:
        up = rims[0][0]
        facing = [p for p in members if outward[p] @ up < -_ALONG]
        if facing:
            return max(facing, key=lambda p: (areas[p], -p)), up
        base = min(members, key=lambda p: (round(float(outward[p] @ up), 2), -areas[p], p))
        below = sum(outward[p] @ up < -_SLOPED for p in members)
        if below == 1 and outward[base] @ up < -_SLOPED:  # the rim slopes: the base is level, not the rim
            return base, -outward[base]
        return max(members, key=lambda p: (areas[p], -p)), up
    caps = [p for p in members if _is_cap(p, members, outward, areas)] or members
    largest = max(areas[p] for p in caps)
    # A lid as large as the base hangs on one wall; walls hang on the base.
    hung = {p: sum(part.hinges[k].other(p) in members for k in part.hinges_at(p)) for p in caps}
    bases = [p for p in caps if hung[p] > 1 and areas[p] > (1 - _EQUAL) * largest]
    # Of a box that widens upwards the flap that closes it may be larger: the base faces it, and carries the walls.
    top = max(caps, key=lambda p: (round(float(areas[p]), 2), -p))
    bases = bases or [p for p in caps if hung[p] >= _WALLS and outward[p] @ outward[top] < -_ALONG] or caps
    base = max(bases, key=lambda p: (round(float(areas[p]), 2), -p))
    return base, -outward[base]


def _is_cap(panel: int, members: list[int], outward: dict[int, Points], areas: Points) -> bool:
    """Whether a panel is the end of a prism: one equal panel faces it, all others stand square."""
    opposite = 0
    for other in members:
        cos = float(outward[panel] @ outward[other])
        if other == panel or abs(cos) < _ACROSS:
            continue
        if cos > -_ALONG or abs(areas[other] - areas[panel]) > _EQUAL * areas[panel]:
            return False
        opposite += 1
    return opposite == 1


def _axes(
    part: HingedPart, base: int, up: Points, corners: dict[int, Points], turn: Points
) -> tuple[Points, Points]:
    """Axes as rows of a matrix: along the base's longest side, across, up; and the origin."""
    box = shapely.get_coordinates(part.polygons[base].exterior.simplify(max(0.1, part.tolerance)))
    steps = np.diff(box, axis=0) @ turn[base][:, :2].T
    level = steps - (steps @ up)[:, None] * up
    x = level[int(np.linalg.norm(level, axis=1).round(2).argmax())]
    x = x / np.linalg.norm(x)
    return np.array([x, np.cross(up, x), up]), corners[base].mean(axis=0)
