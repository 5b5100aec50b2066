"""Panels turned about hinges."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.space.hinged import hang, pose, pose_panels, turn_about
from cutprep.model.folded import FoldReport, Panel, Verdict

ENDS = np.array([[[k, 0.0], [k, 10.0]] for k in range(1, 6)])


def strip(count: int = 6):
    """Panels in a row, each left of the next; the run of a hinge goes up, so its left is lower."""
    parent = np.arange(-1, count - 1)
    via = np.arange(-1, count - 1)
    left = np.arange(count - 1)
    return hang(count, ENDS[: count - 1], np.arange(count), parent, via, left)


def test_turning_about_an_axis() -> None:
    z = np.array([[0.0, 0.0, 1.0]])
    assert np.allclose(turn_about(z, np.array([np.pi / 2]))[0] @ [1, 0, 0], [0, 1, 0])
    rng = np.random.default_rng(0)
    axis = rng.normal(size=(20, 3))
    axis /= np.linalg.norm(axis, axis=1)[:, None]
    turn = turn_about(axis, rng.uniform(-4, 4, 20))
    assert np.allclose(turn @ turn.transpose(0, 2, 1), np.eye(3))
    assert np.allclose(np.linalg.det(turn), 1)


def test_a_positive_angle_lifts_towards_the_viewer() -> None:
    turn, shift = pose_panels(strip(2), np.radians([0.0, 90.0]))
    point = turn[1] @ np.array([2.0, 0.0, 0.0]) + shift[1]
    assert np.allclose(point, [1, 0, 1])


def test_a_strip_rolls_up_to_a_polygon() -> None:
    """Six panels of width 1, each hinge turned by 60 degrees: the last ends where the first began."""
    turn, shift = pose_panels(strip(), np.radians([0.0] + [60.0] * 5))
    assert np.allclose(turn[5] @ np.array([6.0, 0.0, 0.0]) + shift[5], [0, 0, 0], atol=1e-12)


def test_doubling_gives_what_one_after_the_other_gives() -> None:
    rng = np.random.default_rng(3)
    count = 40
    parent = np.array([-1, *(int(rng.integers(0, k)) for k in range(1, count))])
    ends = rng.normal(size=(count - 1, 2, 2)) * 10
    via = np.arange(-1, count - 1)
    left = rng.integers(0, count, count - 1)
    tree = hang(count, ends, np.arange(count), parent, via, left)
    angles = rng.uniform(-2, 2, count)
    turn, shift = pose_panels(tree, angles)
    for k in range(1, count):
        local = turn_about(tree.axis[[k]], angles[[k]])[0]
        origin = tree.origin[k]
        up = parent[k]
        assert np.allclose(turn[k], turn[up] @ local)
        assert np.allclose(shift[k], turn[up] @ (origin - local @ origin) + shift[up])


def test_above_says_whose_hinges_move_a_panel() -> None:
    above = strip(4).above
    assert above[3].tolist() == [False, True, True, True]
    assert above[1].tolist() == [False, True, False, False]


def test_a_report_without_motion_lies_flat() -> None:
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]], float)
    report = FoldReport("tag", Verdict.FLAT, panels=(Panel("A", square),))
    (corners,) = pose(report, 0.5)
    assert np.allclose(corners[:, 2], 0)
    assert pytest.approx(1.0) == np.ptp(corners[:, 0])
