"""The plain grid."""

from __future__ import annotations

import math

import pytest

from cutprep.model.part import Template
from cutprep.stages.nest.item.demand import Demand, Pose, poses
from cutprep.stages.nest.item.shape import shape_of
from cutprep.stages.nest.item.usable_area import usable_area_of
from cutprep.stages.nest.pack.grid import grid_pattern, steps
from tests.unit.stages.nest.specimens import box, ell, sheet_size, template


def _count(
    t: Template, width: float, height: float, margin: float, gap: float, turns: str = "quarter"
) -> int:
    usable = usable_area_of(sheet_size(width, height), margin, gap)
    return len(grid_pattern(0, shape_of(t), poses(Demand(t, 1, turns), None), usable))  # type: ignore[arg-type]


@pytest.mark.parametrize("size", [(30, 20), (33.3, 11.1), (101.6, 50.8)])
@pytest.mark.parametrize(("margin", "gap"), [(0, 0), (5, 3), (2.5, 0.7)])
def test_rectangles_follow_the_formula(size: tuple[float, float], margin: float, gap: float) -> None:
    """floor((W - 2m + g) / (w + g)) x floor((H - 2m + g) / (h + g)), the better of both directions."""
    w, h = size
    a, b = 304.8 - 2 * margin + gap, 210.0 - 2 * margin + gap
    upright = math.floor(a / (w + gap)) * math.floor(b / (h + gap))
    turned = math.floor(a / (h + gap)) * math.floor(b / (w + gap))
    assert _count(box(w, h), 304.8, 210, margin, gap) == max(upright, turned)
    assert _count(box(w, h), 304.8, 210, margin, gap, "half") == upright


def test_head_to_tail_pairs_beat_the_box() -> None:
    """Two triangles make a parallelogram."""
    triangle = template("pennant", [(0, 0), (40, 0), (0, 40)])
    assert _count(triangle, 400, 40, 0, 0) == 20  # ten squares of two
    assert _count(ell(60, 20), 90, 60, 0, 0) == 2  # 80 wide; two boxes would need 120


def test_exact_fits_count() -> None:
    """Three thirds fill a whole, whatever the last bit says."""
    assert steps(304.8, 304.8 / 3, 0) == 3
    assert steps(0.3, 0.1, 0) == 3
    assert steps(10, 11, 0) == 0


def test_kept_out_areas_take_copies_away() -> None:
    """Only the copies that the area touches."""
    shape = shape_of(box(20, 20))
    usable = usable_area_of(sheet_size(100, 100), 0, 0, [(45, 45, 55, 55)])
    assert len(grid_pattern(0, shape, [Pose()], usable)) == 24
