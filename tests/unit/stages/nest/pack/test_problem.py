"""What a nesting works with."""

from __future__ import annotations

from itertools import pairwise

import pytest

from cutprep.errors import PlanError
from cutprep.profile.stock import SheetSize
from cutprep.progress import silent
from cutprep.stages.nest.item.demand import Demand, Pose
from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.problem import EFFORTS, Problem, problem_of
from tests.unit.stages.nest.specimens import box, sheet_size


def _open(supply: list[SheetSize], effort: str = "quick") -> Problem:
    return problem_of(
        [Demand(box(20, 10), 3)],
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
    problem = _open([sheet_size()])
    good = Pattern((PatternPlacement(0, Pose(), 5.0000000001, 5.0),), "grid")
    assert problem.proved(0, good).placements[0].x == 5.0
    bad = Pattern((PatternPlacement(0, Pose(), 1.0, 5.0),), "guess")
    assert not problem.proved(0, bad)
    assert "guess" in problem.notes[0].problem


def test_streams_differ_and_repeat() -> None:
    """The n-th stream of a seed is always the same."""
    one, other = _open([sheet_size()]), _open([sheet_size()])
    first = [one.stream().generate_state(2).tolist() for _ in range(3)]
    assert first == [other.stream().generate_state(2).tolist() for _ in range(3)]
    assert len({tuple(row) for row in first}) == 3
