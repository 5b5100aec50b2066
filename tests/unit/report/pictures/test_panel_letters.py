"""Where a letter stands on a panel."""

from __future__ import annotations

import pytest
import shapely

from cutprep.report.pictures.panel_letters import letter_place


@pytest.mark.parametrize("off", [0.0, 1e-13, -1e-13])
def test_the_letter_of_a_bent_panel_stands_near_its_middle_whatever_the_last_digit(off: float) -> None:
    """Its arms are equally wide all along: the letter jumped from one end of them to the other with the last digit."""
    bent = shapely.Polygon([(10, 0), (50, 0), (50, 10 + off), (10, 10), (10, 30 - off), (0, 30), (0, 10)])
    place, room = letter_place(bent, 0.05)
    assert place[0].tolist() == pytest.approx([20.5, 5.25], abs=0.1)
    assert bent.boundary.distance(shapely.Point(place[0])) == pytest.approx(room, abs=0.05)
    assert 4.7 < room <= 4.8


def test_the_middle_is_kept_where_it_is_wide_enough() -> None:
    place, room = letter_place(shapely.box(0, 0, 40, 10), 0.05)
    assert place.tolist() == [[20.0, 5.0]]
    assert room == 5.0


def test_a_shape_as_thin_as_rounding_has_a_place_all_the_same() -> None:
    thin = shapely.Polygon([(0, 0), (40, 0), (40, 1e-12), (0, 1e-12)])
    place, room = letter_place(thin, 0.05)
    assert thin.distance(shapely.Point(place[0])) < 1e-6
    assert room < 1e-6
