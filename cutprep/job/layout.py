"""How copies come onto sheets: laid out, filled up, as many sets as the card gives, or as placed by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TypedDict

from cutprep.errors import PlanError
from cutprep.job.job import Batch, Job, Spot, usable
from cutprep.model.finding import errors
from cutprep.model.part import Template
from cutprep.model.sheet import Placement, Sheet
from cutprep.nest.accept import accept
from cutprep.nest.fill import fill, full_sets
from cutprep.nest.plan import nest
from cutprep.nest.want import Want
from cutprep.profile.stock import SheetSize
from cutprep.progress import Progress


class _Settings(TypedDict):
    stock: str
    grain: float | None
    margin: float
    gap: float
    keep_out: tuple[tuple[float, float, float, float], ...]
    windows: bool


def lay_out(job: Job, batch: Batch, templates: Sequence[Template], progress: Progress) -> tuple[Sheet, ...]:
    """Lay one batch out as the job asks for.

    Raises
    ------
    PlanError
        When it can't be done, or hand-made placements break a rule.
    """
    sizes = [usable(size, job.machine) for size in batch.sheets]
    settings: _Settings = {
        "stock": batch.stock.name,
        "grain": batch.stock.grain,
        "margin": job.margin,
        "gap": job.gap,
        "keep_out": job.keep_out,
        "windows": job.windows,
    }
    if batch.spots:
        return _by_hand(batch, templates, sizes[0], settings)
    wants = [
        Want(template, item.copies, turns=item.turns, mirror=item.mirror)
        for template, item in zip(templates, batch.items, strict=True)
    ]
    if job.amount == "sheet":
        ones = [replace(want, copies=want.copies if len(wants) > 1 else 1) for want in wants]
        return (fill(ones, sizes[0], seed=job.seed, effort=job.effort, progress=progress, **settings),)
    if job.amount == "stock":
        unit = [
            replace(want, copies=item.in_set or want.copies)
            for want, item in zip(wants, batch.items, strict=True)
        ]
        sets, sheets = full_sets(unit, sizes, seed=job.seed, effort=job.effort, progress=progress, **settings)
        if not sets:
            raise PlanError("the sheets at hand do not hold one full set", fix="Take more or larger sheets.")
        return sheets
    return nest(wants, sizes, seed=job.seed, effort=job.effort, progress=progress, **settings)


def _by_hand(
    batch: Batch, templates: Sequence[Template], size: SheetSize, settings: _Settings
) -> tuple[Sheet, ...]:
    """Take placements as they are; one that breaks a rule is refused, never moved."""
    numbers = sorted({spot.sheet for spot in batch.spots})
    placed = [
        [_placement(spot, i) for i, spot in enumerate(batch.spots, 1) if spot.sheet == n] for n in numbers
    ]
    sheets, found = accept(templates, placed, [size], **settings)
    if errors(found):
        first = errors(found)[0]
        raise PlanError(f"a placement can't stay: {first.problem}", fix=first.fix)
    return sheets


def _placement(spot: Spot, copy: int) -> Placement:
    return Placement(spot.item, spot.x, spot.y, spot.turn, mirror=spot.mirror, copy=copy)
