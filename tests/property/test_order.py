"""What holds for every order: nothing lost, nothing before its time, and the same again."""

from __future__ import annotations

import networkx as nx
import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.geometry.placed import placed_lines
from cutprep.model.operation import WORKED, Operation
from cutprep.model.sheet import Sheet
from cutprep.stages.order.tour.task import precedence, task_from
from cutprep.tolerance import Tolerance
from tests.order_sheets import assert_order_holds, order, plan, sheet_of, square, tags

OPERATIONS = (Operation.DRAW, Operation.SCORE, Operation.PERFORATE, Operation.PARTIAL_CUT, Operation.CUT)


@st.composite
def sheets(draw: st.DrawFn) -> Sheet:
    """Loose lines of every kind: open, closed, without length, on top of each other."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    lines, operations = [], []
    for _ in range(draw(st.integers(0, 25))):
        x, y = rng.integers(5, 60, 2).tolist()
        shape = draw(st.sampled_from(("open", "bent", "square", "spot", "guide")))
        if shape == "square":
            lines.append(square(x, y, draw(st.sampled_from((1, 4, 20)))))
        elif shape == "spot":
            lines.append(np.array([[x, y], [x, y]], float))
        else:
            lines.append(np.vstack(([x, y], rng.integers(0, 80, (1 + (shape == "bent"), 2)))).astype(float))
        operations.append(Operation.GUIDE if shape == "guide" else draw(st.sampled_from(OPERATIONS)))
    return sheet_of(lines, operations)


@settings(max_examples=40, deadline=None)
@given(sheets(), st.sampled_from(("sheet", "copy")))
def test_every_stroke_once_and_no_precedence_broken(sheet: Sheet, finish: str) -> None:
    strokes, report = plan(sheet, effort="quick", finish=finish)
    assert_order_holds(strokes, sheet)
    assert report.planned.strokes == len(strokes)
    assert report.planned.loose == 0
    assert abs(report.planned.travel - strokes.travel) < 1e-9


@settings(max_examples=20, deadline=None)
@given(sheets())
def test_the_precedence_graph_has_no_circle_and_ranks_follow_it(sheet: Sheet) -> None:
    task = task_from(placed_lines(sheet), (0.0, 0.0), by_copy=False, tolerance=Tolerance())
    graph = nx.DiGraph(list(precedence(task)))
    assert nx.is_directed_acyclic_graph(graph)
    assert all(task.rank[a] < task.rank[b] for a, b in graph.edges)


@settings(max_examples=10, deadline=None)
@given(sheets(), st.integers(0, 9))
def test_the_same_seed_gives_the_same_strokes(sheet: Sheet, seed: int) -> None:
    one, two = (order(sheet, seed=seed, effort="quick") for _ in range(2))
    assert one.lines.xy.tobytes() == two.lines.xy.tobytes()
    assert one.part.tobytes() == two.part.tobytes()


@settings(max_examples=15, deadline=None)
@given(sheets())
def test_what_is_planned_is_no_longer_than_nearest_end_next(sheet: Sheet) -> None:
    _, report = plan(sheet, tear_weight=0)
    assert report.planned.travel <= report.nearest.travel + 1e-6


def test_shuffling_or_reversing_the_lines_changes_travel_little() -> None:
    rng = np.random.default_rng(4)
    lines = [np.vstack((p, p + rng.uniform(-15, 15, 2))) for p in rng.uniform(20, 280, (120, 2))]
    lines += [square(*p, 5) for p in rng.uniform(20, 280, (40, 2))]
    operation = [Operation.DRAW] * 120 + [Operation.SCORE] * 40
    want = order(sheet_of(lines, operation), tear_weight=0).travel
    for seed in range(3):
        turn = np.random.default_rng(seed).permutation(len(lines))
        mixed = [lines[i][:: rng.choice((-1, 1))] for i in turn]
        got = order(sheet_of(mixed, [operation[i] for i in turn]), tear_weight=0).travel
        assert abs(got / want - 1) <= 0.01


def test_parts_keep_their_outline_last_on_a_full_sheet() -> None:
    sheet = tags(25)
    strokes, report = plan(sheet, effort="quick")
    assert_order_holds(strokes, sheet)
    assert report.planned.loose == report.planned.corners == 0
    assert set(strokes.lines.operation.tolist()) <= set(WORKED)
