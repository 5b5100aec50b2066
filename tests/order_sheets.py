"""Sheets for the tests of ordering: loose lines, ready parts, and the certificate of an order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from cutprep.geometry.placed import placed_lines
from cutprep.model.lines import Lines
from cutprep.model.operation import WORKED, Operation
from cutprep.model.part import Part, Template
from cutprep.model.sheet import Placement, Sheet
from cutprep.model.strokes import Strokes
from cutprep.model.tally import OrderReport
from cutprep.stages.order import plan as order_stage
from cutprep.stages.order.ordering import Ordering
from cutprep.tolerance import Tolerance


def sheet_of(lines: Sequence[ArrayLike], operation: Operation | Sequence[int]) -> Sheet:
    """A sheet of loose lines, none of them on a part."""
    drawn = Lines.of(lines, operation=operation)
    template = Template("loose", drawn, (), loose=tuple(range(len(drawn))))
    return Sheet(1, 300.0, 300.0, "card", (template,), (Placement(0, 0.0, 0.0),))


def plan(sheet: Sheet, **wish: Any) -> tuple[Strokes, OrderReport]:
    """Order a sheet; `wish` are fields of `Ordering`."""
    return order_stage.plan(sheet, Ordering(**wish), tolerance=Tolerance())


def order(sheet: Sheet, **wish: Any) -> Strokes:
    """The strokes alone."""
    return plan(sheet, **wish)[0]


def square(x: float, y: float, side: float) -> np.ndarray:
    """A square, counter-clockwise from its lower left corner."""
    return np.array([[x, y], [x + side, y], [x + side, y + side], [x, y + side], [x, y]], float)


def tags(copies: int) -> Sheet:
    """Swing tags with a square hole, a score across and a pen line."""
    lines = Lines.of(
        [square(0, 0, 40), square(5, 5, 6)[::-1], [[0, 20], [40, 20]], [[10, 30], [30, 30]]],
        operation=[Operation.CUT, Operation.CUT, Operation.SCORE, Operation.DRAW],
    )
    template = Template("tag", lines, (Part(0, (1,), (2, 3)),))
    spots = tuple(Placement(0, 10 + 45.0 * (i % 5), 10 + 45.0 * (i // 5), copy=i + 1) for i in range(copies))
    return Sheet(1, 300.0, 300.0, "card", (template,), spots)


def segments(lines: Lines) -> Counter[tuple[tuple[float, float], ...]]:
    """Undirected segments; one that is split where a closed line starts is made whole again."""
    found: Counter[tuple[tuple[float, float], ...]] = Counter()
    for i in range(len(lines)):
        points = lines.points(i)
        if len(points) >= 5 and (points[0] == points[-1]).all():
            a, s, b = points[-2], points[0], points[1]
            cross = (s[0] - a[0]) * (b[1] - s[1]) - (s[1] - a[1]) * (b[0] - s[0])
            if abs(cross) < 1e-9 * max(1.0, float(np.abs(b - a).max())) and np.dot(s - a, b - s) > 0:
                points = np.vstack((points[1:-1], points[1:2]))
        for p, q in zip(points[:-1].round(6).tolist(), points[1:].round(6).tolist(), strict=True):
            found[tuple(sorted((tuple(p), tuple(q))))] += 1
    return found


def assert_order_holds(strokes: Strokes, sheet: Sheet) -> None:
    """Every worked line once, stages rise, and nothing of a part follows its outline."""
    __tracebackhide__ = True
    placed = placed_lines(sheet).lines
    worked = placed.take(np.isin(placed.operation, WORKED))
    assert segments(strokes.lines) == segments(worked)
    assert (np.diff(strokes.stage) >= 0).all()
    ended: set[int] = set()
    for number in range(len(strokes)):
        part = int(strokes.part[number])
        assert part not in ended, f"stroke {number} of part {part} follows its outline"
        if strokes.outline[number] and part >= 0:
            ended.add(part)
