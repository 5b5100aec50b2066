"""Folded parts for other programs: FOLD 1.2 (flat, with fold angles), OBJ and STL (folded).

FOLD is the open JSON format for folding (Demaine, Ku, Lang; specification 1.2). Its fold angles
are as here: degrees out of flat, positive for a valley. Of its seven letters this writes B (the
border, windows too), C (a cut with card on both sides), M, V, F (a score that stays flat), U (no
direction known) and J (the seam along which a face is led in to a window: no score at all).
"""

from __future__ import annotations

import json
from collections.abc import Sequence

import numpy as np
import shapely

from cutprep.geometry.hinged import pose
from cutprep.model.folded import FoldReport, Hinge
from cutprep.model.lines import Points

#: Corners nearer than this are one in an exported file, mm: half a micrometre.
_SAME = 5e-4  # not a tolerance: rounding of written coordinates
#: A fold of less than this stays flat, degrees.
_FLAT = 0.05


def to_fold(report: FoldReport) -> str:
    """Write the flat part with its folds as FOLD 1.2 JSON."""
    xy, rings, joins = _shared_vertices(report)
    edges, letters, angles = _edges(report, xy, rings, joins)
    data: dict[str, object] = {
        "file_spec": 1.2,
        "file_creator": "cutprep",
        "file_classes": ["singleModel"],
        "frame_title": report.name,
        "frame_classes": ["creasePattern"],
        "frame_attributes": ["2D"],
        "frame_unit": "mm",
        "vertices_coords": [[_neat(x), _neat(y)] for x, y in xy.tolist()],
        "edges_vertices": [list(e) for e in edges],
        "edges_assignment": letters,
        "edges_foldAngle": angles,
        "faces_vertices": [list(r) for r in rings],
        "faces_cutprep:name": [p.name for p in report.panels],
    }
    if any(angle is None for angle in angles):  # the format knows no unknown angle of a valley
        del data["edges_foldAngle"]
    return json.dumps(data, indent=1, allow_nan=False) + "\n"


def _neat(value: float) -> float:
    return round(value, 6) + 0.0


def _shared_vertices(report: FoldReport) -> tuple[Points, list[list[int]], set[tuple[int, int]]]:
    """Corners of all panels, each once; every face by corner numbers; the seams to windows."""
    numbers: dict[tuple[int, int], int] = {}
    places: list[Points] = []

    def number(point: Points) -> int:
        key = (round(float(point[0]) / _SAME), round(float(point[1]) / _SAME))
        if key not in numbers:
            numbers[key] = len(places)
            places.append(point)
        return numbers[key]

    rings, joins = [], set()
    for panel in report.panels:
        ring = [number(p) for p in panel.outline[:-1]]
        shape = shapely.Polygon(panel.outline, panel.holes)
        for hole in panel.holes:
            inner = [number(p) for p in hole[:-1]]
            i, j = _bridge(shape, np.array(places), ring, inner)
            joins.add((min(ring[i], inner[j]), max(ring[i], inner[j])))
            ring = [*ring[: i + 1], *inner[j:], *inner[: j + 1], *ring[i:]]
        rings.append(ring)
    return np.array(places).reshape(-1, 2), rings, joins


def _bridge(shape: shapely.Polygon, places: Points, ring: list[int], inner: list[int]) -> tuple[int, int]:
    """The shortest way inside a panel from its outline to a window: positions in both rings."""
    far = np.hypot(*(places[ring][:, None] - places[inner][None]).transpose(2, 0, 1))
    for k in np.argsort(far, axis=None, kind="stable").tolist():
        i, j = divmod(k, len(inner))
        if shape.covers(shapely.LineString(places[[ring[i], inner[j]]])):
            return i, j
    raise AssertionError("a window can't be seen from its panel's outline")


