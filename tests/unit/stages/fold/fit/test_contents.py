"""What goes into a box."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from cutprep.errors import JobError
from cutprep.stages.fold.fit.contents import holds, room_volume, set_in_tray
from cutprep.stages.fold.fit.floor_packing import in_rows, no_fit_polygon, place_footprints
from tests.folding import folded
from tests.nets import hex_prism, pillow, tray, tuck_end, webbed_tray


@pytest.mark.parametrize(
    ("size", "clearance", "count"),
    [
        ((72, 88, 30), 0.0, 2),
        ((74.6, 88, 30), 1.0, 1),  # 75.6 x 2 is more than 150
        ((88, 72, 30), 0.0, 2),  # turned
        ((30, 60, 20), 1.0, 4),
        ((40, 40, 60), 0.0, 0),
        ((150, 90, 30), 0.0, 1),  # an exact fit
        ((150.1, 90, 30), 0.0, 0),
        ((10, 10, 10), 0.0, 405),
    ],
)
def test_upright_things_in_a_tray_of_150_x_90_x_30(
    size: tuple[float, float, float], clearance: float, count: int
) -> None:
    got = holds(folded(tray()), size, clearance=clearance, lying=False)
    assert got.count == count
    assert got.fits is (count > 0)


@pytest.mark.parametrize("over", [5e-4, 9.9e-4])
@pytest.mark.parametrize(
    ("size", "count"), [((150, 90, 30), 1), ((75, 45, 30), 4), ((50, 30, 30), 9), ((30, 30, 10), 45)]
)
def test_a_thousandth_of_a_millimetre_too_large_still_fits(
    size: tuple[float, float, float], count: int, over: float
) -> None:
    """4 in of 25.4 mm written with three digits must go into 4 in."""
    length, width, height = (v + over for v in size)
    assert holds(folded(tray()), (length, width, height), lying=False).count == count


def test_a_hundredth_too_large_does_not_fit() -> None:
    assert holds(folded(tray()), (150.01, 90, 30), lying=False).count == 0
    assert holds(folded(tray()), (150, 90, 30.01), lying=False).count == 0


def test_a_thing_may_lie_down() -> None:
    got = holds(folded(tray()), (30, 20, 80))
    assert got.count > 0
    assert holds(folded(tray()), (30, 20, 80), lying=False).count == 0


def test_exact_only_when_no_more_can_go_in() -> None:
    assert holds(folded(tray()), (72, 88, 30), lying=False).words.startswith("exactly 2")
    assert holds(folded(hex_prism()), (30, 30, 30)).words.startswith("at least")


def test_askew() -> None:
    """A strip longer than either side of 150 x 90 goes in along a diagonal of 174.9; one that is longer still does not."""
    got = holds(folded(tray()), (165, 5, 29), lying=False)
    assert (got.count, got.words) == (1, "one fits when it stands askew")
    assert holds(folded(tray()), (172, 5, 29), lying=False).count == 0


def test_a_strip_stands_from_corner_to_corner_of_a_hexagon() -> None:
    """80 mm across the corners of a side of 40, where 77 x 2 and 76 x 3 have room; 80 x 2 has none."""
    carton = folded(hex_prism(40, 90))
    assert holds(carton, (77, 2, 89), lying=False).count == 2
    assert holds(carton, (80, 2, 89), lying=False).count == 0


def test_things_stand_inside_and_apart() -> None:
    report = folded(hex_prism(40, 90), thickness=0.5)
    got = holds(report, (22, 15, 40), clearance=1.0, lying=False)
    assert got.count >= 8
    along, across, up = got.upright
    boxes = []
    for s in got.spots:
        a, b = (along, across) if s.turn == 0 else (across, along)
        boxes.append((s.x - a / 2, s.y - b / 2, s.z, s.x + a / 2, s.y + b / 2, s.z + up))
        for x in (boxes[-1][0], boxes[-1][3]):
            for y in (boxes[-1][1], boxes[-1][4]):
                for z in (boxes[-1][2], boxes[-1][5]):
                    out = report.inside_planes[:, :3] @ np.array([x, y, z]) - report.inside_planes[:, 3]
                    assert out.max() < 1e-6
    for i, p in enumerate(boxes):
        for q in boxes[i + 1 :]:
            beside = max(p[0] - q[3], q[0] - p[3], p[1] - q[4], q[1] - p[4])
            above = max(p[2] - q[5], q[2] - p[5])
            # Side by side with room between them, or standing on each other; a thousandth is let pass.
            assert beside > 1.0 - 1.001e-3 or above > -1.001e-3


def test_a_taper_holds_less_at_its_base() -> None:
    report = folded(webbed_tray())
    assert holds(report, (100, 70, 39), lying=False).count == 1
    assert holds(report, (110, 80, 39), lying=False).count == 0
    assert holds(report, (110, 80, 10), lying=False).count == 0  # the base is 100 x 70


def test_volume_of_the_room() -> None:
    assert room_volume(folded(hex_prism(40, 90))) == pytest.approx(1.5 * math.sqrt(3) * 40**2 * 90)


@pytest.mark.parametrize(("side", "count"), [(40, 2), (25, 5)])
def test_hexagonal_cartons_in_a_tray(side: float, count: int) -> None:
    got = set_in_tray(folded(tray()), folded(hex_prism(side, 90)), clearance=1.0)
    assert got.count == count
    assert "60.0 mm above the rim" in got.words
    assert "0.5 mm to the wall" in got.words


def test_thick_card_makes_boxes_larger_and_trays_smaller() -> None:
    """Two boxes of 74 wide in 150: at 0 mm they fit, with 0.5 mm card their outsides are 74.5 and the tray 149.5."""
    box = tuck_end(74, 88, 25)
    assert set_in_tray(folded(tray()), folded(box), clearance=0.6).count == 2
    thick = set_in_tray(folded(tray(), thickness=0.5), folded(box, thickness=0.5), clearance=0.6)
    assert thick.count == 1


def test_no_fit_region_of_two_squares() -> None:
    square = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], float) * 5
    ring = no_fit_polygon(square, square)
    assert shapely.Polygon(ring).area == pytest.approx(400)
    assert shapely.LinearRing(ring).is_ccw


def test_rows_and_greedy_agree_on_a_rectangle() -> None:
    floor = shapely.box(0, 0, 100, 50)
    rows = in_rows(floor, 20, 25, 0.0)
    greedy = place_footprints(floor, {0.0: np.array([[-10, -12.5], [10, -12.5], [10, 12.5], [-10, 12.5]])})
    assert len(rows) == len(greedy) == 10


@pytest.mark.parametrize("size", [(0, 10, 10), (10, 10), (10, float("nan"), 10)])
def test_a_size_that_is_none(size: tuple[float, ...]) -> None:
    with pytest.raises(JobError, match="three lengths"):
        holds(folded(tray()), size)


@pytest.mark.parametrize("clearance", [-5.0, math.nan, math.inf])
def test_no_less_than_no_room_between_things(clearance: float) -> None:
    with pytest.raises(JobError, match="room between two things"):
        holds(folded(tray()), (10, 10, 10), clearance=clearance)
    with pytest.raises(JobError, match="room between two things"):
        set_in_tray(folded(tray()), folded(tray()), clearance=clearance)


def test_a_part_without_inside() -> None:
    with pytest.raises(JobError, match="not known"):
        holds(folded(pillow()), (10, 10, 10))
