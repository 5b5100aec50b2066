"""Greatest distances of groups of points from lines of their own, beside shapely's."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cutprep.geometry.closeness import farthest as module
from cutprep.geometry.closeness.farthest import farthest


def _by_shapely(points: np.ndarray, lines: list[np.ndarray]) -> float:
    return float(shapely.distance(shapely.points(points), shapely.MultiLineString(lines)).max())


@pytest.mark.parametrize("many", [0, 20_000])
def test_distances_are_those_of_shapely(many: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_MANY", many)  # 0: every line is searched by an index
    chance = np.random.default_rng(5)
    points = [chance.uniform(0, 20, (chance.integers(1, 60), 2)) for _ in range(40)]
    lines = [
        [chance.uniform(0, 20, (chance.integers(2, 30), 2)) for _ in range(chance.integers(1, 4))]
        for _ in range(40)
    ]
    wanted = [_by_shapely(group, own) for group, own in zip(points, lines, strict=True)]
    assert farthest(points, lines) == pytest.approx(wanted, abs=1e-9)


def test_no_points_are_no_way_off_and_no_line_is_never_reached() -> None:
    none, some, line = np.empty((0, 2)), np.ones((3, 2)), np.zeros((2, 2))
    assert farthest([none, some, some], [[line], [], [line]]).tolist() == [0.0, np.inf, np.sqrt(2)]


def test_a_large_group_is_worked_out_in_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_AT_ONCE", 64)
    points = np.column_stack((np.linspace(0, 10, 500), np.linspace(1, 3, 500)))
    assert farthest([points, points[:7]], [[np.array([[0.0, 0], [10, 0]])]] * 2)[0] == pytest.approx(3.0)
