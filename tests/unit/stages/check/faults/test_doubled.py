"""Doubled lines, told to the maker."""

from __future__ import annotations

import pytest

from cutprep.model.findings.finding import Mend, Severity
from tests.drawn import Pen, arc, box, circle, codes, faults


def test_a_line_drawn_twice_names_both_elements() -> None:
    """Each with its layer, its line in the file, and a point on it."""
    found = faults(Pen().cut(box(0, 0, 30, 20), [(30, 0), (0, 0)]))
    assert [f.code for f in found] == ["doubled-line"]
    doubled = found[0]
    assert doubled.severity is Severity.ERROR
    assert doubled.mend is Mend.SAFE
    assert doubled.measure == pytest.approx(30)
    assert {p.line for p in doubled.places} == {1, 2}
    assert {p.layer for p in doubled.places} == {"cut"}
    assert all(p.xy == pytest.approx((15, 0)) for p in doubled.places)
    assert "30.00 mm again" in doubled.problem
    assert doubled.fix


def test_three_on_each_other_are_one_finding() -> None:
    """All are named, and two of them are too many."""
    found = faults(Pen().ink([(0, 0), (10, 0)], [(10, 0), (0, 0)], [(2, 0), (8, 0)]))
    assert [f.code for f in found] == ["doubled-line"]
    assert len(found[0].places) == 3
    assert found[0].measure == pytest.approx(16)
    assert "pen" in found[0].problem


def test_a_score_under_a_cut() -> None:
    """The fold would be cut through; mending asks."""
    found = faults(Pen().cut(box(0, 0, 30, 20)).score([(30, 4), (30, 12)]))
    assert [f.code for f in found] == ["doubled-across-operations"]
    assert found[0].measure == pytest.approx(8)
    assert found[0].mend is Mend.ASK
    assert "cut through" in found[0].problem
    assert {p.layer for p in found[0].places} == {"cut", "score"}


def test_a_pen_line_on_an_edge_is_a_warning() -> None:
    """It spoils nothing."""
    found = faults(Pen().cut(box(0, 0, 30, 20)).ink([(0, 0), (30, 0)]))
    assert [(f.code, f.severity) for f in found] == [("doubled-across-operations", Severity.WARNING)]


def test_two_cuts_and_a_score_are_two_findings() -> None:
    """The cuts on each other, and all three across operations."""
    found = faults(Pen().cut(box(0, 0, 30, 20), [(0, 0), (30, 0)]).score([(0, 0), (30, 0)]))
    assert {f.code: len(f.places) for f in found} == {"doubled-line": 2, "doubled-across-operations": 3}


def test_all_operations_that_lie_on_each_other_are_named() -> None:
    """And a pen line beside them makes a fold on a cut no smaller a fault."""
    pen = Pen().cut(box(0, 0, 30, 20)).score([(0, 0), (30, 0)]).ink([(0, 0), (30, 0)])
    (found,) = [f for f in faults(pen) if f.code == "doubled-across-operations"]
    assert "3 lines (cut, score and draw) lie on each other over 60.00 mm" in found.problem
    assert "the fold would be cut through" in found.problem
    assert found.severity is Severity.ERROR


def test_a_mountain_on_a_valley() -> None:
    """Doubled, and a conflict."""
    pen = Pen().cut(box(0, 0, 30, 20)).score([(9, 0), (9, 20)], fold=1).score([(9, 20), (9, 0)], fold=-1)
    assert codes(pen) == ["doubled-line", "fold-conflict"]
    pen = Pen().cut(box(0, 0, 30, 20)).score([(9, 0), (9, 20)], fold=1).score([(9, 20), (9, 0)])
    assert codes(pen) == ["doubled-line"]


def test_a_slip_of_the_hand_is_a_near_double() -> None:
    """With the distance, which mending leaves alone."""
    found = faults(Pen().cut(box(0, 0, 30, 20), [(3, 0.3), (27, 0.3)]))
    assert [f.code for f in found] == ["near-double"]
    assert found[0].measure == pytest.approx(0.3)
    assert found[0].mend is Mend.NONE


@pytest.mark.parametrize(
    "pen",
    [
        Pen().cut([(0, 0), (20, 0), (20, 20), (10.4, 20), (10.4, 9), (10, 9), (10, 20), (0, 20), (0, 0)]),
        Pen().cut(box(0, 0, 30, 20)).score(*[[(9 + 0.7 * k, 0), (9 + 0.7 * k, 20)] for k in range(9)]),
        Pen().ink(*[[(0, 0.4 * k), (50, 0.4 * k)] for k in range(20)]),
        Pen().ink([(0, -1), (100, 1)], [(0, 0), (100, 0)], arc((0, -50), 50, 60, 120)),
        Pen().cut(*[box(9 * i, 9 * j, 7, 7) for i in range(6) for j in range(6)]),
        Pen().cut(circle((0, 0), 9), circle((0, 0), 7, 3.0)),
    ],
    ids=["slot", "folds 0.7 mm apart", "hatching", "flat crossings", "boxes", "rings"],
)
def test_what_is_meant_is_left_alone(pen: Pen) -> None:
    """Slots, regular folds, hatching, flat crossings, grids."""
    assert codes(pen) == []
