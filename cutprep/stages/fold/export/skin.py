"""The skin of a folded part as triangles: one closed surface where the part is closed.

Panels that lie in one plane are laid together first. Where a panel shows its outside one way and
another over it the other way (the halves of a pleat, a fin), they cancel; where several show it
the same way (a glue flap under its wall, flaps over flaps), one is left. What stays is the skin:
its corners are merged, a corner that lies on another facet's side is put into that side, and the
result counts only if every side then has exactly two triangles and the volume is the part's.
Otherwise, and for open parts, every panel is drawn by itself, corners merged.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutprep.geometry.space.halfspaces import room
from cutprep.geometry.space.hinged import angles_at, carry, pose_panels, tree_of
from cutprep.model.folded import FoldReport, Role, Verdict
from cutprep.model.lines import Index, Points

#: Corners nearer than this are one, mm, where seams meet exactly.
_WELD = 0.01
#: Panels in one plane: cosine of half a degree between them, and distance in mm.
_PARALLEL, _COPLANAR = 0.99996, 0.05
#: Share by which the skin's volume may differ from the part's.
_EQUAL = 2e-3  # not a tolerance: a skin that is wrong is wrong by far more
#: The fewest faces of a solid, and the fewest corners of a face.
_FEWEST, _CORNERS = 4, 3
#: Facets narrower than twice this are rounding, mm.
_SLIVER = 0.02


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """Triangles in space.

    Attributes
    ----------
    points
        (n, 3) ndarray of float, mm.
    triangles
        (t, 3) ndarray of int: corners, counter-clockwise seen from outside.
    names
        Letter of the panel that each triangle belongs to; of the largest where several share it.
    closed
        Whether every side has two triangles that run it in opposite directions.
    """

    points: Points
    triangles: Index
    names: tuple[str, ...]
    closed: bool

    @property
    def volume(self) -> float:
        """Enclosed volume by the divergence theorem, mm3; of little use when not closed."""
        a, b, c = (self.points[self.triangles[:, k]] for k in range(3))
        return float((a * np.cross(b, c)).sum()) / 6


@dataclass(frozen=True, slots=True, eq=False)
class _Facet:
    """A plane polygon in space: where it lies, and whether it shows its face the way of the frame."""

    shape: shapely.Polygon
    frame: Points
    origin: Points
    forwards: bool
    name: str

    def lift(self, xy: Points) -> Points:
        return np.asarray(self.origin + xy @ self.frame[:2])


def mesh_of(report: FoldReport, fraction: float = 1.0, *, windows: bool = False) -> Mesh:
    """Triangles of a part at a fraction of folding, its outside outwards.

    Parameters
    ----------
    report
        The folded part.
    fraction
        Of folding, from 0, flat, to 1.
    windows
        Leave windows open; else they are closed, so that a closed box with a window is a solid.

    Raises
    ------
    ValueError
        When the fraction lies outside 0 to 1.
    """
    if not 0.0 <= fraction <= 1.0:
        raise ValueError(f"the fraction of folding is {fraction:g}; it must be from 0 to 1")
    turn, shift = _poses(report, fraction)
    pierced = windows and any(p.holes for p in report.panels)
    if report.verdict is Verdict.CLOSED and fraction >= 1.0 and not pierced:
        skin = _skin(report, turn, shift) or _solid(report, turn, shift)
        if skin is not None:
            return skin
    facets = [_panel(report, k, turn, shift, windows=windows) for k in range(len(report.panels))]
    return _mesh(facets, _merge_distance(report))


def _poses(report: FoldReport, fraction: float) -> tuple[Points, Points]:
    tree = tree_of(report)
    count = len(report.panels)
    if tree is None:
        return np.broadcast_to(np.eye(3), (count, 3, 3)), np.zeros((count, 3))
    return pose_panels(tree, angles_at(report, fraction))


def _merge_distance(report: FoldReport) -> float:
    gap = report.gap if np.isfinite(report.gap) else 0.0
    return max(_WELD, 2.0 * gap)


def _panel(report: FoldReport, k: int, turn: Points, shift: Points, *, windows: bool) -> _Facet:
    """One panel as it lies; its frame is that of the flat drawing, carried along."""
    panel = report.panels[k]
    shape = shapely.Polygon(panel.outline, panel.holes if windows else None)
    return _Facet(shape, turn[k].T, shift[k], not report.inside_up, panel.name)


def _skin(report: FoldReport, turn: Points, shift: Points) -> Mesh | None:
    """The closed surface, or None when the panels make none."""
    within = _merge_distance(report)
    facets = [
        f for group in _planes(report, turn, shift, within) for f in _facets(report, group, turn, shift)
    ]
    try:
        skin = _mesh(facets, within)
    except shapely.errors.GEOSException:
        return None
    wanted = report.volume_mm3
    if skin.closed and wanted and abs(skin.volume / wanted - 1) < _EQUAL:
        return skin
    return None


def _solid(report: FoldReport, turn: Points, shift: Points) -> Mesh | None:
    """The body that the planes of the shell enclose, or None when it is not what the part encloses.

    Flaps that close an end side by side leave slits, windows lie over corners, a tab stands up from an
    edge: then the panels themselves make no closed surface, but their planes do.
    """
    walls = [k for k, p in enumerate(report.panels) if p.role is Role.BODY and p.layer == 0]
    if len(walls) < _FEWEST:
        return None
    side = -1.0 if report.inside_up else 1.0
    corners = {k: carry(turn[k], shift[k], report.panels[k].outline) for k in walls}
    middle = np.concatenate(list(corners.values())).mean(axis=0)
    normals = np.array([side * turn[k][:, 2] for k in walls])
    far = np.array([float(((corners[k] - middle) @ n).mean()) for k, n in zip(walls, normals, strict=True)])
    half = 4.0 * max(float(np.abs(c - middle).max()) for c in corners.values())
    faces = [f + middle for f in room(np.column_stack((normals, far)), half)]
    if not faces or any(np.abs(f - middle).max() > half / 2 for f in faces):
        return None
    points, number = _merged(np.concatenate(faces), _WELD)
    triangles: list[tuple[int, int, int]] = []
    names: list[str] = []
    at = 0
    for face in faces:
        ring = number[at : at + len(face)]
        loop = ring[ring != np.roll(ring, 1)].tolist()
        at += len(face)
        if len(loop) < _CORNERS:
            continue
        off = np.abs(normals @ (points[loop] - middle).T - far[:, None]).max(axis=1)
        wall = int(off.argmin())
        a, b, c = points[loop[0]], points[loop[1]], points[loop[2]]
        if float(np.cross(b - a, c - a) @ normals[wall]) < 0:
            loop = loop[::-1]
        fan = [(loop[0], loop[k], loop[k + 1]) for k in range(1, len(loop) - 1)]
        triangles += fan
        names += [report.panels[walls[wall]].name] * len(fan)
    table = np.array(triangles, dtype=np.int64).reshape(-1, 3)
    solid = Mesh(points, table, tuple(names), _is_closed(table))
    wanted = report.volume_mm3
    return solid if solid.closed and wanted and abs(solid.volume / wanted - 1) < _EQUAL else None


def _planes(report: FoldReport, turn: Points, shift: Points, within: float) -> list[list[int]]:
    """Panels by the plane that they lie in, the largest of each first."""
    order = sorted(
        range(len(report.panels)), key=lambda k: (-shapely.Polygon(report.panels[k].outline).area, k)
    )
    corners = {k: carry(turn[k], shift[k], report.panels[k].outline) for k in order}
    groups: list[list[int]] = []
    for k in order:
        for group in groups:
            first = group[0]
            normal = turn[first][:, 2]
            off = np.abs((corners[k] - corners[first][0]) @ normal).max()
            if abs(float(normal @ turn[k][:, 2])) > _PARALLEL and off < max(_COPLANAR, within):
                group.append(k)
                break
        else:
            groups.append([k])
    return groups


def _facets(report: FoldReport, group: Sequence[int], turn: Points, shift: Points) -> Iterator[_Facet]:
    """What one plane adds to the skin."""
    first = group[0]
    frame, origin = turn[first].T, shift[first]
    levels: dict[bool, list[BaseGeometry]] = {True: [], False: []}
    for k in group:
        xyz = carry(turn[k], shift[k], report.panels[k].outline)
        shape = shapely.make_valid(shapely.Polygon((xyz - origin) @ frame[:2].T))
        _lay(levels[bool(turn[k][:, 2] @ frame[2] > 0)], shape)
    for same, others in ((True, False), (False, True)):
        for shape in _more(levels[same], levels[others]):
            yield _Facet(shape, frame, origin, same != report.inside_up, report.panels[first].name)


def _lay(levels: list[BaseGeometry], shape: BaseGeometry) -> None:
    """Count one shape more: level k is where more than k shapes lie."""
    for k, level in enumerate(levels):
        levels[k], shape = level.union(shape), level.intersection(shape)
        if shape.area < _SLIVER:
            return
    levels.append(shape)


def _more(here: list[BaseGeometry], there: list[BaseGeometry]) -> list[shapely.Polygon]:
    """Where more shapes lie on one side than on the other, without slivers."""
    found = []
    for k, level in enumerate(here):
        rest = level.difference(there[k]) if k < len(there) else level
        found.append(rest.buffer(-_SLIVER, join_style="mitre").buffer(_SLIVER, join_style="mitre"))
    whole = shapely.union_all(found) if found else shapely.Polygon()
    whole = whole.simplify(_SLIVER / 4)  # a flap's tip on a side leaves a corner there that is none
    return [p for p in shapely.get_parts(whole) if isinstance(p, shapely.Polygon) and p.area > _SLIVER]


def _mesh(facets: Sequence[_Facet], within: float) -> Mesh:
    """Merge the corners of facets, and triangulate the facets."""
    rings = [[f.lift(_ring(r)) for r in (f.shape.exterior, *f.shape.interiors)] for f in facets]
    every = np.concatenate([r for group in rings for r in group] or [np.empty((0, 3))])
    points, number = _merged(every, within)
    triangles: list[tuple[int, int, int]] = []
    names: list[str] = []
    at = 0
    for facet, group in zip(facets, rings, strict=True):
        loops = []
        for ring in group:
            loops.append(_with_corners(number[at : at + len(ring)].tolist(), points, within))
            at += len(ring)
        filled = _filled(facet, loops, points)
        triangles += filled
        names += [facet.name] * len(filled)
    table = np.array(triangles, dtype=np.int64).reshape(-1, 3)
    return Mesh(points, table, tuple(names), _is_closed(table))


def _ring(ring: shapely.LinearRing) -> Points:
    return np.asarray(shapely.get_coordinates(ring)[:-1])


def _merged(xyz: Points, within: float) -> tuple[Points, Index]:
    """Corners within a distance of an earlier one are that one: places, and the number of each."""
    kept: list[Points] = []
    cells: dict[tuple[int, ...], list[int]] = {}
    number = np.empty(len(xyz), dtype=np.int64)
    for i, point in enumerate(xyz):
        cell = tuple(int(v) for v in np.floor(point / within))
        around = [
            j
            for dx in (-1, 0, 1)
            for dy in (-1, 0, 1)
            for dz in (-1, 0, 1)
            for j in cells.get((cell[0] + dx, cell[1] + dy, cell[2] + dz), ())
        ]
        same = [j for j in around if np.linalg.norm(kept[j] - point) <= within]
        if not same:
            same = [len(kept)]
            kept.append(point)
            cells.setdefault(cell, []).append(same[0])
        number[i] = same[0]
    return np.array(kept).reshape(-1, 3), number


def _with_corners(loop: list[int], points: Points, within: float) -> list[int]:
    """Put corners that lie on a loop's sides into it."""
    found: list[int] = []
    for a, b in zip(loop, [*loop[1:], loop[0]], strict=True):
        if a == b:
            continue
        found.append(a)
        side = points[b] - points[a]
        length = float(np.linalg.norm(side))
        rel = points - points[a]
        t = rel @ side / length
        off = np.linalg.norm(rel - t[:, None] * (side / length), axis=1)
        on = np.flatnonzero((off <= within) & (t > within) & (t < length - within))
        found += on[np.argsort(t[on], kind="stable")].tolist()
    return found


