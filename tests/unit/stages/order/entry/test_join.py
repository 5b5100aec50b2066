"""Which lines become one stroke where several meet."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.order.entry.join import join


def _star(degrees: list[float], operation: Operation) -> Lines:
    """Lines of 20 mm that leave one spot."""
    ways = [(math.cos(math.radians(d)), math.sin(math.radians(d))) for d in degrees]
    return Lines.of([[(50.0, 50.0), (50 + 20 * x, 50 + 20 * y)] for x, y in ways], operation=operation)


@pytest.mark.parametrize("off", [0.0, 1e-12, -1e-12])
def test_lines_of_hexagons_are_joined_the_same_on_each_processor(off: float) -> None:
    """Cuts 60 degrees apart leave no free tip, and a bend of 30 is straight enough: both by a last digit, or not."""
    lines = _star([0.0, 60.0 - off, 180.0 + off, 240.0], Operation.CUT)
    assert len(join(lines, np.zeros(4, int), 1e-6).lines) == 2
    bent = _star([0.0, 150.0 - off], Operation.SCORE)
    assert len(join(bent, np.zeros(2, int), 1e-6).lines) == 1


def test_cuts_that_converge_are_left_and_so_are_bends() -> None:
    assert len(join(_star([0.0, 59.9, 180.0, 239.9], Operation.CUT), np.zeros(4, int), 1e-6).lines) == 4
    assert len(join(_star([0.0, 149.9], Operation.SCORE), np.zeros(2, int), 1e-6).lines) == 2
