"""Which things may touch, against every pair looked at."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely

from cutprep.errors import DrawingError
from cutprep.geometry.closeness import proximity
from cutprep.geometry.closeness.proximity import (
    box_pairs,
    boxes_between,
    clusters,
    components,
    point_pairs,
    segment_pairs,
    spans,
)

RNG = np.random.default_rng(7)


def _every_pair(close: np.ndarray) -> set[tuple[int, int]]:
    return {(int(i), int(j)) for i, j in zip(*np.where(close), strict=True) if i < j}


def _as_set(pair: tuple[np.ndarray, np.ndarray]) -> set[tuple[int, int]]:
    found = list(zip(pair[0].tolist(), pair[1].tolist(), strict=True))
    assert len(found) == len(set(found))
    return set(found)


@pytest.mark.parametrize("n", [0, 1, 2, 60, 400])
@pytest.mark.parametrize("within", [0.02, 0.1, 0.4])
def test_points_near_each_other(n: int, within: float) -> None:
    """All pairs, and what hangs together, with equal points among them."""
    points = RNG.uniform(0, 1, (n, 2))
    points[: n // 10] = points[:1]
    close = np.hypot(*(points[:, None] - points[None]).T) <= within
    assert _as_set(point_pairs(points, within)) == _every_pair(close)
    pairs = np.array(sorted(_every_pair(close)), int).reshape(-1, 2)
    assert clusters(points, within).tolist() == components(n, pairs[:, 0], pairs[:, 1]).tolist()
    kind = RNG.integers(0, 3, n)
    pairs = np.array(sorted(_every_pair(close & (kind[:, None] == kind[None]))), int).reshape(-1, 2)
    assert clusters(points, within, kind).tolist() == components(n, pairs[:, 0], pairs[:, 1]).tolist()


def test_a_crowd_on_one_spot_is_one_cluster() -> None:
    """A hundred thousand points within a tenth of the distance; nobody counts their pairs."""
    points = np.vstack((RNG.uniform(0, 0.01, (100_000, 2)), [(0.1, 0.1)], [(5, 5)]))
    assert np.unique(clusters(points, 0.15)).tolist() == [0, 100_001]


def test_points_kilometres_apart() -> None:
    """Neighbours stay neighbours when the cells between are too many to be numbered."""
    far = np.array([(0, 0), (1e7, 3e6), (1e7 + 4e-6, 3e6), (-1e7, 5), (-1e7, 5 + 6e-6), (-1e7, 5 + 2e-5)])
    assert clusters(far, 1e-5).tolist() == [0, 1, 1, 3, 3, 5]
    assert _as_set(point_pairs(far, 1e-5)) == {(1, 2), (3, 4)}


@pytest.mark.parametrize("n", [0, 1, 2, 300])
def test_boxes_near_each_other(n: int) -> None:
    """Against every pair of boxes."""
    low = RNG.uniform(0, 50, (n, 2))
    boxes = np.hstack((low, low + RNG.uniform(0, 3, (n, 2))))
    apart = np.maximum(boxes[:, None, :2] - boxes[None, :, 2:], boxes[None, :, :2] - boxes[:, None, 2:])
    assert _as_set(box_pairs(boxes, 0.5)) == _every_pair(apart.max(axis=2, initial=-1) <= 0.5)


def test_long_slanted_segments_are_indexed_in_pieces() -> None:
    """No neighbour is lost, and a diagonal doesn't pair with all below it."""
    begin = RNG.uniform(0, 100, (500, 2))
    end = begin + RNG.uniform(-1, 1, (500, 2))
    begin[0], end[0] = (0, 0), (100, 100)
    first, second = segment_pairs(begin, end, 0.5)
    _as_set((first, second))
    assert (first < second).all()
    sampled = np.linspace(0, 1, 2001)[:, None] * np.array([100, 100])
    near_diagonal = {
        k
        for k in range(1, 500)
        if min(np.hypot(*(sampled - p).T).min() for p in (begin[k], end[k], (begin[k] + end[k]) / 2)) < 0.45
    }
    paired = set(second[first == 0].tolist())
    assert near_diagonal <= paired
    assert len(paired) < 120


def test_boxes_of_two_sets() -> None:
    """Only pairs across, and nothing when one set is empty."""
    few = np.array([(0, 0, 1, 1), (5, 5, 6, 6)], float)
    many = np.array([(2, 2, 3, 3), (0.5, 0.5, 7, 7), (6, 6, 8, 8)], float)
    first, second = boxes_between(few, many)
    assert sorted(zip(first.tolist(), second.tolist(), strict=True)) == [(0, 1), (1, 1), (1, 2)]
    assert len(boxes_between(few[:0], many)[0]) == 0


def test_too_many_pairs_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Memory is bounded, and the maker is told why."""
    monkeypatch.setattr(proximity, "_MOST", 1000)
    boxes = np.tile([0.0, 0.0, 1.0, 1.0], (100, 1))
    with pytest.raises(DrawingError, match="too densely"):
        box_pairs(boxes, 0.1)
    with pytest.raises(DrawingError, match="too densely"):
        point_pairs(np.zeros((100, 2)), 0.1)


def test_what_lies_thinly_at_first_and_densely_later_is_asked_for_in_small_steps(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A step never grows so much that the pairs of the next one fill the memory."""
    asked: list[int] = []

    class Counted(shapely.STRtree):  # type: ignore[misc] # shapely has no types
        def query(self, frames: np.ndarray) -> np.ndarray:
            asked.append(len(frames))
            return super().query(frames)

    monkeypatch.setattr(proximity.shapely, "STRtree", Counted)
    monkeypatch.setattr(proximity, "_AT_A_TIME", 20_000)
    boxes = np.tile([0.0, 0.0, 1.0, 1.0], (3000, 1))
    boxes[:2000] += 10.0 * np.arange(2000)[:, None]
    assert len(box_pairs(boxes, 0.1)[0]) == 1000 * 999 // 2 + 1000
    assert max(after / before for before, after in pairwise(asked)) <= 8


def test_components_and_spans() -> None:
    """Numbered by their lowest member; groups of equal rows."""
    assert components(6, np.array([4, 1, 5]), np.array([1, 2, 5])).tolist() == [0, 1, 1, 3, 1, 5]
    assert components(3, np.zeros(0, int), np.zeros(0, int)).tolist() == [0, 1, 2]
    assert spans(np.array([1, 1, 2, 2]), np.array([3, 3, 3, 4])) == [(0, 2), (2, 3), (3, 4)]
    assert spans(np.zeros(0, int)) == []
