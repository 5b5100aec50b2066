"""What remains of lines within an area; shapely's own intersection is the oracle for how much."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import pytest
import shapely

from cutprep.stages.read.cutting_back import cut_back, put_in_place


class Drawn(NamedTuple):
    xy: np.ndarray
    curved: np.ndarray
    start: np.ndarray


def drawn(*lines: list[tuple[float, float]]) -> Drawn:
    xy = np.array([point for line in lines for point in line], float)
    return Drawn(xy, np.zeros(len(xy), bool), np.concatenate(([0], np.cumsum([len(line) for line in lines]))))


def test_what_remains_is_in_place_and_as_long_as_it_should_be() -> None:
    rng = np.random.default_rng(3)
    flat = drawn(*[[tuple(p) for p in rng.uniform(0, 100, (int(rng.integers(2, 9)), 2))] for _ in range(30)])
    area = shapely.Polygon([(20, 10), (90, 30), (50, 50), (70, 95), (15, 80)])
    spent: list[float] = []
    pieces = cut_back(flat, np.arange(30), area, 0.0, spent.append)
    xy, curved, start, line = put_in_place(flat, pieces)
    assert len(xy) == len(curved) == start[-1]
    assert (np.diff(line) >= 0).all()
    for i in range(30):
        whole = shapely.LineString(flat.xy[flat.start[i] : flat.start[i + 1]])
        kept = [shapely.LineString(xy[start[k] : start[k + 1]]) for k in np.flatnonzero(line == i)]
        assert sum(one.length for one in kept) == pytest.approx(whole.intersection(area).length)
        assert all(area.buffer(1e-6).covers(one) for one in kept)
    assert spent[0] > 0


def test_a_closed_line_runs_on_through_its_first_point() -> None:
    square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0)]
    flat = drawn(square, [(1.0, 1.0), (2.0, 2.0)])
    pieces = cut_back(flat, np.array([0]), shapely.box(-1, -1, 5, 5), 0.1, lambda _: None)
    assert put_in_place(flat, pieces)[0].tolist() == [[0, 5], [0, 0], [5, 0], [1, 1], [2, 2]]