def _filled(facet: _Facet, loops: Sequence[list[int]], points: Points) -> list[tuple[int, int, int]]:
    """Triangles between loops of corners, counter-clockwise seen from outside."""
    flat = [(points[loop] - facet.origin) @ facet.frame[:2].T for loop in loops if len(loop) > 2]
    if not flat:
        return []
    names = {
        tuple(xy): i
        for ring, loop in zip(flat, [p for p in loops if len(p) > 2], strict=True)
        for xy, i in zip(ring.tolist(), loop, strict=True)
    }
    shape: BaseGeometry = shapely.Polygon(flat[0], flat[1:])
    if not shape.is_valid:
        shape = shapely.make_valid(shape)
    found: list[tuple[int, int, int]] = []
    for triangle in shapely.get_parts(shapely.constrained_delaunay_triangles(shape)):
        ring = triangle.exterior
        xy = shapely.get_coordinates(ring)[:-1]
        corners = [names.get(tuple(p), -1) for p in xy.tolist()]
        if -1 in corners or len(set(corners)) < 3:
            continue
        a, b, c = corners if ring.is_ccw == facet.forwards else corners[::-1]
        found.append((a, b, c))
    return found


def _is_closed(triangles: Index) -> bool:
    """Whether every side is run once each way."""
    if not len(triangles):
        return False
    runs = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    there = {(int(a), int(b)) for a, b in runs}
    return len(there) == len(runs) and all((b, a) in there for a, b in there)
