"""Columns of shapes: joining and picking keep every line whole."""

from __future__ import annotations

import numpy as np

from cutprep.stages.read.dxf.shapes.shape import SpatialLines, gather, straight


def mixed(record: int) -> SpatialLines:
    """One line: straight, an arc, a span of degree 2."""
    node = np.array([[0.0, 0, 0], [1, 0, 0], [3, 0, 0], [4, 1, 0]]) + record
    return SpatialLines(
        node=node,
        smooth=np.array([False, True, False, False]),
        start=np.array([0, 4]),
        record=np.array([record]),
        arc_end=np.array([2]),
        arc=np.full((1, 3, 3), float(record)),
        sweep=np.array([[record, 1.0]]),
        spans=((np.array([3]), np.full((1, 3, 4), float(record))),),
    )


def test_gather_sorts_by_record_and_keeps_each_line_whole() -> None:
    plain = straight(np.zeros((2, 3)), np.array([2]), np.array([2]))
    joined = gather([mixed(5), plain, mixed(1)])
    assert joined.record.tolist() == [1, 2, 5]
    assert joined.start.tolist() == [0, 4, 6, 10]
    assert joined.arc_end.tolist() == [2, 8]
    assert joined.sweep[:, 0].tolist() == [1, 5]
    ends, control = joined.spans[0]
    assert ends.tolist() == [3, 9]
    assert control[:, 0, 0].tolist() == [1, 5]


def test_take_repeats_and_reorders() -> None:
    picked = gather([mixed(1), mixed(2)]).take(np.array([1, 0, 1]))
    assert picked.record.tolist() == [2, 1, 2]
    assert picked.node[:, 0].tolist() == [2, 3, 5, 6, 1, 2, 4, 5, 2, 3, 5, 6]
    assert picked.arc_end.tolist() == [2, 6, 10]
    assert picked.sweep[:, 0].tolist() == [2, 1, 2]
    assert picked.smooth.tolist() == [False, True, False, False] * 3


def test_spans_that_are_not_picked_are_gone() -> None:
    plain = straight(np.zeros((2, 3)), np.array([2]), np.array([0]))
    assert gather([plain, mixed(1)]).take(np.array([0])).spans == ()


def test_nothing_joined_is_nothing() -> None:
    assert len(gather([])) == 0
