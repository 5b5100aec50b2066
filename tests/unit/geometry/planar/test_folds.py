"""How fold lines end, and what cuts do to them."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.closeness.neighbours import neighbours
from cutprep.geometry.planar.folds import Ending, Endings, find_endings
from cutprep.geometry.planar.plane import Plane
from cutprep.model.operation import Operation
from tests.drawn import LIMITS, Pen, box, circle


def endings(pen: Pen) -> Endings:
    """What is wrong with the folds of a drawing."""
    lines = pen.lines
    cuts, folds = lines.operation == Operation.CUT, lines.operation == Operation.SCORE
    near = neighbours(lines, 1.5, spot=0.1)
    return find_endings(lines, folds, cuts, near, lambda: Plane(lines, LIMITS).outlines, LIMITS)


@pytest.mark.parametrize(
    "fold",
    [
        [(15, 0), (15, 20)],
        [(15, 0.04), (15, 19.96)],
        [(0, 0), (30, 20)],
        [(0, 10), (15, 10), (30, 5)],
    ],
)
def test_folds_from_edge_to_edge_are_fine(fold: list) -> None:
    """Also from corner to corner, and with a bend."""
    assert len(endings(Pen().cut(box(0, 0, 30, 20)).score(fold))) == 0


def test_folds_that_meet_folds_are_fine() -> None:
    """End to end, or on the side."""
    pen = Pen().cut(box(0, 0, 30, 20)).score([(15, 0), (15, 20)], [(15, 8), (30, 8)], [(0, 4), (5, 9)])
    assert len(endings(pen.score([(5, 9), (15, 9)]))) == 0


@pytest.mark.parametrize(
    ("name", "fold", "kind", "distance", "target"),
    [
        ("past", [(15, 0), (15, 21.2)], Ending.OVERSHOOT, 1.2, (15, 20)),
        ("far past", [(15, 0), (15, 29)], Ending.OVERSHOOT, 9, (15, 20)),
        ("past in pieces", [(15, 0), (15, 20.5), (15, 21.2)], Ending.OVERSHOOT, 1.2, (15, 20)),
        ("short", [(15, 0), (15, 18.5)], Ending.UNDERSHOOT, 1.5, (15, 20)),
        ("in the panel", [(15, 0), (15, 12)], Ending.PANEL, np.nan, None),
        ("outside", [(15, 25), (25, 25)], Ending.OVERSHOOT, 10, None),
    ],
)
def test_ends_that_are_wrong(
    name: str, fold: list, kind: Ending, distance: float, target: tuple | None
) -> None:
    """With how far, and where they should end."""
    found = endings(Pen().cut(box(0, 0, 30, 20)).score(fold))
    assert Ending(int(found.kind[0])) is kind, name
    assert len(found) == (2 if name == "outside" else 1)
    assert found.distance[0] == pytest.approx(distance, nan_ok=True)
    if target is not None:
        assert found.target[0] == pytest.approx(target)


def test_a_fold_past_the_corner_where_it_should_end() -> None:
    """Beyond the end of another fold there is card, and still the fold runs past it."""
    pen = Pen().cut(box(0, 0, 30, 20)).score([(0, 10), (15, 10)], [(15, 0), (15, 11.5)])
    found = endings(pen)
    assert found.kind.tolist() == [Ending.OVER]
    assert found.distance[0] == pytest.approx(1.5)
    assert found.target[0] == pytest.approx((15, 10))


def test_a_fold_drawn_in_pieces_counts_as_one() -> None:
    """Over a hole with a joint in its middle, and past the outline with one beyond it."""
    hole = circle((15, 10), 4)
    pen = Pen().cut(box(0, 0, 30, 20), hole).score([(15, 0), (15, 10)], [(15, 10), (15, 20)])
    found = endings(pen)
    assert found.kind.tolist() == [Ending.HOLE]
    assert found.distance[0] == pytest.approx(8, abs=0.05)
    pen = Pen().cut(box(0, 0, 30, 20)).score([(15, 0), (15, 20.4)], [(15, 20.4), (15, 22)])
    assert endings(pen).distance.tolist() == pytest.approx([2])


def test_the_slits_of_a_strip_that_pops_up_are_meant() -> None:
    """At both ends a fold begins, on one side; not so where it begins on the other side, or at one end only."""
    slits = [[(10, 4), (10, 18)], [(20, 4), (20, 18)]]
    pen = Pen().cut(box(0, 0, 30, 20), *slits).score([(0, 10), (30, 10)])
    assert endings(pen).kind.tolist() == [Ending.SEVERED] * 2
    low, high = [(10, 4), (20, 4)], [(10, 18), (20, 18)]
    assert len(endings(pen.score(low, high))) == 0
    one = Pen().cut(box(0, 0, 30, 20), slits[0]).score([(0, 10), (30, 10)])
    assert Ending.SEVERED in endings(one.score([(10, 4), (30, 4)])).kind
    assert Ending.SEVERED in endings(one.score([(10, 18), (0, 18)])).kind


def test_a_slit_severs_a_hinge() -> None:
    """A slit that ends on the fold does not."""
    severed = endings(Pen().cut(box(0, 0, 30, 20), [(10, 8), (20, 9)]).score([(15, 0), (15, 20)]))
    assert severed.kind.tolist() == [Ending.SEVERED]
    assert severed.xy[0] == pytest.approx((15, 8.5))
    assert len(endings(Pen().cut(box(0, 0, 30, 20), [(15, 8), (20, 9)]).score([(15, 0), (15, 20)]))) == 0


def test_a_fold_over_two_parts_leaves_the_card_between_them() -> None:
    """The stretch between the parts is told once."""
    found = endings(Pen().cut(box(0, 0, 10, 20), box(20, 0, 10, 20)).score([(0, 10), (30, 10)]))
    assert found.kind.tolist() == [Ending.OVERSHOOT]
    assert found.distance.tolist() == pytest.approx([10])
    assert found.xy[0] == pytest.approx((15, 10))


def test_without_cuts_or_folds_there_is_nothing_to_say() -> None:
    """Neither alone is wrong."""
    assert len(endings(Pen().cut(box(0, 0, 9, 9)))) == 0
    assert len(endings(Pen().score([(0, 0), (9, 0)]))) == 0
