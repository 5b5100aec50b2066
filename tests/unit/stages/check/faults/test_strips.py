"""Narrow strips."""

from __future__ import annotations

import pytest

from tests.drawn import Pen, box, codes, faults


def test_a_hole_near_the_edge_leaves_a_thin_strip() -> None:
    """With its width; twice as wide is fine."""
    found = faults(Pen().cut(box(0, 0, 30, 30), box(1.1, 5, 10, 10)))
    assert [f.code for f in found] == ["thin-strip"]
    assert found[0].measure == pytest.approx(1.1)
    assert found[0].limit == 1.5
    assert codes(Pen().cut(box(0, 0, 30, 30), box(2.2, 5, 10, 10))) == []


def test_the_limit_is_that_of_the_stock() -> None:
    """Thick board holds less."""
    pen = Pen().cut(box(0, 0, 30, 30), box(2.2, 5, 10, 10))
    assert codes(pen, strip=3.0) == ["thin-strip"]
    assert codes(pen, strip=0.05) == []


def test_a_narrow_tab_is_a_strip_and_a_narrow_slot_is_none() -> None:
    """Card between the cuts tears; waste falls out."""
    tab = [(0, 0), (30, 0), (30, 20), (16, 20), (16, 30), (15, 30), (15, 20), (0, 20), (0, 0)]
    slot = [(0, 0), (30, 0), (30, 20), (16, 20), (16, 10), (15, 10), (15, 20), (0, 20), (0, 0)]
    assert codes(Pen().cut(tab)) == ["thin-strip"]
    assert codes(Pen().cut(slot)) == []


def test_two_parts_side_by_side_leave_a_strip_of_waste() -> None:
    """It catches on the blade."""
    assert codes(Pen().cut(box(0, 0, 30, 30), box(31, 0, 30, 30))) == ["thin-strip"]


def test_a_strip_told_as_a_near_double_is_not_told_again() -> None:
    """One fault, one finding."""
    assert codes(Pen().cut(box(0, 0, 30, 20), [(3, 0.3), (27, 0.3)])) == ["near-double"]


def test_the_sides_of_a_corner_are_no_strip() -> None:
    """Nor are cuts that cross."""
    assert codes(Pen().cut([(0, 0), (40, 0), (40, 12), (0, 0)])) == []
    assert codes(Pen().cut(box(-50, -50, 100, 100), [(-20, -2), (20, 2)], [(-20, 0), (20, 0)])) == []


def test_a_fold_right_beside_a_cut() -> None:
    """It folds badly; a fold in pieces is one finding."""
    found = faults(Pen().cut(box(0, 0, 30, 20)).score([(29, 0), (29, 9)], [(29, 9), (29, 20)]))
    assert [(f.code, round(f.measure or 0, 3)) for f in found] == [("score-near-cut", 1.0)]
    assert len(found[0].places) == 3


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_strip_further_along_lines_that_nearly_double_is_told_as_well(mirrored: bool) -> None:
    """The slit runs 0.3 mm beside the edge, steps away, and comes back to 1.1 mm from the same edge; either way round."""
    slit = [(3, 0.3), (20, 0.3), (20, 6), (40, 6), (40, 1.1), (55, 1.1)]
    found = faults(Pen().cut(box(0, 0, 60, 30), [(60 - x, y) for x, y in slit] if mirrored else slit))
    assert [f.code for f in found] == ["near-double", "thin-strip"]
    assert found[1].measure == pytest.approx(1.1)
