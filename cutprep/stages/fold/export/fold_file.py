"""Folded parts as FOLD 1.2: the flat pattern with its fold angles, and the folded form.

FOLD is the open JSON format for folding (Demaine, Ku, Lang; specification 1.2). Its fold angles
are as here: degrees out of flat, positive for a valley, between -180 and 180. Of its seven
letters this writes B (the border, windows too), C (a cut with card on both sides whose ends stay
together, off the scores), M, V, F (a score that stays flat), U (no direction known) and J (the seam along which a
face is led in to a window: no score at all). Where two panels part at a cut they have corners of
their own, so that the second frame, the folded form, only moves the corners of the first.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cutprep.geometry.space.hinged import carried
from cutprep.model.folded import FoldReport, Hinge
from cutprep.model.lines import Index, Points

#: Corners nearer than this are one in an exported file, mm: half a micrometre.
_SAME = 5e-4  # not a tolerance: rounding of written coordinates
#: A fold of less than this stays flat, degrees.
_FLAT = 0.05


def to_fold(report: FoldReport) -> str:
    """Write the flat part with its folds as FOLD 1.2 JSON, and folded as a second frame."""
    pattern = _pattern(report)
    edges, letters, angles = _edges(report, pattern)
    data: dict[str, object] = {
        "file_spec": 1.2,
        "file_creator": "cutprep",
        "file_classes": ["singleModel"],
        "frame_title": report.name,
        "frame_classes": ["creasePattern"],
        "frame_attributes": ["2D"],
        "frame_unit": "mm",
        "vertices_coords": [[_neat(x), _neat(y)] for x, y in pattern.xy.tolist()],
        "edges_vertices": [list(e) for e in edges],
        "edges_assignment": letters,
        "edges_foldAngle": angles,
        "faces_vertices": [list(r) for r in pattern.rings],
        "faces_cutprep:name": [p.name for p in report.panels],
    }
    if any(angle is None for angle in angles):  # the format knows no unknown angle of a valley
        del data["edges_foldAngle"]
    if report.motion is not None and report.motion.angles.any():
        data["file_frames"] = [_folded_form(report, pattern)]
    return json.dumps(data, indent=1, allow_nan=False) + "\n"


def _folded_form(report: FoldReport, pattern: _Pattern) -> dict[str, object]:
    """The frame that moves every corner to where it lies when the part is folded."""
    xyz = np.zeros((len(pattern.xy), 3))
    for panel in range(len(report.panels)):
        mine = np.flatnonzero(pattern.owner == panel)
        xyz[mine] = carried(report, panel, pattern.xy[mine])
    flat = float(np.abs(xyz[:, 2]).max()) < _SAME
    return {
        "frame_title": f"{report.name}, folded",
        "frame_classes": ["foldedForm"],
        "frame_attributes": ["2D" if flat else "3D"],
        "frame_unit": "mm",
        "frame_parent": 0,
        "frame_inherit": True,
        "vertices_coords": [[_neat(v) for v in p] for p in xyz.tolist()],
    }


def _neat(value: float) -> float:
    return round(value, 6) + 0.0


@dataclass(frozen=True, slots=True, eq=False)
class _Pattern:
    """Corners of the flat part, each once a group of panels that hold together at it.

    Attributes
    ----------
    xy
        (n, 2) ndarray of float, mm.
    owner
        (n,) ndarray of int: a panel that the corner belongs to, the first on the way from the base.
    rings
        Every panel by corner numbers, windows led in to.
    joins
        The seams to windows.
    """

    xy: Points
    owner: Index
    rings: tuple[tuple[int, ...], ...]
    joins: frozenset[tuple[int, int]]


def _pattern(report: FoldReport) -> _Pattern:
    """Corners of all panels, and every face by corner numbers."""
    vertices: list[Points] = []
    keys: dict[tuple[int, int], int] = {}
    rings = [[_spot(p, keys, vertices) for p in panel.outline[:-1]] for panel in report.panels]
    holes = [[[_spot(p, keys, vertices) for p in h[:-1]] for h in panel.holes] for panel in report.panels]
    loops = [[ring, *inner] for ring, inner in zip(rings, holes, strict=True)]
    number, xy, owner = _parted(report, loops, np.array(vertices).reshape(-1, 2))
    faces: list[tuple[int, ...]] = []
    joins = set()
    for k, panel in enumerate(report.panels):
        shape = shapely.Polygon(panel.outline, panel.holes)
        ring, *inner = ([number[k, i] for i in loop] for loop in loops[k])
        for hole in inner:
            i, j = _bridge(shape, xy, ring, hole)
            joins.add((min(ring[i], hole[j]), max(ring[i], hole[j])))
            ring = [*ring[: i + 1], *hole[j:], *hole[: j + 1], *ring[i:]]
        faces.append(tuple(ring))
    return _Pattern(xy, owner, tuple(faces), frozenset(joins))


def _spot(point: Points, keys: dict[tuple[int, int], int], vertices: list[Points]) -> int:
    """Number of a place in the flat; a new one when none is there yet."""
    key = (round(float(point[0]) / _SAME), round(float(point[1]) / _SAME))
    if key not in keys:
        keys[key] = len(vertices)
        vertices.append(point)
    return keys[key]


def _parted(
    report: FoldReport, loops: Sequence[Sequence[Sequence[int]]], vertices: Points
) -> tuple[dict[tuple[int, int], int], Points, Index]:
    """Number the corners anew: one a place and group of panels joined there by scores.

    Returns
    -------
    tuple
        Number by (panel, place), (n, 2) places, and (n,) a panel of each.
    """
    import networkx as nx

    joined: nx.Graph[tuple[int, int]] = nx.Graph()
    joined.add_nodes_from((k, i) for k, panel in enumerate(loops) for loop in panel for i in loop)
    for (a, b), panels in sorted(_owners(loops).items()):
        if len(panels) == 2 and _hinge_on(report, panels, vertices[[a, b]]) is not None:
            one, two = panels
            joined.add_edges_from([((one, a), (two, a)), ((one, b), (two, b))])
    rank = {int(p): n for n, p in enumerate(report.motion.order if report.motion else range(len(loops)))}
    number: dict[tuple[int, int], int] = {}
    xy: list[Points] = []
    owner: list[int] = []
    for group in sorted(sorted(g) for g in nx.connected_components(joined)):
        for corner in group:
            number[corner] = len(xy)
        xy.append(vertices[group[0][1]])
        owner.append(min((panel for panel, _ in group), key=lambda p: (rank.get(p, len(rank)), p)))
    return number, np.array(xy).reshape(-1, 2), np.array(owner, dtype=np.int64)


def _owners(panels: Iterable[Sequence[Sequence[int]]]) -> dict[tuple[int, int], list[int]]:
    """Panels on every side, a side by its corner numbers, the smaller first."""
    found: dict[tuple[int, int], list[int]] = {}
    for panel, loops in enumerate(panels):
        for loop in loops:
            for a, b in zip(loop, [*loop[1:], loop[0]], strict=True):
                found.setdefault((min(a, b), max(a, b)), []).append(panel)
    return found


def _hinge_on(report: FoldReport, panels: Sequence[int], ends: Points) -> Hinge | None:
    """The score between two panels that a side lies on."""
    for hinge in report.hinges:
        if {hinge.a, hinge.b} == set(panels) and (hinge.kind != "straight" or _along(hinge, ends)):
            return hinge
    return None


def _bridge(shape: shapely.Polygon, vertices: Points, ring: list[int], inner: list[int]) -> tuple[int, int]:
    """The shortest way inside a panel from its outline to a window: positions in both rings."""
    far = np.hypot(*(vertices[ring][:, None] - vertices[inner][None]).transpose(2, 0, 1))
    for k in np.argsort(far, axis=None, kind="stable").tolist():
        i, j = divmod(k, len(inner))
        if shape.covers(shapely.LineString(vertices[[ring[i], inner[j]]])):
            return i, j
    raise AssertionError("a window can't be seen from its panel's outline")


def _edges(
    report: FoldReport, pattern: _Pattern
) -> tuple[list[tuple[int, int]], list[str], list[float | None]]:
    """Edges with their letters and fold angles."""
    edges, letters, angles = [], [], []
    for edge, panels in sorted(_owners([ring] for ring in pattern.rings).items()):
        hinge = _hinge_on(report, panels, pattern.xy[list(edge)]) if len(set(panels)) == 2 else None
        letter, angle = ("B" if len(panels) == 1 else "C", 0.0) if hinge is None else _letter(hinge)
        edges.append(edge)
        letters.append("J" if edge in pattern.joins else letter)
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
    return ("V" if hinge.angle > 0 else "M"), float(np.clip(hinge.angle, -180.0, 180.0))
