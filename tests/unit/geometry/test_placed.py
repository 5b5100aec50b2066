"""A sheet laid out: where each line lies, and whose it is."""

from __future__ import annotations

import pytest

from cutprep.geometry.placed import placed_lines
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.model.part import Template
from cutprep.model.sheet import Placement, Sheet
from cutprep.stages.divide import divide
from cutprep.tolerance import Tolerance


@pytest.fixture
def template() -> Template:
    """A card with a window, a cut inside the window's waste, a score, and a pen line beside it."""
    rows = [
        [(0, 0), (50, 0), (50, 30), (0, 30), (0, 0)],
        [(10, 10), (20, 10), (20, 20), (10, 20), (10, 10)],
        [(12, 15), (18, 15)],
        [(30, 0), (30, 30)],
        [(60, 0), (60, 10)],
    ]
    ops = [Operation.CUT, Operation.CUT, Operation.CUT, Operation.SCORE, Operation.DRAW]
    return divide(Drawing("card", Lines.of(rows, operation=ops)), Tolerance())


def test_columns_of_two_copies(template: Template) -> None:
    sheet = Sheet(1, 300, 300, "card", (template,), (Placement(0, 5, 5), Placement(0, 100, 5, 90)))
    placed = placed_lines(sheet)
    assert placed.part.tolist() == [0, 0, 0, 0, -1, 1, 1, 1, 1, -1]
    assert placed.outline.tolist() == [True, False, False, False, False] * 2
    assert placed.depth.tolist() == [0, 0, 1, 0, 0] * 2
    assert placed.placement.tolist() == [0] * 5 + [1] * 5
    assert placed.lines.bounds == (5.0, 5.0, 100.0, 65.0)


def test_dropped_lines_are_left_out_and_extra_ones_added(template: Template) -> None:
    extra = Lines.of([[(0, 0), (9, 0)]], operation=Operation.CUT)
    sheet = Sheet(1, 300, 300, "c", (template,), (Placement(0, 5, 5),), extra=extra, dropped=((0, 4),))
    placed = placed_lines(sheet)
    assert placed.row.tolist() == [1, 2, 3, 0]
    assert placed.placement.tolist() == [0, 0, 0, -1]
    assert placed.outline.tolist() == [False, False, False, True]


def test_an_empty_sheet(template: Template) -> None:
    placed = placed_lines(Sheet(1, 300, 300, "c", (template,), ()))
    assert len(placed.lines) == len(placed.part) == 0
