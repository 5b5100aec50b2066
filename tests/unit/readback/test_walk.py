"""Walking two lines at once, against the plain quadratic form of the same decision."""

from __future__ import annotations

import itertools
import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.readback.walk import walk_apart
from tests.plans import circle

LINES = st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), min_size=2, max_size=5)


def straight(line: np.ndarray) -> np.ndarray:
    return np.zeros(len(line), bool)


def discrete_frechet(a: np.ndarray, b: np.ndarray, step: float) -> float:
    """Eiter and Mannila, *Computing discrete Frechet distance*, TU Wien CD-TR 94/64 (1994): on points
    every `step` of both lines it is at most `step` above the continuous distance, and never below."""

    def dense(line: np.ndarray) -> np.ndarray:
        spots = [line[:1]]
        for p, q in itertools.pairwise(line):
            count = max(1, math.ceil(math.dist(p, q) / step))
            spots.append(p + (q - p) * np.arange(1, count + 1)[:, None] / count)
        return np.vstack(spots)

    p, q = dense(a), dense(b)
    gaps = np.hypot(*(p[:, None] - q[None]).transpose(2, 0, 1))
    table = np.full(gaps.shape, np.inf)
    for i in range(len(p)):
        for j in range(len(q)):
            before = min(
                (table[i - 1, j] if i else np.inf),
                (table[i, j - 1] if j else np.inf),
                (table[i - 1, j - 1] if i and j else (-np.inf if i == j == 0 else np.inf)),
            )
            table[i, j] = max(before, gaps[i, j])
    return float(table[-1, -1])


@settings(max_examples=80, deadline=None)
@given(LINES, LINES, st.floats(0.3, 3))
def test_the_decision_is_that_of_the_frechet_distance(a: list, b: list, within: float) -> None:
    """Lines that cross, turn back and stand still; the reference brackets the truth within its step."""
    p, q = np.array(a, float), np.array(b, float)
    step = 0.25
    reference = discrete_frechet(p, q, step)
    apart = walk_apart(p, q, straight(q), within)
    if within >= reference + 1e-6:
        assert apart is None
    if within < reference - step:
        assert apart is not None
        assert apart.distance >= 0


def test_turning_back_is_not_forgiven() -> None:
    """All points lie on the line, and yet the walk is another one."""
    once = np.array([[0.0, 0], [10, 0]])
    back = np.array([[0.0, 0], [8, 0], [3, 0], [10, 0]])
    for p, q in ((once, back), (back, once)):
        assert walk_apart(p, q, straight(q), 1.0) is not None
        assert walk_apart(p, q, straight(q), 2.51) is None


def test_an_arc_may_bulge_and_a_chord_may_not() -> None:
    """A circle of radius 40, flattened at 0.02 mm, followed by another at 0.002 mm."""
    planned, fine = circle(50, 50, 40, 0.02), circle(50, 50, 40, 0.002)
    arcs = np.ones(len(fine), bool)
    assert walk_apart(planned, fine, arcs, 0.005) is None
    apart = walk_apart(planned, fine, straight(fine), 0.005)
    assert apart is not None
    assert 0.005 < apart.distance < 0.02


def test_an_arc_of_another_radius_is_refused() -> None:
    """It still passes the start; the bulge that is forgiven is that of the planned curve only."""
    planned = circle(50, 50, 40, 0.02)
    for off in (0.03, -0.03):
        other = circle(50 - off, 50, 40 + off, 0.002)
        assert walk_apart(planned, other, np.ones(len(other), bool), 0.005) is not None


def test_a_straight_planned_line_gives_an_arc_no_room() -> None:
    planned = np.array([[0.0, 0], [10, 0]])
    bent = np.array([[0.0, 0], [5, 0.01], [10, 0]])
    assert walk_apart(planned, bent, np.array([False, True, True]), 0.005) is not None


def test_long_lines_take_little() -> None:
    """The band of cells is narrow: twenty thousand chords are walked, not squared."""
    t = np.linspace(0, 300, 20_000)
    planned = np.column_stack((t, np.sin(t)))
    read = np.round(planned, 2)[::2]
    read[-1] = planned[-1]
    assert walk_apart(planned, read, straight(read), 0.02) is None
