"""Panels through one another."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cutprep.errors import Place
from cutprep.geometry.space.hinged import carry
from cutprep.stages.fold.closing.verdict.crossing import Posed, crossing_of, shrunk
from cutprep.stages.fold.findings.shape import told_crossings
from tests.folding import folded
from tests.nets import hex_prism

FLAT = np.eye(3)
#: Turned up by 90 degrees about the x axis.
UP = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])
SQUARE = shapely.box(0, 0, 40, 40)


def posed(shape: shapely.Polygon, turn: np.ndarray, shift: tuple[float, float, float]) -> Posed:
    small = shrunk(shape)
    away = np.array(shift, float)
    return small, carry(turn, away, shapely.get_coordinates(small)), turn, away


def test_the_length_of_a_crossing() -> None:
    """A panel of 20 stands half way through another: 20 less 0.4 at both ends."""
    standing = posed(shapely.box(10, -10, 30, 10), UP, (0, 20, 0))
    assert crossing_of(posed(SQUARE, FLAT, (0, 0, 0)), standing) == pytest.approx(20 - 2 * 0.4, abs=1e-6)


@pytest.mark.parametrize("lift", [0.0, 5.0])
def test_an_edge_that_touches_a_face_does_not_cross(lift: float) -> None:
    standing = posed(shapely.box(10, 0, 30, 20), UP, (0, 20, lift))
    assert crossing_of(posed(SQUARE, FLAT, (0, 0, 0)), standing) == 0.0


def test_parallel_panels_do_not_cross() -> None:
    assert crossing_of(posed(SQUARE, FLAT, (0, 0, 0)), posed(SQUARE, FLAT, (5, 5, 0.3))) == 0.0


@pytest.mark.parametrize(("slack", "found"), [(1.0, True), (3.0, False)])
def test_what_reaches_through_by_less_than_the_slack_is_let_pass(slack: float, found: bool) -> None:
    """The standing panel reaches 2 mm through, less the 0.4 that card gives way."""
    standing = posed(shapely.box(10, -2, 30, 20), UP, (0, 20, 0))
    assert (crossing_of(posed(SQUARE, FLAT, (0, 0, 0)), standing, slack=slack) > 0) is found


def test_a_pair_is_named_once_the_deepest_first_and_five_at_most() -> None:
    report = folded(hex_prism())
    pairs = [(0, k, float(k)) for k in range(1, 10)] + [(9, 0, 30.0), (0, 3, 2.0)]
    told = told_crossings(pairs, report, lambda xy: Place(xy=(float(xy[0]), float(xy[1]))))
    assert [m.measure for m in told] == [30.0, 8.0, 7.0, 6.0, 5.0]
    assert told[0].problem.startswith("panels A and J pass through one another over 30.0 mm")
    assert told[-1].problem.endswith("; so do 4 pairs more")
    assert told_crossings(pairs[:6], report, lambda _: Place())[-1].problem.endswith(
        "; so does one pair more"
    )
    assert len(told_crossings(pairs[:2], report, lambda _: Place())) == 2
