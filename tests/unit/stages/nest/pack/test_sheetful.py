"""One sheet at a time."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from cutprep.progress import silent
from cutprep.stages.nest.item.pattern import Pattern, Spot, used_box
from cutprep.stages.nest.item.want import Pose, Want
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.sheetful import (
    compact,
    fewest_sheets,
    fullest,
    grid,
    may_fit,
    mixed,
    reach,
    topped_up,
    used_area,
)
from cutprep.stages.nest.pack.shop import Shop, open_shop
from cutprep.stages.nest.proof import is_right
from tests.unit.stages.nest.specimens import board, box, carton, ell, sheet_size, tag


def _shop(wants: Sequence[Want], effort: str = "quick", **kwargs: object) -> Shop:
    supply = kwargs.pop("supply", [sheet_size()])
    options = {"margin": 5.0, "gap": 3.0, "keep_out": (), "windows": False} | kwargs
    return open_shop(wants, supply, Nesting(grain=None, seed=0, effort=effort, **options), progress=silent)


@pytest.mark.parametrize("make", [carton, ell, tag], ids=["carton", "ell", "tag"])
def test_fullest_is_fuller_than_the_grid(make: object) -> None:
    """And right."""
    want = Want(make(), 1)  # type: ignore[operator]
    shop = _shop([want])
    pattern = fullest(shop, 0, 0)
    assert len(pattern) > len(grid(shop, 0, 0))
    assert is_right(pattern, [want], shop.rooms[0])
    assert fullest(shop, 0, 0) is pattern


def test_edges_are_topped_up() -> None:
    """Room left beside a regular pattern is used."""
    b = board(box(40, 20), width=110, height=70, margin=0)
    row = Pattern((Spot(0, Pose(), 0, 0), Spot(0, Pose(), 0, 23)), "grid")
    more = topped_up(b, row, 0)
    assert len(more) > 4  # two more lying, and upright ones beside or above
    assert more.method == "grid, filled up at the edges"
    assert topped_up(b, Pattern((), ""), 0) == Pattern((), "")


def test_a_mix_fills_one_sheet() -> None:
    """No more of each than wanted."""
    shop = _shop([Want(carton(), 3), Want(tag(), 10)])
    pattern = mixed(shop, 0, [3, 10])
    assert pattern.counts(2) == (3, 10)


def test_reaching_needs_effort() -> None:
    """Quick does not search."""
    assert not reach(_shop([Want(box(5, 3), 4)]), 0, [4])


def test_reach_places_what_is_asked_or_nothing() -> None:
    """Seven cartons do fit a sheet; what can't by area is not even tried."""
    shop = _shop([Want(carton(), 7)], "normal")
    pattern = reach(shop, 0, [7])
    assert len(pattern) == 7
    assert is_right(pattern, shop.wants, shop.rooms[0])
    assert reach(shop, 0, [7]) is pattern
    assert not may_fit(shop, 0, [20])
    assert not reach(shop, 0, [20])


def test_the_last_copies_are_kept_together() -> None:
    """Two dividers lie in one row, whichever direction uses less of the sheet."""
    shop = _shop([Want(box(100, 40), 2)])
    pattern = compact(shop, 0, [2], [fullest(shop, 0, 0)])
    assert len(pattern) == 2
    _, _, right, top = used_box(pattern, shop.shapes)
    assert min(right, top) == pytest.approx(45)
    assert used_area(shop, 0, pattern) == pytest.approx(45 * 304.8)


def test_too_many_are_not_compacted() -> None:
    """An empty pattern says so."""
    assert not compact(_shop([Want(box(200, 200), 2)]), 0, [2], [])


def test_fewest_sheets_is_a_bound() -> None:
    """Area of the copies widened by half the gap over the sheet widened by the gap."""
    shop = _shop([Want(box(97, 97), 10)], margin=0.0, gap=3.0, supply=[sheet_size(297, 297)])
    assert fewest_sheets(shop, [9]) == 1
    assert fewest_sheets(shop, [10]) == 2
