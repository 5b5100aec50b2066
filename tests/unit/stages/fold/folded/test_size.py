"""The room inside."""

from __future__ import annotations

import math

import pytest
import shapely

from cutprep.stages.fold.plan import fold
from tests.bench.fold_kinds import case_of
from tests.folding import TOLERANCE, folded
from tests.nets import (
    from_faces,
    frustum_net,
    gathered,
    hex_prism,
    ngon_tray,
    pyramid_net,
    tray,
    tuck_end,
    webbed_tray,
)


@pytest.mark.parametrize(
    ("length", "width", "wall"), [(210, 150, 30), (150, 210, 30), (120, 100, 12), (300, 299, 77.5)]
)
@pytest.mark.parametrize("t", [0.0, 0.3, 0.5, 1.0])
def test_a_tray_is_its_blank_less_two_walls(length: float, width: float, wall: float, t: float) -> None:
    """Walls on both sides take the thickness, the base takes half (the scores lie half way in)."""
    report = folded(tray(length, width, wall, 3, bare=True), thickness=t)
    inside = sorted((length - 2 * wall - t, width - 2 * wall - t), reverse=True)
    assert report.inside_mm == pytest.approx((*inside, wall - t / 2), abs=1e-6)
    assert report.drawn_mm is not None
    assert report.drawn_mm[2] == pytest.approx(wall)


def test_a_carton() -> None:
    assert folded(tuck_end(), thickness=0.5).inside_mm == pytest.approx((89.5, 59.5, 29.5))


def test_a_hexagon_across_flats() -> None:
    report = folded(hex_prism(40, 90), thickness=0.5)
    assert report.inside_mm is not None
    assert report.inside_mm[1] == pytest.approx(40 * math.sqrt(3) - 0.5)
    assert report.inside_mm[2] == pytest.approx(89.5)


def test_a_tapered_tray_says_base_and_rim() -> None:
    report = folded(webbed_tray())
    assert report.inside_mm == pytest.approx((114, 84, math.sqrt(40**2 - 7**2)))
    assert report.rim_mm is not None
    assert report.rim_mm[0] == pytest.approx((100, 70))
    assert report.rim_mm[1] == pytest.approx((114, 84))


def test_a_straight_box_does_not() -> None:
    assert folded(tray()).rim_mm is None


def test_a_pointed_bottom_measures_to_the_point() -> None:
    report = folded(gathered())
    assert report.inside_mm == pytest.approx((50, 50, 60 + math.sqrt(35**2 - 25**2)))


def test_a_box_stands_on_the_panel_that_its_walls_hang_on() -> None:
    """Its lid is as large and was drawn first, but hangs on one wall."""

    def face(x: float, y: float, width: float, height: float) -> list[tuple[float, float]]:
        return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]

    lid, back, base = face(30, 0, 90, 60), face(30, 60, 90, 30), face(30, 90, 90, 60)
    walls = [face(0, 90, 30, 60), face(120, 90, 30, 60), face(30, 150, 90, 30)]
    report = folded(from_faces([lid, back, base, *walls]))
    assert report.closes
    x, y = report.panels[report.base].inner_point[:2]
    assert shapely.box(30, 90, 120, 150).contains(shapely.Point(x, y))


@pytest.mark.parametrize("n", [3, 5, 8])
def test_height_of_a_tray_of_n_sides(n: int) -> None:
    report = folded(ngon_tray(n, 60, 20))
    assert report.inside_mm is not None
    assert report.inside_mm[2] == pytest.approx(20)


def test_height_of_frustum_and_pyramid() -> None:
    assert folded(frustum_net(6)).inside_mm[2] == pytest.approx(50)  # type: ignore[index]
    assert folded(pyramid_net(5)).inside_mm[2] == pytest.approx(50)  # type: ignore[index]


@pytest.mark.parametrize("seed", [3, 88123])
def test_the_base_of_a_box_that_widens_upwards_is_what_the_walls_hang_on(seed: int) -> None:
    """The flap that closes a ballotin is larger than its base: steps and pictures showed the box on its head."""
    case = case_of("ballotin", seed)
    (report,) = fold(case.drawing, tolerance=TOLERANCE)
    assert sum(report.base in (h.a, h.b) for h in report.hinges) == 4
    assert report.rim_mm is not None
    assert report.rim_mm[0] < report.rim_mm[1]
