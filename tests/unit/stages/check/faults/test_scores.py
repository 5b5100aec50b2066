"""Folds that don't end or run as they should, told to the maker."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.model.findings.finding import Mend
from tests.drawn import Pen, box, circle, faults


@pytest.mark.parametrize(
    ("fold", "code", "measure", "mend"),
    [
        ([(15, 0), (15, 21.2)], "score-past-outline", 1.2, Mend.SAFE),
        ([(15, 0), (15, 27)], "score-past-outline", 7, Mend.SAFE),
        ([(15, 0), (15, 60)], "score-past-outline", 40, Mend.ASK),
        ([(15, 0), (15, 18.8)], "score-short-of-outline", 1.2, Mend.SAFE),
        ([(15, 0), (15, 12)], "score-ends-in-panel", None, Mend.NONE),
    ],
)
def test_ends(fold: list, code: str, measure: float | None, mend: Mend) -> None:
    """With the distance, and whether mending can help."""
    found = faults(Pen().cut(box(0, 0, 30, 20)).score(fold))
    assert [(f.code, f.mend) for f in found] == [(code, mend)]
    assert found[0].measure == (None if measure is None else pytest.approx(measure))
    assert found[0].places[0].xy == pytest.approx(fold[1])


def test_over_a_hole_and_across_a_slit() -> None:
    """A fold over a hole, and a hinge that a slit severs."""
    pen = Pen().cut(box(0, 0, 30, 40), circle((15, 10), 4), [(12, 30), (18, 31)]).score([(15, 0), (15, 40)])
    assert {f.code for f in faults(pen)} == {"score-over-hole", "cut-across-score"}


def test_the_word_of_the_operation_is_used() -> None:
    """A perforation is called one."""
    found = faults(Pen().cut(box(0, 0, 30, 20)).perforate([(15, 0), (15, 12)]))
    assert found[0].problem.startswith("A perforation ends")


def dashed(x0: float, y0: float, x1: float, y1: float) -> list[list[tuple[float, float]]]:
    """A straight score drawn dash by dash, 3 mm and 1.5 mm apart, its last dash where the pattern ends."""
    a, b = np.array([x0, y0]), np.array([x1, y1])
    long = float(np.hypot(*(b - a)))
    u = (b - a) / long
    return [[tuple(a + t * u), tuple(a + min(t + 3.0, long) * u)] for t in np.arange(0, long, 4.5)]


def test_a_row_of_dashes_is_one_score() -> None:
    """Its dashes end in no panel, and where the pattern stops short of the edge nothing is amiss."""
    card = box(0, 0, 30, 22)
    assert not faults(Pen().cut(card).score(*dashed(15, 0, 15, 22)))
    (over,) = faults(Pen().cut(card).score(*dashed(15, 0, 15, 23.5)))
    assert (over.code, over.measure, over.mend) == ("score-past-outline", pytest.approx(1.5), Mend.NONE)
    (short,) = faults(Pen().cut(card).score(*dashed(15, 0, 15, 12)))
    assert short.code == "score-ends-in-panel"


def test_what_lies_on_a_row_of_dashes_is_drawn_twice() -> None:
    """A whole score under it, or the row again: one finding each."""
    card, row = box(0, 0, 30, 22), dashed(15, 0, 15, 22)
    for more in ([[(15, 0), (15, 22)]], [run[::-1] for run in row]):
        (found,) = faults(Pen().cut(card).score(*row, *more))
        assert found.code == "doubled-line"
        assert found.measure == pytest.approx(22.0, abs=0.1)
