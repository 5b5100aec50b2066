"""FOLD, written and read back."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from cutprep.model.folded import Certainty, Verdict
from cutprep.stages.fold.export.fold_file import to_fold
from tests.fold_reader import drawing_of, read_fold
from tests.folding import folded
from tests.nets import Sketch, gathered, hex_prism, net_of, pillow, tray, webbed_tray


@pytest.mark.parametrize(
    "sketch",
    [tray(), hex_prism(), webbed_tray(), gathered(), net_of("icosahedron", 40)],
    ids=lambda s: s.name,
)
def test_a_net_goes_out_and_comes_back(sketch: Sketch) -> None:
    report = folded(sketch)
    fold = read_fold(to_fold(report))
    assert fold.spec == 1.2
    assert fold.unit == "mm"
    assert len(fold.faces) == len(report.panels)
    again = folded(drawing_of(fold))
    assert again.verdict is report.verdict
    assert len(again.hinges) == len(report.hinges)
    assert again.volume_mm3 == pytest.approx(report.volume_mm3, rel=1e-5)
    assert all(h.declared is not None for h in again.hinges)


def test_letters() -> None:
    s = tray().ring((80, 60), (130, 60), (130, 90), (80, 90))  # a window: its seam is a join
    fold = read_fold(to_fold(folded(s)))
    count = {letter: fold.letters.count(letter) for letter in "BMVFUCJ"}
    assert count["V"] == 8
    assert count["J"] == 1
    assert count["M"] == count["F"] == count["U"] == count["C"] == 0
    assert count["B"] == 20 + 4


def test_a_cut_between_panels_that_part_has_two_borders() -> None:
    """Two flaps side by side with one cut between them: each has its own corner at the free end."""
    s = Sketch().ring((0, 0), (60, 0), (60, 20), (60, 50), (0, 50), (0, 20))
    s.cut((30, 0), (30, 20)).score((0, 20), (30, 20)).score((30, 20), (60, 20))
    fold = read_fold(to_fold(folded(s)))
    assert fold.letters.count("C") == 0
    assert int((np.abs(fold.xyz[:, :2] - (30, 0)).max(axis=1) < 1e-6).sum()) == 2
    assert int((np.abs(fold.xyz[:, :2] - (30, 20)).max(axis=1) < 1e-6).sum()) == 1


def test_flat_and_unknown_scores() -> None:
    fold = read_fold(to_fold(folded(pillow())))
    assert "U" in fold.letters
    assert fold.letters.count("M") == 0
    s = pillow()
    s.folds = [1] * len(s.folds)
    data = json.loads(to_fold(folded(s)))
    assert "edges_foldAngle" not in data  # a valley of unknown angle has none in the format
    assert data["edges_assignment"].count("V") > 0


def test_faces_run_counter_clockwise() -> None:
    fold = read_fold(to_fold(folded(tray())))
    for face in fold.faces:
        xy = fold.xyz[list(face), :2]
        x, y = xy.T
        assert (
            x * y.take(range(1, len(y) + 1), mode="wrap") - x.take(range(1, len(x) + 1), mode="wrap") * y
        ).sum() > 0


def test_angles_beyond_a_half_turn_are_written_as_one() -> None:
    report = folded(tray())
    hinges = (replace(report.hinges[0], angle=180.0000004), replace(report.hinges[1], angle=-180.2))
    data = json.loads(to_fold(replace(report, hinges=(*hinges, *report.hinges[2:]))))
    assert {min(data["edges_foldAngle"]), max(data["edges_foldAngle"])} == {-180.0, 180.0}


def test_a_part_that_was_not_folded_has_one_frame() -> None:
    assert "file_frames" not in json.loads(to_fold(folded(pillow())))


def test_a_part_that_was_declared_by_its_file_is_declared_only_in_its_angles() -> None:
    again = folded(drawing_of(read_fold(to_fold(folded(tray())))))
    assert again.verdict is Verdict.OPEN_BOX
    assert again.certainty in {Certainty.INFERRED, Certainty.DECLARED}
