"""FOLD examples and flat-folding rules against their sources.

FOLD specification 1.2, edemaine/fold, doc/spec.md (fold angles: positive valley, 0 for B and F)
and its MIT-licensed examples `cube-cp.fold` (Mokshit Jain) and `squaretwist.fold` (Thomas Hull,
"Rigidly folded square twist"), whose figures stand below.
Flat folding: T. Hull, On the mathematics of flat origamis, Congressus Numerantium 100 (1994).
Tray from a blank of 8 1/4 by 5 3/4 in with walls of 1 1/8 in: common practice, no published source.
"""

from __future__ import annotations

import json

import numpy as np
import pytest

from cutprep.geometry.space.hinged import pose
from cutprep.model.drawing import Drawing
from cutprep.model.folded import FoldReport, Verdict
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Fold, Operation
from cutprep.stages.fold.net.vertices import MAY, WONT, judge
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.fold_reader import drawing_of, read_fold
from tests.folding import folded
from tests.nets import tray

CUBE = {
    "file_spec": 1,
    "vertices_coords": [
        [0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0], [0, 2, 0], [1, 2, 0], [-1, 1, 0], [-1, 0, 0], [0, -1, 0],
        [0, -2, 0], [1, -2, 0], [1, -1, 0], [2, 0, 0], [2, 1, 0],
    ],
    "faces_vertices": [[0, 1, 2, 3], [3, 2, 5, 4], [1, 12, 13, 2], [8, 11, 1, 0], [9, 10, 11, 8], [7, 0, 3, 6]],
    "edges_vertices": [
        [0, 1], [1, 2], [2, 3], [3, 0], [3, 4], [4, 5], [5, 2], [2, 13], [13, 12], [12, 1], [0, 7], [7, 6], [6, 3],
        [0, 8], [1, 11], [8, 11], [8, 9], [9, 10], [10, 11],
    ],
    "edges_assignment": ["V"] * 4 + ["B"] * 11 + ["V"] + ["B"] * 3,
    "edges_foldAngle": [90] * 4 + [0] * 11 + [90] + [0] * 3,
}  # fmt: skip

#: Folded corners of the square twist, its faces, and its creases with their letters.
TWIST = np.array(
    [
        (0, 0, 0), (0.25, 0, 0), (0.25, 0.5, 0), (0, 0.5, 0), (0.466968, 0, -0.124197), (0.966968, 0, -0.124197),
        (0.966968, 0.25, -0.124197), (0.466968, 0.25, -0.124197), (0.716968, 0.354037, 0.103128),
        (0.966968, 0.354037, 0.103128), (0.966968, 0.854037, 0.103128), (0.716968, 0.854037, 0.103128),
        (0, 0.854037, 0.227324), (0, 0.604037, 0.227324), (0.5, 0.604037, 0.227324), (0.5, 0.854037, 0.227324),
    ]
)  # fmt: skip
TWIST_FACES = [
    [0, 1, 2, 3], [1, 4, 7, 2], [4, 5, 6, 7], [7, 6, 9, 8], [8, 9, 10, 11], [15, 14, 8, 11], [12, 13, 14, 15],
    [3, 2, 14, 13], [2, 7, 8, 14],
]  # fmt: skip
TWIST_CREASES = {
    (1, 2): "M", (2, 3): "V", (6, 7): "V", (4, 7): "V", (8, 9): "M", (8, 11): "V", (13, 14): "M", (14, 15): "M",
    (2, 7): "V", (7, 8): "M", (8, 14): "M", (2, 14): "V",
}  # fmt: skip


def test_the_cube_of_the_format_folds_to_a_cube() -> None:
    data = dict(CUBE)
    data["vertices_coords"] = [[40 * v for v in p] for p in CUBE["vertices_coords"]]  # type: ignore[union-attr, attr-defined]
    report = folded(drawing_of(read_fold(json.dumps(data))))
    assert report.verdict is Verdict.CLOSED
    assert report.gap < 1e-9
    assert report.volume_mm3 == pytest.approx(64000)
    assert [h.angle for h in report.hinges] == pytest.approx([90.0] * 5)


def fold_angle(one: np.ndarray, two: np.ndarray, edge: np.ndarray) -> float:
    """Signed fold angle between two faces (corners counter-clockwise), degrees, from the 3-D corners alone.

    The specification: a valley points the two face normals into each other.
    """
    n1, n2 = (np.cross(f[1] - f[0], f[2] - f[1]) for f in (one, two))
    n1, n2 = n1 / np.linalg.norm(n1), n2 / np.linalg.norm(n2)
    angle = float(np.degrees(np.arccos(np.clip(n1 @ n2, -1, 1))))
    return angle if n1 @ (two.mean(axis=0) - edge.mean(axis=0)) > 0 else -angle


def twist_angles() -> dict[tuple[int, int], float]:
    found = {}
    for a, b in TWIST_CREASES:
        one, two = (f for f in TWIST_FACES if a in f and b in f)
        found[a, b] = fold_angle(TWIST[one], TWIST[two], TWIST[[a, b]])
    return found


