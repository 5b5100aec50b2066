"""Alignment to a sheet that lies askew."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.errors import PlanError
from cutprep.geometry.affine import apply, compose, scale, shift, turn
from cutprep.stages.nest.align import align
from cutprep.stages.nest.nesting import AlignmentLimits

_PLAN = np.array([(10.0, 10.0), (290.0, 15.0), (20.0, 280.0), (280.0, 270.0)])


@pytest.mark.parametrize("points", [2, 3, 4])
def test_a_similarity_is_found_again(points: int) -> None:
    """Points moved by a known map give that map, and nothing is left over."""
    true = compose(shift(3.2, -1.7), turn(1.3), scale(1.002))
    found = align(_PLAN[:points], apply(true, _PLAN[:points]))
    assert np.allclose(found.matrix, true, atol=1e-9)
    assert found.residuals.max() < 1e-9
    assert found.turn == pytest.approx(1.3)
    assert found.scale == pytest.approx((1.002, 1.002))
    assert "turned by 1.300 degrees" in str(found)


def test_an_affine_map_is_found_again() -> None:
    """Two scales and a slant need three points."""
    true = np.array([[1.003, 0.004, 2.0], [-0.001, 0.998, 5.0]])
    found = align(_PLAN[:3], apply(true, _PLAN[:3]), "affine")
    assert np.allclose(found.matrix, true, atol=1e-9)


def test_residuals_are_the_least_squares_ones() -> None:
    """A point off by 0.9 mm: no small change of the map makes the sum of squares less."""
    mat = _PLAN + np.array([(0, 0), (0, 0), (0, 0), (0.9, 0.0)])
    found = align(_PLAN, mat)
    least = float((found.residuals**2).sum())
    assert 0 < least < 1.0
    for k in range(4):
        for step in (-1e-4, 1e-4):
            a, b, x, y = (step * (i == k) for i in range(4))
            m = found.matrix + np.array([[a, -b, x], [b, a, y]])
            off = apply(m, _PLAN) - mat
            assert float((off**2).sum()) >= least


@pytest.mark.parametrize(
    ("plan", "mat", "kind", "word"),
    [
        (_PLAN[:1], _PLAN[:1], "similarity", "1 reference point can't say"),
        (_PLAN[:2], _PLAN[:2], "affine", "2 reference points can't say"),
        ([(0, 0), (1, 1)], [(0, 0), (1, 1)], "similarity", "within 1.4 mm"),
        ([(0, 0), (50, 50), (90, 90)], [(0, 0), (50, 50), (90, 91)], "affine", "in one line"),
        (_PLAN, _PLAN * (-1, 1), "affine", "mirrored"),
        (_PLAN, _PLAN * 25.4, "similarity", "scale of 25.4"),
        (_PLAN[:2], _PLAN[:3], "similarity", "x and y"),
        (_PLAN * np.nan, _PLAN, "similarity", "not a finite"),
        (_PLAN, _PLAN, "rigid", "not known"),
    ],
)
def test_what_can_not_be_is_refused(plan: object, mat: object, kind: str, word: str) -> None:
    """With the reason."""
    with pytest.raises(PlanError, match=word):
        align(plan, mat, kind)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("mat", "kind", "word", "more"),
    [
        (_PLAN * 1.006, "similarity", "more than 0.5 %", AlignmentLimits(scale=1)),
        (
            _PLAN @ np.array([[1, 0], [0.004, 1]]),
            "affine",
            "slanted by 0.23 degrees",
            AlignmentLimits(skew=0.3),
        ),
        (
            _PLAN + np.array([(0, 0), (0, 0), (0, 0), (1.4, 1.4)]),
            "similarity",
            "mm beside",
            AlignmentLimits(off=2),
        ),
    ],
)
def test_a_sheet_that_lies_too_far_off_is_refused_until_more_is_allowed(mat, kind, word, more) -> None:
    with pytest.raises(PlanError, match=word):
        align(_PLAN, mat, kind)
    assert align(_PLAN, mat, kind, more).residuals.max() < 2


def test_nothing_is_told_as_minus_nothing() -> None:
    """What arithmetic leaves below the last digit has no sign."""
    plan = np.array([[9.0, 9.0], [200.0, 9.0], [200.0, 270.0], [9.0, 270.0]])
    told = str(align(plan, plan - 1e-7 * plan, "affine"))
    assert "-0.0" not in told
    assert "turned by 0.000 degrees, scale 1.00000, shifted by 0.00 mm, 0.00 mm" in told
