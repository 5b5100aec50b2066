"""One sheet at a time."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from cutprep.progress import silent
from cutprep.stages.nest.item.demand import Demand, Pose
from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement, used_box
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.problem import Problem, problem_of
from cutprep.stages.nest.pack.single_sheet import (
    compact,
    fewest_sheets,
    fullest,
    grid,
    may_fit,
    mixed,
    reach,
    topped_up,
    used_area,
)
from cutprep.stages.nest.proof import is_right
from tests.unit.stages.nest.specimens import board, box, carton, ell, sheet_size, tag


def _shop(demands: Sequence[Demand], effort: str = "quick", **kwargs: object) -> Problem:
    supply = kwargs.pop("supply", [sheet_size()])
    options = {"margin": 5.0, "gap": 3.0, "keep_out": (), "windows": False} | kwargs
    return problem_of(demands, supply, Nesting(grain=None, seed=0, effort=effort, **options), progress=silent)


@pytest.mark.parametrize("make", [carton, ell, tag], ids=["carton", "ell", "tag"])
def test_fullest_is_fuller_than_the_grid(make: object) -> None:
    """And right."""
    demand = Demand(make(), 1)  # type: ignore[operator]
    problem = _shop([demand])
    pattern = fullest(problem, 0, 0)
    assert len(pattern) > len(grid(problem, 0, 0))
    assert is_right(pattern, [demand], problem.usable_areas[0])
    assert fullest(problem, 0, 0) is pattern


def test_edges_are_topped_up() -> None:
    """Usable area left beside a regular pattern is used."""
    b = board(box(40, 20), width=110, height=70, margin=0)
    row = Pattern((PatternPlacement(0, Pose(), 0, 0), PatternPlacement(0, Pose(), 0, 23)), "grid")
    more = topped_up(b, row, 0)
    assert len(more) > 4  # two more lying, and upright ones beside or above
    assert more.method == "grid, filled up at the edges"
    assert topped_up(b, Pattern((), ""), 0) == Pattern((), "")


def test_a_mix_fills_one_sheet() -> None:
    """No more of each than wanted."""
    problem = _shop([Demand(carton(), 3), Demand(tag(), 10)])
    pattern = mixed(problem, 0, [3, 10])
    assert pattern.counts(2) == (3, 10)


def test_reaching_needs_effort() -> None:
    """Quick does not search."""
    assert not reach(_shop([Demand(box(5, 3), 4)]), 0, [4])


def test_reach_places_what_is_asked_or_nothing() -> None:
    """Seven cartons do fit a sheet; what can't by area is not even tried."""
    problem = _shop([Demand(carton(), 7)], "normal")
    pattern = reach(problem, 0, [7])
    assert len(pattern) == 7
    assert is_right(pattern, problem.demands, problem.usable_areas[0])
    assert reach(problem, 0, [7]) is pattern
    assert not may_fit(problem, 0, [20])
    assert not reach(problem, 0, [20])


def test_the_last_copies_are_kept_together() -> None:
    """Two dividers lie in one row, whichever direction uses less of the sheet."""
    problem = _shop([Demand(box(100, 40), 2)])
    pattern = compact(problem, 0, [2], [fullest(problem, 0, 0)])
    assert len(pattern) == 2
    _, _, right, top = used_box(pattern, problem.shapes)
    assert min(right, top) == pytest.approx(45)
    assert used_area(problem, 0, pattern) == pytest.approx(45 * 304.8)


def test_too_many_are_not_compacted() -> None:
    """An empty pattern says so."""
    assert not compact(_shop([Demand(box(200, 200), 2)]), 0, [2], [])


def test_fewest_sheets_is_a_bound() -> None:
    """Area of the copies widened by half the gap over the sheet widened by the gap."""
    problem = _shop([Demand(box(97, 97), 10)], margin=0.0, gap=3.0, supply=[sheet_size(297, 297)])
    assert fewest_sheets(problem, [9]) == 1
    assert fewest_sheets(problem, [10]) == 2
