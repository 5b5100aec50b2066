"""Which segments may lie near each other."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.closeness.neighbours import neighbours
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation


def test_only_picked_lines_have_neighbours() -> None:
    """And pairs are met once."""
    lines = Lines.of([[(0, 0), (9, 0)], [(0, 1), (9, 1)], [(0, 5), (9, 5)]])
    near = neighbours(lines, 1.5, spot=0.1)
    assert list(zip(near.first.tolist(), near.second.tolist(), strict=True)) == [(0, 1)]
    assert not len(neighbours(lines, 1.5, pick=np.array([True, False, True]), spot=0.1).first)


def test_a_crowd_on_one_spot_is_paired_with_the_one_that_stays() -> None:
    """By operation: the longest of each; a few on one spot are paired all with all."""
    crowd = [[(0, 0), (9, 0)]] * 20 + [[(9.001, 0), (0, 0)]]
    lines = Lines.of(crowd * 2, operation=[Operation.CUT] * 21 + [Operation.SCORE] * 21)
    near = neighbours(lines, 0.5, spot=0.1)
    assert set(near.head.tolist()) == {20, 41}
    assert len(near.stacked) == 40
    assert list(zip(near.first.tolist(), near.second.tolist(), strict=True)) == [(20, 41)]
    few = neighbours(Lines.of(crowd[:5]), 0.5, spot=0.1)
    assert (len(few.first), len(few.stacked)) == (10, 0)
