"""The search by counted work."""

from __future__ import annotations

import numpy as np

from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.item.pattern import Pattern
from cutprep.stages.nest.pack.search import area_of, by_area, improve, quick_fill
from cutprep.stages.nest.proof import is_right
from tests.unit.stages.nest.specimens import board, box, carton, ell


def test_large_ones_come_first() -> None:
    """Order of placing."""
    b = board(box(10, 10), box(30, 30))
    assert by_area(b, [2, 1]) == [1, 0, 0]


def test_the_pinwheel_is_found() -> None:
    """Four of 5 by 3 in 8 by 8, from nothing."""
    b = board(box(5, 3), width=8, height=8, margin=0, gap=0)
    found = improve(b, [9], [], np.random.SeedSequence(0), b.meter.spent + 1.2, lambda s: len(s) == 4)
    assert len(found) == 4
    assert is_right(Pattern(tuple(found), ""), [Demand(box(5, 3), 1)], b.usable)


def test_same_seed_same_layout() -> None:
    """And never less than the start."""
    b = board(carton(), ell())
    start = quick_fill(b, [4, 8])
    runs = [
        improve(b, [4, 8], start, np.random.SeedSequence(7), b.meter.spent + 0.1, lambda _: False)
        for _ in range(2)
    ]
    assert runs[0] == runs[1]
    assert area_of(b, runs[0]) >= area_of(b, start)
    assert sum(s.demand == 0 for s in runs[0]) <= 4


def test_work_is_limited() -> None:
    """The meter ends the search, soon after the reading that was given."""
    b = board(ell())
    improve(b, [40], [], np.random.SeedSequence(0), 0.05, lambda _: False)
    assert 0.05 <= b.meter.spent < 0.2
