"""Choosing among the ways a part may fold."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.model.folded import Certainty, Verdict
from tests.folding import angles_of, codes_of, folded
from tests.nets import Sketch, double_walled_tray, drum, sleeve, tray


def rounded_tray(
    radius: float, *, bevel: bool = False, length: float = 150, width: float = 90, wall: float = 30
) -> Sketch:
    """A tray with the free corners of its long walls rounded or cut off."""
    s = Sketch("rounded tray")
    base = [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)]
    for k in range(4):
        p, q = np.array(base[k]), np.array(base[(k + 1) % 4])
        size = float(np.hypot(*(q - p)))
        u = (q - p) / size
        out = np.array([u[1], -u[0]])
        s.score(tuple(p), tuple(q))
        r = radius if k % 2 == 0 else 0.0
        if r and bevel:
            shape = [(0, wall - r), (r, wall), (size - r, wall), (size, wall - r)]
        elif r:
            t = np.linspace(0, math.pi / 2, max(7, round(2 * r)))
            left = [(r - r * math.cos(a), wall - r + r * math.sin(a)) for a in t]
            shape = left + [(size - x, y) for x, y in reversed(left)]
        else:
            shape = [(0, wall), (size, wall)]
        s.cut(*[tuple(p + u * x + out * y) for x, y in [(0, 0), *shape, (size, 0)]])
    return s


@pytest.mark.parametrize("radius", [2, 4, 8, 15])
def test_rounded_corners_at_the_rim(radius: float) -> None:
    report = folded(rounded_tray(radius))
    assert report.verdict is Verdict.OPEN_BOX
    assert report.gap < 0.2
    assert report.inside_mm == pytest.approx((150, 90, 30), abs=0.1)


@pytest.mark.parametrize("radius", [2, 5, 8])
def test_cut_off_corners_at_the_rim(radius: float) -> None:
    report = folded(rounded_tray(radius, bevel=True))
    assert report.verdict is Verdict.OPEN_BOX
    assert report.inside_mm == pytest.approx((150, 90, 30), abs=0.01)


def test_a_disc_of_many_sides_is_no_rounded_corner() -> None:
    report = folded(drum(48))
    assert report.verdict is Verdict.CLOSED
    assert angles_of(report) == {7.5, 90.0}


def test_a_sleeve_stays_movable_and_says_so() -> None:
    report = folded(sleeve())
    assert report.verdict is Verdict.MOVABLE
    assert codes_of(report) == ["movable"]
    assert report.example
    assert report.inside_mm == pytest.approx((60, 30, 90))


def test_walls_turned_in_lie_on_their_own_wall() -> None:
    report = folded(double_walled_tray())
    assert report.verdict is Verdict.OPEN_BOX
    assert codes_of(report).count("flap-turned-in") == 2
    assert angles_of(report) == {90.0, 180.0}


def test_the_same_drawing_gives_the_same_answer() -> None:
    one, two = folded(tray()), folded(tray())
    assert [h.angle for h in one.hinges] == [h.angle for h in two.hinges]
    assert one.certainty is two.certainty is Certainty.INFERRED
