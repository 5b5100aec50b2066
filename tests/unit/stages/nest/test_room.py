"""The room that one copy has beside all others."""

from __future__ import annotations

import math

import pytest
import shapely

from cutprep.model.sheet import Placement, Sheet
from cutprep.stages.nest.accept import accept
from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.room import room_for
from tests.unit.stages.nest.specimens import box, sheet_size


def _sheet() -> Sheet:
    """Two boxes in a row, 5 mm from the edges and 3 mm from each other."""
    placements = [Placement(0, 5, 5), Placement(0, 68, 5, copy=2)]
    (sheet,), _ = accept([box(60, 40)], [placements], [sheet_size()], Nesting(margin=5, gap=3))
    return sheet


def test_a_copy_may_lie_anywhere_within_the_margin_but_on_the_other() -> None:
    """By hand: 294.8 - 60 by 294.8 - 40 mm, less 63 by 43 mm in the corner where the other lies, that corner round by the gap."""
    taken = 63 * 43 - (1 - math.pi / 4) * 3**2
    rings = room_for(_sheet(), 1, Pose())
    assert sum(shapely.Polygon(ring).area for ring in rings) == pytest.approx(234.8 * 254.8 - taken, abs=0.5)


@pytest.mark.parametrize("which", [-1, 2])
def test_a_placement_that_is_not_there_is_refused(which: int) -> None:
    with pytest.raises(ValueError, match=f"there is no placement {which}; the sheet has 2, counted from 0"):
        room_for(_sheet(), which, Pose())
