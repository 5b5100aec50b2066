"""Placements made by hand: checked, and not moved."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutprep.errors import JobError
from cutprep.model.findings.finding import Findings
from cutprep.model.part import Template
from cutprep.model.sheet import Placement, Sheet
from cutprep.profile.stock import SheetSize
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.item.shape import shape_of
from cutprep.stages.nest.item.usable_area import usable_area_of
from cutprep.stages.nest.nesting import USUAL, Nesting
from cutprep.stages.nest.proof import verify_layout
from cutprep.stages.nest.shared import share_cuts as share_edges


def accept(
    templates: Sequence[Template],
    placed: Sequence[Sequence[Placement]],
    sizes: Sequence[SheetSize],
    nesting: Nesting = USUAL,
    *,
    demands: Sequence[Demand] | None = None,
) -> tuple[tuple[Sheet, ...], Findings]:
    """Take hand-made placements as they are and say what is wrong with them.

    Parameters
    ----------
    templates
        What the placements index.
    placed
        Placements of each sheet.
    sizes
        Size of each sheet; a single one serves for all.
    nesting
        What the layout is checked against.
    demands
        Turns and copies to hold the layout to; None checks neither.

    Returns
    -------
    tuple of Sheet, Findings
        Sheets exactly as placed, and every fault as an error finding. Cuts are shared only on a
        layout without faults.

    Raises
    ------
    JobError
        When a placement names no template or part, or a number is not finite.
    PlanError
        When margin, gap or an outline can't be used.
    """
    if len(sizes) not in (1, len(placed)):
        raise JobError(f"{len(placed)} sheets are placed, but {len(sizes)} sizes are given")
    shapes = {i: shape_of(template) for i, template in enumerate(templates)}
    sheets = []
    for number, placements in enumerate(placed, 1):
        size = sizes[0] if len(sizes) == 1 else sizes[number - 1]
        usable = usable_area_of(size, nesting.margin, nesting.gap, nesting.keep_out)
        for placement in placements:
            _require_sound(placement, templates, number)
        area = sum(shapes[placement.template].area for placement in placements)
        sheets.append(
            Sheet(
                number=number,
                width=size.width,
                height=size.height,
                stock=nesting.stock,
                templates=tuple(templates),
                placements=tuple(placements),
                margin=nesting.margin,
                gap=nesting.gap,
                kept_free=usable.outlines,
                utilisation=area / (size.width * size.height),
                method="placed by hand",
            )
        )
    findings = verify_layout(
        sheets, demands=demands, grain=nesting.grain, keep_out=nesting.keep_out, windows=nesting.windows
    )
    if nesting.share_cuts and nesting.gap == 0 and not findings:
        sheets = [share_edges(sheet, nesting.tolerance) for sheet in sheets]
    return tuple(sheets), findings


def _require_sound(placement: Placement, templates: Sequence[Template], number: int) -> None:
    where = f"sheet {number}, copy {placement.copy}"
    if not 0 <= placement.template < len(templates):
        raise JobError(f"{where}: there is no template number {placement.template}")
    template = templates[placement.template]
    if placement.part is not None and not 0 <= placement.part < len(template.parts):
        raise JobError(f"{where}: '{template.name}' has no part number {placement.part}")
    if not all(math.isfinite(value) for value in (placement.x, placement.y, placement.turn)):
        raise JobError(f"{where}: x, y and turn must be finite numbers")
