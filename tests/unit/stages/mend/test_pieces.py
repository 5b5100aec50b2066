"""Pieces of lines in their places."""

from __future__ import annotations

import numpy as np

from cutprep.stages.mend.pieces import moved, over_seam, part_of, replaced
from tests.drawn import Pen, box

LINES = Pen().cut(box(0, 0, 10, 10)).score([(0, 0), (10, 10)]).cut([(3, 3), (4, 4)]).lines


def test_pieces_take_the_place_of_their_line() -> None:
    """In order, with operation and source."""
    made, owner = replaced(LINES, {0: [part_of(LINES, 0, 2, 15), part_of(LINES, 0, 20, 30)]})
    assert owner.tolist() == [0, 0, 1, 2]
    assert made.operation.tolist() == [LINES.operation[k] for k in owner]
    assert made.source.tolist() == [LINES.source[k] for k in owner]
    assert made.points(0).tolist() == [[2, 0], [10, 0], [10, 5]]


def test_lines_can_be_taken_out() -> None:
    """By having no pieces, or by a mask."""
    made, owner = replaced(LINES, {0: []}, np.array([False, False, True]))
    assert owner.tolist() == [1]
    assert len(made) == 1


def test_over_the_seam() -> None:
    """The point of the seam stands once."""
    points, curved = over_seam(part_of(LINES, 0, 35, 40), part_of(LINES, 0, 0, 5))
    assert points.tolist() == [[0, 5], [0, 0], [5, 0]]
    assert len(curved) == 3


def test_moved_vertices() -> None:
    """Nothing else changes."""
    other = moved(LINES, LINES.xy + 1)
    assert other.bounds == (1, 1, 11, 11)
    assert other.elements is LINES.elements
