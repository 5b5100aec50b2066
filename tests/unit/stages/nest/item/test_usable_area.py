"""The usable area on a sheet."""

from __future__ import annotations

import math

import pytest

from cutprep.errors import PlanError
from cutprep.stages.nest.item.usable_area import usable_area_of
from tests.unit.stages.nest.specimens import sheet_size


def test_the_margin_is_taken_off_all_sides() -> None:
    """Box and extent inside the margin."""
    usable = usable_area_of(sheet_size(100, 60), 5, 3)
    assert usable.box == (5, 5, 95, 55)
    assert usable.extent == (90, 50)


@pytest.mark.parametrize(
    ("margin", "gap", "keep_out", "word"),
    [
        (-1.0, 0.0, (), "margin is -1"),
        (0.0, math.nan, (), "gap is nan"),
        (30.0, 0.0, (), "less than 30 mm"),
        (0.0, 0.0, ((0.0, 0.0, 0.0, 5.0),), "no rectangle"),
        (0.0, 0.0, ((0.0, 0.0, math.inf, 5.0),), "no rectangle"),
    ],
)
def test_what_leaves_no_room_is_refused(
    margin: float, gap: float, keep_out: tuple[tuple[float, float, float, float], ...], word: str
) -> None:
    """With the limit in the message."""
    with pytest.raises(PlanError, match=word):
        usable_area_of(sheet_size(100, 60), margin, gap, keep_out)
