"""Outlines that don't close."""

from __future__ import annotations

import pytest

from cutprep.model.findings.finding import Mend, Severity
from cutprep.stages.check.inspect import check
from tests.drawn import LIMITS, Pen, arc, box, codes, faults

SIDES = [[(0, 0), (30, 0)], [(30, 0), (30, 20)], [(30, 20), (0, 20)], [(0, 20), (0, 0)]]


def test_a_gap_names_both_ends() -> None:
    """And its width; mending closes it."""
    found = faults(Pen().cut([(0.3, 0), (30, 0)], *SIDES[1:]))
    assert [f.code for f in found] == ["gap"]
    assert found[0].measure == pytest.approx(0.3)
    assert found[0].mend is Mend.SAFE
    assert [p.xy for p in found[0].places] == [pytest.approx((0.3, 0)), pytest.approx((0, 0))]


def test_ends_within_a_twentieth_meet() -> None:
    """That is what the hand can do."""
    assert codes(Pen().cut([(0.04, 0), (30, 0)], *SIDES[1:])) == []


def test_an_end_short_of_the_inside_of_a_line_is_a_gap() -> None:
    """A slit that stops half a millimetre before the outline."""
    found = faults(Pen().cut(box(0, 0, 30, 20), [(9, 0.5), (9, 9)]))
    assert [(f.code, round(f.measure or 0, 3)) for f in found] == [("gap", 0.5)]


def test_a_corner_drawn_past_itself_is_a_gap_not_a_crossing() -> None:
    """Both ends run 0.4 mm too far."""
    pen = Pen().cut([(0, 0), (30.4, 0)], [(30, -0.4), (30, 20)], *SIDES[2:])
    assert codes(pen) == ["gap"]


def test_a_missing_side_is_an_open_outline() -> None:
    """An error outside every part; a warning inside one."""
    found = faults(Pen().cut([(5, 0), (30, 0)], *SIDES[1:]))
    assert [(f.code, f.severity) for f in found] == [("open-outline", Severity.ERROR)]
    assert found[0].measure == pytest.approx(5)
    inside = faults(Pen().cut(box(-20, -20, 80, 80), arc((10, 10), 9, 10, 350)))
    assert [(f.code, f.severity) for f in inside] == [("open-outline", Severity.WARNING)]


@pytest.mark.parametrize(
    "pen",
    [
        Pen().cut(box(-20, -20, 80, 80), [(0, 0), (0, 9), (9, 9), (9, 0)]).score([(0, 0), (9, 0)]),
        Pen().cut(box(-20, -20, 80, 80), arc((10, 10), 9, 10, 350)).score([arc((10, 10), 9, 10, 350)[k] for k in (0, -1)]),
        Pen().cut([(0, 0), (30, 0), (30, 20), (0, 20)]).perforate([(0, 0), (0, 20)]),
        Pen().cut(box(0, 0, 30, 20), [(10, 0), (10, 9)], [(20, 5), (20, 12)]),
    ],
    ids=["flap", "hinged lid", "tear-off", "slits"],
)  # fmt: skip
def test_what_is_meant_to_stay_open(pen: Pen) -> None:
    """Flaps on a hinge, coupons on a perforation, slits."""
    assert codes(pen) == []


def test_cuts_that_lead_nowhere() -> None:
    """A short one alone is a stub; a long one outside is unfinished."""
    assert codes(Pen().cut(box(0, 0, 30, 20), [(9, 9), (9, 10.5)])) == ["stub"]
    assert codes(Pen().cut(box(0, 0, 30, 20), [(50, 0), (80, 0)])) == ["unfinished-chain"]


def test_a_perforation_drawn_dash_by_dash_is_noted() -> None:
    """It is cut as drawn."""
    pen = Pen().cut(box(0, 0, 30, 40), *[[(15, 1 + 3.6 * k), (15, 4 + 3.6 * k)] for k in range(10)])
    assert codes(pen) == []
    note = next(f for f in check(pen.drawing, LIMITS) if f.code == "dashes")
    assert note.severity is Severity.NOTE
    assert note.measure == 10


@pytest.mark.parametrize(("past", "mend"), [(11.9, Mend.SAFE), (12.1, Mend.ASK)])
def test_a_cut_that_runs_far_past_is_trimmed_only_when_asked(past: float, mend: Mend) -> None:
    pen = Pen().cut([(-past, 0), (60, 0)], [(60, 0), (60, 40), (0, 40), (0, 0)])
    (found,) = [f for f in faults(pen) if f.code == "cut-past-outline"]
    assert (found.mend, found.measure) == (mend, pytest.approx(past))
    assert f"runs {past:.2f} mm past the outline: it would slit what lies beside the part" in found.problem
