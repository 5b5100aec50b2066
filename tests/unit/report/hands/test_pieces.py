"""Which kinds of pieces are shown one by one, and what is said of the others."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import cutprep.report.hands.pieces as module
from cutprep.geometry.affine import shift
from cutprep.job.api import make_job
from cutprep.job.pipeline import run
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.report.hands.pieces import pieces_of
from cutprep.report.makingsheet import making_sheet, making_text
from cutprep.report.outcome import Outcome
from cutprep.template.kinds import KINDS
from tests.making import template_of


def squares(*sizes: float) -> Lines:
    """Squares of card of these sizes, mm, in a row."""
    ring = np.array([[0.0, 0], [1, 0], [1, 1], [0, 1], [0, 0]])
    rows = [ring * size + (sum(sizes[:k]) + 5.0 * k, 0.0) for k, size in enumerate(sizes)]
    return Lines.of(rows, operation=Operation.CUT)


def beside(*parts: Lines) -> Drawing:
    moved, at = [], 0.0
    for lines in parts:
        moved.append(lines.transform(shift(at - lines.bounds[0], -lines.bounds[1])))
        at = moved[-1].bounds[2] + 10.0
    return Drawing("many", Lines.concat(moved))


def test_of_many_kinds_those_that_fold_and_the_large_ones_are_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST", 3)
    tray = KINDS["tray"].from_values(length=60.0).lines
    shown, rest = pieces_of(template_of(beside(squares(10, 90, 200, 20, 10, 150, 12), tray)), 0.15)
    assert [piece.size for piece in shown[:2]] == [pytest.approx((200, 200)), pytest.approx((150, 150))]
    assert shown[2].folds is not None
    assert rest is not None
    assert (rest.kinds, rest.pieces) == (4, 5)
    assert (rest.least, rest.most) == (pytest.approx((10, 10)), pytest.approx((90, 90)))
    assert rest.told().startswith(
        "Beside these, one copy has 5 more pieces, of 4 other shapes, with blanks of 3/8 by 3/8 in (10.0 x 10.0 mm) to "
        "3 9/16 by 3 9/16 in (90.0 x 90.0 mm): "
    )


def test_up_to_the_limit_every_kind_is_shown() -> None:
    sizes = [10.0 + k for k in range(module.MOST)]
    shown, rest = pieces_of(template_of(beside(squares(*sizes, 10.0))), 0.15)
    assert [piece.alike for piece in shown] == [2] + [1] * (module.MOST - 1)
    assert rest is None


def test_the_pages_say_what_they_leave_out(tags: Outcome, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST", 2)
    template = replace(template_of(beside(squares(10, 20, 30))), name="squares")
    outcome = replace(tags, templates=(template,))
    said = "Beside these, one copy has 1 more piece, of 1 other shape, with blanks of 3/8 by 3/8 in"
    assert said in making_sheet(outcome)
    assert said in making_text(outcome)


@pytest.fixture(scope="module")
def tags() -> Outcome:
    return run(make_job(Path(__file__).parents[4] / "samples" / "swing-tag.svg", effort="quick"))
