"""One change of mending, seen before and after."""

from __future__ import annotations

import re

import pytest

from cutprep.errors import Place
from cutprep.report.pictures.mended import change_picture
from cutprep.stages.mend.change import told
from tests.drawn import Pen

GAP = Pen().cut([(0, 0), (60, 0), (60, 40), (0, 40), (0, 0.5)]).lines
SHUT = Pen().cut([(0, 0), (60, 0), (60, 40), (0, 40), (0, 0)]).lines
CHANGE = told("closed-gap", "", "", (Place(xy=(0, 0)), Place(xy=(0, 0.5))), 0.5, 0.8)


def test_both_are_seen_with_a_ring_at_each_place() -> None:
    picture = change_picture(GAP, SHUT, CHANGE)
    assert ">as drawn<" in picture
    assert ">mended<" in picture
    assert picture.count("<circle") == 4
    upright = re.findall(r'd="M(?:27|79) 5.72L(?:27|79) ([\d.]+)"', picture)
    short, whole = map(float, upright)
    # Six times the gap is seen on either side of it, so that it is a twelfth of the look's 50 mm.
    assert whole - short == pytest.approx(50 / 12, abs=0.02)


def test_a_change_without_a_place_has_no_picture() -> None:
    assert change_picture(GAP, SHUT, told("closed-gap", "", "", ())) == ""
