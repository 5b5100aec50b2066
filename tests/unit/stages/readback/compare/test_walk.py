"""Walking two lines at once, against the plain quadratic form of the same decision."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.stages.readback.compare.walk import walk_apart
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


def off(line: np.ndarray, spot: np.ndarray) -> float:
    """How far a spot lies from a line, by shapely."""
    return float(shapely.LineString(line).distance(shapely.Point(spot)))


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
        assert off(p, apart.wanted) < 1e-9
        assert off(q, apart.got) < 1e-9
        assert apart.distance == pytest.approx(math.dist(apart.wanted, apart.got))
        assert apart.distance <= reference + 1e-6


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


#: Pairs of lines and their Fréchet distance, by plane geometry.
KNOWN = [
    # A detour to and fro: both walkers meet halfway between 8 and 3.
    ([(0, 0), (10, 0)], [(0, 0), (8, 0), (3, 0), (10, 0)], 2.5),
    # A spike: its tip against the straight line.
    ([(0, 0), (10, 0)], [(0, 0), (5, 3), (10, 0)], 3.0),
    # A step aside that never comes back until the end.
    ([(0, 0), (4, 0), (8, 0)], [(0, 1), (4, 1), (8, 1)], 1.0),
    # One goes round a corner, the other cuts it: the corner against the chord.
    ([(0, 0), (6, 0), (6, 6)], [(0, 0), (6, 6)], math.sqrt(18)),
    # The same place at both ends, but one stands still and the other goes out and back.
    ([(0, 0), (0, 0)], [(0, 0), (7, 0), (0, 0)], 7.0),
    # Two spikes against one in the middle.
    ([(0, 0), (2, 0), (3, 4), (4, 0), (9, 0)], [(0, 0), (9, 0)], 4.0),
    # Ends apart.
    ([(0, 0), (10, 0)], [(0, 0), (10, 2)], 2.0),
    ([(0, 1), (10, 0)], [(0, 0), (10, 0)], 1.0),
]  # fmt: skip


@pytest.mark.parametrize("turn", [0.0, 0.7, 2.0, 4.1])
@pytest.mark.parametrize(("a", "b", "distance"), KNOWN)
def test_lines_of_a_known_distance(a: list, b: list, distance: float, turn: float) -> None:
    """Just above it they agree, just below they don't; turned, swapped and with more vertices the same."""
    spin = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    p, q = np.array(a, float) @ spin + (50, 20), np.array(b, float) @ spin + (50, 20)
    finer = np.vstack([p[:1], *[np.linspace(u, w, 4)[1:] for u, w in itertools.pairwise(p)]])
    for one, two in ((p, q), (q, p), (finer, q), (q, finer)):
        assert walk_apart(one, two, straight(two), distance * 1.001) is None
        apart = walk_apart(one, two, straight(two), distance * 0.999)
        assert apart is not None
        assert apart.distance == pytest.approx(math.dist(apart.wanted, apart.got))


@pytest.mark.parametrize("end", [0, -1])
def test_ends_that_are_apart_are_shown(end: int) -> None:
    p = np.array([[0.0, 0], [10, 0]])
    q = p.copy()
    q[end] += (0.3, 0.4)
    apart = walk_apart(p, q, straight(q), 0.499)
    assert apart is not None
    assert (apart.wanted.tolist(), apart.got.tolist()) == (p[end].tolist(), q[end].tolist())
    assert apart.distance == pytest.approx(0.5)
    assert walk_apart(p, q, straight(q), 0.501) is None


def test_where_lines_part_is_shown() -> None:
    """The vertex that is off, and the nearest place of the other line; whichever line it is on."""
    row = [(0, 0), (10, 0), (20, 0), (30, 0), (40, 0)]
    p, q = np.array(row, float), np.array(row, float)
    q[2] += (0, 2)
    apart = walk_apart(p, q, straight(q), 0.5)
    assert apart is not None
    assert apart.got.tolist() == [20, 2]
    assert apart.wanted.tolist() == [20, 0]
    assert apart.distance == pytest.approx(2)
    other = walk_apart(q, p[[0, 4]], np.zeros(2, bool), 0.5)
    assert other is not None
    assert other.wanted.tolist() == [20, 2]
    assert other.got.tolist() == [20, 0]


def test_how_far_an_arc_may_stand_off() -> None:
    """A planned chord of 4 mm between turns of 0.04: an arc through the vertices stands off by
    4 x 0.04 / 8 = 0.02 mm; a quarter more is given for rounding, and never more than 0.03 mm."""

    def planned(turn: float) -> np.ndarray:
        way = turn * np.arange(6)
        return np.vstack(([0, 0], np.cumsum(4 * np.column_stack((np.cos(way), np.sin(way))), axis=0)))

    def bent(line: np.ndarray, off: float) -> np.ndarray:
        """The middle of one chord moved outwards."""
        step = line[3] - line[2]
        spot = (line[2] + line[3]) / 2 + off * np.array([step[1], -step[0]]) / np.hypot(*step)
        return np.insert(line, 3, spot, axis=0)

    for turn, allowed in ((0.04, 0.02 * 1.25), (0.02, 0.01 * 1.25), (0.2, 0.03)):
        line = planned(turn)
        for off in (allowed + 0.004, -allowed - 0.004):
            got = bent(line, off)
            assert walk_apart(line, got, np.ones(len(got), bool), 0.005) is None
            assert walk_apart(line, got, straight(got), 0.005) is not None
        for off in (allowed + 0.006, -allowed - 0.006):
            got = bent(line, off)
            assert walk_apart(line, got, np.ones(len(got), bool), 0.005) is not None


def test_a_flat_line_of_arcs_has_no_bulge_at_its_ends() -> None:
    """Where the plan runs straight, an arc may not stand off, wherever it bends elsewhere."""
    line = np.array([[0.0, 0], [10, 0], [20, 0], [30, 0], [36, 5], [40, 12]])
    got = np.insert(line, 1, (5, 0.01), axis=0)
    assert walk_apart(line, got, np.ones(len(got), bool), 0.005) is not None
    assert walk_apart(line, got, np.ones(len(got), bool), 0.011) is None


def test_steps_that_are_equally_near_are_taken_in_turn() -> None:
    """Vertices that lie on each other, and a spot between two that are both as far away."""
    one, other = np.array([(0, 0), (0, 1), (4, 1.0)]), np.array([(0, 0), (0, -1), (4, 1.0)])
    assert walk_apart(one, other, straight(other), 1.5) is not None
    assert walk_apart(one, np.repeat(one, 3, axis=0), np.zeros(9, bool), 1e-6) is None
    assert walk_apart(np.repeat(one, 2, axis=0), one, straight(one), 1e-6) is None
