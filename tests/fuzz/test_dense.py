"""Dense drawings, small: check, mend and divide end, or stop with a sentence."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from cutprep.errors import CutprepError
from cutprep.model.drawing import Drawing
from cutprep.stages.check.inspect import check
from cutprep.stages.classify import Rules, classify
from cutprep.stages.divide import divide
from cutprep.stages.mend.mend import mend
from cutprep.stages.read.reader import read
from cutprep.tolerance import Tolerance
from tests.fuzz.dense import DENSE
from tests.fuzz.largest import Case

TOLERANCE = Tolerance()
SHARE = 0.0006


def written(case: Case, folder: Path, share: float) -> Path:
    path = folder / case.file
    with path.open("wb") as stream:
        case.write(stream, share)
    return path


def refusal(work: Callable[..., object], drawing: Drawing) -> CutprepError | None:
    try:
        work(drawing, TOLERANCE)
    except CutprepError as fault:
        return fault
    return None


@pytest.mark.parametrize("case", DENSE, ids=lambda case: case.what)
def test_a_small_one_is_worked_out(case: Case, tmp_path: Path) -> None:
    drawing = classify(read(written(case, tmp_path, SHARE), tolerance=TOLERANCE), Rules())
    assert len(drawing.lines)
    for work in (check, divide, mend):
        work(drawing, TOLERANCE)


def test_what_lies_too_densely_is_refused_with_a_way_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("cutprep.geometry.closeness.proximity._MOST", 20_000)
    monkeypatch.setattr("cutprep.geometry.planar.ends.crossings._MOST", 10)
    monkeypatch.setattr("cutprep.geometry.lines.rings._MOST", 30)
    refused = set()
    for case in DENSE:
        drawing = classify(read(written(case, tmp_path, SHARE), tolerance=TOLERANCE), Rules())
        for work in (check, divide):
            fault = refusal(work, drawing)
            if fault is not None:
                assert fault.fix
                refused.add(fault.problem.partition(":")[0].partition(" at ")[0])
    assert refused == {
        "the lines lie too densely",
        "the lines cross each other",
        "too many outlines lie within each other",
    }
