"""Several scores on the cut layer at once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cutprep.model.folded import FoldReport
from cutprep.model.operation import Operation
from cutprep.stages.fold.plan import fold
from cutprep.tolerance import Tolerance
from tests.kinds.draw import Manner, Net, Stroke, drawn
from tests.kinds.sound import carton, tray
from tests.kinds.trays import cross


def seen(strokes: list[Stroke]) -> tuple[FoldReport, ...]:
    return fold(drawn(strokes, Manner(split=0.0), np.random.default_rng(1)), tolerance=Tolerance())


@pytest.mark.parametrize("make", [carton, tray])
@pytest.mark.parametrize("axis", [0, 1])
def test_scores_of_one_direction_on_the_cut_layer_are_told_once(make: type[Net], axis: int) -> None:
    strokes = [
        replace(s, operation=Operation.CUT)
        if s.operation is Operation.SCORE and abs(s.points[0, axis] - s.points[-1, axis]) < 1e-6
        else s
        for s in make().strokes()
    ]
    told = [m for r in seen(strokes) for m in r.messages]
    assert [m.code for m in told] == ["cut-for-score"]
    assert "seem meant as scores" in told[0].problem


def test_trays_with_a_common_cut_are_trays() -> None:
    one, two = cross(80, 50, 20), cross(80, 50, 20).shifted(120, 0)
    both = Net(one.panels + two.panels, one.roles + two.roles).slit((100, 0), (100, 50))
    reports = seen(both.strokes())
    assert len(reports) == 2
    assert not any(r.messages for r in reports)
