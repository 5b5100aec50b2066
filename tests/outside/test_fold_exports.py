"""Exports against the FOLD specification and against trimesh.

FOLD specification 1.2, edemaine/fold, doc/spec.md: keys without a colon are reserved; fold angles
in degrees from -180 to 180, positive for valley, zero for B, F and U; a valley fold points the two
face normals into each other; frames after the first stand in file_frames, with frame_parent and
frame_inherit. Letters C and J are those of version 1.2.
trimesh (MIT, general-purpose meshes) reads OBJ and STL and says whether they are closed.
"""

from __future__ import annotations

import io
import json
import math
from typing import Any

import numpy as np
import pytest
import trimesh

from cutprep.model.folded import Verdict
from cutprep.stages.fold.export.fold_file import to_fold
from cutprep.stages.fold.export.mesh_files import to_obj, to_stl
from tests.bench.fold_kinds import case_of
from tests.folding import folded
from tests.kinds.draw import Manner, drawn
from tests.kinds.sound import carton
from tests.nets import Sketch, gathered, hex_prism, net_of, open_cube, tray, webbed_tray

#: Keys of the specification that a frame may have, and the ones only the file has.
FRAME = {
    "frame_title", "frame_description", "frame_author", "frame_classes", "frame_attributes", "frame_unit",
    "frame_parent", "frame_inherit", "vertices_coords", "edges_vertices", "edges_assignment", "edges_foldAngle",
    "faces_vertices", "faceOrders",
}  # fmt: skip
FILE = {
    "file_spec",
    "file_creator",
    "file_author",
    "file_title",
    "file_description",
    "file_classes",
    "file_frames",
}


def _frames(data: dict[str, Any]) -> list[dict[str, Any]]:
    """Frames with what they inherit."""
    frames = [{k: v for k, v in data.items() if k not in FILE}]
    for frame in data.get("file_frames", []):
        base = frames[frame["frame_parent"]] if frame.get("frame_inherit") else {}
        frames.append({**base, **frame})
    return frames


NETS = [
    tray(),
    hex_prism(),
    webbed_tray(),
    gathered(),
    net_of("icosahedron", 40),
    tray().ring((80, 60), (130, 60), (130, 90)),
]


@pytest.mark.parametrize("sketch", NETS, ids=lambda s: s.name)
def test_a_fold_file_keeps_the_specification(sketch: Sketch) -> None:
    data = json.loads(to_fold(folded(sketch)))
    assert data["file_spec"] == 1.2
    assert all(":" in key or key in FRAME | FILE for key in data)
    flat, bent = _frames(data)
    assert (flat["frame_classes"], flat["frame_attributes"]) == (["creasePattern"], ["2D"])
    assert (bent["frame_classes"], bent["frame_attributes"]) == (["foldedForm"], ["3D"])
    for frame in (flat, bent):
        assert all(":" in key or key in FRAME for key in frame)
        count = len(frame["vertices_coords"])
        edges = [tuple(e) for e in frame["edges_vertices"]]
        assert len(set(map(frozenset, edges))) == len(edges) == len(frame["edges_assignment"])
        assert all(0 <= v < count for e in edges for v in e)
        sides: dict[frozenset[int], int] = {}
        for face in frame["faces_vertices"]:
            for a, b in zip(face, [*face[1:], face[0]], strict=True):
                sides[frozenset((a, b))] = sides.get(frozenset((a, b)), 0) + 1
        assert set(sides) == set(map(frozenset, edges))
        for edge, letter, angle in zip(
            edges, frame["edges_assignment"], frame["edges_foldAngle"], strict=True
        ):
            assert -180 <= angle <= 180
            assert {"M": angle < 0, "V": angle > 0}.get(letter, angle == 0)
            assert sides[frozenset(edge)] == (1 if letter == "B" else 2)


