"""Reading FOLD files."""

from __future__ import annotations

import json

import numpy as np
import pytest

from cutprep.errors import DrawingError
from cutprep.model.operation import Fold, Operation
from tests.fold_reader import drawing_of, read_fold

SQUARE = {
    "file_spec": 1.2,
    "vertices_coords": [[0, 0], [40, 0], [40, 40], [0, 40]],
    "faces_vertices": [[0, 1, 2], [0, 2, 3]],
    "edges_vertices": [[0, 1], [1, 2], [2, 3], [3, 0], [0, 2]],
    "edges_assignment": ["B", "B", "B", "B", "M"],
    "edges_foldAngle": [0, 0, 0, 0, -90],
}


def text(**changes: object) -> str:
    return json.dumps({**SQUARE, **changes})


def test_a_plain_file() -> None:
    fold = read_fold(text())
    assert fold.letters == ("B", "B", "B", "B", "M")
    assert fold.angles[-1] == -90
    assert fold.xyz.shape == (4, 3)


def test_it_draws_cuts_and_scores_with_their_angle() -> None:
    lines = drawing_of(read_fold(text())).lines
    assert lines.operation.tolist() == [Operation.CUT] * 4 + [Operation.SCORE]
    assert lines.fold[-1] == Fold.MOUNTAIN
    assert lines[4].layer == "score mountain 90 deg"


def test_flat_and_joined_edges_are_no_lines() -> None:
    lines = drawing_of(read_fold(text(edges_assignment=["B", "B", "B", "B", "J"]))).lines
    assert len(lines) == 4


def test_edges_may_be_left_to_the_faces() -> None:
    data = {k: v for k, v in SQUARE.items() if not k.startswith("edges")}
    fold = read_fold(json.dumps(data))
    assert len(fold.edges) == 5
    assert set(fold.letters) == {"U"}


def test_the_old_name_of_the_angles_and_further_frames() -> None:
    data = dict(SQUARE)
    data["edges_foldAngles"] = data.pop("edges_foldAngle")
    data["file_frames"] = [{}, {}]
    fold = read_fold(json.dumps(data))
    assert fold.angles[-1] == -90
    assert fold.frames == 2


def test_unknown_angles() -> None:
    fold = read_fold(text(edges_foldAngle=[0, 0, 0, 0, None]))
    assert np.isnan(fold.angles[-1])
    assert drawing_of(fold).lines[4].layer == "score mountain"


@pytest.mark.parametrize(
    "broken",
    [
        "{",
        "[]",
        "{}",
        text(edges_assignment=["B"]),
        text(edges_assignment=["B", "B", "B", "B", "X"]),
        text(faces_vertices=[[0, 1, 9]]),
        text(edges_vertices=[[0, 1, 2]]),
        text(vertices_coords=[[0], [1], [2], [3]]),
        text(vertices_coords=[[0, 0], [1, 0], [1, 1], ["a", 0]]),
        text(edges_foldAngle=["x"] * 5),
        '{"vertices_coords": [[NaN, 0]]}',
        "[" * 100_000,
    ],
)
def test_broken_files_are_refused(broken: str) -> None:
    with pytest.raises(DrawingError):
        read_fold(broken, file="box.fold")
