"""The search itself: it repeats, gets no worse, and never loses a line."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.order.entry.points import LineEnds
from cutprep.stages.order.entry.starts import entry_points
from cutprep.stages.order.tour import engine
from cutprep.stages.order.tour.values import MotionLimits, PairCosts


def spots(m: int, *, closed: bool = False, ranks: int = 2) -> LineEnds:
    rng = np.random.default_rng(m)
    head = rng.integers(0, 100_000, (m, 2))
    tail = head if closed else head + rng.integers(-9000, 9000, (m, 2))
    return LineEnds(head, tail, rng.integers(0, ranks, m), (0, 0))


LIMITS = MotionLimits(300.0, (400.0, 300.0), (3000.0, 1000.0))


def length_of(lines: LineEnds, order: np.ndarray, back: np.ndarray, limits: MotionLimits | None) -> float:
    """Travel of a tour in its own unit, from the definition: whole micrometres, or microseconds."""
    at, sum_ = np.array(lines.home), 0.0
    for line, turned in zip(order.tolist(), back.tolist(), strict=True):
        ends = (lines.tail[line], lines.head[line])
        leave, entry = ends if not turned else ends[::-1]
        sum_ += step(entry - at, limits)
        at = leave
    return sum_ + step(np.array(lines.home) - at, limits)


def step(leg: np.ndarray, limits: MotionLimits | None) -> float:
    return float(np.hypot(*leg)) if limits is None else float(limits.seconds(leg / 1000.0)) * 1e6


@pytest.mark.parametrize("limits", [None, LIMITS])
def test_kicks_shorten_the_tour_and_the_same_seed_repeats_it(limits: MotionLimits | None) -> None:
    lines = spots(60)
    lengths = []
    for kicks in (0, 100, 3000):
        one, two = (
            engine.improve(lines, None, kicks=kicks, seed=3, threshold=0.0, limits=limits) for _ in range(2)
        )
        assert one[0].tolist() == two[0].tolist()
        assert one[1].tolist() == two[1].tolist()
        lengths.append(length_of(lines, *one, limits))
    assert lengths[0] > max(lengths[1:])


@pytest.mark.parametrize(("limits", "most"), [(None, 60_000), (LIMITS, 600_000)])
def test_pair_costs_are_heeded_and_counted(limits: MotionLimits | None, most: int) -> None:
    """A tour that is found with costs is cheaper, costs and all, than the one found without."""
    lines = spots(60)
    costs = np.random.default_rng(4).integers(0, most, (4, 59))
    one = np.arange(59)
    pairs = PairCosts(one, one + 1, *costs)

    def all_costs(order: np.ndarray, back: np.ndarray) -> float:
        turn, turned = np.argsort(order), back[np.argsort(order)].astype(int)
        second_late = turn[1:] > turn[:-1]
        of_first, of_second = costs[turned[:-1], one], costs[2 + turned[1:], one]
        return length_of(lines, order, back, limits) + float(np.where(second_late, of_second, of_first).sum())

    without = engine.improve(lines, None, kicks=3000, seed=3, threshold=2.0, limits=limits)
    heeded = engine.improve(
        lines,
        *without[:1],
        back=without[1],
        kicks=3000,
        seed=3,
        threshold=2.0,
        limits=limits,
        pair_costs=pairs,
    )
    assert all_costs(*heeded) < all_costs(*without)


@pytest.mark.parametrize("closed", [False, True])
def test_a_tour_holds_every_line_once_and_ranks_rise(closed: bool) -> None:
    lines = spots(80, closed=closed, ranks=4)
    order, _ = engine.improve(lines, None, kicks=2000, seed=0, threshold=2.0)
    assert sorted(order.tolist()) == list(range(80))
    assert (np.diff(lines.rank[order]) >= 0).all()


def test_search_on_never_lengthens_a_tour() -> None:
    lines = spots(50, closed=True, ranks=1)
    start = np.arange(50)
    order, _ = engine.improve(lines, start, kicks=500, seed=0, threshold=2.0)

    def length(turn: np.ndarray) -> float:
        path = np.vstack(([0, 0], lines.head[turn], [0, 0]))
        return float(np.hypot(*np.diff(path, axis=0).T).sum())

    assert length(order) < length(start)


def test_costs_of_order_and_direction_are_heeded() -> None:
    # Three lines in a row; the travel alone runs them forwards from the left.
    head = np.array([[1000, 0], [3000, 0], [5000, 0]])
    lines = LineEnds(head, head + np.array([1000, 0]), np.zeros(3, np.int64), (0, 0))
    one = np.array([0, 0, 1])
    two = np.array([1, 2, 2])
    dear, free = np.full(3, 10**7), np.zeros(3, np.int64)
    pair_costs = PairCosts(one, two, free, free, dear, dear)  # the later of each pair must not come second
    order, _ = engine.improve(lines, [0, 1, 2], kicks=500, seed=0, threshold=1.0, pair_costs=pair_costs)
    assert order.tolist() == [2, 1, 0]


def test_time_of_a_move_is_that_of_a_trapezoid() -> None:
    limits = MotionLimits(100.0, (1000.0, 1000.0), (500.0, 500.0))
    # Speed 100 is reached after 10 mm: 0.2 s to speed up, 0.2 s to slow down, 80 mm at 100 mm/s.
    assert limits.seconds(np.array([100.0, 0.0])) == pytest.approx(0.2 + 0.2 + 0.8)
    # 5 mm: a triangle of 2 sqrt(5 / 500) seconds.
    assert limits.seconds(np.array([0.0, -5.0])) == pytest.approx(2 * (5 / 500) ** 0.5)
    # On the diagonal both axes push: 500 sqrt(2) mm/s2 along the move.
    assert limits.seconds(np.array([3.0, 4.0])) == pytest.approx(2 * (5 / (500 / 0.8)) ** 0.5)
    assert limits.seconds(np.zeros(2)) == 0


@pytest.mark.parametrize("limits", [None, LIMITS])
def test_chosen_entries_are_the_best_of_all_ways(limits: MotionLimits | None) -> None:
    """Against every combination, for three rings and a line between home and home."""
    rng = np.random.default_rng(3)
    rings = [rng.uniform(-4, 4, (corners, 2)) for corners in (3, 5, 8)]
    lines = Lines.of(
        [np.vstack((ring, ring[:1])) for ring in rings] + [rng.uniform(0, 9, (2, 2))], operation=Operation.CUT
    )
    entries = entry_points(lines, np.zeros(len(lines), bool))
    order, home = np.array([2, 0, 3, 1]), np.array([1.0, -2.0])
    own = rng.uniform(0, 1, len(entries.line)) * (1.0 if limits is None else 0.05)

    def cost(picked: tuple[int, ...]) -> float:
        rows = list(picked)
        legs = np.vstack((entries.entry[rows], home)) - np.vstack((home, entries.leave[rows]))
        way = np.hypot(*legs.T) if limits is None else limits.seconds(legs)
        return float(way.sum() + own[rows].sum())

    ranges = [range(entries.slice(int(i)).start, entries.slice(int(i)).stop) for i in order]
    found = engine.choose(entries, order, own, home, limits)
    assert tuple(found[order].tolist()) == min(product(*ranges), key=cost)


def test_nothing_to_enter_is_no_entry() -> None:
    none = Lines.of([], operation=Operation.CUT)
    entries = entry_points(none, np.zeros(0, bool))
    assert engine.choose(entries, np.zeros(0, np.int64), np.zeros(0), np.zeros(2), None).tolist() == []
