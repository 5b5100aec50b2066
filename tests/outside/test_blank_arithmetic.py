"""Sizes of blanks against arithmetic that stands outside the project.

Sources: a tray's blank is L + 2H by W + 2H (common practice, no published source; the same rule stands in
paper-box tutorials). A blank of 8 1/4 by 5 3/4 in scored at 1 1/8 in on all four sides gives a base of 6 by 3 1/2
in (common practice, no published source). Side of a regular hexagon: width across flats / sqrt 3 (Euclid).
"""

from __future__ import annotations

import math

import pytest

from cutprep.model.operation import Operation
from cutprep.template.kinds import kind_named

INCH = 25.4


def test_blank_of_a_tray() -> None:
    drawing = kind_named("tray").from_values(length=150, width=90, height=30, tab=14, caliper=0)
    assert drawing.page == (150 + 60, 90 + 60)


def test_the_tray_that_is_taught_in_inches() -> None:
    drawing = kind_named("tray").from_values(
        length=6 * INCH, width=3.5 * INCH, height=1.125 * INCH, tab=20, caliper=0
    )
    assert drawing.page == pytest.approx((8.25 * INCH, 5.75 * INCH))
    scores = [line for line in drawing.lines if line.operation is Operation.SCORE]
    upright = sorted(
        {round(line.points[0][0], 6) for line in scores if line.points[0][0] == line.points[1][0]}
    )
    assert upright == pytest.approx([1.125 * INCH, (1.125 + 6) * INCH])


def test_walls_of_a_hexagonal_carton() -> None:
    drawing = kind_named("prism-carton").from_values(sides=6, width=60, height=90, flap=7, seam=9, caliper=0)
    side = 60 / math.sqrt(3)
    scores = [line for line in drawing.lines if line.operation is Operation.SCORE]
    walls = [line for line in scores if abs(line.points[0][0] - line.points[1][0]) < 1e-9]
    xs = sorted(
        line.points[0][0] for line in walls if abs(line.points[0][1] - line.points[1][1]) == pytest.approx(90)
    )
    assert xs == pytest.approx([side * i for i in range(1, 7)])
    assert len(scores) == 6 + 2 + 10  # walls and seam, base and lid, their flaps
    left, bottom, right, top = drawing.lines.bounds
    assert right - left == pytest.approx(6 * side + 9)
    assert top - bottom == pytest.approx(90 + 2 * (60 + 7))


def test_an_inside_size_gains_one_caliper_between_scores() -> None:
    """Crease to crease = inside + one caliper (common practice, no published source)."""
    thin, thick = (kind_named("tray").from_values(caliper=t).page for t in (0.0, 0.4))
    assert thin is not None
    assert thick is not None
    assert thick[0] - thin[0] == pytest.approx(0.4 + 2 * 0.2)
