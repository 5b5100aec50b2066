"""Copies to sheets: the layout with fewest sheets, proved, and what is to be said about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import gcd

import shapely

from cutprep.errors import CutprepError, PlanError
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.sheet import Sheet
from cutprep.profile.stock import SheetSize
from cutprep.progress import Progress, silent
from cutprep.stages.nest.item.demand import Demand, require_copies
from cutprep.stages.nest.item.offcut import largest_offcut
from cutprep.stages.nest.item.pattern import Pattern, numbered
from cutprep.stages.nest.item.problem import problem_of
from cutprep.stages.nest.layout.improve import improvements
from cutprep.stages.nest.layout.pattern_runs import (
    Layout,
    cheapest,
    cost,
    grid_layout,
    lone_layout,
    quick_layout,
    with_lattices,
)
from cutprep.stages.nest.layout.refuse import refuse_too_large, too_few
from cutprep.stages.nest.nesting import USUAL, Nesting
from cutprep.stages.nest.pack.single_sheet import plain
from cutprep.stages.nest.pack.solver import Solver, method_note, solver_of, stopped_note
from cutprep.stages.nest.proof import verify_layout
from cutprep.stages.nest.shared import share_cuts as share_edges
from cutprep.units import plural


def nest(
    demands: Sequence[Demand],
    supply: Sequence[SheetSize],
    nesting: Nesting = USUAL,
    *,
    progress: Progress = silent,
) -> tuple[Sheet, ...]:
    """Lay copies out on as few sheets as possible.

    Parameters
    ----------
    demands
        Templates with copies each.
    supply
        Sizes of sheets, already clipped to the machine's area, the usual one first. When every
        size has a price, the cheapest layout is looked for instead of the one with fewest sheets.
    nesting
        How they are laid.
    progress
        Told of copies placed and of packing steps. A KeyboardInterrupt during the improvement keeps
        the best layout so far.

    Returns
    -------
    tuple of Sheet
        Each that differs once, with how often it is run; every one proved by `verify_layout`.

    Raises
    ------
    DoesNotFit
        When a template is larger than the usable area on every sheet in every allowed turn.
    GrainConflict
        When no allowed turn keeps the grain.
    PlanError
        When sheets run out, margin or gap leave no room, or an outline is open.
    """
    demands = tuple(demand for demand in demands if demand.copies)
    require_copies(demands)
    problem = problem_of(demands, supply, nesting)
    refuse_too_large(problem)
    solver = solver_of(problem, progress)
    layout, told = best_layout(solver)
    if any(layout.short):
        raise _short(solver, layout)
    sheets = sheets_of(solver, layout, told)
    _require_proof(sheets, demands, solver)
    return sheets


def best_layout(solver: Solver) -> tuple[Layout, list[Finding]]:
    """The best layout that the effort allows, and what is to be said of it: first how it compares with the grid."""
    counts = solver.problem.copies
    told: list[Finding] = []
    if sum(counts) == 1:
        alone = lone_layout(solver, counts)
        if alone is not None:
            return alone, [method_note("one copy on one sheet")]
    layout = reference = grid_layout(solver)
    try:
        with solver.meter.heeding_ctrl_c():
            layout = cheapest(solver, reference, quick_layout(solver, counts, plain))
            seconds = solver.problem.effort.seconds * max(1, len(layout.runs))
            for better in improvements(with_lattices(solver.within(seconds)), layout):
                layout = better
    except KeyboardInterrupt:
        told.append(stopped_note("the search was stopped; this is the best layout found until then"))
    except shapely.GEOSException as fault:
        told.append(
            stopped_note(
                f"the search failed ({fault}); this is the best layout found until then, at least the plain grid"
            )
        )
    compared = _compared(solver, layout, reference)
    return layout, [*([method_note(compared)] if compared else []), *told, *solver.told()]


def _most(layout: Layout) -> str:
    """How many copies its fullest sheet holds."""
    return plural(max(len(run.pattern) for run in layout.runs), "copy", "copies")


def _compared(solver: Solver, layout: Layout, reference: Layout) -> str:
    """Why this layout was taken."""
    if any(layout.short) or not layout.runs:
        return ""
    words = " and ".join(dict.fromkeys(run.pattern.method for run in layout.runs))
    text = f"{words}: {_sheets(layout.sheets)}, up to {_most(layout)} a sheet"
    if any(reference.short):
        return f"{text}; the plain grid does not hold all copies"
    if reference.sheets > layout.sheets:
        return f"{text}; the plain grid needs {reference.sheets}, with up to {_most(reference)} a sheet"
    used, gridded = cost(solver, layout)[-1], cost(solver, reference)[-1]
    if used < gridded:
        return f"{text} as with the plain grid, but {(gridded - used) / 100:.0f} cm2 less of the last sheet"
    return f"{text}, the same as with the plain grid"


def _sheets(count: int) -> str:
    return f"{count} sheet" + ("" if count == 1 else "s")


def sheets_of(solver: Solver, layout: Layout, told: Sequence[Finding]) -> tuple[Sheet, ...]:
    """One sheet for each pattern, with how often it is run; with gap 0, edges may be cut once for two copies."""
    problem = solver.problem
    shares = problem.nesting.share_cuts and problem.nesting.gap == 0
    runs: dict[tuple[int, Pattern], int] = {}
    for run in layout.runs:
        runs[run.size, run.pattern] = runs.get((run.size, run.pattern), 0) + run.times
    sheets: list[Sheet] = []
    copy = 1
    for (size, pattern), times in runs.items():
        sheet = _sheet_of(solver, size, pattern)
        sheet = share_edges(sheet, problem.nesting.tolerance) if shares else sheet
        placed = numbered(pattern, copy, problem.sources)
        sheets.append(replace(sheet, number=len(sheets) + 1, placements=placed, runs=times))
        copy += len(pattern) * times
    sheets[0] = replace(sheets[0], notes=(*told, *sheets[0].notes))
    return tuple(sheets)


def _sheet_of(solver: Solver, size: int, pattern: Pattern) -> Sheet:
    problem = solver.problem
    usable = problem.usable_areas[size]
    return Sheet(
        number=0,
        width=usable.size.width,
        height=usable.size.height,
        stock=problem.nesting.stock,
        templates=problem.templates,
        placements=numbered(pattern, 1, problem.sources),
        margin=usable.margin,
        gap=usable.gap,
        kept_free=usable.outlines,
        utilisation=sum(problem.shapes[placement.demand].area for placement in pattern.placements)
        / (usable.size.width * usable.size.height),
        method=pattern.method,
        notes=_offcut_note(solver, size, pattern),
    )


def _offcut_note(solver: Solver, size: int, pattern: Pattern) -> Findings:
    problem = solver.problem
    left, bottom, right, top = largest_offcut(pattern, problem.shapes, problem.usable_areas[size])
    width, height = right - left, top - bottom
    return (
        Finding.of(
            code="left-over",
            problem=f"a rectangle of {width:.0f} x {height:.0f} mm is left over, "
            f"its lower left at {left:.0f} mm, {bottom:.0f} mm",
            measure=width * height,
            unit="mm2",
        ),
    )


def _require_proof(sheets: Sequence[Sheet], demands: Sequence[Demand], solver: Solver) -> None:
    nesting = solver.problem.nesting
    wrong = verify_layout(
        sheets,
        demands=demands,
        grain=nesting.grain,
        keep_out=nesting.keep_out,
        windows=nesting.windows,
        taken=solver.known.taken,
    )
    if wrong:  # every pattern was proved before: this is a fault in cutprep itself
        raise CutprepError(
            f"the layout failed its own proof: {wrong[0].problem}", fix="Please report this job."
        )


def _short(solver: Solver, layout: Layout) -> PlanError:
    copies = solver.problem.copies
    unit_size = gcd(*copies)
    unit = [count // unit_size for count in copies]
    sets = 0
    if len(copies) > 1:
        sets = _most_sets(solver, unit, unit_size)
    return too_few(solver.problem, layout, sets, unit)


def _most_sets(solver: Solver, unit: Sequence[int], most: int) -> int:
    """Largest number of full sets that the sheets at hand hold, by quick layouts."""
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        short = any(quick_layout(solver, [n * middle for n in unit]).short)
        low, high = (low, middle) if short else (middle, high)
    return low
