"""Bringing points together by turning hinges."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.stages.fold.closing.zip.solve import Meetings, distances, jacobian, loose_angles, solve
from cutprep.stages.fold.net.part import hang_from
from tests.folding import part_from
from tests.nets import ngon_tray


def tray_problem():
    """A square tray: the four corners where walls meet."""
    part = part_from(ngon_tray(4, 60, 20))
    tree = hang_from(part, 0, list(range(5)))
    rows = []
    for a in range(1, 5):
        for b in range(a + 1, 5):
            for p in part.rings[a]:
                for q in part.rings[b]:
                    x, y = part.xy[p], part.xy[q]
                    near = np.hypot(*(x - y))
                    if abs(near - 20 * np.sqrt(2)) < 1e-6 and np.hypot(*((x + y) / 2)) > 50:
                        rows.append((a, b, x, y))
    panel = np.array([r[:2] for r in rows])
    return tree, Meetings(panel, np.array([r[2:] for r in rows]))


def test_the_derivative_is_exact() -> None:
    tree, meetings = tray_problem()
    free = np.flatnonzero(tree.hinge >= 0)
    rng = np.random.default_rng(1)
    at = rng.uniform(-1, 2, len(tree.parent))
    exact = jacobian(tree, meetings, at, free, tree.above)
    for k, panel in enumerate(free):
        step = np.zeros(len(at))
        step[panel] = 1e-6
        rough = (distances(tree, meetings, at + step) - distances(tree, meetings, at - step)) / 2e-6
        assert np.abs(rough - exact[:, :, k]).max() < 1e-6


@pytest.mark.parametrize("start", [20.0, 60.0, 120.0])
def test_walls_of_a_tray_stand_up(start: float) -> None:
    tree, meetings = tray_problem()
    assert len(meetings) == 4
    free = np.flatnonzero(tree.hinge >= 0)
    answer = solve(tree, meetings, np.radians(np.full(5, start)), free, size=60.0)
    assert np.allclose(np.degrees(answer.radians[free]), 90, atol=1e-7)
    assert answer.gaps.max() < 1e-9
    assert answer.steps < 25


def test_a_held_hinge_keeps_its_angle() -> None:
    tree, meetings = tray_problem()
    free = np.flatnonzero(tree.hinge >= 0)[1:]
    held = int(np.flatnonzero(tree.hinge >= 0)[0])
    start = np.radians(np.full(5, 80.0))
    answer = solve(tree, meetings, start, free, size=60.0)
    assert answer.radians[held] == start[held]
    assert answer.gaps.max() > 1.0


def test_a_pull_keeps_near_the_start() -> None:
    tree, meetings = tray_problem()
    free = np.flatnonzero(tree.hinge >= 0)
    start = np.radians(np.full(5, 60.0))
    pulled = solve(tree, meetings, start, free, size=60.0, pull=10.0)
    assert np.abs(pulled.radians - start).max() < 0.01


def test_free_motion_is_found() -> None:
    tree, meetings = tray_problem()
    free = np.flatnonzero(tree.hinge >= 0)
    up = np.radians(np.full(5, 90.0))
    assert not loose_angles(tree, meetings, up, free, 60.0).any()
    none = Meetings(np.empty((0, 2), int), np.empty((0, 2, 2)))
    assert loose_angles(tree, none, up, free, 60.0).all()
    some = Meetings(meetings.panel[:1], meetings.xy[:1])
    assert loose_angles(tree, some, up, free, 60.0).sum() == 2  # the two walls that meet nothing


def test_nothing_to_solve() -> None:
    tree, meetings = tray_problem()
    none = np.empty(0, int)
    assert solve(tree, meetings, np.zeros(5), none, size=60.0).steps == 0
