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
from cutprep.stages.nest.item.pattern import numbered
from cutprep.stages.nest.nesting import USUAL, Nesting
from cutprep.stages.nest.offcut import largest_offcut
from cutprep.stages.nest.pack.problem import Problem, method_note, problem_of
from cutprep.stages.nest.pattern_runs import (
    Layout,
    PatternRun,
    cost,
    grid_layout,
    quick_layout,
    with_sheets_eliminated,
)
from cutprep.stages.nest.proof import verify_layout
from cutprep.stages.nest.refuse import refuse_too_large, too_few
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
        Every one proved by `verify_layout`.

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
    problem = problem_of(demands, supply, nesting, progress)
    refuse_too_large(problem)
    layout, told = best_layout(problem)
    if any(layout.short):
        raise _short(problem, layout)
    sheets = sheets_of(problem, layout, told)
    _require_proof(sheets, demands, nesting)
    return sheets


def best_layout(problem: Problem) -> tuple[Layout, list[Finding]]:
    """The best layout that the effort allows, and what is to be said of it: first how it compares with the grid."""
    effort = problem.effort
    problem.effort = replace(effort, search=0, reports=0, attempts=0)
    reference = grid_layout(problem)
    layout = reference
    try:
        layout = quick_layout(problem)
        problem.effort = effort
        if effort.search:
            layout = min(
                layout, with_sheets_eliminated(problem, layout), key=lambda item: cost(problem, item)
            )
    except KeyboardInterrupt:
        problem.note("the search was stopped; this is the best layout found until then", stopped=True)
    except shapely.GEOSException as fault:
        problem.note(
            f"the search failed ({fault}); this is the best layout found until then, at least the plain grid",
            stopped=True,
        )
    finally:
        problem.effort = effort
    compared = _compared(problem, layout, reference)
    told = [method_note(compared)] if compared else []
    return layout, told + problem.notes


def _most(layout: Layout) -> str:
    """How many copies its fullest sheet holds."""
    return plural(max(len(run.pattern) for run in layout.runs), "copy", "copies")


def _compared(problem: Problem, layout: Layout, reference: Layout) -> str:
    """Why this layout was taken."""
    if any(layout.short) or not layout.runs:
        return ""
    words = " and ".join(dict.fromkeys(run.pattern.method for run in layout.runs))
    text = f"{words}: {_sheets(layout.sheets)}, up to {_most(layout)} a sheet"
    if any(reference.short):
        return f"{text}; the plain grid does not hold all copies"
    if reference.sheets > layout.sheets:
        return f"{text}; the plain grid needs {reference.sheets}, with up to {_most(reference)} a sheet"
    used, plain = cost(problem, layout)[-1], cost(problem, reference)[-1]
    if used < plain:
        return f"{text} as with the plain grid, but {(plain - used) / 100:.0f} cm2 less of the last sheet"
    return f"{text}, the same as with the plain grid"


def _sheets(count: int) -> str:
    return f"{count} sheet" + ("" if count == 1 else "s")


def sheets_of(problem: Problem, layout: Layout, told: Sequence[Finding]) -> tuple[Sheet, ...]:
    """Spread the pattern runs out as numbered sheets; with gap 0, edges may be cut once for two copies."""
    sheets: list[Sheet] = []
    copy = 1
    shares = problem.nesting.share_cuts and problem.nesting.gap == 0
    for run in layout.runs:
        model = _sheet_of(problem, run)
        model = share_edges(model, problem.nesting.tolerance) if shares else model
        for _ in range(run.times):
            sheet = replace(
                model, number=len(sheets) + 1, placements=numbered(run.pattern, copy, problem.sources)
            )
            sheets.append(sheet)
            copy += len(run.pattern)
    sheets[0] = replace(sheets[0], notes=(*told, *sheets[0].notes))
    return tuple(sheets)


def _sheet_of(problem: Problem, run: PatternRun) -> Sheet:
    usable = problem.usable_areas[run.size]
    return Sheet(
        number=0,
        width=usable.size.width,
        height=usable.size.height,
        stock=problem.nesting.stock,
        templates=problem.templates,
        placements=numbered(run.pattern, 1, problem.sources),
        margin=usable.margin,
        gap=usable.gap,
        kept_free=usable.outlines,
        utilisation=sum(problem.shapes[placement.demand].area for placement in run.pattern.placements)
        / (usable.size.width * usable.size.height),
        method=run.pattern.method,
        notes=_offcut_note(problem, run),
    )


def _offcut_note(problem: Problem, run: PatternRun) -> Findings:
    left, bottom, right, top = largest_offcut(run.pattern, problem.shapes, problem.usable_areas[run.size])
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


def _require_proof(sheets: Sequence[Sheet], demands: Sequence[Demand], nesting: Nesting) -> None:
    wrong = verify_layout(
        sheets, demands=demands, grain=nesting.grain, keep_out=nesting.keep_out, windows=nesting.windows
    )
    if wrong:  # every pattern was proved before: this is a fault in cutprep itself
        raise CutprepError(
            f"the layout failed its own proof: {wrong[0].problem}", fix="Please report this job."
        )


def _short(problem: Problem, layout: Layout) -> PlanError:
    unit_size = gcd(*(demand.copies for demand in problem.demands))
    unit = tuple(demand.copies // unit_size for demand in problem.demands)
    sets = 0
    if len(problem.demands) > 1:
        sets = _most_sets(problem, unit, unit_size)
    return too_few(problem, layout, sets, unit)


def _most_sets(problem: Problem, unit: Sequence[int], most: int) -> int:
    """Largest number of full sets that the sheets at hand hold, by quick layouts."""
    low, high = 0, most
    demands = problem.demands
    while high - low > 1:
        middle = (low + high) // 2
        problem.demands = tuple(replace(w, copies=n * middle) for w, n in zip(demands, unit, strict=True))
        low, high = (low, middle) if any(quick_layout(problem).short) else (middle, high)
    problem.demands = demands
    return low
