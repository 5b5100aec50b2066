"""Patterns to sheets."""

from __future__ import annotations

import pytest

from cutprep.profile.stock import SheetSize
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.item.problem import problem_of
from cutprep.stages.nest.layout.improve import improvements
from cutprep.stages.nest.layout.pattern_runs import cost, grid_layout, in_turn, quick_layout
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.single_sheet import mixed
from cutprep.stages.nest.pack.solver import Solver, solver_of
from tests.unit.stages.nest.specimens import box, carton, sheet_size, tag


def _solver(demands: list[Demand], supply: list[SheetSize], effort: str = "quick") -> Solver:
    solver = solver_of(problem_of(demands, supply, Nesting(effort=effort)))
    return solver.within(solver.problem.effort.seconds)


def _placed(solver: Solver, layout: object) -> list[int]:
    total = [0] * len(solver.problem.demands)
    for run in layout.runs:  # type: ignore[attr-defined]
        for demand, count in enumerate(run.pattern.counts(len(total))):
            total[demand] += count * run.times
    return total


def test_grid_takes_whole_sheets_and_a_rest() -> None:
    """Copies add up; equal sheets are one pattern run."""
    solver = _solver([Demand(box(90, 90), 20)], [sheet_size()])
    layout = grid_layout(solver)
    assert [(len(run.pattern), run.times) for run in layout.runs] == [(9, 2), (2, 1)]
    assert layout.sheets == 3
    assert not any(layout.short)


def test_quick_is_never_worse_than_the_grid() -> None:
    """And every copy is placed."""
    solver = _solver([Demand(carton(), 7), Demand(tag(), 20)], [sheet_size()])
    quick = quick_layout(solver, solver.problem.copies)
    assert cost(solver, quick) <= cost(solver, grid_layout(solver))
    assert _placed(solver, quick) == [7, 20]


def test_the_last_sheet_is_the_smallest_that_holds_the_rest() -> None:
    """Nine on each large sheet, the tenth on a small one."""
    supply = [sheet_size(), SheetSize("scrap", 110, 110)]
    solver = _solver([Demand(box(90, 90), 10)], supply)
    assert [(run.size, run.times) for run in quick_layout(solver, solver.problem.copies).runs] == [
        (0, 1),
        (1, 1),
    ]


def test_counts_at_hand_are_kept() -> None:
    """One large sheet, then small ones as far as they go; the rest is short."""
    supply = [SheetSize("large", 304.8, 304.8, at_hand=1), SheetSize("small", 110, 110, at_hand=2)]
    solver = _solver([Demand(box(90, 90), 12)], supply)
    layout = quick_layout(solver, solver.problem.copies)
    assert sorted((run.size, run.times) for run in layout.runs) == [(0, 1), (1, 2)]
    assert layout.short == (1,)


def test_prices_decide_when_all_are_known() -> None:
    """Nine small sheets at 1 are cheaper than a large one at 20."""
    supply = [SheetSize("large", 304.8, 304.8, price=20.0), SheetSize("small", 110, 110, price=1.0)]
    solver = _solver([Demand(box(90, 90), 9)], supply)
    layout = quick_layout(solver, solver.problem.copies)
    assert {run.size for run in layout.runs} == {1}
    assert layout.sheets == 9
    assert cost(solver, layout)[1] == 9.0


def test_a_pattern_is_used_as_often_as_it_can() -> None:
    """Fifty mixed sheets are a handful of pattern runs."""
    solver = _solver([Demand(box(140, 140), 200), Demand(box(30, 30), 100)], [sheet_size()])
    layout = in_turn(solver, [200, 100], mixed)
    assert _placed(solver, layout) == [200, 100]
    assert len(layout.runs) <= 4


@pytest.mark.usefixtures("packer_soon")
def test_eliminating_saves_a_sheet() -> None:
    """Thirteen cartons: six and seven instead of three sheets of up to six."""
    solver = _solver([Demand(carton(), 13)], [sheet_size()], "normal")
    quick = quick_layout(solver, solver.problem.copies)
    # The budget is for what comes after the first layout.
    *_, pressed = improvements(solver.within(solver.problem.effort.seconds), quick)
    assert (quick.sheets, pressed.sheets) == (3, 2)
    assert _placed(solver, pressed) == [13]
