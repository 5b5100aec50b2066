"""How copies come onto sheets: laid out, filled up, as many sets as the card gives, or as placed by hand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from cutprep.errors import PlanError, TooFewSheets
from cutprep.job.job import Batch, Job, PlacedCopy, usable
from cutprep.job.printing.marks import BLEED, kept_for_marks
from cutprep.job.sheets.used import used_areas
from cutprep.job.sides.asked import FROM_BACK
from cutprep.job.sides.folds import from_back
from cutprep.job.sides.turning import kept_for_crosses
from cutprep.model.part import Template
from cutprep.model.sheet import Placement, Sheet
from cutprep.profile.stock import SheetSize
from cutprep.progress import Progress
from cutprep.stages.nest.around import lay_round, require_placed
from cutprep.stages.nest.fill import fill, full_sets
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.nesting import Area, Nesting
from cutprep.stages.nest.plan import nest

#: Sizes of sheets nearer than this are the same one, mm.
_SAME_SIZE = 0.1


def lay_out(
    job: Job, batch: Batch, templates: Sequence[Template], progress: Progress, *, used: Sequence[Area] = ()
) -> tuple[Sheet, ...]:
    """Lay one batch out as the job asks for.

    Parameters
    ----------
    used
        What `used_card` found: kept free on every sheet, as `job.nesting.keep_out` is.

    Raises
    ------
    PlanError
        When it can't be done, or placements made by hand break a rule.
    """
    sizes = [usable(size, job.machine) for size in batch.sheets]
    nesting = _nesting(job, batch, templates, sizes, used)
    demands = [
        Demand(template, item.copies, turns=item.turns, mirror=item.mirror)
        for template, item in zip(templates, batch.items, strict=True)
    ]
    fixed = [spot for spot in batch.spots if not (job.lay_rest and spot.loose)]
    if fixed:
        return _beside(job, fixed, demands, sizes, nesting, progress)
    if job.amount == "sheet":
        ones = [replace(demand, copies=demand.copies if len(demands) > 1 else 1) for demand in demands]
        return (fill(ones, sizes[0], nesting, progress=progress),)
    if job.amount == "stock":
        sets, sheets = full_sets(_one_set(demands, batch), sizes, nesting, progress=progress)
        if not sets:
            raise PlanError("the sheets at hand do not hold one full set", fix="Take more or larger sheets.")
        return sheets
    try:
        return nest(demands, sizes, nesting, progress=progress)
    except TooFewSheets as fault:
        if job.sets == 1 or not all(item.in_set for item in batch.items):
            raise
        # Spare copies are left out: the question is for how many sets the sheets will do.
        sets, _ = full_sets(_one_set(demands, batch), sizes, nesting, progress=progress)
        raise _too_few_for_sets(fault, sets, job.sets, batch) from None


def _beside(
    job: Job,
    fixed: Sequence[PlacedCopy],
    demands: Sequence[Demand],
    sizes: Sequence[SheetSize],
    nesting: Nesting,
    progress: Progress,
) -> tuple[Sheet, ...]:
    """Copies that a hand has placed, and round them the rest where that is asked for."""
    placed, chosen = _by_hand(fixed, sizes)
    if not job.lay_rest:
        return require_placed([demand.template for demand in demands], placed, chosen, nesting)
    if job.amount != "copies":
        raise PlanError(
            "copies that are placed by hand stand on their sheets, so that the sheets can't say how many there are",
            fix='Say how many are wanted: copies, and amount = "copies".',
        )
    return lay_round(demands, placed, chosen, sizes, nesting, progress=progress)


def _nesting(
    job: Job, batch: Batch, templates: Sequence[Template], sizes: Sequence[SheetSize], used: Sequence[Area]
) -> Nesting:
    """How this batch is laid out: around used card, printed marks, and the crosses of a sheet that is turned over."""
    nesting = replace(
        job.nesting,
        grain=batch.stock.grain,
        keep_out=(*job.nesting.keep_out, *used),
        stock=batch.stock.name,
        tolerance=job.tolerance,
    )
    if any(template.artwork is not None for template in templates):
        corners = {
            area
            for size in sizes
            for area in kept_for_marks(size.width, size.height, job.printer_edge, job.unit)
        }
        nesting = replace(
            nesting,
            margin=max(nesting.margin, job.printer_edge + BLEED),
            keep_out=(*nesting.keep_out, *sorted(corners)),
        )
    fold = FROM_BACK[job.from_back]
    if any(from_back(template.lines, fold).any() for template in templates):
        corners = {area for size in sizes for area in kept_for_crosses(job, size.width, size.height)}
        nesting = replace(nesting, keep_out=(*nesting.keep_out, *sorted(corners)))
    return nesting


def _one_set(demands: Sequence[Demand], batch: Batch) -> list[Demand]:
    """What one set takes of each template."""
    return [
        replace(demand, copies=item.in_set or demand.copies)
        for demand, item in zip(demands, batch.items, strict=True)
    ]


def _too_few_for_sets(fault: TooFewSheets, sets: int, wanted: int, batch: Batch) -> TooFewSheets:
    """The same refusal, with how many sets the sheets would do for."""
    whole = f"{sets} full set{'s' * (sets != 1)}"
    return TooFewSheets(
        f"{fault.problem}. Without spare copies the sheets of '{batch.stock.name}' at hand give {whole} of the "
        f"{wanted} that are wanted",
        fix=f"Write sets = {sets} and no spare, or have more sheets at hand."
        if sets
        else "Have more sheets at hand.",
    )


def used_card(job: Job, batch: Batch) -> tuple[Area, ...]:
    """Read the areas of a card that drawings say are used already, mm on the sheet.

    Raises
    ------
    InputError
        When a drawing can't be read or shows no such area.
    """
    return tuple(
        area
        for path, layer in (*job.keep_out_drawn, *batch.keep_out_drawn)
        for area in used_areas(path, layer, job.nesting.gap, job.tolerance, job.limits)
    )


def _by_hand(
    fixed: Sequence[PlacedCopy], sizes: Sequence[SheetSize]
) -> tuple[list[list[Placement]], list[SheetSize]]:
    """The placements of each sheet, and the size of each."""
    rows = [
        [(spot, i) for i, spot in enumerate(fixed, 1) if spot.sheet == n]
        for n in sorted({spot.sheet for spot in fixed})
    ]
    placed = [[_placement(spot, i) for spot, i in row] for row in rows]
    return placed, [_size_of([spot for spot, _ in row], sizes) for row in rows]


def _size_of(spots: Sequence[PlacedCopy], sizes: Sequence[SheetSize]) -> SheetSize:
    """The sheet that placements were made for, among those of the job."""
    wanted = spots[0].size
    if wanted is None:
        return sizes[0]
    for size in sizes:
        if math.dist(wanted, (size.width, size.height)) < _SAME_SIZE:
            return size
    known = ", ".join(f"{size.width:g} x {size.height:g} mm" for size in sizes)
    raise PlanError(
        f"the copies were placed on a sheet of {wanted[0]:g} x {wanted[1]:g} mm, and the job has {known}",
        fix="Name that sheet with --sheet, or in the job file.",
    )


def _placement(spot: PlacedCopy, copy: int) -> Placement:
    return Placement(spot.item, spot.x, spot.y, spot.turn, mirror=spot.mirror, copy=copy)
