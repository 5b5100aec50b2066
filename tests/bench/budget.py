"""First layout, last layout and counted work of each effort: `python -m tests.bench.budget [samples|many|efforts]`.

The first layout is what stands when the search for fewer sheets begins. Seconds are the processor's, those of the packer's
own process included. `efforts` lays out 24 cartons, which fewer sheets may hold by area: the search goes on until its work
is spent.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence

import numpy as np

from cutprep.job.api import make_rules, read
from cutprep.model.part import Template
from cutprep.profile.stock import SheetSize
from cutprep.stages.classify import classify
from cutprep.stages.divide import divide
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.item.problem import EFFORTS, problem_of
from cutprep.stages.nest.layout.improve import improvements
from cutprep.stages.nest.layout.pattern_runs import cheapest, grid_layout, quick_layout
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.bound import fewest_sheets
from cutprep.stages.nest.pack.single_sheet import plain
from cutprep.stages.nest.pack.solver import solver_of
from cutprep.tolerance import Tolerance
from tests.bench.nest import DATA, MAT, sample
from tests.unit.stages.nest.specimens import template

_LARGE = SheetSize("500 x 700", 500, 700)


def spent() -> float:
    """Seconds of the processor, of this process and of those it waited for."""
    return sum(os.times()[:4])


def stars(count: int) -> list[Template]:
    """Outlines of 20 corners, no two alike."""
    rng = np.random.default_rng(1)
    angle = (np.arange(20) + 0.5) * np.pi / 10
    spokes = np.column_stack((np.cos(angle), np.sin(angle)))
    return [template(f"star {k}", spokes * rng.uniform(12, 45, 20)[:, None]) for k in range(count)]


def nets() -> list[Template]:
    """Published nets, where the folder of open data holds them."""
    files = sorted((DATA / "nets").glob("*.svg"))
    return [divide(classify(read(path), make_rules()), Tolerance()) for path in files]


def row(what: str, demands: Sequence[Demand], size: SheetSize, effort: str) -> None:
    """Lay out as `nest` does, and print what stood when."""
    begin = spent()
    solver = solver_of(problem_of(demands, [size], Nesting(effort=effort)))
    counts = solver.problem.copies
    first = last = cheapest(solver, grid_layout(solver), quick_layout(solver, counts, plain))
    at_first, work = spent() - begin, solver.meter.spent
    limit = EFFORTS[effort].seconds * len(first.runs)
    for better in improvements(solver.within(limit), first):
        last = better
    bound, counted = fewest_sheets(solver, counts), solver.meter.spent - work
    print(
        f"  {what}, {effort}: first {first.sheets} sheets, {at_first:.2f} s; last {last.sheets}, "
        f"{spent() - begin:.2f} s, bound {bound}; counted {counted:.2f} s of {limit:g}",
        flush=True,
    )


def samples() -> None:
    print("samples, 12 and 24 copies on 12 x 12 in")
    for name in ("jar-carton", "display-tray", "swing-tag", "divider", "honeycomb-lace"):
        for copies in (12, 24):
            row(f"{copies} of {name}", [Demand(sample(name), copies)], MAT, "quick")


def many() -> None:
    print("one each of many")
    row("100 outlines of 20 corners", [Demand(one, 1) for one in stars(100)], MAT, "quick")
    solids = nets()
    if not solids:
        print(f"  no nets in {DATA}: set CUTPREP_BENCH_DATA")
        return
    row(f"{len(solids)} published nets", [Demand(one, 1) for one in solids], _LARGE, "quick")
    mixed = [*solids, *stars(113 - len(solids))]
    row(
        f"{len(solids)} published nets and {113 - len(solids)} outlines",
        [Demand(one, 1) for one in mixed],
        _LARGE,
        "quick",
    )


def efforts() -> None:
    print("24 cartons on 12 x 12 in")
    for effort in EFFORTS:
        row("24 of jar-carton", [Demand(sample("jar-carton"), 24)], MAT, effort)


def main() -> None:
    """Run what is named."""
    parts: dict[str, Callable[[], None]] = {"samples": samples, "many": many, "efforts": efforts}
    for name in sys.argv[1:] or parts:
        parts[name]()


if __name__ == "__main__":
    main()
