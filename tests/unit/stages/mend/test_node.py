"""Outlines that shared a side meet end to end after one of them gave it up."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.planar.ends.chains import nodes
from cutprep.model.lines import Lines
from cutprep.stages.mend.mend import mend
from cutprep.stages.mend.node import node_remainders
from tests.asserting import assert_same_ink
from tests.drawn import LIMITS, Pen, box, codes


def forks(lines: Lines) -> list[int]:
    """How many ends meet at each node."""
    return sorted(np.unique(nodes(lines, 1e-9), return_counts=True)[1].tolist())


def test_two_panels_with_a_shared_side() -> None:
    """Three lines between two forks, drawn once each; a hair apart makes no difference."""
    for off in (0.0, 0.06, -0.04):
        pen = Pen().cut(box(0, 0, 20, 10), box(20 + off, 0, 20, 10))
        mended, found = mend(pen.drawing, LIMITS)
        assert forks(mended.lines) == [3, 3]
        assert codes(mended) == []
        assert "split-outline" in {f.code for f in found}
        assert_same_ink(mended.lines, pen.lines, within=LIMITS.doubled)


def test_four_panels_around_a_point() -> None:
    """Every end meets others; the length is that of the union."""
    pen = Pen().cut(*(box(30 * i, 30 * j, 30, 30) for i in (0, 1) for j in (0, 1)))
    mended, _ = mend(pen.drawing, LIMITS)
    assert min(forks(mended.lines)) >= 3
    assert round(float(mended.lines.lengths.sum()), 6) == 360
    assert codes(mended) == []


def test_a_line_is_split_where_its_seam_lies() -> None:
    """At the seam itself, at a vertex nearby, and round the seam."""
    ring = Pen().cut(box(0, 0, 20, 20), [(0, 0), (-9, 0), (-9, 20), (0, 20)]).lines
    made, _ = node_remainders(ring, np.array([False, True]), LIMITS)
    assert [len(made), *forks(made)] == [3, 3, 3]
    around = Pen().cut(box(0, 0, 20, 20), [(5, 0), (5, -9), (9, -9), (9, 0.04)]).lines
    made, _ = node_remainders(around, np.array([False, True]), LIMITS)
    assert [len(made), *forks(made)] == [3, 3, 3]
    assert made.points(2)[-1].tolist() == [9, 0]


def test_what_is_not_split() -> None:
    """One end alone, or no remainder at all."""
    lines = Pen().cut(box(0, 0, 20, 20), [(5, 0), (5, -9)]).lines
    for remainder in (np.array([False, True]), np.zeros(2, bool)):
        assert node_remainders(lines, remainder, LIMITS) == (lines, ())
