"""The table of layers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutprep.model.operation import Operation
from cutprep.stages.check.layers import tabulate
from tests.drawn import Pen, box


def test_lines_are_summed_by_layer_and_rule() -> None:
    """In the order of their first appearance."""
    drawing = replace(
        Pen().cut(box(0, 0, 10, 5)).score([(0, 0), (3, 4)]).cut([(0, 0), (2, 0)]).drawing,
        rules=("layer word 'cut'", "layer word 'score'", "layer word 'cut'"),
    )
    rows = tabulate(drawing)
    assert [(r.layer, r.operation, r.rule, r.lines) for r in rows] == [
        ("cut", Operation.CUT, "layer word 'cut'", 2),
        ("score", Operation.SCORE, "layer word 'score'", 1),
    ]
    assert [r.length_mm for r in rows] == pytest.approx([32, 5])


def test_a_drawing_without_rules_or_lines() -> None:
    """Rules may be missing; no lines make no rows."""
    assert tabulate(Pen().cut([(0, 0), (1, 0)]).drawing)[0].rule == ""
    assert tabulate(Pen().drawing) == ()
