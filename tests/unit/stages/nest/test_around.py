"""The rest laid round copies that a hand has placed."""

from __future__ import annotations

from collections import Counter

import pytest

from cutprep.errors import PlanError
from cutprep.model.sheet import Placement, Sheet
from cutprep.stages.nest.around import lay_round
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.proof import verify_layout
from tests.unit.stages.nest.specimens import box, sheet_size

NESTING = Nesting(effort="quick")


def _counts(sheets: tuple[Sheet, ...]) -> Counter[str]:
    found: Counter[str] = Counter()
    for sheet in sheets:
        for spot in sheet.placements:
            found[sheet.templates[spot.template].name] += sheet.runs
    return found


@pytest.mark.parametrize("gap", [0.0, 3.0])
def test_the_rest_lies_round_what_is_placed_and_then_on_new_sheets(gap: float) -> None:
    """Askew in the middle of the first sheet: none of the methods would have laid it there."""
    demands = [Demand(box(60, 40), 30), Demand(box(90, 20, name="strip"), 4)]
    nesting = Nesting(effort="quick", gap=gap)
    spot = Placement(0, 140.25, 130.5, 30.0)
    size = sheet_size()
    sheets = lay_round(demands, [[spot]], [size], [size], nesting)
    assert _counts(sheets) == {demands[0].template.name: 30, "strip": 4}
    assert verify_layout(sheets) == ()
    first = sheets[0].placements[0]
    assert (first.x, first.y, first.turn) == (140.25, 130.5, 30.0)
    assert len(sheets[0].placements) > 10
    assert [sheet.number for sheet in sheets] == list(range(1, len(sheets) + 1))
    copies = [one.copy for sheet in sheets for one in sheet.placements]
    assert len(set(copies)) == len(copies)
    again = lay_round(demands, [[spot]], [size], [size], nesting)
    assert [sheet.placements for sheet in again] == [sheet.placements for sheet in sheets]


def test_areas_that_stay_free_stay_free() -> None:
    nesting = Nesting(effort="quick", keep_out=((0.0, 0.0, 150.0, 304.8),))
    size = sheet_size()
    sheets = lay_round([Demand(box(60, 40), 8)], [[Placement(0, 200, 100)]], [size], [size], nesting)
    assert verify_layout(sheets, keep_out=nesting.keep_out) == ()
    assert _counts(sheets).total() == 8


def test_what_is_placed_is_held_to_the_rules_and_to_the_counts() -> None:
    size, demand = sheet_size(), Demand(box(60, 40), 1)
    with pytest.raises(PlanError, match="can't stay: sheet 1: copy 1 lies"):
        lay_round([demand], [[Placement(0, 0, 0)]], [size], [size], NESTING)
    two = [[Placement(0, 10, 10, copy=1)], [Placement(0, 10, 10, copy=2)]]
    with pytest.raises(PlanError, match="2 copies of 'divider' are placed by hand, and 1 asked for"):
        lay_round([demand], two, [size, size], [size], NESTING)


def test_sheets_at_hand_are_counted_with_those_that_are_placed() -> None:
    one = sheet_size(at_hand=1)
    wide = Demand(box(290, 150), 2)
    with pytest.raises(PlanError, match="beside what is placed by hand"):
        lay_round([wide], [[Placement(0, 7, 77)]], [one], [one], NESTING)
    sheets = lay_round([wide], [[Placement(0, 7, 77)]], [sheet_size()], [sheet_size()], NESTING)
    assert len(sheets) == 2
