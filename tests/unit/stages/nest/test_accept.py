"""Placements made by hand."""

from __future__ import annotations

import math

import pytest

from cutprep.errors import JobError, PlanError
from cutprep.model.sheet import Placement
from cutprep.stages.nest.accept import accept
from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.nesting import Nesting
from tests.unit.stages.nest.specimens import box, sheet_size


def test_good_placements_stay_where_they_are() -> None:
    """Checked, not moved; at gap 0 their shared edges are found."""
    placements = [Placement(0, 5, 5), Placement(0, 65, 5, copy=2)]
    sheets, findings = accept([box(60, 40)], [placements], [sheet_size()], Nesting(gap=0))
    assert findings == ()
    assert sheets[0].placements == tuple(placements)
    assert sheets[0].method == "placed by hand"
    assert sheets[0].utilisation == pytest.approx(2 * 60 * 40 / 304.8**2)
    assert len(sheets[0].extra) == 1


def test_bad_placements_are_told_and_stay() -> None:
    """Every fault, with the sheet as it was placed."""
    placements = [Placement(0, 0, 5), Placement(0, 61, 5, copy=2)]
    sheets, findings = accept([box(60, 40)], [placements], [sheet_size()], demands=[Demand(box(60, 40), 2)])
    assert {f.code for f in findings} == {"outside-margin", "gap-too-small", "copies-wrong"}
    assert sheets[0].placements == tuple(placements)


@pytest.mark.parametrize(
    ("placement", "word"),
    [
        (Placement(1, 5, 5), "no template number 1"),
        (Placement(0, 5, 5, part=3), "no part number 3"),
        (Placement(0, math.nan, 5), "finite"),
    ],
)
def test_what_names_nothing_is_refused(placement: Placement, word: str) -> None:
    """With sheet and copy."""
    with pytest.raises(JobError, match=word):
        accept([box(60, 40)], [[placement]], [sheet_size()])


def test_sizes_and_margins_are_checked() -> None:
    """One size for all, or one each."""
    with pytest.raises(JobError, match="2 sizes"):
        accept([box(60, 40)], [[Placement(0, 5, 5)]], [sheet_size(), sheet_size()])
    with pytest.raises(PlanError, match="leaves no room"):
        accept([box(60, 40)], [[Placement(0, 5, 5)]], [sheet_size()], Nesting(margin=200))
