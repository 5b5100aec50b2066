"""Patterns."""

from __future__ import annotations

from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.pattern import (
    Pattern,
    PatternPlacement,
    moved,
    numbered,
    placement_box,
    used_box,
)
from cutprep.stages.nest.item.shape import shape_of
from tests.unit.stages.nest.specimens import box

_PATTERN = Pattern((PatternPlacement(0, Pose(), 10, 20), PatternPlacement(1, Pose(90.0), 60, 5)), "grid")
_SHAPES = (shape_of(box(30, 10)), shape_of(box(20, 8)))


def test_counts_and_boxes() -> None:
    """A quarter turn swaps the sides and lies to the left of its origin."""
    assert _PATTERN.counts(3) == (1, 1, 0)
    assert placement_box(_PATTERN.placements[1], _SHAPES) == (52, 5, 60, 25)
    assert used_box(_PATTERN, _SHAPES) == (10, 5, 60, 30)
    assert used_box(Pattern((), ""), _SHAPES) == (0, 0, 0, 0)


def test_placements_are_numbered_on() -> None:
    """Copies run on over the sheets."""
    assert [(p.template, p.copy, p.turn) for p in numbered(_PATTERN, 7)] == [(0, 7, 0), (1, 8, 90)]


def test_moving_keeps_everything_else() -> None:
    """Only positions change."""
    there = moved(_PATTERN, 1, -2)
    assert [(s.demand, s.pose, s.x, s.y) for s in there.placements] == [
        (0, Pose(), 11, 18),
        (1, Pose(90.0), 61, 3),
    ]
    assert there.method == "grid"