def test_letters_of_the_square_twist_are_the_signs_of_its_folds() -> None:
    for crease, angle in twist_angles().items():
        assert TWIST_CREASES[crease] == ("V" if angle > 0 else "M"), crease


def flat_twist() -> np.ndarray:
    """Lay the twist flat, face by face, in units of 100 mm."""
    flat = {}
    order = [8, 1, 0, 7, 3, 2, 5, 4, 6]
    first = TWIST_FACES[8]
    p = TWIST[first]
    u = (p[1] - p[0]) / np.linalg.norm(p[1] - p[0])
    n = np.cross(p[1] - p[0], p[2] - p[1])
    v = np.cross(n / np.linalg.norm(n), u)
    for k, q in zip(first, p, strict=True):
        flat[k] = np.array([(q - p[0]) @ u, (q - p[0]) @ v])
    for face in order[1:]:
        ids = TWIST_FACES[face]
        start = next(i for i in range(4) if ids[i] in flat and ids[(i + 1) % 4] in flat)
        ids = ids[start:] + ids[:start]
        p = TWIST[ids]
        u = (p[1] - p[0]) / np.linalg.norm(p[1] - p[0])
        n = np.cross(p[1] - p[0], p[2] - p[1])
        v = np.cross(n / np.linalg.norm(n), u)
        a, b = flat[ids[0]], flat[ids[1]]
        e = (b - a) / np.linalg.norm(b - a)
        f = np.array([-e[1], e[0]])
        for k, q in zip(ids, p, strict=True):
            flat.setdefault(k, a + e * ((q - p[0]) @ u) + f * ((q - p[0]) @ v))
    return np.array([flat[k] for k in range(16)]) * 100.0


def twist_report() -> tuple[np.ndarray, FoldReport]:
    flat, angles = flat_twist(), twist_angles()
    cuts = [
        (a, b)
        for face in TWIST_FACES
        for a, b in zip(face, [*face[1:], face[0]], strict=True)
        if (min(a, b), max(a, b)) not in {(min(c), max(c)) for c in angles}
    ]
    layers = [f"score {'valley' if d > 0 else 'mountain'} {abs(d):.6f} deg" for d in angles.values()]
    lines = Lines.of(
        [flat[list(e)] for e in [*cuts, *angles]],
        operation=[Operation.CUT] * len(cuts) + [Operation.SCORE] * len(angles),
        fold=[Fold.UNSAID] * len(cuts) + [Fold.VALLEY if d > 0 else Fold.MOUNTAIN for d in angles.values()],
        source=[0] * len(cuts) + list(range(1, len(angles) + 1)),
        elements=(Element(layer="cut"), *(Element(layer=name) for name in layers)),
    )
    (report,) = fold(Drawing("square twist", lines), tolerance=Tolerance())
    return flat, report


def test_the_square_twist_comes_to_lie_where_its_file_says() -> None:
    """Twelve creases, four rings of panels, mountains and valleys: corners within the file's rounding."""
    flat, report = twist_report()
    assert len(report.hinges) == 12
    assert report.gap < 0.01  # the file gives 6 digits of a length of 100
    seen = {}
    for panel, corners in zip(report.panels, pose(report), strict=True):
        for xy, xyz in zip(panel.outline[:-1], corners[:-1], strict=True):
            vertex = int(np.argmin(np.hypot(*(flat - xy).T)))
            seen[vertex] = xyz
    got = np.array([seen[k] for k in range(16)])
    want = TWIST * 100.0
    for k in range(16):
        assert np.linalg.norm(got - got[k], axis=1) == pytest.approx(
            np.linalg.norm(want - want[k], axis=1), abs=0.01
        )


@pytest.mark.parametrize(
    ("sectors", "folds", "word"),
    [
        # 90 - 45 + 22.5 - 22.5 + 45 - 90 + 22.5 - 22.5 = 0 (worked example of Kawasaki's rule)
        ((90, 45, 22.5, 22.5, 45, 90, 22.5, 22.5), (0,) * 8, MAY),
        ((90, 90, 90, 90), (-1, -1, -1, 1), MAY),  # 3 mountains, 1 valley
        ((90, 90, 90, 90), (-1, -1, 1, 1), WONT),  # 2 and 2
        ((80, 100, 90, 90), (0,) * 4, WONT),
    ],
)
def test_kawasaki_and_maekawa(sectors: tuple[float, ...], folds: tuple[int, ...], word: str) -> None:
    assert judge(sectors, folds)[2] == word


def test_a_tray_is_its_blank_less_two_walls() -> None:
    inch = 25.4
    report = folded(tray(8.25 * inch, 5.75 * inch, 1.125 * inch, bare=True))
    assert report.inside_mm == pytest.approx((6 * inch, 3.5 * inch, 1.125 * inch))
