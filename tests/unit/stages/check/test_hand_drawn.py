"""The hand-drawn samples: every planted fault is found, none is invented, and mending cures them."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import shapely

import cutprep
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Severity
from cutprep.model.rules import Rules
from cutprep.stages.check.inspect import check
from cutprep.stages.classify import classify
from cutprep.stages.mend.mend import mend
from cutprep.stages.mend.mending import Mending
from cutprep.stages.read.reader import read
from tests.drawn import LIMITS

SAMPLES = Path(cutprep.__file__).parent.parent / "samples" / "hand-drawn"
PLANTED = json.loads((SAMPLES / "faults.json").read_text(encoding="utf-8"))
FILES = [f"{name}.{kind}" for name in sorted(PLANTED) for kind in ("svg", "dxf")]


def sample(file: str) -> Drawing:
    """One sample, read and classified."""
    return classify(read(SAMPLES / file, tolerance=LIMITS), Rules())


@pytest.mark.parametrize("file", FILES)
def test_every_planted_fault_is_found_and_none_invented(file: str) -> None:
    """By code, figure and place; the list was written by the script that spoilt the drawings."""
    drawing = sample(file)
    left = [f for f in check(drawing, LIMITS) if f.severity is not Severity.NOTE]
    for fault in PLANTED[file.split(".", maxsplit=1)[0]]:
        spot = shapely.Point(fault["x"], fault["y"])
        hits = [
            f
            for f in left
            if f.code == fault["code"]
            and abs((f.measure or 0) - fault["measure"]) <= max(0.005 * fault["measure"], 0.01)
            and min(spot.distance(shapely.Point(p.xy)) for p in f.places if p.xy) <= fault["measure"] / 2 + 1
        ]
        assert len(hits) == 1, f"{fault}: {left}"
        left.remove(hits[0])
    assert left == []


@pytest.mark.parametrize("file", FILES)
def test_mending_cures_what_it_can(file: str) -> None:
    """All of it when the outline decides between a score and a cut; all but that otherwise."""
    drawing = sample(file)
    cured, _ = mend(drawing, LIMITS, Mending(keep="outline"))
    assert [f.code for f in check(cured, LIMITS) if f.severity is not Severity.NOTE] == []
    half, _ = mend(drawing, LIMITS)
    assert {f.code for f in check(half, LIMITS) if f.severity is not Severity.NOTE} <= {
        "doubled-across-operations"
    }
    assert np.isin(half.lines.operation, drawing.lines.operation).all()
