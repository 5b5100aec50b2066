"""Patterns to sheets."""

from __future__ import annotations

from cutprep.profile.stock import SheetSize
from cutprep.progress import silent
from cutprep.stages.nest.item.want import Want
from cutprep.stages.nest.lots import cost, grid_layout, in_turn, pressed_layout, quick_layout
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.sheetful import mixed
from cutprep.stages.nest.pack.shop import Shop, open_shop
from tests.unit.stages.nest.specimens import box, carton, sheet_size, tag


def _shop(wants: list[Want], supply: list[SheetSize], effort: str = "quick") -> Shop:
    return open_shop(wants, supply, Nesting(grain=None, margin=5.0, gap=3.0, seed=0, effort=effort, keep_out=(), windows=False), progress=silent)  # fmt: skip


def _placed(shop: Shop, layout: object) -> list[int]:
    total = [0] * len(shop.wants)
    for lot in layout.lots:  # type: ignore[attr-defined]
        for want, count in enumerate(lot.pattern.counts(len(total))):
            total[want] += count * lot.times
    return total


def test_grid_takes_whole_sheets_and_a_rest() -> None:
    """Copies add up; equal sheets are one lot."""
    shop = _shop([Want(box(90, 90), 20)], [sheet_size()])
    layout = grid_layout(shop)
    assert [(len(lot.pattern), lot.times) for lot in layout.lots] == [(9, 2), (2, 1)]
    assert layout.sheets == 3
    assert not any(layout.short)


def test_quick_is_never_worse_than_the_grid() -> None:
    """And every copy is placed."""
    shop = _shop([Want(carton(), 13), Want(tag(), 90)], [sheet_size()])
    quick = quick_layout(shop)
    assert cost(shop, quick) <= cost(shop, grid_layout(shop))
    assert _placed(shop, quick) == [13, 90]


def test_the_last_sheet_is_the_smallest_that_holds_the_rest() -> None:
    """Nine on each large sheet, the tenth on a small one."""
    supply = [sheet_size(), SheetSize("scrap", 110, 110)]
    shop = _shop([Want(box(90, 90), 10)], supply)
    assert [(lot.size, lot.times) for lot in quick_layout(shop).lots] == [(0, 1), (1, 1)]


def test_counts_at_hand_are_kept() -> None:
    """One large sheet, then small ones as far as they go; the rest is short."""
    supply = [SheetSize("large", 304.8, 304.8, at_hand=1), SheetSize("small", 110, 110, at_hand=2)]
    shop = _shop([Want(box(90, 90), 12)], supply)
    layout = quick_layout(shop)
    assert sorted((lot.size, lot.times) for lot in layout.lots) == [(0, 1), (1, 2)]
    assert layout.short == (1,)


def test_prices_decide_when_all_are_known() -> None:
    """Nine small sheets at 1 are cheaper than a large one at 20."""
    supply = [SheetSize("large", 304.8, 304.8, price=20.0), SheetSize("small", 110, 110, price=1.0)]
    shop = _shop([Want(box(90, 90), 9)], supply)
    layout = quick_layout(shop)
    assert {lot.size for lot in layout.lots} == {1}
    assert layout.sheets == 9
    assert cost(shop, layout)[1] == 9.0


def test_a_pattern_is_used_as_often_as_it_can() -> None:
    """Fifty mixed sheets are a handful of lots."""
    shop = _shop([Want(box(140, 140), 200), Want(box(20, 20), 100)], [sheet_size()])
    layout = in_turn(shop, [200, 100], mixed)
    assert _placed(shop, layout) == [200, 100]
    assert len(layout.lots) <= 4


def test_pressing_saves_a_sheet() -> None:
    """Thirteen cartons: six and seven instead of three sheets of up to six."""
    shop = _shop([Want(carton(), 13)], [sheet_size()], "normal")
    quick = quick_layout(shop)
    pressed = pressed_layout(shop, quick)
    assert (quick.sheets, pressed.sheets) == (3, 2)
    assert _placed(shop, pressed) == [13]
