"""The rectangle that is left over."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from cutprep.model.drawing import Drawing
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.divide import divide
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.offcut import largest_clear, largest_offcut
from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement
from cutprep.stages.nest.item.shape import shape_of
from cutprep.stages.nest.item.usable_area import usable_area_of
from cutprep.tolerance import Tolerance
from tests.unit.stages.nest.specimens import box, sheet_size

CORNERS = np.array([[0.0, 0], [97, 0], [97, 100], [0, 100], [0, 0]])


def test_above_a_row() -> None:
    """What is left above a row 100 high, less the gap, to a cell's precision."""
    usable = usable_area_of(sheet_size(300, 300), 0, 3)
    pattern = Pattern(tuple(PatternPlacement(0, Pose(), 100.0 * k, 0.0) for k in range(3)), "")
    left, bottom, right, top = largest_offcut(pattern, [shape_of(box(97, 100))], usable)
    assert (left, right, top) == (0, 300, 300)
    assert 103 <= bottom <= 105


def test_kept_out_areas_are_not_offered() -> None:
    """An empty sheet with its right half kept out leaves the left half."""
    usable = usable_area_of(sheet_size(200, 100), 0, 0, [(100, 0, 200, 100)])
    left, bottom, right, top = largest_offcut(Pattern((), ""), [], usable)
    assert (left, bottom, top) == (0, 0, 100)
    assert right == pytest.approx(99, abs=1.5)


def test_beside_an_outline_of_very_many_vertices() -> None:
    """A card of 97 x 100 whose edges are drawn in 4,000 steps leaves what one of four corners leaves."""
    usable = usable_area_of(sheet_size(300, 300), 0, 3)
    along = np.linspace(0, 1, 1000, endpoint=False)
    ring = np.concatenate([np.outer(1 - along, a) + np.outer(along, b) for a, b in pairwise(CORNERS)])
    lines = Lines.of([np.vstack((ring, ring[:1]))], operation=Operation.CUT)
    fine = divide(Drawing("fine", lines), Tolerance())
    pattern = Pattern(tuple(PatternPlacement(0, Pose(), 100.0 * k, 0.0) for k in range(3)), "")
    left, bottom, right, top = largest_offcut(pattern, [shape_of(fine)], usable)
    assert (left, right, top) == (0, 300, 300)
    assert 103 <= bottom <= 105


def test_largest_rectangle_of_cells_against_brute_force() -> None:
    """Every rectangle of small random boards, one by one."""
    rng = np.random.default_rng(5)
    for _ in range(60):
        clear = rng.random((6, 7)) < 0.7
        most = max(
            (
                (i2 - i1) * (j2 - j1)
                for i1 in range(6)
                for i2 in range(i1 + 1, 7)
                for j1 in range(7)
                for j2 in range(j1 + 1, 8)
                if clear[i1:i2, j1:j2].all()
            ),
            default=0,
        )
        row, column, rows, columns = largest_clear(clear)
        assert rows * columns == most
        assert clear[row : row + rows, column : column + columns].all()


def test_on_a_sheet_of_half_a_metre_and_more_sizes_are_still_in_mm() -> None:
    """Its cells are wider than 1 mm: what is left beside a column, or above a row, is told where it is."""
    usable, cell = usable_area_of(sheet_size(1000, 640), 0, 3), 1000 / 320
    column = Pattern(tuple(PatternPlacement(0, Pose(), 0.0, 100.0 * k) for k in range(6)), "")
    left, bottom, right, top = largest_offcut(column, [shape_of(box(97, 97))], usable)
    assert 100 <= left <= 100 + 2 * cell
    assert (bottom, right) == (0, 1000)
    assert 640 - cell <= top <= 640
    row = Pattern(tuple(PatternPlacement(0, Pose(), 100.0 * k, 0.0) for k in range(10)), "")
    left, bottom, right, top = largest_offcut(row, [shape_of(box(97, 97))], usable)
    assert 100 <= bottom <= 100 + 2 * cell
    assert (left, right) == (0, 1000)
    assert 640 - cell <= top <= 640
