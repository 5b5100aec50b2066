"""From a first layout to better ones: denser patterns, and bin elimination, as far as the work allows.

Each better layout is given as soon as it is found, so that a maker who stops the search keeps it.
No sheet is tried for that the area of the copies, or the size of the large ones, rules out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from cutprep.stages.nest.item.pattern import Pattern
from cutprep.stages.nest.layout.pattern_runs import (
    Layout,
    PatternRun,
    cheapest,
    cost,
    quick_layout,
    searched_layout,
)
from cutprep.stages.nest.pack.bound import fewest_sheets
from cutprep.stages.nest.pack.single_sheet import fullest, may_fit, reach
from cutprep.stages.nest.pack.solver import Solver

#: A fuller sheet of one template is searched for once in any case; for no more sheets than this a quick answer does without
#: looking again.
_FEW_SHEETS = 3


def improvements(solver: Solver, first: Layout) -> Iterator[Layout]:
    """Better and better layouts, as long as the solver has work left."""
    counts, best = solver.problem.copies, first
    for layout in _tried(solver, counts, first):
        if cost(solver, layout) < cost(solver, best):
            best = layout
            yield best


def _tried(solver: Solver, counts: Sequence[int], first: Layout) -> Iterator[Layout]:
    best = first
    bound = fewest_sheets(solver, counts)
    # With sheets of one size all that can be gained then is a smaller last sheet: too little for a quick answer.
    settled = best.sheets <= bound and len(solver.problem.usable_areas) == 1
    if settled and solver.problem.effort.name == "quick":
        return

    def hopeful() -> bool:
        if best.sheets <= bound or not solver.left or any(best.short):
            return False
        solver.tell("nest: fewer sheets", best.sheets, 0)
        return True

    if max(counts) > 1 and not solver.by_cells(counts):
        best = cheapest(solver, best, quick_layout(solver, counts))
        yield best
    if sum(1 for count in counts if count) == 1:
        quick = solver.problem.effort.name == "quick"
        while not (quick and best.sheets <= _FEW_SHEETS) and hopeful():
            fuller = with_a_fuller_pattern(solver, counts, best)
            if fuller is None:
                return
            best = cheapest(solver, best, fuller)
            yield best
        return
    if hopeful():
        best = cheapest(solver, best, searched_layout(solver, counts))
        yield best
    if hopeful():
        fewer = with_the_last_sheet_eliminated(solver, best)
        if fewer is not None:
            yield fewer


def with_a_fuller_pattern(solver: Solver, counts: Sequence[int], layout: Layout) -> Layout | None:
    """With a fuller pattern, such that one sheet less is needed, or None when none is found."""
    demand = next(i for i, count in enumerate(counts) if count)
    tally: dict[int, int] = {}
    for run in layout.runs:
        tally[run.size] = tally.get(run.size, 0) + run.times
    size = max(tally, key=lambda k: (tally[k], -k))
    others = sum(len(run.pattern) * run.times for run in layout.runs if run.size != size)
    if tally[size] < 2:
        return None
    needed = -int(-(counts[demand] - others) // (tally[size] - 1))
    have = max((run.pattern for run in layout.runs if run.size == size), key=len)
    if needed <= len(have):
        return None
    pattern = reach(solver, size, solver.problem.only(demand, needed), have.placements)
    if not pattern:
        return None

    def source(at_work: Solver, other: int, asked: int) -> Pattern:
        return pattern if other == size else fullest(at_work, other, asked)

    return quick_layout(solver, counts, source)


def with_the_last_sheet_eliminated(solver: Solver, layout: Layout) -> Layout | None:
    """The last sheet's copies spread over sheets that are used once; None when some stay.

    All sheets are to be filled alike: each is asked for its own copies and for as many more as bring
    it to the mean.
    """
    if layout.sheets < 2 or layout.runs[-1].times != 1 or any(layout.short):
        return None
    *runs, last = layout.runs
    pool = list(last.pattern.counts(len(solver.problem.demands)))
    single = [k for k, run in enumerate(runs) if run.times == 1]
    for done, k in enumerate(single):
        counts = runs[k].pattern.counts(len(pool))
        held = [_area(solver, runs[j].pattern.counts(len(pool))) for j in single[done:]]
        mean = (sum(held) + _area(solver, pool)) / len(held)
        more = _as_much(solver, runs[k].size, counts, pool, mean if done < len(single) - 1 else math.inf)
        if not any(more):
            continue
        wanted = [a + b for a, b in zip(counts, more, strict=True)]
        pattern = reach(solver, runs[k].size, wanted, runs[k].pattern.placements)
        if pattern:
            runs[k] = PatternRun(runs[k].size, pattern, 1)
            pool = [a - b for a, b in zip(pool, more, strict=True)]
    return None if any(pool) else Layout(tuple(runs), layout.short)


def _area(solver: Solver, counts: Sequence[int]) -> float:
    return sum(n * solver.wide_area(demand) for demand, n in enumerate(counts) if n)


def _as_much(solver: Solver, size: int, counts: Sequence[int], pool: Sequence[int], mean: float) -> list[int]:
    """What of a pool may fit onto a sheet beside what lies there, large copies first, until it is full enough."""
    more = [0] * len(pool)
    shapes = solver.problem.shapes
    for demand in sorted((k for k, n in enumerate(pool) if n), key=lambda w: (-shapes[w].area, w)):
        while more[demand] < pool[demand]:
            trial = [c + m + (w == demand) for w, (c, m) in enumerate(zip(counts, more, strict=True))]
            if not may_fit(solver, size, trial) or (any(more) and _area(solver, trial) > mean):
                break
            more[demand] += 1
    return more
