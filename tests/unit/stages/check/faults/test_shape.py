"""Crossing outlines, sharp inner corners, holes too small."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.model.findings.finding import Severity
from cutprep.stages.check.inspect import check
from tests.drawn import LIMITS, Pen, box, circle, faults


def test_an_outline_that_crosses_itself() -> None:
    """At one place."""
    found = faults(Pen().cut([(0, 0), (30, 20), (30, 0), (0, 20), (0, 0)]))
    assert [(f.code, f.severity, f.measure) for f in found] == [("self-crossing", Severity.ERROR, 1)]
    assert found[0].places[0].xy == pytest.approx((15, 10))


def test_two_outlines_over_each_other_and_a_cut_that_runs_out() -> None:
    """Parts that overlap are an error, a slit that runs out a warning."""
    found = faults(Pen().cut(box(0, 0, 20, 20), box(10, 10, 20, 20)))
    assert [(f.code, f.severity, f.measure) for f in found] == [("crossing-cuts", Severity.ERROR, 2)]
    found = faults(Pen().cut(box(0, 0, 20, 20), [(15, 10), (25, 10)]))
    assert [(f.code, f.severity, f.measure) for f in found] == [("crossing-cuts", Severity.WARNING, 1)]


def test_crossing_slits_are_meant() -> None:
    """A star to push something through."""
    assert faults(Pen().cut(box(0, 0, 30, 30), [(10, 15), (20, 15)], [(15, 10), (15, 20)])) == []


def _sharp(*points: object) -> list[float]:
    notes = check(Pen().cut(*points).drawing, LIMITS)
    return sorted(round(f.measure or 0) for f in notes if f.code == "sharp-inner-corner")


def test_inner_corners_that_tear() -> None:
    """A notch and a window; a pointed tip is no inner corner, nor is a right angle."""
    assert _sharp([(0, 0), (40, 0), (40, 20), (25, 20), (20, 5), (15, 20), (0, 20), (0, 0)]) == [37]
    assert _sharp(box(0, 0, 60, 60), [(20, 20), (40, 25), (20, 30), (20, 20)]) == [28]
    assert _sharp([(0, 0), (40, 5), (0, 10), (0, 0)]) == []
    assert _sharp(box(0, 0, 60, 60), box(10, 10, 20, 20)) == []
    assert _sharp([(0, 20), (0, 0), (40, 0), (40, 20), (25, 20), (20, 5), (15, 20), (0, 20)]) == [37]


def test_holes_in_which_the_blade_can_t_turn() -> None:
    """Only when the blade's offset is known; and the part itself is no hole."""
    pen = Pen().cut(box(0, 0, 30, 30), circle((15, 15), 0.4, sagitta=0.005))
    assert faults(pen) == []
    found = faults(pen, blade_offset=0.25)
    assert [(f.code, f.limit) for f in found] == [("hole-too-small", 1.0)]
    assert found[0].measure == pytest.approx(0.8, abs=0.02)
    assert faults(Pen().cut(box(0, 0, 30, 0.9)), blade_offset=0.25, strip=0.1) == []


def test_a_notch_where_a_fold_ends_is_no_sharp_corner() -> None:
    """Between a tab and a wall: both are folded away from each other there."""
    notched = [(0, 0), (40, 0), (40, 20), (25, 20), (20, 5), (15, 20), (0, 20), (0, 0)]
    drawn = Pen().cut(notched).score([(0, 5), (20, 5)])
    assert "sharp-inner-corner" not in {f.code for f in check(drawn.drawing, LIMITS)}


def test_a_notch_is_sharp_wherever_its_outline_begins() -> None:
    """Also when the drawing begins, and ends, in the notch's tip."""
    notched = [(20, 5), (15, 20), (0, 20), (0, 0), (40, 0), (40, 20), (25, 20)]
    for first in range(len(notched)):
        ring = notched[first:] + notched[:first]
        assert _sharp([*ring, ring[0]]) == [37]
        assert _sharp([*ring, ring[0]][::-1]) == [37]


@pytest.mark.parametrize("degrees", range(0, 360, 20))
def test_a_notch_is_sharp_however_the_card_lies(degrees: int) -> None:
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    ring = np.array([(20, 5), (15, 20), (0, 20), (0, 0), (40, 0), (40, 20), (25, 20), (20, 5)])
    assert _sharp(ring @ np.array([[c, s], [-s, c]])) == [37]
