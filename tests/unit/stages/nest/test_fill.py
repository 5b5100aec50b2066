"""As many as fit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutprep.errors import PlanError
from cutprep.profile.stock import SheetSize
from cutprep.stages.nest.fill import fill, full_sets
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.proof import verify_layout
from tests.unit.stages.nest.specimens import box, carton, copies_in, sheet_size, tag


@pytest.mark.usefixtures("packer_soon")
def test_one_template_fills_a_sheet() -> None:
    """Search finds one more than the lattice; the note names the grid."""
    quick = fill([Demand(carton(), 1)], sheet_size(), Nesting(effort="quick"))
    more = fill([Demand(carton(), 1)], sheet_size())
    assert (len(quick.placements), len(more.placements)) == (6, 7)
    assert "plain grid holds 4" in more.notes[0].problem
    assert verify_layout([more]) == ()


def test_sets_fill_a_sheet() -> None:
    """One carton with two tags, as often as the sheet holds both."""
    sheet = fill([Demand(carton(), 1), Demand(tag(), 2)], sheet_size(), Nesting(effort="quick"))
    counts = [sum(p.template == t for p in sheet.placements) for t in (0, 1)]
    assert counts[1] == 2 * counts[0] >= 8


def test_pairs_of_one_template_come_whole() -> None:
    """A set of four of one template gives a multiple of four."""
    sheet = fill([Demand(box(90, 90), 4)], sheet_size(), Nesting(effort="quick"))
    assert len(sheet.placements) == 8


def test_not_even_one_set() -> None:
    """Two that fit one by one but not together."""
    with pytest.raises(PlanError, match="not even one full set"):
        fill([Demand(box(200, 200), 2)], sheet_size(), Nesting(effort="quick"))


def test_full_sets_on_the_sheets_at_hand() -> None:
    """Nine squares a sheet, two sheets, three in a set: six sets."""
    size = replace(sheet_size(), at_hand=2)
    count, sheets = full_sets([Demand(box(90, 90), 3)], [size], Nesting(effort="quick"))
    assert count == 6
    assert copies_in(sheets) == 18


def test_full_sets_need_a_count() -> None:
    """Without an end there is no largest number; none fits, none come."""
    with pytest.raises(PlanError, match="no limit"):
        full_sets([Demand(tag(), 1)], [sheet_size()])
    size = SheetSize("scrap", 250, 250, at_hand=1)
    assert full_sets([Demand(box(200, 200), 2)], [size], Nesting(effort="quick")) == (0, ())
