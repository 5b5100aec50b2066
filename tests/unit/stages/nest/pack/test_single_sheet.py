"""One sheet at a time."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from cutprep.stages.nest.item.demand import Demand, Pose
from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement, used_box
from cutprep.stages.nest.item.problem import problem_of
from cutprep.stages.nest.layout.pattern_runs import with_lattices
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.bound import fewest_sheets
from cutprep.stages.nest.pack.single_sheet import (
    compact,
    fullest,
    grid,
    may_fit,
    mixed,
    reach,
    topped_up,
    used_area,
)
from cutprep.stages.nest.pack.solver import Solver, solver_of
from cutprep.stages.nest.proof import is_right
from tests.unit.stages.nest.specimens import board, box, carton, disc, ell, sheet_size, tag


def _solver(demands: Sequence[Demand], effort: str = "quick", **kwargs: object) -> Solver:
    supply = kwargs.pop("supply", [sheet_size()])
    options = {"margin": 5.0, "gap": 3.0, "keep_out": (), "windows": False} | kwargs
    solver = solver_of(problem_of(demands, supply, Nesting(effort=effort, **options)))
    return solver.within(solver.problem.effort.seconds)


@pytest.mark.parametrize("make", [carton, ell, tag], ids=["carton", "ell", "tag"])
def test_fullest_is_fuller_than_the_grid(make: object) -> None:
    """And right."""
    demand = Demand(make(), 1)  # type: ignore[operator]
    solver = _solver([demand])
    pattern = fullest(solver, 0, 0)
    assert len(pattern) > len(grid(solver, 0, 0))
    assert is_right(pattern, [demand], solver.problem.usable_areas[0])
    assert fullest(solver, 0, 0) is pattern


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
    solver = _solver([Demand(carton(), 3), Demand(tag(), 10)])
    pattern = mixed(solver, 0, [3, 10])
    assert pattern.counts(2) == (3, 10)


def test_reaching_needs_work_left() -> None:
    """Without any, nothing is searched."""
    solver = _solver([Demand(box(5, 3), 4)])
    solver.meter.spend(solver.limit)
    assert not reach(solver, 0, [4])


@pytest.mark.usefixtures("packer_soon")
def test_reach_places_what_is_asked_or_nothing() -> None:
    """Seven cartons do fit a sheet; what can't by area is not even tried."""
    solver = _solver([Demand(carton(), 7)], "normal")
    pattern = reach(solver, 0, [7])
    assert len(pattern) == 7
    assert is_right(pattern, solver.problem.demands, solver.problem.usable_areas[0])
    assert not may_fit(solver, 0, [20])
    assert not reach(solver, 0, [20])


def test_what_may_fit_does_not_hang_on_what_was_asked_before() -> None:
    """Discs fill at most pi over the root of 12 of a sheet; without lattices nobody knows that."""
    counts = [*range(1, 90)]
    bare, asked, fresh = (_solver([Demand(disc(20, 24), 90)]) for _ in range(3))
    fullest(asked, 0, 0)
    hopes = [
        [may_fit(solver, 0, [count]) for count in counts]
        for solver in (bare, asked, with_lattices(asked), with_lattices(fresh))
    ]
    assert hopes[0] == hopes[1]
    assert hopes[2] == hopes[3]
    assert sum(hopes[3]) < sum(hopes[1])


def test_the_last_copies_are_kept_together() -> None:
    """Two dividers lie in one row, whichever direction uses less of the sheet."""
    solver = _solver([Demand(box(100, 40), 2)])
    pattern = compact(solver, 0, [2], [fullest(solver, 0, 0)])
    assert len(pattern) == 2
    _, _, right, top = used_box(pattern, solver.problem.shapes)
    assert min(right, top) == pytest.approx(45)
    assert used_area(solver, 0, pattern) == pytest.approx(45 * 304.8)


def test_too_many_are_not_compacted() -> None:
    """An empty pattern says so."""
    assert not compact(_solver([Demand(box(200, 200), 2)]), 0, [2], [])


def test_fewest_sheets_is_a_bound() -> None:
    """Area of the copies widened by half the gap over the sheet widened by the gap."""
    solver = _solver([Demand(box(97, 97), 10)], margin=0.0, gap=3.0, supply=[sheet_size(297, 297)])
    assert fewest_sheets(solver, [9]) == 1
    assert fewest_sheets(solver, [10]) == 2
