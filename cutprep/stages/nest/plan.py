"""Copies to sheets: the layout with fewest sheets, proved, and what is to be said about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import gcd

import shapely

from cutprep.errors import CutprepError, PlanError
from cutprep.model.finding import Finding, Findings
from cutprep.model.sheet import Sheet
from cutprep.profile.stock import SheetSize
from cutprep.progress import Progress, silent
from cutprep.stages.nest.item.pattern import placements
from cutprep.stages.nest.item.want import Want, require_copies
from cutprep.stages.nest.leftover import left_over
from cutprep.stages.nest.lots import Layout, Lot, cost, grid_layout, pressed_layout, quick_layout
from cutprep.stages.nest.nesting import USUAL, Nesting
from cutprep.stages.nest.pack.shop import Shop, method_note, open_shop
from cutprep.stages.nest.proof import verify_layout
from cutprep.stages.nest.refuse import refuse_too_large, too_few
from cutprep.stages.nest.shared import share_cuts as share_edges
from cutprep.units import plural


def nest(
    wants: Sequence[Want],
    supply: Sequence[SheetSize],
    nesting: Nesting = USUAL,
    *,
    progress: Progress = silent,
) -> tuple[Sheet, ...]:
    """Lay copies out on as few sheets as possible.

    Parameters
    ----------
    wants
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
        When a template is larger than the room on every sheet in every allowed turn.
    GrainConflict
        When no allowed turn keeps the grain.
    PlanError
        When sheets run out, margin or gap leave no room, or an outline is open.
    """
    wants = tuple(want for want in wants if want.copies)
    require_copies(wants)
    shop = open_shop(wants, supply, nesting, progress)
    refuse_too_large(shop)
    layout, told = best_layout(shop)
    if any(layout.short):
        raise _short(shop, layout)
    sheets = sheets_of(shop, layout, told)
    _require_proof(sheets, wants, nesting)
    return sheets


def best_layout(shop: Shop) -> tuple[Layout, list[Finding]]:
    """The best layout that the effort allows, and what is to be said of it: first how it compares with the grid."""
    effort = shop.effort
    shop.effort = replace(effort, search=0, reports=0, attempts=0)
    reference = grid_layout(shop)
    layout = reference
    try:
        layout = quick_layout(shop)
        shop.effort = effort
        if effort.search:
            layout = min(layout, pressed_layout(shop, layout), key=lambda item: cost(shop, item))
    except KeyboardInterrupt:
        shop.note("the search was stopped; this is the best layout found until then", stopped=True)
    except shapely.GEOSException as fault:
        shop.note(
            f"the search failed ({fault}); this is the best layout found until then, at least the plain grid",
            stopped=True,
        )
    finally:
        shop.effort = effort
    compared = _compared(shop, layout, reference)
    told = [method_note(compared)] if compared else []
    return layout, told + shop.notes


def _most(layout: Layout) -> str:
    """How many copies its fullest sheet holds."""
    return plural(max(len(lot.pattern) for lot in layout.lots), "copy", "copies")


def _compared(shop: Shop, layout: Layout, reference: Layout) -> str:
    """Why this layout was taken."""
    if any(layout.short) or not layout.lots:
        return ""
    words = " and ".join(dict.fromkeys(lot.pattern.method for lot in layout.lots))
    text = f"{words}: {_sheets(layout.sheets)}, up to {_most(layout)} a sheet"
    if any(reference.short):
        return f"{text}; the plain grid does not hold all copies"
    if reference.sheets > layout.sheets:
        return f"{text}; the plain grid needs {reference.sheets}, with up to {_most(reference)} a sheet"
    used, plain = cost(shop, layout)[-1], cost(shop, reference)[-1]
    if used < plain:
        return f"{text} as with the plain grid, but {(plain - used) / 100:.0f} cm2 less of the last sheet"
    return f"{text}, the same as with the plain grid"


def _sheets(count: int) -> str:
    return f"{count} sheet" + ("" if count == 1 else "s")


def sheets_of(shop: Shop, layout: Layout, told: Sequence[Finding]) -> tuple[Sheet, ...]:
    """Spread the lots out as numbered sheets; with gap 0, edges may be cut once for two copies."""
    sheets: list[Sheet] = []
    copy = 1
    shares = shop.nesting.share_cuts and shop.nesting.gap == 0
    for lot in layout.lots:
        model = _sheet_of(shop, lot)
        model = share_edges(model) if shares else model
        for _ in range(lot.times):
            sheet = replace(
                model, number=len(sheets) + 1, placements=placements(lot.pattern, copy, shop.sources)
            )
            sheets.append(sheet)
            copy += len(lot.pattern)
    sheets[0] = replace(sheets[0], notes=(*told, *sheets[0].notes))
    return tuple(sheets)


def _sheet_of(shop: Shop, lot: Lot) -> Sheet:
    room = shop.rooms[lot.size]
    return Sheet(
        number=0,
        width=room.size.width,
        height=room.size.height,
        stock=shop.nesting.stock,
        templates=shop.templates,
        placements=placements(lot.pattern, 1, shop.sources),
        margin=room.margin,
        gap=room.gap,
        kept_free=room.outlines,
        utilisation=sum(shop.shapes[spot.want].area for spot in lot.pattern.spots)
        / (room.size.width * room.size.height),
        method=lot.pattern.method,
        notes=_left_over_note(shop, lot),
    )


def _left_over_note(shop: Shop, lot: Lot) -> Findings:
    left, bottom, right, top = left_over(lot.pattern, shop.shapes, shop.rooms[lot.size])
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


def _require_proof(sheets: Sequence[Sheet], wants: Sequence[Want], nesting: Nesting) -> None:
    wrong = verify_layout(
        sheets, wants=wants, grain=nesting.grain, keep_out=nesting.keep_out, windows=nesting.windows
    )
    if wrong:  # every pattern was proved before: this is a fault in cutprep itself
        raise CutprepError(
            f"the layout failed its own proof: {wrong[0].problem}", fix="Please report this job."
        )


def _short(shop: Shop, layout: Layout) -> PlanError:
    unit_size = gcd(*(want.copies for want in shop.wants))
    unit = tuple(want.copies // unit_size for want in shop.wants)
    sets = 0
    if len(shop.wants) > 1:
        sets = _most_sets(shop, unit, unit_size)
    return too_few(shop, layout, sets, unit)


def _most_sets(shop: Shop, unit: Sequence[int], most: int) -> int:
    """Largest number of full sets that the sheets at hand hold, by quick layouts."""
    low, high = 0, most
    wants = shop.wants
    while high - low > 1:
        middle = (low + high) // 2
        shop.wants = tuple(replace(w, copies=n * middle) for w, n in zip(wants, unit, strict=True))
        low, high = (low, middle) if any(quick_layout(shop).short) else (middle, high)
    shop.wants = wants
    return low
