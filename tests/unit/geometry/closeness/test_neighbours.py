"""Which segments may lie near each other."""

from __future__ import annotations

import numpy as np

from cutprep.geometry.closeness.neighbours import Neighbours, beside, neighbours
from cutprep.geometry.lines.segments import explode
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


def _pairs(near: Neighbours) -> set[tuple[int, int]]:
    return set(zip(near.first.tolist(), near.second.tolist(), strict=True))


def test_segments_beside_each_other_run_alike_and_overlap() -> None:
    """One that goes on, one across, one at a flat angle; the way they run doesn't matter."""
    lines = Lines.of(
        [[(0, 0), (9, 0)], [(8, 1), (1, 1)], [(10, 1), (19, 1)], [(4, 1), (4, 9)], [(2, 1), (8, 4)]]
    )
    segments = explode(lines)
    p, q = np.zeros(4, int), np.arange(1, 5)
    assert beside(segments, p, q).tolist() == [True, False, False, True]


def test_what_lies_near_and_can_not_matter_is_left_out() -> None:
    """Far pairs count where they run alike, or where an open line ends; those that touch count always."""
    ring = [(0, 0), (4, 0), (4, 4), (0, 4), (0, 0)]
    beyond = [(x + 5, y) for x, y in ring]
    lines = Lines.of([ring, beyond])
    every = _pairs(neighbours(lines, 1.5, spot=0.1))
    few = _pairs(neighbours(lines, 1.5, spot=0.1, gap=1.2))
    corners = {(4 * k + i, 4 * k + (i + 1) % 4) for k in (0, 1) for i in range(4)}
    assert few == {(min(pair), max(pair)) for pair in corners} | {(1, 7)}
    assert len(every) > len(few)
    slit = Lines.of([ring, [(5, 2), (9, 2)], [(0, 5.3), (4, 6.3)]])
    assert _pairs(neighbours(slit, 1.5, spot=0.1, gap=1.2)) >= {(1, 4), (2, 5)}
    assert (1, 4) not in _pairs(neighbours(slit, 1.5, spot=0.1, gap=0.9))


def test_of_plain_lines_only_what_lies_on_them_counts() -> None:
    """Two pen lines a millimetre apart are none of anyone's concern; on each other they are."""
    lines = Lines.of([[(0, 0), (9, 0)], [(0, 1), (9, 1)], [(0, 1.05), (9, 1.05)]])
    assert _pairs(neighbours(lines, 1.5, spot=0.1, plain=np.ones(3, bool))) == {(1, 2)}
