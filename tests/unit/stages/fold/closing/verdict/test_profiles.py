"""Rims that rise and fall alike on two sides."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.model.folded import Verdict
from cutprep.stages.fold.closing.verdict.profiles import in_turn, ruled_between
from tests.folding import folded
from tests.nets import Sketch

LENGTH, WIDTH, LOW, HIGH, KNEE = 100.0, 80.0, 20.0, 60.0, 40.0


def display(knee: float) -> Sketch:
    """A low front, a high back, sides that are level up to a knee and slope up behind it."""
    s = Sketch("display")
    s.score((0, 0), (LENGTH, 0)).score((LENGTH, 0), (LENGTH, WIDTH))
    s.score((0, WIDTH), (LENGTH, WIDTH)).score((0, 0), (0, WIDTH))
    s.cut((0, 0), (0, -LOW), (LENGTH, -LOW), (LENGTH, 0))
    s.cut((0, WIDTH), (0, WIDTH + HIGH), (LENGTH, WIDTH + HIGH), (LENGTH, WIDTH))
    s.cut((0, 0), (-LOW, 0), (-LOW, knee), (-HIGH, WIDTH), (0, WIDTH))
    s.cut((LENGTH, 0), (LENGTH + LOW, 0), (LENGTH + LOW, knee), (LENGTH + HIGH, WIDTH), (LENGTH, WIDTH))
    return s


def test_what_lies_below_a_rim_with_a_knee() -> None:
    """The area of a side times the length (plane geometry), and no size as of a box with a flat rim."""
    report = folded(display(KNEE))
    assert report.verdict is Verdict.UNEVEN
    assert report.ok
    side = KNEE * LOW + (WIDTH - KNEE) * (LOW + HIGH) / 2
    assert report.volume_mm3 == pytest.approx(side * LENGTH, rel=1e-9)
    assert report.inside_mm is None


def test_a_chain_is_put_in_order_and_a_prism_measured() -> None:
    corners = np.array([[0.0, 0, 0], [10, 0, 5], [20, 0, 0], [30, 0, 8]])
    stretches = np.stack((corners[:-1], corners[1:]), axis=1)[[2, 0, 1]]
    assert in_turn(stretches).tolist() == corners.tolist()
    level = corners * [1, 1, 0]
    other = level + np.array([0.0, 7, 0])
    below = np.array([0.0, 0, -6])
    assert abs(ruled_between(level, other, below)) == pytest.approx(3 * 30 * 7 * 6 / 3)
