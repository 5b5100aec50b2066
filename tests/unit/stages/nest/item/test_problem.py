"""What a nesting works with."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from cutprep.errors import PlanError
from cutprep.profile.stock import SheetSize
from cutprep.stages.nest.item.demand import Demand, Pose
from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement
from cutprep.stages.nest.item.problem import EFFORTS, problem_of
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.solver import Solver, solver_of
from tests.unit.stages.nest.specimens import box, sheet_size


def _open(supply: list[SheetSize], effort: str = "quick") -> Solver:
    return solver_of(problem_of([Demand(box(20, 10), 3)], supply, Nesting(seed=4, effort=effort)))


def test_efforts_rise() -> None:
    """More effort is more work of each kind."""
    works = [EFFORTS[name] for name in ("quick", "normal", "thorough")]
    for one, more in pairwise(works):
        assert one.seconds < more.seconds
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
    solver = _open([sheet_size()])
    good = Pattern((PatternPlacement(0, Pose(), 5.0000000001, 5.0),), "grid")
    assert solver.proved(0, good).placements[0].x == 5.0
    bad = Pattern((PatternPlacement(0, Pose(), 1.0, 5.0),), "guess")
    assert not solver.proved(0, bad)
    assert "guess" in solver.told()[0].problem


def test_streams_differ_and_repeat() -> None:
    """A purpose has always the same random numbers, whatever was asked before; another purpose has others."""
    one, other = _open([sheet_size()]), _open([sheet_size()])
    first = [one.stream(k).generate_state(2).tolist() for k in range(3)]
    assert first == [other.stream(k).generate_state(2).tolist() for k in (2, 1, 0)][::-1]
    assert len({tuple(row) for row in first}) == 3


def test_a_search_ends() -> None:
    """What is left never falls below nothing; another end is another solver, and the first keeps its own."""
    solver = _open([sheet_size()])
    assert (solver.left, solver.after(5.0)) == (math.inf, 5.0)
    bounded = solver.within(2.0)
    assert bounded.after(5.0) == 2.0
    solver.meter.spend(1.5)
    assert (bounded.left, bounded.after(0.25)) == (0.5, 1.75)
    solver.meter.spend(1.5)
    assert (bounded.left, bounded.within(2.0).left, solver.left) == (0.0, 2.0, math.inf)
