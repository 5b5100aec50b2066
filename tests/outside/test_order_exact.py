"""Orders of small sheets against the proven best.

Source: dynamic programming over sets of lines (M. Held and R. M. Karp, "A dynamic programming
approach to sequencing problems", J. SIAM 10 (1962) 196-210), and plain trial of all permutations.
Both are written here from the definition of travel and share nothing with cutprep.order.
"""

from __future__ import annotations

from itertools import permutations, product

import numpy as np
import pytest

from cutprep.model.operation import Operation
from cutprep.model.sheet import Sheet
from cutprep.stages.order.tour import search
from tests.order_sheets import order, sheet_of

STAGES = (Operation.DRAW, Operation.SCORE, Operation.PERFORATE)
Ways = list[tuple[np.ndarray, np.ndarray]]  # one line: where it can be entered, and left then


def tiny_sheet(rng: np.random.Generator, most: int) -> tuple[Sheet, list[list[Ways]]]:
    """Random lines of three stages, a third of them closed with three to five corners."""
    lines, operations, stages = [], [], []
    for operation in STAGES:
        stage: list[Ways] = []
        for _ in range(rng.integers(0, most + 1)):
            if rng.random() < 1 / 3:
                around = rng.uniform(0, 6.3) + np.arange(k := int(rng.integers(3, 6))) * 2 * np.pi / k
                corners = rng.uniform(30, 270, 2) + rng.uniform(3, 25) * np.column_stack(
                    (np.cos(around), np.sin(around))
                )
                lines.append(np.vstack((corners, corners[:1])))
                stage.append([(c, c) for c in corners])
            else:
                ends = rng.uniform(0, 300, (2, 2))
                lines.append(ends)
                stage.append([(ends[0], ends[1]), (ends[1], ends[0])])
            operations.append(operation)
        stages.append(stage)
    return sheet_of(lines, operations), stages


def held_karp(stages: list[list[Ways]]) -> float:
    """The least travel from home at the origin through the stages and back."""
    at, paid = np.zeros((1, 2)), np.zeros(1)
    for stage in filter(None, stages):
        line = np.array([i for i, ways in enumerate(stage) for _ in ways])
        entry = np.array([e for ways in stage for e, _ in ways])
        leave = np.array([x for ways in stage for _, x in ways])
        step = np.hypot(*(leave[:, None] - entry[None]).transpose(2, 0, 1))
        best = np.full((2 ** len(stage), len(line)), np.inf)
        first = (paid[:, None] + np.hypot(*(at[:, None] - entry[None]).transpose(2, 0, 1))).min(axis=0)
        best[1 << line, np.arange(len(line))] = first
        for done in range(1, 2 ** len(stage)):
            left = np.flatnonzero((done >> line) & 1 == 0)
            cost = (best[done][:, None] + step[:, left]).min(axis=0)
            np.minimum.at(best, (done | (1 << line[left]), left), cost)
        at, paid = leave, best[-1]
    return float((paid + np.hypot(*at.T)).min())


def all_orders(stages: list[list[Ways]]) -> float:
    """The same by trying everything."""
    least = np.inf
    turns = [list(permutations(range(len(stage)))) for stage in stages]
    for picked in product(*turns):
        lines = [stages[s][i] for s, turn in enumerate(picked) for i in turn]
        for ways in product(*lines):
            at, travel = np.zeros(2), 0.0
            for entry, leave in ways:
                travel += float(np.hypot(*(entry - at)))
                at = leave
            least = min(least, travel + float(np.hypot(*at)))
    return least


def misses(sheets: list[tuple[Sheet, list[list[Ways]]]], effort: str = "normal") -> list[float]:
    """Check that no order is better than the best, and give the excess of those that are longer."""
    excess = []
    for sheet, stages in sheets:
        best = held_karp(stages)
        got = order(sheet, tear_weight=0, effort=effort).travel
        assert got >= best - 1e-9 * max(1.0, best)
        # The search counts in whole micrometres.
        if got > best + 0.005:
            excess.append(got / best - 1)
    return excess


def test_the_reference_agrees_with_plain_trial() -> None:
    rng = np.random.default_rng(5)
    for _ in range(15):
        _, stages = tiny_sheet(rng, 2)
        assert held_karp(stages) == pytest.approx(all_orders(stages))


def test_200_tiny_sheets_are_ordered_as_well_as_can_be() -> None:
    rng = np.random.default_rng(0)
    assert not misses([tiny_sheet(rng, 5) for _ in range(200)])


def test_the_search_for_large_sheets_does_nearly_as_well(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "_MOST_LINES", 0)
    rng = np.random.default_rng(1)
    excess = misses([tiny_sheet(rng, 5) for _ in range(20)], "quick")
    assert len(excess) <= 1
    assert max(excess, default=0.0) <= 0.06
