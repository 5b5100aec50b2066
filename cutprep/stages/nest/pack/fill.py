"""How many: the most copies on one sheet, and the most full sets on the sheets at hand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from cutprep.errors import PlanError
from cutprep.model.sheet import Sheet
from cutprep.profile.stock import SheetSize
from cutprep.progress import Progress, silent
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.item.pattern import Pattern
from cutprep.stages.nest.nesting import USUAL, Nesting
from cutprep.stages.nest.pack.problem import Problem, method_note, problem_of
from cutprep.stages.nest.pack.single_sheet import compact, fullest, grid, may_fit, reach
from cutprep.stages.nest.pattern_runs import Layout, PatternRun, quick_layout
from cutprep.stages.nest.plan import best_layout, sheets_of
from cutprep.stages.nest.refuse import refuse_too_large


def fill(
    demands: Sequence[Demand],
    size: SheetSize,
    nesting: Nesting = USUAL,
    *,
    progress: Progress = silent,
) -> Sheet:
    """Fill one sheet: the largest number of copies, or of full sets of several templates.

    Parameters
    ----------
    demands
        The copies of each are those of one set; of a single template, 1 copy is a set.
    size
        The sheet; the other parameters are those of `nest`.

    Raises
    ------
    PlanError
        When not even one set fits, or as `nest`.
    """
    problem = problem_of(
        [demand for demand in demands if demand.copies],
        [size],
        nesting,
        progress,
    )
    refuse_too_large(problem)
    unit = [demand.copies for demand in problem.demands]
    try_more = _fuller_of_one if len(unit) == 1 and unit[0] == 1 else _fuller_of_sets
    pattern = try_more(problem, unit)
    if not pattern:
        raise PlanError(
            f"not even one full set fits on a sheet of {size.width:g} x {size.height:g} mm",
            fix="Take a larger sheet, or spread the set over several.",
        )
    told = f"{len(pattern)} copies: {pattern.method}"
    if len(unit) == 1:
        told = f"{told}; the plain grid holds {len(grid(problem, 0, 0))}"
    layout = Layout((PatternRun(0, pattern, 1),), (0,) * len(unit))
    return sheets_of(problem, layout, [method_note(told), *problem.notes])[0]


def full_sets(
    demands: Sequence[Demand],
    supply: Sequence[SheetSize],
    nesting: Nesting = USUAL,
    *,
    progress: Progress = silent,
) -> tuple[int, tuple[Sheet, ...]]:
    """Lay out as many full sets as the sheets at hand hold.

    Parameters
    ----------
    demands
        The copies of each are those of one set.
    supply
        Sizes, each with a count at hand; the other parameters are those of `nest`.

    Returns
    -------
    int, tuple of Sheet
        Number of sets, 0 when not even one fits, and their sheets.
    """
    if any(size.at_hand is None for size in supply):
        raise PlanError(
            "the number of full sets has no limit when any number of sheets is at hand",
            fix="Say how many sheets of each size there are.",
        )
    problem = problem_of(
        [demand for demand in demands if demand.copies],
        supply,
        nesting,
        progress,
    )
    refuse_too_large(problem)
    unit = [demand.copies for demand in problem.demands]
    sets = _most(lambda count: _sets_fit(problem, unit, count))
    if not sets:
        return 0, ()
    _demand_sets(problem, unit, sets)
    layout, told = best_layout(problem)
    return sets, sheets_of(problem, layout, told)


def _fuller_of_one(problem: Problem, unit: Sequence[int]) -> Pattern:
    """One more copy on the sheet, as long as it works."""
    del unit
    best = fullest(problem, 0, 0)
    try:
        while more := reach(problem, 0, [len(best) + 1], best.placements):
            best = more
    except KeyboardInterrupt:
        problem.note("the search was stopped; this is the fullest sheet found until then", stopped=True)
    return best


def _fuller_of_sets(problem: Problem, unit: Sequence[int]) -> Pattern:
    """One more set on the sheet, as long as it works."""
    best = Pattern((), "")

    def fits(count: int) -> bool:
        nonlocal best
        counts = [n * count for n in unit]
        if not may_fit(problem, 0, counts):
            return False
        own = [fullest(problem, 0, 0)] if len(unit) == 1 else []
        pattern = compact(problem, 0, counts, own) or reach(problem, 0, counts)
        best = pattern or best
        return bool(pattern)

    _most(fits)
    return best


def _most(fits: Callable[[int], bool]) -> int:
    """Largest count that fits, where what holds n holds less; 0 when 1 doesn't fit."""
    high = 1
    while fits(high):
        high *= 2
    low = high // 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def _sets_fit(problem: Problem, unit: Sequence[int], count: int) -> bool:
    _demand_sets(problem, unit, count)
    effort, problem.effort = problem.effort, replace(problem.effort, search=0, reports=0, attempts=0)
    layout = quick_layout(problem)
    problem.effort = effort
    return not any(layout.short)


def _demand_sets(problem: Problem, unit: Sequence[int], count: int) -> None:
    problem.demands = tuple(
        replace(demand, copies=n * count) for demand, n in zip(problem.demands, unit, strict=True)
    )
