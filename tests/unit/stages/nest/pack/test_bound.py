"""How many sheets are needed at least."""

from __future__ import annotations

from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.item.problem import problem_of
from cutprep.stages.nest.layout.improve import improvements
from cutprep.stages.nest.layout.pattern_runs import quick_layout
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.bound import by_area, by_pairs, by_threes, fewest_sheets
from cutprep.stages.nest.pack.solver import Solver, solver_of
from tests.bench.nest import MAT, sample
from tests.unit.stages.nest.specimens import box, ell, sheet_size


def _solver(*demands: Demand, side: float = 297.0) -> Solver:
    return solver_of(problem_of(demands, [sheet_size(side, side)], Nesting(margin=0.0, gap=3.0)))


def test_area_is_a_bound() -> None:
    """Area of the copies widened by half the gap over the sheet widened by the gap."""
    solver = _solver(Demand(box(97, 97), 10))
    assert by_area(solver, [9]) == 1
    assert by_area(solver, [10]) == 2


def test_what_can_not_share_a_sheet_needs_one_each() -> None:
    """Squares of 148 on 297: with a gap of 3 no two fit beside each other, and of 147 they do."""
    assert by_pairs(_solver(Demand(box(148, 148), 3)), [3]) == 3
    assert fewest_sheets(_solver(Demand(box(148, 148), 3)), [3]) == 3
    assert by_pairs(_solver(Demand(box(147, 147), 3)), [3]) == 0


def test_shapes_that_interlock_may_share() -> None:
    """Two corners whose boxes are larger than half the sheet lie into each other."""
    assert by_pairs(_solver(Demand(ell(200, 60), 2)), [2]) == 0


def test_two_kinds_are_looked_at_together() -> None:
    """A large square and a larger one; with a small third kind nothing else is shown."""
    solver = _solver(Demand(box(160, 160), 1), Demand(box(200, 200), 1), Demand(box(20, 20), 5))
    assert by_pairs(solver, [1, 1, 5]) == 2
    assert by_pairs(solver, [0, 0, 5]) == 0


def test_where_no_three_fit_half_as_many_sheets_are_needed() -> None:
    """Rectangles of 200 by 115 on 297: three above each other take 351, a lying one and an upright one 318.

    By area three would fit: 300^2 / (203 x 118) is 3.8.
    """
    solver = _solver(Demand(box(200, 115), 5))
    assert by_area(solver, [5]) == 2
    assert by_threes(solver, [5]) == 3
    assert fewest_sheets(solver, [5]) == 3
    assert by_threes(solver, [5], 3) == 0


def test_three_that_just_fit_are_not_denied() -> None:
    """Three times 97 and two gaps of 3 are 297: they fit exactly, also beside a turned one."""
    assert by_threes(_solver(Demand(box(180, 97), 5)), [5]) == 0
    # Two upright and one lying below them: 100 + 3 + 194 is 297.
    assert by_threes(_solver(Demand(box(194, 100), 3)), [3]) == 0


def test_two_kinds_of_which_no_three_fit() -> None:
    """A small third kind takes no part."""
    solver = _solver(Demand(box(200, 115), 2), Demand(box(210, 112), 3), Demand(box(20, 20), 5))
    assert by_threes(solver, [2, 3, 5]) == 3
    assert by_threes(solver, [2, 0, 5], 1) == 0


def test_the_sample_trays_are_proved_two_to_a_sheet() -> None:
    """So no sheet is tried for: ten trays need five."""
    solver = solver_of(problem_of([Demand(sample("display-tray"), 10)], [MAT], Nesting()))
    assert by_area(solver, [10]) == 3
    assert fewest_sheets(solver, [10]) == 5
    begun = quick_layout(solver, [10])
    assert begun.sheets == 5
    spent = solver.meter.spent
    assert list(improvements(solver.within(60.0), begun)) == []
    assert solver.meter.spent - spent < 1.0
