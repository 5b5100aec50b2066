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


def wavy(chance: np.random.Generator, count: int, noise: float) -> tuple[np.ndarray, np.ndarray]:
    """A wavy line of so many chords, and points that follow it, a little off."""
    along = np.linspace(0, 40, count + 1)
    line = np.column_stack((along, np.cumsum(chance.normal(0, 0.05, count + 1))))
    at = np.sort(chance.uniform(0, 40, 3 * count))
    points = np.column_stack((at, np.interp(at, along, line[:, 1])))
    return points + chance.normal(0, noise, points.shape), line


@pytest.mark.parametrize(("count", "noise"), [(11, 0.02), (60, 0.02), (700, 0.02), (700, 0.3)])
def test_points_that_follow_their_line_are_measured_rightly(count: int, noise: float) -> None:
    chance = np.random.default_rng(count)
    rows = [wavy(chance, count, noise) for _ in range(3)]
    found = farthest([points for points, _ in rows], [[line] for _, line in rows])
    assert found == pytest.approx([_by_shapely(points, [line]) for points, line in rows], abs=1e-9)
    back = farthest([line for _, line in rows], [[points] for points, _ in rows])
    assert back == pytest.approx([_by_shapely(line, [points]) for points, line in rows], abs=1e-9)


def test_a_long_line_that_lies_elsewhere_is_measured_too(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_MANY", 0)
    points, line = wavy(np.random.default_rng(1), 200, 0.02)
    points[:, 1] += 30
    assert farthest([points], [[line]])[0] == pytest.approx(_by_shapely(points, [line]))
