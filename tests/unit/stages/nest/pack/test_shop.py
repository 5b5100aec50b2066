"""What a nesting works with."""

from __future__ import annotations

from itertools import pairwise

import pytest

from cutprep.errors import PlanError
from cutprep.profile.stock import SheetSize
from cutprep.progress import silent
from cutprep.stages.nest.item.pattern import Pattern, Spot
from cutprep.stages.nest.item.want import Pose, Want
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.shop import EFFORTS, Shop, open_shop
from tests.unit.stages.nest.specimens import box, sheet_size


def _open(supply: list[SheetSize], effort: str = "quick") -> Shop:
    return open_shop(
        [Want(box(20, 10), 3)],
        supply,
        Nesting(grain=None, margin=5.0, gap=3.0, seed=4, effort=effort, keep_out=(), windows=False),
        progress=silent,
    )


def test_efforts_rise() -> None:
    """More effort is more work of each kind."""
    works = [EFFORTS[name] for name in ("quick", "normal", "thorough")]
    for one, more in pairwise(works):
        assert one.search < more.search
        assert one.reports < more.reports
        assert one.attempts < more.attempts


def test_nothing_at_hand_and_unknown_efforts_are_refused() -> None:
    """With the near word."""
    with pytest.raises(PlanError, match="no sheet"):
        _open([])
    with pytest.raises(PlanError, match="Did you mean thorough"):
        _open([sheet_size()], "through")


def test_patterns_are_proved_and_tidied() -> None:
    """Positions are rounded; a wrong pattern comes back empty, with a note."""
    shop = _open([sheet_size()])
    good = Pattern((Spot(0, Pose(), 5.0000000001, 5.0),), "grid")
    assert shop.proved(0, good).spots[0].x == 5.0
    bad = Pattern((Spot(0, Pose(), 1.0, 5.0),), "guess")
    assert not shop.proved(0, bad)
    assert "guess" in shop.notes[0].problem


def test_streams_differ_and_repeat() -> None:
    """The n-th stream of a seed is always the same."""
    one, other = _open([sheet_size()]), _open([sheet_size()])
    first = [one.stream().generate_state(2).tolist() for _ in range(3)]
    assert first == [other.stream().generate_state(2).tolist() for _ in range(3)]
    assert len({tuple(row) for row in first}) == 3
