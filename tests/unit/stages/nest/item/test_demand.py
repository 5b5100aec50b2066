"""Turns, mirroring and grain."""

from __future__ import annotations

import pytest

from cutprep.errors import GrainConflict, PlanError
from cutprep.stages.nest.item.demand import Demand, Pose, is_allowed, poses, require_copies
from tests.unit.stages.nest.specimens import box


@pytest.mark.parametrize(
    ("turns", "count"),
    [("never", 1), ("half", 2), ("quarter", 4), ("free", 24)],
)
def test_turns_give_poses(turns: str, count: int) -> None:
    """Without a grain every turn of the list is open; mirroring doubles them."""
    assert len(poses(Demand(box(10, 5), 1, turns), None)) == count  # type: ignore[arg-type]
    assert len(poses(Demand(box(10, 5), 1, turns, mirror=True), None)) == 2 * count  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("main_fold", "grain", "turns", "kept"),
    [
        (0.0, 0.0, "quarter", {0.0, 180.0}),
        (0.0, 90.0, "quarter", {90.0, 270.0}),
        (90.0, 90.0, "half", {0.0, 180.0}),
        (30.0, 90.0, "free", {60.0, 240.0}),
        (1.0, 0.0, "quarter", {0.0, 180.0}),
    ],
)
def test_folds_run_along_the_grain(main_fold: float, grain: float, turns: str, kept: set[float]) -> None:
    """Only turns that bring the main folds along the grain are kept."""
    demand = Demand(box(10, 5, grain=main_fold), 1, turns)  # type: ignore[arg-type]
    assert {pose.turn for pose in poses(demand, grain)} == kept


def test_mirroring_turns_the_fold_over() -> None:
    """A fold along 30 degrees runs along 150 once the template is mirrored about its y axis."""
    demand = Demand(box(10, 5, grain=30.0), 1, "free", mirror=True)
    assert {p.turn for p in poses(demand, 0.0) if p.mirror} == {30.0, 210.0}
    assert {p.turn for p in poses(demand, 0.0) if not p.mirror} == {150.0, 330.0}


def test_a_grain_that_can_not_be_kept_is_refused() -> None:
    """The message names both directions and the turn that would do."""
    with pytest.raises(GrainConflict, match=r"(?s)along 0 degrees.*along 90.*turn by 90 degrees would do"):
        poses(Demand(box(10, 5, grain=0.0), 1, "half"), 90.0)
    with pytest.raises(GrainConflict, match=r"(?s)without turning it.*Allow quarter turns"):
        poses(Demand(box(10, 5, grain=0.0), 1, "never"), 90.0)
    with pytest.raises(GrainConflict, match="Allow free turns"):
        poses(Demand(box(10, 5, grain=45.0), 1, "quarter"), 90.0)


def test_a_pose_is_held_to_turns_mirror_and_grain() -> None:
    """What the proof asks of each copy."""
    demand = Demand(box(10, 5, grain=0.0), 1, "quarter")
    assert is_allowed(demand, Pose(90.0), None)
    assert not is_allowed(demand, Pose(90.0), 0.0)
    assert not is_allowed(demand, Pose(45.0), None)
    assert not is_allowed(demand, Pose(0.0, mirror=True), None)
    assert is_allowed(Demand(box(10, 5), 1, "free"), Pose(33.3), None)


def test_nonsense_is_refused() -> None:
    """Wrong arguments from code are plain errors; an empty job is the maker's."""
    with pytest.raises(ValueError, match="turns"):
        Demand(box(1, 1), 1, "some")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="copies"):
        Demand(box(1, 1), -1)
    with pytest.raises(PlanError, match="no copies"):
        require_copies((Demand(box(1, 1), 0),))
