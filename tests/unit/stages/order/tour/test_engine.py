"""The search itself: it repeats, whatever Lua it runs on, and never loses a line."""

from __future__ import annotations

import importlib.util

import numpy as np
import pytest

from cutprep.stages.order.entry.points import LineEnds
from cutprep.stages.order.tour import engine as door
from cutprep.stages.order.tour.engine import Engine, MotionLimits, PairCosts

DIALECTS = ("luajit21", "luajit20", "lua55", "lua54", "lua53", "lua52")


def spots(m: int, *, closed: bool = False, ranks: int = 2) -> LineEnds:
    rng = np.random.default_rng(m)
    head = rng.integers(0, 100_000, (m, 2))
    tail = head if closed else head + rng.integers(-9000, 9000, (m, 2))
    return LineEnds(head, tail, rng.integers(0, ranks, m), (0, 0))


@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize("limits", [None, MotionLimits(300.0, (400.0, 300.0), (3000.0, 1000.0))])
@pytest.mark.parametrize("costly", [False, True])
def test_every_dialect_finds_the_same_tour(dialect: str, limits: MotionLimits | None, costly: bool) -> None:
    if importlib.util.find_spec(f"lupa.{dialect}") is None:
        pytest.skip(f"{dialect} is not in this wheel")
    lines = spots(60)
    rng = np.random.default_rng(4)
    one = np.arange(59)
    costs = rng.integers(0, 20_000, (4, 59))
    pair_costs = PairCosts(one, one + 1, *costs) if costly else None
    want = door.engine().improve(
        lines, None, kicks=600, seed=3, threshold=2.0, limits=limits, pair_costs=pair_costs
    )
    got = Engine(dialect).improve(
        lines, None, kicks=600, seed=3, threshold=2.0, limits=limits, pair_costs=pair_costs
    )
    assert got[0].tolist() == want[0].tolist()
    assert got[1].tolist() == want[1].tolist()


@pytest.mark.parametrize("closed", [False, True])
def test_a_tour_holds_every_line_once_and_ranks_rise(closed: bool) -> None:
    lines = spots(80, closed=closed, ranks=4)
    order, _, _ = door.engine().improve(lines, None, kicks=2000, seed=0, threshold=2.0)
    assert sorted(order.tolist()) == list(range(80))
    assert (np.diff(lines.rank[order]) >= 0).all()


def test_search_on_never_lengthens_a_tour() -> None:
    lines = spots(50, closed=True, ranks=1)
    start = np.arange(50)
    order, _, _ = door.engine().improve(lines, start, kicks=500, seed=0, threshold=2.0)

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
    order, _, _ = door.engine().improve(
        lines, [0, 1, 2], kicks=500, seed=0, threshold=1.0, pair_costs=pair_costs
    )
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
