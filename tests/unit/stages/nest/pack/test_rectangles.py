"""The bound for rectangles: never above what is known to do, and sharp where area is not."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.stages.nest.item.demand import Demand
from cutprep.stages.nest.item.problem import problem_of
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.bound import by_area, fewest_sheets
from cutprep.stages.nest.pack.rectangles import by_rectangles
from cutprep.stages.nest.pack.solver import Solver, solver_of
from tests.unit.stages.nest.specimens import box, carton, frame, sheet_size


def _solver(demands: list[Demand], gap: float = 0.0, *, windows: bool = False) -> Solver:
    wish = Nesting(margin=0.0, gap=gap, windows=windows)
    return solver_of(problem_of(demands, [sheet_size(100, 100)], wish))


def _cut_up(
    chance: np.random.Generator, width: float, height: float, times: int
) -> list[tuple[float, float]]:
    """A rectangle cut through from side to side, and so on with both pieces."""
    if not times:
        return [(width, height)]
    share = float(chance.uniform(0.2, 0.8))
    if chance.random() < 0.5:
        first, second = (width * share, height), (width * (1 - share), height)
    else:
        first, second = (width, height * share), (width, height * (1 - share))
    return _cut_up(chance, *first, times - 1) + _cut_up(chance, *second, times - 1)


@pytest.mark.parametrize("seed", range(6))
def test_never_more_than_the_sheets_that_were_cut_up(seed: int) -> None:
    """Pieces of three sheets fit three sheets, in whatever way they may be turned."""
    chance = np.random.default_rng(seed)
    pieces = [piece for _ in range(3) for piece in _cut_up(chance, 100, 100, 1 + seed % 3)]
    for turns in ("never", "quarter"):
        demands = [Demand(box(*piece), 1, turns) for piece in pieces]  # type: ignore[arg-type]
        assert by_rectangles(_solver(demands), [1] * len(demands)) == 3


@pytest.mark.parametrize(
    ("piece", "turns", "copies", "least"),
    [
        ((51, 20), "never", 6, 2),  # five on each other: the width counts as a whole one
        ((36, 51), "quarter", 9, 3),  # each counts for a quarter, 18 % by area
        ((51, 51), "quarter", 4, 4),
        ((34, 34), "never", 8, 2),  # two by two
    ],
)
def test_what_area_does_not_show(piece: tuple[float, float], turns: str, copies: int, least: int) -> None:
    """Pieces that no two of them stand beside each other, or no three."""
    solver = _solver([Demand(box(*piece), copies, turns)])  # type: ignore[arg-type]
    assert by_area(solver, [copies]) < by_rectangles(solver, [copies]) == least
    assert fewest_sheets(solver, [copies]) >= least


def test_a_gap_counts_as_far_as_it_keeps_them_apart_for_sure() -> None:
    """Corner to corner, pieces with a gap of 3 may come as near as 2.13 mm in both directions."""
    assert by_rectangles(_solver([Demand(box(49, 49), 8)], gap=3.0), [8]) == 8
    assert by_rectangles(_solver([Demand(box(48, 48), 8)], gap=3.0), [8]) == 2


def test_only_rectangles_count() -> None:
    """A carton is none, nor is a frame in whose window others may lie."""
    solver = _solver([Demand(carton(), 3), Demand(frame(90, 70), 1)], windows=True)
    assert by_rectangles(solver, [3, 1]) == 0
    assert by_rectangles(_solver([Demand(frame(90, 70), 1)]), [1]) == 1
