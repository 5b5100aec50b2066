"""Fold angles read off the corners of a convex body."""

from __future__ import annotations

import math

import pytest

from cutprep.stages.fold.closing.zip.start import corner_folds


def test_a_box_corner_is_square() -> None:
    assert corner_folds((90.0, 90.0, 90.0)) == pytest.approx([90.0] * 3)


@pytest.mark.parametrize(
    ("angles", "dihedral"),
    [
        ((60.0,) * 3, 70.528779),
        ((60.0,) * 4, 109.471221),
        ((108.0,) * 3, 116.565051),
        ((60.0,) * 5, 138.189685),
    ],
)
def test_corners_of_the_regular_solids(angles: tuple[float, ...], dihedral: float) -> None:
    """Dihedral angles of the regular solids, closed forms."""
    assert corner_folds(angles) == pytest.approx([180 - dihedral] * len(angles), abs=1e-6)


def test_three_panels_obey_the_cosine_rule() -> None:
    """cos A = (cos a - cos b cos c) / (sin b sin c), spherical trigonometry."""
    a, b, c = 95.0, 82.0, 74.0
    folds = corner_folds((a, b, c))
    assert folds is not None
    # the fold between panels b and c is opposite panel a
    ra, rb, rc = (math.radians(v) for v in (a, b, c))
    dihedral = math.degrees(
        math.acos((math.cos(ra) - math.cos(rb) * math.cos(rc)) / (math.sin(rb) * math.sin(rc)))
    )
    assert folds[1] == pytest.approx(180 - dihedral, abs=1e-9)


def test_one_wide_panel_is_beyond_the_circles_centre() -> None:
    ra, rb, rc = (math.radians(v) for v in (120.0, 70.0, 60.0))
    dihedral = math.degrees(
        math.acos((math.cos(ra) - math.cos(rb) * math.cos(rc)) / (math.sin(rb) * math.sin(rc)))
    )
    folds = corner_folds((120.0, 70.0, 60.0))
    assert folds is not None
    assert folds[1] == pytest.approx(180 - dihedral, abs=1e-9)


@pytest.mark.parametrize(
    "angles", [(90.0, 90.0), (130.0, 120.0, 120.0), (150.0, 60.0, 60.0), (179.8, 90.0, 89.0)]
)
def test_what_is_no_convex_corner_gives_none(angles: tuple[float, ...]) -> None:
    assert corner_folds(angles) is None


def test_card_all_round_a_corner_lies_flat() -> None:
    """Noise may add up to a little more than 360 degrees."""
    assert corner_folds((120.0, 120.0, 120.4)) == [0.0, 0.0, 0.0]


@pytest.mark.parametrize("n", [24, 64, 200])
def test_a_disc_of_many_sides(n: int) -> None:
    """Between two walls the fold is 360 / n, to the disc 90."""
    folds = corner_folds((180.0 - 360.0 / n, 90.0, 90.0))
    assert folds == pytest.approx([90.0, 360.0 / n, 90.0])