def _edges(
    report: FoldReport, xy: Points, rings: list[list[int]], joins: set[tuple[int, int]]
) -> tuple[list[tuple[int, int]], list[str], list[float | None]]:
    """Edges with their letters and fold angles."""
    owners: dict[tuple[int, int], list[int]] = {}
    for panel, ring in enumerate(rings):
        for a, b in zip(ring, [*ring[1:], ring[0]], strict=True):
            owners.setdefault((min(a, b), max(a, b)), []).append(panel)
    between = {(min(h.a, h.b), max(h.a, h.b)): h for h in report.hinges}
    edges, letters, angles = [], [], []
    for edge, panels in sorted(owners.items()):
        hinge = between.get((min(panels), max(panels))) if len(set(panels)) == 2 else None
        if hinge is not None and hinge.kind == "straight" and not _along(hinge, xy[list(edge)]):
            hinge = None
        letter, angle = ("B" if len(panels) == 1 else "C", 0.0) if hinge is None else _letter(hinge)
        edges.append(edge)
        letters.append("J" if edge in joins else letter)
        angles.append(None if angle is None else round(angle, 6) + 0.0)
    return edges, letters, angles


def _along(hinge: Hinge, ends: Points) -> bool:
    """Whether an edge lies on a hinge."""
    line = shapely.LineString(hinge.ends)
    return bool(shapely.distance(line, shapely.points(ends)).max() < 1.0)


def _letter(hinge: Hinge) -> tuple[str, float | None]:
    if np.isnan(hinge.angle):
        drawn = {-1: "M", 1: "V"}.get(int(hinge.fold), "U")
        return drawn, None if drawn != "U" else 0.0
    if abs(hinge.angle) < _FLAT:
        return "F", 0.0
    return ("V" if hinge.angle > 0 else "M"), float(hinge.angle)


def to_obj(report: FoldReport, fraction: float = 1.0) -> str:
    """Write the folded panels as Wavefront OBJ polygons, mm; windows are left closed."""
    rows = [f"# {report.name}, {len(report.panels)} panels, mm"]
    first = 1
    for panel, corners in zip(report.panels, pose(report, fraction), strict=True):
        rows.append(f"g panel_{panel.name}")
        rows += [f"v {x:.6f} {y:.6f} {z:.6f}" for x, y, z in (corners[:-1].round(6) + 0.0).tolist()]
        count = len(corners) - 1
        rows.append("f " + " ".join(str(first + k) for k in range(count)))
        first += count
    return "\n".join(rows) + "\n"


def to_stl(report: FoldReport, fraction: float = 1.0) -> str:
    """Write the folded panels as STL text, mm: card without thickness, windows open.

    The normals point away from the inside.
    """
    rows = [f"solid {_word(report.name)}"]
    flip = report.inside_up
    for panel, corners in zip(report.panels, pose(report, fraction), strict=True):
        for triangle in _triangles(panel.outline, panel.holes):
            xyz = _lift(triangle, panel.outline, corners)
            xyz = xyz[::-1] if flip else xyz
            normal = np.cross(xyz[1] - xyz[0], xyz[2] - xyz[0])
            normal = normal / max(float(np.linalg.norm(normal)), _SAME)
            rows.append("facet normal {:.6f} {:.6f} {:.6f}".format(*(normal.round(6) + 0.0)))
            rows.append(" outer loop")
            rows += ["  vertex {:.6f} {:.6f} {:.6f}".format(*(p.round(6) + 0.0)) for p in xyz]
            rows += [" endloop", "endfacet"]
    rows.append(f"endsolid {_word(report.name)}")
    return "\n".join(rows) + "\n"


def _word(name: str) -> str:
    return "_".join(name.split()) or "part"


def _triangles(outline: Points, holes: Sequence[Points]) -> list[Points]:
    """Triangles of a panel, counter-clockwise, (3, 2) each."""
    shape = shapely.Polygon(outline, holes)
    parts = shapely.get_parts(shapely.constrained_delaunay_triangles(shape))
    rings = [
        shapely.get_coordinates(p.exterior)[:-1]
        if p.exterior.is_ccw
        else shapely.get_coordinates(p.exterior)[:0:-1]
        for p in parts
    ]
    return [np.asarray(r) for r in rings]


def _lift(xy: Points, flat: Points, folded: Points) -> Points:
    """Bring flat points of a panel to where its corners lie in space."""
    a, b = flat[:-1] - flat[0], folded[:-1] - folded[0]
    map_, *_ = np.linalg.lstsq(a, b, rcond=None)
    return np.asarray((xy - flat[0]) @ map_ + folded[0])
