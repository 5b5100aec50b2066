"""Placing copies one by one."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cutprep.stages.nest.item.demand import Demand, Pose
from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement, used_box
from cutprep.stages.nest.item.shape import shape_of
from cutprep.stages.nest.item.usable_area import usable_area_of
from cutprep.stages.nest.pack.greedy import Pull, fill, inner_fit_polygon, without
from cutprep.stages.nest.proof import is_right
from tests.unit.stages.nest.specimens import board, box, carton, ell, frame, sheet_size, tag


def _is_right(b: object, templates: list[object], *, windows: bool = False) -> bool:
    demands = [Demand(t, 1) for t in templates]  # type: ignore[arg-type]
    return is_right(Pattern(tuple(b.placements), ""), demands, b.usable, windows=windows)  # type: ignore[attr-defined]


@pytest.mark.parametrize("gap", [0.0, 3.0])
@pytest.mark.parametrize("direction", [270.0, 180.0, 45.0, 231.0])
def test_a_mix_is_placed_right(gap: float, direction: float) -> None:
    """Three templates, several pulls, with and without a gap: the proof passes."""
    templates = [carton(), ell(), tag()]
    b = board(*templates, gap=gap)
    fill(b, [0] * 3 + [1] * 6 + [2] * 12, Pull(direction, 0.3))
    assert len(b.placements) > 12
    assert _is_right(b, templates)


def test_exact_fits_are_found() -> None:
    """Nine squares of 20 fill 60 by 60 with no usable area to spare."""
    b = board(box(20, 20), width=60, height=60, margin=0, gap=0)
    assert fill(b, [0] * 10, Pull()) == [0]
    assert len(b.placements) == 9
    assert _is_right(b, [box(20, 20)])


def test_pull_draws_to_its_side() -> None:
    """Down leaves usable area above, left leaves usable area to the right."""
    for direction, side in ((270.0, 3), (180.0, 2)):
        b = board(box(40, 20))
        fill(b, [0] * 6, Pull(direction))
        assert used_box(Pattern(tuple(b.placements), ""), b.shapes)[side] < 100


def test_what_finds_no_place_is_given_back() -> None:
    """Too large ones are passed over, smaller ones after them still placed."""
    b = board(box(200, 200), box(20, 20), width=100, height=100)
    assert fill(b, [0, 1, 1, 0], Pull()) == [0, 0]
    assert len(b.placements) == 2


def test_kept_out_areas_are_kept_free() -> None:
    """An area in the middle of the sheet and one along its edge."""
    areas = ((100.0, 100.0, 180.0, 160.0), (0.0, 250.0, 304.8, 304.8))
    b = board(ell(), keep_out=areas)
    fill(b, [0] * 40, Pull(225.0))
    assert len(b.placements) > 10
    assert _is_right(b, [ell()])


def test_windows_are_filled_when_allowed() -> None:
    """One frame fills the sheet; small boxes go into its window."""
    templates = [frame(120, 80), box(20, 20)]
    b = board(*templates, width=130, height=130, windows=True)
    fill(b, [0] + [1] * 9, Pull())
    assert b.placements[0].demand == 0
    assert len(b.placements) == 10
    assert _is_right(b, templates, windows=True)
    assert not _is_right(b, templates)


def test_narrowing_keeps_some_poses() -> None:
    """Of 24 poses six are left, of four all."""
    b = board(ell(), turns="free")
    b.narrow(np.random.default_rng(1), 6)
    assert len(b.allowed[0]) == 6


def test_a_placed_copy_takes_its_room() -> None:
    """The free region shrinks, whether it was asked for before or after."""
    one, other = board(box(20, 20)), board(box(20, 20))
    before = one.free(0, Pose()).area
    placement = PatternPlacement(0, Pose(), 50.0, 50.0)
    one.put(placement)
    other.put(placement)
    assert one.free(0, Pose()).area == pytest.approx(other.free(0, Pose()).area)
    # 43 by 43 with rounded corners of radius 3 around the origin is taken.
    assert before - one.free(0, Pose()).area == pytest.approx(46**2 - (4 - np.pi) * 9, rel=0.01)
    assert other.fresh().free(0, Pose()).area == pytest.approx(before)


def test_inner_region_of_a_box() -> None:
    """The rectangle of the sheet less the size of the copy; empty when it is too large."""
    shape = shape_of(box(30, 10))
    region = inner_fit_polygon(shape, Pose(90.0), usable_area_of(sheet_size(100, 60), 5, 0))
    assert np.allclose(region.bounds, (15, 5, 95, 25), atol=1e-6)
    assert inner_fit_polygon(shape, Pose(), usable_area_of(sheet_size(35, 35), 5, 0)).is_empty


def test_taking_off_leaves_areas_only() -> None:
    """Lines and points are no usable area."""
    assert without(shapely.box(0, 0, 2, 1), shapely.box(0, 0, 2, 1)).is_empty
    rest = without(shapely.box(0, 0, 3, 1), shapely.box(1, 0, 2, 1))
    assert rest.geom_type == "MultiPolygon"
