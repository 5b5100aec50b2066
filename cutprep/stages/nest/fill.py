"""How many: the most copies on one sheet, and the most full sets on the sheets at hand."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cutprep.errors import PlanError
from cutprep.model.sheet import Sheet
from cutprep.profile.stock import SheetSize
from cutprep.progress import Progress, silent
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.item.pattern import Pattern
from cutprep.stages.nest.item.problem import problem_of
from cutprep.stages.nest.layout.pattern_runs import Layout, PatternRun, quick_layout, with_lattices
from cutprep.stages.nest.layout.refuse import refuse_too_large
from cutprep.stages.nest.nesting import USUAL, Nesting
from cutprep.stages.nest.pack.single_sheet import compact, fullest, grid, may_fit, plain, reach
from cutprep.stages.nest.pack.solver import Solver, method_note, solver_of, stopped_note
from cutprep.stages.nest.plan import best_layout, sheets_of


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
    problem = problem_of([demand for demand in demands if demand.copies], [size], nesting)
    refuse_too_large(problem)
    solver, unit = with_lattices(solver_of(problem, progress)), problem.copies
    try_more = _fuller_of_one if unit == [1] else _fuller_of_sets
    found, notes = [Pattern((), "")], []
    try:
        with solver.meter.heeding_ctrl_c():
            try_more(solver, unit, found)
    except KeyboardInterrupt:
        notes.append(stopped_note("the search was stopped; this is the fullest sheet found until then"))
    pattern = found[-1]
    if not pattern:
        raise PlanError(
            f"not even one full set fits on a sheet of {size.width:g} x {size.height:g} mm",
            fix="Take a larger sheet, or spread the set over several.",
        )
    told = f"{len(pattern)} copies: {pattern.method}"
    if len(unit) == 1:
        told = f"{told}; the plain grid holds {len(grid(solver, 0, 0))}"
    layout = Layout((PatternRun(0, pattern, 1),), (0,) * len(unit))
    return sheets_of(solver, layout, [method_note(told), *notes, *solver.told()])[0]


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
    problem = problem_of([demand for demand in demands if demand.copies], supply, nesting)
    refuse_too_large(problem)
    solver, unit = with_lattices(solver_of(problem, progress)), problem.copies
    sets = _most(lambda count: not any(quick_layout(solver, [n * count for n in unit]).short))
    if not sets:
        return 0, ()
    wanted = solver.asked([n * sets for n in unit])
    layout, told = best_layout(wanted)
    return sets, sheets_of(wanted, layout, told)


def _fuller_of_one(solver: Solver, unit: Sequence[int], found: list[Pattern]) -> None:
    """One more copy on the sheet, as long as it works; what is found is added to the list."""
    del unit
    found.append(plain(solver, 0, 0))
    found.append(fullest(solver, 0, 0))
    bounded = solver.within(solver.problem.effort.seconds)
    while more := reach(bounded, 0, [len(found[-1]) + 1], found[-1].placements):
        found.append(more)


def _fuller_of_sets(solver: Solver, unit: Sequence[int], found: list[Pattern]) -> None:
    """One more set on the sheet, as long as it works; what is found is added to the list."""
    bounded = solver.within(solver.problem.effort.seconds)

    def fits(count: int) -> bool:
        counts = [n * count for n in unit]
        if not may_fit(solver, 0, counts):
            return False
        own = [fullest(solver, 0, 0)] if len(unit) == 1 else []
        pattern = compact(solver, 0, counts, own) or reach(bounded, 0, counts)
        if pattern:
            found.append(pattern)
        return bool(pattern)

    _most(fits)


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
