"""The rest laid round copies that a hand has placed: those stay where they are, and what has no room goes on new sheets."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import shapely

from cutprep.errors import PlanError, TooFewSheets
from cutprep.model.findings.finding import errors
from cutprep.model.part import Template
from cutprep.model.sheet import Placement, Sheet
from cutprep.profile.stock import SheetSize
from cutprep.progress import Progress, silent
from cutprep.stages.nest.accept import accept
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.item.nofit import simpler
from cutprep.stages.nest.item.pattern import numbered
from cutprep.stages.nest.item.problem import problem_of
from cutprep.stages.nest.item.shape import Shape, shape_of, transformed
from cutprep.stages.nest.nesting import USUAL, Nesting
from cutprep.stages.nest.pack.solver import solver_of
from cutprep.stages.nest.plan import best_layout, nest

_METHOD = "laid round what was placed by hand"


def lay_round(
    demands: Sequence[Demand],
    placed: Sequence[Sequence[Placement]],
    sizes: Sequence[SheetSize],
    supply: Sequence[SheetSize],
    nesting: Nesting = USUAL,
    *,
    progress: Progress = silent,
) -> tuple[Sheet, ...]:
    """Lay the copies that no hand has placed round those that it has.

    Parameters
    ----------
    demands
        Templates with all their copies, those that are placed among them.
    placed
        Placements of each sheet; they index `demands`, and none is moved.
    sizes
        Size of each of these sheets.
    supply, nesting, progress
        As for `nest`. What has no room round the placed copies goes on sheets of the supply.

    Returns
    -------
    tuple of Sheet
        First the sheets with placed copies, in their order; every sheet is proved.

    Raises
    ------
    PlanError
        When a placement breaks a rule, more copies are placed than asked for, or as `nest`.
    """
    templates = [demand.template for demand in demands]
    rest = _left(demands, placed)
    require_placed(templates, placed, sizes, nesting)
    shapes = [shape_of(template) for template in templates]
    filled = []
    for placements, size in zip(placed, sizes, strict=True):
        more = _round_these(_wanted(demands, rest), shapes, placements, size, nesting, progress)
        rest -= Counter(placement.template for placement in more)
        filled.append([*placements, *more])
    sheets = [replace(sheet, method=_METHOD) for sheet in require_placed(templates, filled, sizes, nesting)]
    if rest.total():
        own = _wanted(demands, rest)
        for sheet in _on_new_sheets([one for _, one in own], _less(supply, sizes), nesting, progress):
            placements = tuple(
                replace(placement, template=own[placement.template][0]) for placement in sheet.placements
            )
            sheets.append(replace(sheet, templates=tuple(templates), placements=placements))
    return _numbered(sheets)


def require_placed(
    templates: Sequence[Template],
    placed: Sequence[Sequence[Placement]],
    sizes: Sequence[SheetSize],
    nesting: Nesting,
) -> tuple[Sheet, ...]:
    """Take placements as they are; one that breaks a rule is refused, never moved.

    Parameters
    ----------
    templates, placed, sizes, nesting
        As for `accept`.

    Raises
    ------
    PlanError
        When a placement breaks a rule.
    """
    sheets, found = accept(templates, placed, sizes, nesting)
    if errors(found):
        first = errors(found)[0]
        raise PlanError(f"a placement can't stay: {first.problem}", fix=first.fix)
    return sheets


def _left(demands: Sequence[Demand], placed: Sequence[Sequence[Placement]]) -> Counter[int]:
    """Number of a demand to the copies of it that no hand has placed."""
    counts = Counter(placement.template for placements in placed for placement in placements)
    for i, demand in enumerate(demands):
        if counts[i] > demand.copies:
            raise PlanError(
                f"{counts[i]} copies of '{demand.template.name}' are placed by hand, and {demand.copies} asked for",
                fix="Ask for more copies, or let go of some that are placed.",
            )
    return Counter({i: demand.copies - counts[i] for i, demand in enumerate(demands)})


def _wanted(demands: Sequence[Demand], rest: Counter[int]) -> list[tuple[int, Demand]]:
    """What is still to be laid, each with its number."""
    return [(i, replace(demand, copies=rest[i])) for i, demand in enumerate(demands) if rest[i]]


def _round_these(
    own: Sequence[tuple[int, Demand]],
    shapes: Sequence[Shape],
    placements: Sequence[Placement],
    size: SheetSize,
    nesting: Nesting,
    progress: Progress,
) -> list[Placement]:
    """As many of the copies as one sheet holds beside what is placed on it."""
    if not own:
        return []
    taken = [transformed(shapes[placement.template].solid, placement.matrix) for placement in placements]
    # As for cards that are used already: widened by the gap, then drawn simpler, never smaller.
    round_them = shapely.union_all(taken).buffer(nesting.gap, join_style="mitre")
    areas = [
        simpler(shapely.Polygon(part.exterior))
        for part in shapely.get_parts(round_them)
        if shapely.get_dimensions(part) == 2
    ]
    kept = tuple(one for one in shapely.get_parts(areas) if isinstance(one, shapely.Polygon))
    problem = problem_of(
        [one for _, one in own],
        [replace(size, at_hand=1)],
        replace(nesting, keep_out=(*nesting.keep_out, *kept)),
    )
    layout, _ = best_layout(solver_of(problem, progress))
    found = [placement for run in layout.runs for placement in numbered(run.pattern, 1, problem.sources)]
    return [replace(placement, template=own[placement.template][0]) for placement in found]


def _on_new_sheets(
    own: Sequence[Demand], supply: Sequence[SheetSize], nesting: Nesting, progress: Progress
) -> tuple[Sheet, ...]:
    try:
        return nest(own, supply, nesting, progress=progress)
    except TooFewSheets as fault:
        raise TooFewSheets(f"beside what is placed by hand, {fault.problem}", fix=fault.fix) from None


def _less(supply: Sequence[SheetSize], used: Sequence[SheetSize]) -> list[SheetSize]:
    """The sheets that are still at hand."""
    counts = Counter((size.width, size.height) for size in used)
    return [
        size
        if size.at_hand is None
        else replace(size, at_hand=max(0, size.at_hand - counts[size.width, size.height]))
        for size in supply
    ]


def _numbered(sheets: Sequence[Sheet]) -> tuple[Sheet, ...]:
    """Number sheets and copies through."""
    found: list[Sheet] = []
    copy = 1
    for number, sheet in enumerate(sheets, 1):
        placements = tuple(replace(placement, copy=copy + k) for k, placement in enumerate(sheet.placements))
        found.append(replace(sheet, number=number, placements=placements))
        copy += len(placements) * sheet.runs
    return tuple(found)
