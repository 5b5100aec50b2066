"""What a chord cuts off, against shapely's areas and lengths and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import affinity

from cutprep.stages.fold.lacking.outlines import are_alike, cut_off, figures, is_among, with_breaks
from tests.folding import folded
from tests.nets import Sketch

L_SHAPE = np.array([(0, 0), (60, 0), (60, 20), (20, 20), (20, 50), (0, 50)], float)


def test_figures_of_a_rectangle() -> None:
    """Polar second moment of a rectangle about its centre: b h (b2 + h2) / 12 (Gere, Mechanics of Materials, appendix on plane areas)."""
    box = np.array([(10, 5), (50, 5), (50, 35), (10, 35)], float)
    moment = 40 * 30 * (40**2 + 30**2) / 12
    assert figures(box) == pytest.approx([np.sqrt(1200), 35, moment**0.25])


def test_pieces_of_a_chord_are_those_that_shapely_finds() -> None:
    one, two = cut_off(L_SHAPE, np.array([0]), np.array([3]))
    lower, upper = L_SHAPE[[0, 1, 2, 3]], L_SHAPE[[0, 3, 4, 5]]
    for got, ring in ((one[0], lower), (two[0], upper)):
        shape = shapely.Polygon(ring)
        assert got[:2] == pytest.approx([np.sqrt(shape.area), shape.length / 4])
        assert got == pytest.approx(figures(ring))


def test_a_piece_turned_and_turned_over_is_the_same() -> None:
    shape = affinity.scale(affinity.rotate(shapely.Polygon(L_SHAPE), 37), -1, 1)
    ring = shapely.get_coordinates(shapely.polygons(shape.exterior).normalize().exterior)[:-1][::-1]
    ring = ring if shapely.LinearRing(ring).is_ccw else ring[::-1]
    turned = figures(ring)[None]
    assert are_alike(figures(L_SHAPE)[None], turned).all()
    assert is_among(turned, figures(L_SHAPE)[None]).all()
    assert not is_among(turned + 1.0, figures(L_SHAPE)[None]).any()
    assert not is_among(turned, np.empty((0, 3))).any()


def test_where_a_side_is_drawn_in_pieces_a_score_may_have_ended() -> None:
    """A wall whose fold was forgotten: its outline still stops where the fold was to end."""
    s = (
        Sketch()
        .cut((0, 0), (50, 0))
        .cut((50, 0), (80, 0), (80, 40), (0, 40), (0, 0))
        .score((30, 0), (30, 40))
    )
    drawing = s.drawing()
    report = folded(drawing)
    assert not any((panel.outline == (50, 0)).all(axis=1).any() for panel in report.panels)
    broken = with_breaks(report, drawing.lines.xy)
    assert sum((panel.outline == (50, 0)).all(axis=1).any() for panel in broken.panels) == 1
    for before, after in zip(report.panels, broken.panels, strict=True):
        assert shapely.Polygon(after.outline).equals(shapely.Polygon(before.outline))
