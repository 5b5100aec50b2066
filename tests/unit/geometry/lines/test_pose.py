"""A drawing comes to lie the same way however it was laid."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.affine import apply, compose, quarter_turn, shift, turn
from cutprep.geometry.lines.pose import CanonicalPose, pose_of
from cutprep.model.lines import Lines, Points

#: A quadrilateral without symmetry, and a flap beside it.
SHAPE = [[[0.0, 0], [80, 0], [70, 30], [0, 45], [0, 0]], [[80.0, 0], [110, 12]]]
SQUARE = [[[0.0, 0], [40, 0], [40, 40], [0, 40], [0, 0]]]
MIRROR = [[-1.0, 0, 0], [0, 1.0, 0]]


def _posed(shape: list[list[list[float]]], matrix: Points) -> tuple[CanonicalPose, Points, Points]:
    lines = Lines.of(shape).transform(matrix)
    pose = pose_of(lines, np.ones(len(lines)))
    return pose, pose.there(lines.xy), lines.xy


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("degrees", [0.0, 90.0, 17.0, 201.3])
def test_a_shape_comes_to_lie_the_same_way(degrees: float, mirrored: bool) -> None:
    """What is worked out in the pose can't differ for one who turned her drawing on the sheet."""
    _, want, _ = _posed(SHAPE, turn(0))
    matrix = compose(shift(300, -20), turn(degrees), MIRROR if mirrored else quarter_turn(0))
    _, there, _ = _posed(SHAPE, matrix)
    assert np.abs(there - want).max() < 1e-9
    assert there.min(axis=0) == pytest.approx([0, 0], abs=1e-9)


@pytest.mark.parametrize("degrees", [0.0, 33.0, 45.0, 90.0])
def test_a_square_lies_on_its_side(degrees: float) -> None:
    """All its poses show the same square."""
    _, there, _ = _posed(SQUARE, turn(degrees))
    assert sorted(np.round(np.unique(there.round(6), axis=0), 6).tolist()) == [
        [0, 0],
        [0, 40],
        [40, 0],
        [40, 40],
    ]


def test_where_lines_are_split_says_nothing() -> None:
    whole = Lines.of([[[0.0, 0], [60, 0]], [[0.0, 0], [20, 45]]])
    split = Lines.of([[[0.0, 0], [11, 0]], [[60.0, 0], [11, 0]], [[0.0, 0], [20, 45]]])
    one, two = (pose_of(lines, np.ones(len(lines))) for lines in (whole, split))
    assert (one.mirrored, one.along) == (two.mirrored, pytest.approx(two.along))


def test_a_score_is_told_from_a_cut() -> None:
    """A square with one side scored has one way to lie, though its lines are symmetric."""
    square = [[[0.0, 0], [40, 0]], [[40.0, 0], [40, 40]], [[40.0, 40], [0, 40]], [[0.0, 40], [0, 0]]]
    found = []
    for degrees in (0.0, 90.0, 180.0, 270.0):
        lines = Lines.of(square).transform(turn(degrees))
        pose = pose_of(lines, np.array([1.7, 1, 1, 1]))
        found.append(np.unique(pose.there(lines.points(0)).round(6), axis=0).tolist())
    assert all(f == found[0] for f in found)


@pytest.mark.parametrize("mirrored", [False, True])
def test_the_way_back_is_exact_at_vertices_and_near_elsewhere(mirrored: bool) -> None:
    pose, there, drawn = _posed(SHAPE, compose(turn(17.0), MIRROR if mirrored else quarter_turn(0)))
    assert (pose.back(there) == drawn).all()
    assert (pose.back(there[2]) == drawn[2]).all()
    middle = (there[:-1] + there[1:]) / 2
    assert pose.back(middle) == pytest.approx((drawn[:-1] + drawn[1:]) / 2, abs=1e-9)
    assert pose.vectors_back(there[1:2] - there[0]) == pytest.approx(drawn[1:2] - drawn[0], abs=1e-9)


def test_a_direction_turns_with_the_drawing() -> None:
    pose, _, _ = _posed(SHAPE, turn(25.0))
    ahead = np.array([[0.0, 0.0], [np.cos(np.radians(70)), np.sin(np.radians(70))]])
    there = pose.there(ahead)
    run = there[1] - there[0]
    assert np.degrees(np.arctan2(run[1], run[0])) == pytest.approx(pose.direction_there(70.0))


def test_no_lines_stay_where_they_are() -> None:
    pose = pose_of(Lines.empty(), np.zeros(0))
    assert (pose.back(apply(turn(5), [[3.0, 4.0]])) == apply(turn(5), [[3.0, 4.0]])).all()
