"""Blocks of two directions."""

from __future__ import annotations

import pytest

from cutprep.stages.nest.item.demand import Demand, poses
from cutprep.stages.nest.item.shape import shape_of
from cutprep.stages.nest.item.usable_area import usable_area_of
from cutprep.stages.nest.pack.five_blocks import five_blocks
from cutprep.stages.nest.proof import is_right
from tests.unit.stages.nest.specimens import box, sheet_size


@pytest.mark.parametrize(
    ("size", "sheet", "gap", "count"),
    [
        ((5, 3), (8, 8), 0.0, 4),  # the pinwheel: area bound 4
        ((4, 3), (7, 7), 0.0, 4),
        ((7, 4), (43, 26), 0.0, 39),  # area bound 39
        ((2, 2), (8, 8), 0.0, 16),
        ((4, 2), (8, 8), 1.0, 4),
        ((9, 9), (8, 8), 0.0, 0),
    ],
)
def test_known_counts(size: tuple[float, float], sheet: tuple[float, float], gap: float, count: int) -> None:
    """Counts that meet the area bound, or are plain to see; and the layouts are right."""
    demand = Demand(box(*size), 1)
    usable = usable_area_of(sheet_size(*sheet), 0, gap)
    pattern = five_blocks(0, shape_of(demand.template), poses(demand, None), usable)
    assert len(pattern) == count
    assert is_right(pattern, [demand], usable)


def test_needs_quarter_turns() -> None:
    """With half turns there is only one direction."""
    demand = Demand(box(5, 3), 1, "half")
    usable = usable_area_of(sheet_size(8, 8), 0, 0)
    assert not five_blocks(0, shape_of(demand.template), poses(demand, None), usable)
