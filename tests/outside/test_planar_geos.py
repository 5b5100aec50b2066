"""The planar graph against GEOS: `shapely.node` and `polygonize_full` find the same faces, dangles and bridges.

Source: GEOS (libgeos.org), "Polygonizer: polygons, cut edges, dangles, invalid rings", by way of shapely 2.
Its `polygonize_full` calls cut edges what we call bridges. Coordinates are drawn so that GEOS, which needs
noded lines with equal ends, gets them from `shapely.node`.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cutprep.geometry.planar.graph.drawn import outline_lines
from cutprep.geometry.planar.graph.graph import EdgeKind
from cutprep.geometry.planar.plane import Plane
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from tests.drawn import LIMITS


def scribble(seed: int) -> list[np.ndarray]:
    """Long straight strokes that cross well away from their ends, and from one another's crossings."""
    rng = np.random.default_rng(seed)
    strokes: list[np.ndarray] = []
    while len(strokes) < 14:
        stroke = rng.uniform(0, 200, (2, 2))
        lines = [shapely.LineString(s) for s in [*strokes, stroke]]
        new = lines[-1]
        spots = [lines[a].intersection(lines[b]) for a in range(len(lines)) for b in range(a)]
        points = [p for p in spots if not p.is_empty] + [
            shapely.Point(e) for line in lines for e in line.coords
        ]
        apart = shapely.distance(np.array(points)[:, None], np.array(points)[None, :])
        np.fill_diagonal(apart, np.inf)
        # No end stops short of a line, which would be a gap to close.
        gaps = [
            lines[a].distance(shapely.Point(end))
            for a in range(len(lines))
            for b in range(len(lines))
            for end in lines[b].coords
            if a != b
        ]
        if new.length > 60 and apart.min() > 3 and min(gaps, default=9.0) > 3:
            strokes.append(stroke)
    return strokes


@pytest.mark.parametrize("seed", range(12))
def test_faces_dangles_bridges_and_outlines_agree(seed: int) -> None:
    strokes = scribble(seed)
    graph = Plane(Lines.of(strokes, operation=Operation.CUT), LIMITS).graph
    noded = shapely.node(shapely.MultiLineString(strokes))
    faces, bridges, dangles, invalid = shapely.polygonize_full(list(noded.geoms))
    assert graph.faces == len(faces.geoms)
    assert invalid.is_empty
    length = {kind: float(graph.lengths[graph.kind == kind].sum()) for kind in EdgeKind}
    assert length[EdgeKind.DANGLE] == pytest.approx(dangles.length)
    assert length[EdgeKind.BRIDGE] == pytest.approx(bridges.length)
    whole = shapely.union_all([shapely.Polygon(face.exterior) for face in faces.geoms])
    theirs = [shapely.Polygon(part.exterior) for part in shapely.get_parts(whole)]
    ours = [shapely.Polygon(line.points) for line in outline_lines(graph)]
    assert len(ours) == len(theirs)
    for polygon in theirs:
        apart = [float(shapely.hausdorff_distance(polygon.exterior, other.exterior)) for other in ours]
        assert min(apart) < 1e-6
