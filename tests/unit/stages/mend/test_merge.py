"""Doubled stretches are taken out, and nothing else."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.closeness.overlap import find_runs
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.mend.merge import merge_doubles
from tests.asserting import assert_same_ink
from tests.drawn import LIMITS, Pen, box, circle


def merged(pen: Pen, strength: np.ndarray | None = None) -> tuple[Lines, list[float]]:
    """Lines after merging, and what was taken out."""
    lines = pen.lines
    runs = find_runs(lines, LIMITS.doubled, shortest=0.5, shortest_passing=3.0)
    made, findings = merge_doubles(lines, runs, LIMITS, strength)
    return made, [f.measure or 0.0 for f in findings if f.code.startswith("removed")]


@pytest.mark.parametrize(
    ("name", "lines", "length", "count"),
    [
        ("whole", ([(0, 0), (30, 0)], [(30, 0), (0, 0)]), 30, 1),
        ("in its middle", ([(0, 0), (30, 0)], [(10, 0), (20, 0)]), 30, 1),
        ("over an end", ([(0, 0), (30, 0)], [(20, 0), (45, 0)]), 45, 2),
        ("over both ends", ([(0, 0), (9, 0), (9, 30)], [(-5, 0), (9, 0), (14, 0)]), 49, 3),
        ("three", ([(0, 0), (30, 0)], [(20, 0), (45, 0)], [(25, 0), (60, 0)]), 60, 2),
        ("a closed line and a side", (box(0, 0, 20, 10), [(20, 0), (0, 0)]), 60, 1),
        ("neighbours", (box(0, 0, 20, 10), box(20, 0, 20, 10)), 110, 3),
        ("round a seam", (box(0, 0, 20, 10), [(5, -5), (5, 0), (15, 0), (15, -5), (5, -5)]), 80, 3),
        ("a circle and another", (circle((0, 0), 9), circle((0, 0), 9, 3.0)), 18 * np.pi, 1),
        ("a hairpin", ([(0, 0), (30, 0), (10, 0)],), 30, 1),
    ],
)
def test_the_union_stays(name: str, lines: tuple, length: float, count: int) -> None:
    """Every piece that isn't covered is kept; the length is that of the union."""
    pen = Pen().cut(*lines)
    made, gone = merged(pen)
    assert made.lengths.sum() == pytest.approx(length, rel=0.001)
    assert len(made) == count, name
    assert sum(gone) == pytest.approx(pen.lines.lengths.sum() - length, rel=0.001, abs=0.05)
    assert_same_ink(made, pen.lines, within=LIMITS.doubled)


def test_a_copy_of_a_copy_moves_no_ink_further() -> None:
    """Three lines each 0.08 mm from the next: the middle one can't carry both."""
    pen = Pen().cut([(0, 0), (30, 0)], [(0, 0.08), (30, 0.08)], [(0, 0.16), (30, 0.16)])
    made, _ = merged(pen)
    assert_same_ink(made, pen.lines, within=LIMITS.doubled)


def test_of_two_operations_one_stays() -> None:
    """The stronger, or when asked the weaker."""
    pen = Pen().cut([(0, 0), (30, 0)]).score([(0, 0), (20, 0)])
    strong, _ = merged(pen)
    weak, _ = merged(pen, -pen.lines.operation.astype(int))
    assert strong.operation.tolist() == [Operation.CUT]
    assert weak.operation.tolist() == [Operation.CUT, Operation.SCORE]
    assert weak.lengths.tolist() == pytest.approx([10, 20])


def test_curves_stay_curves() -> None:
    """Vertices keep their flags where a line is split; new ends are no curves."""
    ring = circle((0, 0), 9)
    lines = Lines.of(
        [[(-20, 0), (-9, 0), (20, 0)], ring],
        operation=Operation.CUT,
        curved=[np.zeros(3, bool), np.ones(len(ring), bool)],
    )
    runs = find_runs(lines, 0.1, shortest=0.5, shortest_passing=3.0)
    assert not len(runs)
    split = Lines.of([ring[:20], ring[10:30]], curved=[np.ones(20, bool), np.ones(20, bool)])
    made, _ = merge_doubles(split, find_runs(split, 0.1, shortest=0.5, shortest_passing=3.0), LIMITS)
    assert made.curved.sum() >= 26
    assert not made.curves(1)[0]


def test_nothing_to_take_out() -> None:
    """The very same lines come back."""
    lines = Pen().cut(box(0, 0, 9, 9)).lines
    runs = find_runs(lines, 0.1, shortest=0.5, shortest_passing=3.0)
    assert merge_doubles(lines, runs, LIMITS) == (lines, ())
