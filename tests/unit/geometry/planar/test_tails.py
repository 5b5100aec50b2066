"""Tails: what runs past the outline, and what was meant."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from cutprep.geometry.planar.plane import Plane
from tests.drawn import LIMITS, Pen, box


def plane(pen: Pen) -> Plane:
    return Plane(pen.lines, LIMITS)


CORNERS = Pen().cut([(-4, 0), (50, 0)], [(50, 0), (50, 30)], [(50, 30), (0, 30)], [(0, 30), (0, 0)])


def test_a_side_that_runs_over_its_corner() -> None:
    tails = plane(CORNERS).overruns
    assert tails.length.tolist() == [pytest.approx(4)]
    assert tails.tip[0].tolist() == [-4, 0]
    assert tails.root[0].tolist() == pytest.approx([0, 0])
    assert tails.outside.tolist() == [True]


def test_past_a_corner_into_the_card() -> None:
    """At a corner that points inwards, what runs over slits the card."""
    sides = [(0, 0), (60, 0), (60, 20), (30, 20), (30, 40), (0, 40), (0, 0)]
    strokes = [list(pair) for pair in pairwise(sides)]
    strokes[3] = [(30, 15), (30, 40)]
    tails = plane(Pen().cut(*strokes)).overruns
    assert tails.length.tolist() == [pytest.approx(5)]
    assert tails.outside.tolist() == [False]


def test_a_slit_from_the_outline_is_meant() -> None:
    assert len(plane(Pen().cut(*_strokes(), [(20, 0), (20, 8)])).overruns) == 0


def test_a_slit_that_goes_on_from_a_side_to_a_fold_is_meant() -> None:
    sides = [(0, 0), (60, 0), (60, 20), (30, 20), (30, 40), (0, 40), (0, 0)]
    strokes = [list(pair) for pair in pairwise(sides)]
    strokes[3] = [(30, 12), (30, 40)]
    assert len(plane(Pen().cut(*strokes).score([(0, 12), (60, 12)])).overruns) == 0


def test_a_cut_that_leads_away_from_an_outline_sprouts() -> None:
    sprouts = plane(Pen().cut(*_strokes(), [(20, 0), (20, -9)])).sprouts
    assert sprouts.length.tolist() == [pytest.approx(9)]


def test_where_a_whole_outline_is_crossed_the_crossing_is_the_fault() -> None:
    found = plane(Pen().cut(box(0, 0, 50, 30), [(-5, 15), (55, 15)]))
    assert len(found.tails) == 2
    assert len(found.overruns) == 0
    assert len(found.ring_crossings) == 2


def _strokes() -> list[list[tuple[float, float]]]:
    corners = box(0, 0, 50, 30)
    return [corners[k : k + 2] for k in range(4)]


def test_edges_of_a_tail_lead_from_its_tip_to_its_root() -> None:
    found = plane(Pen().cut(*_strokes(), [(20, 0), (20, -5)], [(20, -5), (26, -9)]))
    (tail,) = range(len(found.tails))
    assert found.tails.length[tail] == pytest.approx(5 + np.hypot(6, 4))
    assert len(found.tails.edges(tail)) == 2