@pytest.mark.parametrize("sketch", NETS, ids=lambda s: s.name)
def test_the_folded_form_is_the_flat_one_folded_by_its_angles(sketch: Sketch) -> None:
    """Faces keep their lengths; the angle between the faces of every edge is the one written."""
    flat, bent = _frames(json.loads(to_fold(folded(sketch))))
    xy, xyz = np.array(flat["vertices_coords"]), np.array(bent["vertices_coords"])
    normal = []
    for face in flat["faces_vertices"]:
        corner = xyz[face]
        assert np.linalg.norm(corner[:, None] - corner, axis=2) == pytest.approx(
            np.linalg.norm(xy[face][:, None] - xy[face], axis=2), abs=2e-3
        )
        area = np.cross(corner - corner[0], np.roll(corner, -1, axis=0) - corner[0]).sum(axis=0)
        normal.append(area / np.linalg.norm(area))
    left: dict[tuple[int, int], int] = {}
    for k, face in enumerate(flat["faces_vertices"]):
        left |= dict.fromkeys(zip(face, [*face[1:], face[0]], strict=True), k)
    for (a, b), letter, angle in zip(
        flat["edges_vertices"], flat["edges_assignment"], flat["edges_foldAngle"], strict=True
    ):
        if letter in "BJC":
            continue
        one, two = normal[left[a, b]], normal[left[b, a]]
        along = (xyz[b] - xyz[a]) / np.linalg.norm(xyz[b] - xyz[a])
        turned = math.degrees(math.atan2(float(np.cross(two, one) @ along), float(one @ two)))
        assert abs((turned - angle + 180) % 360 - 180) < 0.05


def _load(text: str, kind: str) -> trimesh.Trimesh:
    return trimesh.load(io.BytesIO(text.encode()), file_type=kind, force="mesh")


@pytest.mark.parametrize(
    "sketch", [hex_prism(), net_of("dodecahedron", 30), net_of("tetrahedron", 50)], ids=lambda s: s.name
)
@pytest.mark.parametrize(("write", "kind"), [(to_obj, "obj"), (to_stl, "stl")])
def test_a_closed_part_is_a_watertight_solid(sketch: Sketch, write: Any, kind: str) -> None:
    report = folded(sketch)
    mesh = _load(write(report), kind)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(report.volume_mm3, rel=1e-5)  # above 0: its outside is outwards


def test_a_carton_with_tuck_and_dust_flaps_is_a_watertight_solid() -> None:
    drawing = drawn(carton().strokes(), Manner(), np.random.default_rng(1), "carton")
    report = folded(drawing)
    assert report.verdict is Verdict.CLOSED
    mesh = _load(to_obj(report), "obj")
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(60 * 30 * 90, rel=1e-6)


@pytest.mark.parametrize(
    "kind",
    [
        "carton, sealed, part overlap", "carton, reverse tuck", "prism, L", "prism, star", "wedge", "antiprism",
        "box with hinged lid and three lips", "regular solid, glue flaps", "house",
    ],
)  # fmt: skip
def test_flaps_over_flaps_leave_a_watertight_solid_of_the_right_volume(kind: str) -> None:
    """Against trimesh, and against the volume that the template was drawn for."""
    case = case_of(kind, 3)
    report = folded(case.drawing)
    mesh = _load(to_obj(report), "obj")
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(case.wants[0].volume, rel=1e-4)


@pytest.mark.parametrize(("write", "kind"), [(to_obj, "obj"), (to_stl, "stl")])
def test_an_open_box_is_one_surface_with_one_rim(write: Any, kind: str) -> None:
    mesh = _load(write(folded(open_cube())), kind)
    assert mesh.is_winding_consistent
    assert mesh.euler_number == 1  # a disc
    assert mesh.area == pytest.approx(5 * 40**2)
    closed = trimesh.Trimesh(mesh.vertices, [*mesh.faces.tolist(), *_lid(mesh)], process=False)
    assert closed.is_watertight
    assert closed.volume == pytest.approx(40**3)


def _lid(mesh: trimesh.Trimesh) -> list[list[int]]:
    """Two triangles that close the rim: its four sides run backwards."""
    runs = {(int(a), int(b)) for f in mesh.faces for a, b in zip(f, np.roll(f, -1), strict=True)}
    after = {b: a for a, b in runs if (b, a) not in runs}
    first = min(after)
    loop = [first]
    while after[loop[-1]] != first:
        loop.append(after[loop[-1]])
    assert len(loop) == 4
    return [[loop[0], loop[1], loop[2]], [loop[0], loop[2], loop[3]]]


@pytest.mark.parametrize(
    "kind", ["carton, sealed, flaps meet", "carton, window over a corner", "envelope box", "carton, hang tab"]
)
def test_a_closed_part_whose_panels_leave_slits_is_one_watertight_body(kind: str) -> None:
    report = folded(case_of(kind, 17).drawing)
    assert report.verdict is Verdict.CLOSED
    for text, sort in ((to_obj(report), "obj"), (to_stl(report), "stl")):
        mesh = trimesh.load(io.BytesIO(text.encode()), file_type=sort, process=sort == "stl")
        if sort == "stl" and any(p.holes for p in report.panels):
            continue  # a window stays open there
        assert mesh.is_watertight
        assert mesh.volume == pytest.approx(report.volume_mm3, rel=2e-3)
