"""Runs gathered into stretches."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.closeness.overlap import find_runs
from cutprep.stages.check.faults.stretches import gather
from tests.drawn import Pen


def test_a_stretch_names_its_lines_with_a_point_on_each() -> None:
    """In the middle of the longest run of each; places are bounded."""
    lines = Pen().cut([(0, 0), (30, 0)], [(20, 0), (0, 0)], [(20, 0), (26, 0)]).lines
    runs = find_runs(lines, 0.1, shortest=0.5, shortest_passing=3.0)
    (stretch,) = gather(lines, runs, 0.1)
    assert stretch.members.tolist() == [0, 1, 2]
    assert stretch.spots.tolist() == [[10, 0], [10, 0], [23, 0]]
    assert (stretch.again, stretch.length) == pytest.approx((26, 20))
    assert [p.line for p in stretch.places(lines)] == [1, 2, 3]
    assert gather(lines, runs.take(np.zeros(0, int)), 0.1) == []
