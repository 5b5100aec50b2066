"""Volumes and shapes of folded parts against scipy's ConvexHull (qhull) and trimesh.

Run with scipy 1.17 and trimesh 4; both are test extras only.
"""

from __future__ import annotations

import io

import numpy as np
import pytest
import shapely

from cutprep.geometry.space.halfspaces import corners_of, room
from cutprep.geometry.space.hinged import pose
from cutprep.model.folded import Verdict
from cutprep.stages.fold.export.mesh_files import to_obj, to_stl
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.folding import folded
from tests.nets import (
    Sketch,
    dual_edges,
    from_faces,
    gathered,
    hang,
    hex_prism,
    hull,
    net_of,
    tray,
    tuck_end,
    unfold,
    webbed_tray,
)

spatial = pytest.importorskip("scipy.spatial")
trimesh = pytest.importorskip("trimesh")


@pytest.mark.parametrize(
    "sketch",
    [
        tray(),
        tuck_end(),
        hex_prism(),
        webbed_tray(),
        gathered(),
        net_of("octahedron", 50),
        net_of("icosahedron", 40),
    ],
    ids=lambda s: s.name,
)
def test_volume_is_that_of_the_hull_of_the_folded_corners(sketch: Sketch) -> None:
    report = folded(sketch)
    body = [c for c, p in zip(pose(report), report.panels, strict=True) if p.role.value == "body"]
    assert report.volume_mm3 == pytest.approx(spatial.ConvexHull(np.vstack(body)).volume, rel=1e-7)


@pytest.mark.parametrize("name", ["tetrahedron", "cube", "octahedron", "dodecahedron", "icosahedron"])
def test_an_exported_solid_is_watertight_and_as_large(name: str) -> None:
    report = folded(net_of(name, 40))
    mesh = trimesh.load(io.BytesIO(to_stl(report).encode()), file_type="stl")
    mesh.merge_vertices(digits_vertex=4)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(report.volume_mm3, rel=1e-5)  # positive: normals point outwards
    loaded = trimesh.load(io.BytesIO(to_obj(report).encode()), file_type="obj", process=False)
    assert loaded.bounds == pytest.approx(mesh.bounds, abs=1e-4)


@pytest.mark.parametrize("t", [0.0, 0.4, 1.2])
@pytest.mark.parametrize(
    "sketch", [tuck_end(), webbed_tray(), net_of("dodecahedron", 30)], ids=lambda s: s.name
)
def test_the_room_inside_against_qhull(sketch: Sketch, t: float) -> None:
    report = folded(sketch, thickness=t)
    planes = report.inside_planes
    # the middle of the room: the highest point of the cone over all planes, found by a small step in
    faces = room(planes, 1000.0)
    centre = corners_of(faces).mean(axis=0)
    other = spatial.HalfspaceIntersection(np.column_stack((planes[:, :3], -planes[:, 3])), centre)
    assert np.ptp(other.intersections, axis=0) == pytest.approx(np.ptp(corners_of(faces), axis=0), abs=1e-6)
    assert report.inside_mm is not None
    assert np.ptp(other.intersections[:, 2]) == pytest.approx(report.inside_mm[2], abs=1e-6)


def random_net(seed: int) -> tuple[list, float] | None:
    """A net of a random convex solid, and its volume by qhull; None when the net overlaps itself."""
    rng = np.random.default_rng(seed)
    v = rng.normal(size=(int(rng.integers(5, 10)), 3))
    v *= 60 / np.linalg.norm(v, axis=1)[:, None]
    v, faces = hull(v)
    edges = dual_edges(faces)
    flat = unfold(v, faces, hang([edges[k] for k in rng.permutation(len(edges))]))
    shapes = [shapely.Polygon(f).buffer(-0.5) for f in flat]
    for i, a in enumerate(shapes):
        if any(a.intersects(b) for b in shapes[i + 1 :]):
            return None
    return flat, float(spatial.ConvexHull(v).volume)


def test_nets_of_random_convex_solids_fold_back_to_them() -> None:
    """No symmetry helps here: 60 random solids of 5 to 9 corners, most with triangles only."""
    right = tried = 0
    for seed in range(60):
        net = random_net(seed)
        if net is None:
            continue
        tried += 1
        reports = fold(from_faces(net[0]).drawing(), tolerance=Tolerance())
        closed = len(reports) == 1 and reports[0].verdict is Verdict.CLOSED
        right += closed and abs(reports[0].volume_mm3 / net[1] - 1) < 1e-6
        # a net that is not solved is said to be so: never a closed solid of another volume
        assert not closed or reports[0].volume_mm3 == pytest.approx(net[1], rel=1e-6)
    assert tried > 40
    assert right >= 0.95 * tried
