"""Which lines folding looks at, and what their names say."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.model.drawing import Drawing
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Fold, Operation
from cutprep.stages.fold.net.net_lines import CUT, PERFORATION, SCORE, angle_in, fold_in, pick_net_lines


@pytest.mark.parametrize(
    ("name", "angle"),
    [
        ("score valley 90", 90.0),
        ("mountain_45", -45.0),
        ("Valley-109.47", 109.47),
        ("crease 60 deg", 60.0),
        ("lid 30°", 30.0),
        ("score 90", 90.0),
        ("score 2", None),  # a count of layers
        ("score", None),
        ("valley 2", None),
        ("valley 7.5 deg", 7.5),
        ("valley 200", None),  # no fold turns by more than 180
        ("page 1200 deg", None),
        ("box 300x200", None),
    ],
)
def test_angle_in_a_name(name: str, angle: float | None) -> None:
    assert angle_in(name) == angle


def test_direction_in_a_name() -> None:
    assert fold_in("Score/valley folds") is Fold.VALLEY
    assert fold_in("mountain-folds") is Fold.MOUNTAIN
    assert fold_in("mountain and valley") is Fold.UNSAID
    assert fold_in("valleys") is Fold.UNSAID


def drawing(*rows: tuple[Operation, Fold, str, str]) -> Drawing:
    lines = Lines.of(
        [[[0, i], [9, i]] for i in range(len(rows))],
        operation=[r[0] for r in rows],
        fold=[r[1] for r in rows],
        source=list(range(len(rows))),
        elements=tuple(Element(layer=r[2], label=r[3]) for r in rows),
    )
    return Drawing("d", lines)


def test_only_cuts_scores_and_perforations_count() -> None:
    ink = pick_net_lines(
        drawing(
            (Operation.GUIDE, Fold.UNSAID, "", ""),
            (Operation.CUT, Fold.UNSAID, "cut 90 deg", ""),
            (Operation.SCORE, Fold.UNSAID, "scores/valley 90", ""),
            (Operation.DRAW, Fold.UNSAID, "", ""),
            (Operation.PERFORATE, Fold.MOUNTAIN, "perf 45 deg", ""),
            (Operation.PARTIAL_CUT, Fold.UNSAID, "", ""),
        )
    )
    assert ink.operations.tolist() == [CUT, SCORE, PERFORATION]
    assert ink.line.tolist() == [1, 2, 4]
    assert ink.fold.tolist() == [0, 1, -1]
    assert ink.degrees[1:].tolist() == [90.0, -45.0]  # the angle takes the fold's sign
    assert ink.degrees[0] != ink.degrees[0]  # a cut has none


def test_the_elements_own_name_goes_before_its_layer() -> None:
    ink = pick_net_lines(drawing((Operation.SCORE, Fold.UNSAID, "valley 90", "valley 60 deg")))
    assert ink.degrees.tolist() == [60.0]


def test_a_lines_number_is_no_angle() -> None:
    ink = pick_net_lines(drawing((Operation.SCORE, Fold.UNSAID, "valley", "valley 60")))
    assert np.isnan(ink.degrees).all()
    ink = pick_net_lines(drawing((Operation.SCORE, Fold.UNSAID, "valley 90", "valley 60")))
    assert ink.degrees.tolist() == [90.0]
