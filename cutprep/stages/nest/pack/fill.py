"""How many: the most copies on one sheet, and the most full sets on the sheets at hand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from cutprep.errors import PlanError
from cutprep.model.sheet import Sheet
from cutprep.profile.stock import SheetSize
from cutprep.progress import Progress, silent
from cutprep.stages.nest.item.pattern import Pattern
from cutprep.stages.nest.item.want import Want
from cutprep.stages.nest.lots import Layout, Lot, quick_layout
from cutprep.stages.nest.nesting import USUAL, Nesting
from cutprep.stages.nest.pack.sheetful import compact, fullest, grid, may_fit, reach
from cutprep.stages.nest.pack.shop import Shop, method_note, open_shop
from cutprep.stages.nest.plan import best_layout, sheets_of
from cutprep.stages.nest.refuse import refuse_too_large


def fill(
    wants: Sequence[Want],
    size: SheetSize,
    nesting: Nesting = USUAL,
    *,
    progress: Progress = silent,
) -> Sheet:
    """Fill one sheet: the largest number of copies, or of full sets of several templates.

    Parameters
    ----------
    wants
        The copies of each are those of one set; of a single template, 1 copy is a set.
    size
        The sheet; the other parameters are those of `nest`.

    Raises
    ------
    PlanError
        When not even one set fits, or as `nest`.
    """
    shop = open_shop(
        [want for want in wants if want.copies],
        [size],
        nesting,
        progress,
    )
    refuse_too_large(shop)
    unit = [want.copies for want in shop.wants]
    try_more = _fuller_of_one if len(unit) == 1 and unit[0] == 1 else _fuller_of_sets
    pattern = try_more(shop, unit)
    if not pattern:
        raise PlanError(
            f"not even one full set fits on a sheet of {size.width:g} x {size.height:g} mm",
            fix="Take a larger sheet, or spread the set over several.",
        )
    told = f"{len(pattern)} copies: {pattern.method}"
    if len(unit) == 1:
        told = f"{told}; the plain grid holds {len(grid(shop, 0, 0))}"
    layout = Layout((Lot(0, pattern, 1),), (0,) * len(unit))
    return sheets_of(shop, layout, [method_note(told), *shop.notes])[0]


def full_sets(
    wants: Sequence[Want],
    supply: Sequence[SheetSize],
    nesting: Nesting = USUAL,
    *,
    progress: Progress = silent,
) -> tuple[int, tuple[Sheet, ...]]:
    """Lay out as many full sets as the sheets at hand hold.

    Parameters
    ----------
    wants
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
    shop = open_shop(
        [want for want in wants if want.copies],
        supply,
        nesting,
        progress,
    )
    refuse_too_large(shop)
    unit = [want.copies for want in shop.wants]
    sets = _most(lambda count: _sets_fit(shop, unit, count))
    if not sets:
        return 0, ()
    _want_sets(shop, unit, sets)
    layout, told = best_layout(shop)
    return sets, sheets_of(shop, layout, told)


def _fuller_of_one(shop: Shop, unit: Sequence[int]) -> Pattern:
    """One more copy on the sheet, as long as it works."""
    del unit
    best = fullest(shop, 0, 0)
    try:
        while more := reach(shop, 0, [len(best) + 1], best.spots):
            best = more
    except KeyboardInterrupt:
        shop.note("the search was stopped; this is the fullest sheet found until then", stopped=True)
    return best


def _fuller_of_sets(shop: Shop, unit: Sequence[int]) -> Pattern:
    """One more set on the sheet, as long as it works."""
    best = Pattern((), "")

    def fits(count: int) -> bool:
        nonlocal best
        counts = [n * count for n in unit]
        if not may_fit(shop, 0, counts):
            return False
        own = [fullest(shop, 0, 0)] if len(unit) == 1 else []
        pattern = compact(shop, 0, counts, own) or reach(shop, 0, counts)
        best = pattern or best
        return bool(pattern)

    _most(fits)
    return best


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


def _sets_fit(shop: Shop, unit: Sequence[int], count: int) -> bool:
    _want_sets(shop, unit, count)
    effort, shop.effort = shop.effort, replace(shop.effort, search=0, reports=0, attempts=0)
    layout = quick_layout(shop)
    shop.effort = effort
    return not any(layout.short)


def _want_sets(shop: Shop, unit: Sequence[int], count: int) -> None:
    shop.wants = tuple(replace(want, copies=n * count) for want, n in zip(shop.wants, unit, strict=True))
