"""What is covered by what, and which runs make one stack."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.closeness.cover import length_run_again, stacks, wholly_covered
from cutprep.geometry.closeness.overlap import Runs, find_runs
from cutprep.model.lines import Lines
from tests.planted import arc, circle


def found(*points: object) -> tuple[Lines, Runs]:
    """Lines and where they lie on each other."""
    lines = Lines.of([np.asarray(p, float) for p in points])
    return lines, find_runs(lines, 0.1, shortest=0.5, shortest_passing=3.0)


def told(*points: object) -> list[float]:
    """Length run again, stack by stack."""
    lines, runs = found(*points)
    group = stacks(lines, runs, 0.1)
    length = length_run_again(lines, runs, group)
    return [float(length[k]) for k in np.unique(group)]


def test_three_on_each_other_are_one_stack() -> None:
    """Twice too many: twice the length."""
    assert told([(0, 0), (10, 0)], [(10, 0), (0, 0)], [(0, 0), (10, 0)]) == pytest.approx([20])


def test_a_line_and_its_pieces_are_one_stack() -> None:
    """A circle and its four arcs; a hexagon and its six sides."""
    arcs = [arc((0, 0), 10, k, k + 90) for k in range(0, 360, 90)]
    assert told(circle((0, 0), 10), *arcs) == pytest.approx([2 * np.pi * 10], rel=0.002)
    ring = circle((0, 0), 10, sagitta=1.4)
    assert told(ring, *[ring[k : k + 2] for k in range(6)]) == pytest.approx([60])


def test_sides_shared_by_neighbours_are_stacks_of_their_own() -> None:
    """Six boxes in a row and a column share seven sides."""
    boxes = [[(x, y), (x + 9, y), (x + 9, y + 9), (x, y + 9), (x, y)] for x in (0, 9, 18) for y in (0, 9)]
    assert told(*boxes) == pytest.approx([9] * 7)


def test_overlaps_of_several_lines_count_once() -> None:
    """What two lines cover of a third is run again once, not twice."""
    assert sum(told([(0, 0), (30, 0)], [(0, 0), (20, 0)], [(10, 0), (30, 0)])) == pytest.approx(40)


def test_covered_from_end_to_end() -> None:
    """The copy is, and a line that two others cover together; the long one never."""
    lines, runs = found([(0, 0), (30, 0)], [(5, 0), (9, 0)], [(25, 0), (35, 0)], [(28, 0), (33, 0)])
    assert wholly_covered(lines, runs, 0.1).tolist() == [False, True, False, True]
    assert not wholly_covered(lines, runs.take(np.zeros(0, int)), 0.1).any()
