"""Placing by cells."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cutprep.stages.nest.item.demand import Demand, Pose
from cutprep.stages.nest.item.pattern import Pattern, PatternPlacement
from cutprep.stages.nest.item.problem import problem_of
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.pack.greedy import Pull, fill
from cutprep.stages.nest.pack.raster import RasterBoard
from cutprep.stages.nest.pack.search import improve, quick_fill
from cutprep.stages.nest.pack.solver import solver_of
from cutprep.stages.nest.proof import is_right
from tests.unit.stages.nest.specimens import board, box, carton, ell, frame, sheet_size, tag, template


def _board(*templates: object, **kwargs: object) -> RasterBoard:
    exact = board(*templates, **kwargs)  # type: ignore[arg-type]
    return RasterBoard(exact.shapes, exact.allowed, exact.usable, exact.nofit)


def _is_right(b: RasterBoard, templates: list[object], *, windows: bool = False) -> bool:
    demands = [Demand(t, 1) for t in templates]  # type: ignore[arg-type]
    return is_right(Pattern(tuple(b.placements), ""), demands, b.usable, windows=windows)


@pytest.mark.parametrize("gap", [0.0, 3.0])
@pytest.mark.parametrize("direction", [270.0, 180.0, 45.0])
def test_a_mix_is_placed_right(gap: float, direction: float) -> None:
    """Three templates, several pulls, with and without a gap: the proof passes."""
    templates = [carton(), ell(), tag()]
    b = _board(*templates, gap=gap)
    fill(b, [0] * 3 + [1] * 6 + [2] * 12, Pull(direction, 0.3))
    assert len(b.placements) > 12
    assert _is_right(b, templates)


def test_copies_are_slid_together() -> None:
    """Nine squares of 97 lie a gap apart and not a cell more: they fill 297 by 297 to a tenth of a millimetre."""
    b = _board(box(94.9, 94.9), width=297, height=297, margin=0)
    assert fill(b, [0] * 9, Pull()) == []
    assert _is_right(b, [box(94.9, 94.9)])
    xs = sorted({round(p.x, 2) for p in b.placements})
    assert xs == pytest.approx([0.0, 97.9, 195.8], abs=0.05)


def test_kept_out_areas_and_windows() -> None:
    """Nothing on the area to keep out of; the window of a frame is used when that is allowed."""
    areas = ((100.0, 100.0, 180.0, 160.0), (0.0, 250.0, 304.8, 304.8))
    b = _board(ell(), keep_out=areas)
    fill(b, [0] * 40, Pull(225.0))
    assert len(b.placements) > 10
    assert _is_right(b, [ell()])
    templates = [frame(120, 80), box(18, 18)]
    b = _board(*templates, width=130, height=130, windows=True)
    fill(b, [0] + [1] * 4, Pull())
    assert len(b.placements) == 5
    assert _is_right(b, templates, windows=True)


def test_what_is_larger_than_the_sheet_finds_no_place() -> None:
    """Nor does a second copy where one fills it."""
    b = _board(box(200, 200), box(95, 95), width=100, height=100, margin=0)
    assert fill(b, [0, 1, 1], Pull()) == [0, 1]


def test_clear_places_are_clear() -> None:
    """Each origin that is offered keeps the gap, and the free cells reach as far as the true free region but for a few."""
    b = _board(ell(), box(40, 20))
    b.put(PatternPlacement(0, Pose(), 100.0, 100.0))
    corners = b.corners(1, Pose())
    placed = shapely.transform(b.shapes[0].solid, lambda xy: xy + 100.0)
    moved = shapely.box(corners[:, 0], corners[:, 1], corners[:, 0] + 40, corners[:, 1] + 20)
    assert shapely.distance(moved, placed).min() >= 3.0
    free = board(ell(), box(40, 20))
    free.put(PatternPlacement(0, Pose(), 100.0, 100.0))
    share = len(corners) * b.cells.side**2 / free.free(1, Pose()).area
    assert 0.95 < share < 1.01


def test_a_search_by_cells_repeats() -> None:
    """The same seed and the same work give the same layout, never less than the start."""
    rng = np.random.default_rng(3)
    kinds = [box(float(w), float(h), f"b{k}") for k, (w, h) in enumerate(rng.uniform(20, 90, (24, 2)))]
    b = _board(*kinds)
    start = quick_fill(b, [1] * 24)
    found = [
        improve(b, [1] * 24, start, np.random.SeedSequence(5), b.meter.spent + 0.2, lambda _: False)
        for _ in range(2)
    ]
    assert found[0] == found[1]
    assert sum(b.shapes[p.demand].area for p in found[0]) >= sum(b.shapes[p.demand].area for p in start)


def test_many_kinds_are_placed_by_cells() -> None:
    """Forty stars of twenty corners: no no-fit polygon is made. Two kinds: as before."""
    rng = np.random.default_rng(1)
    angle = np.arange(20) * np.pi / 10
    stars = [
        template(
            f"star {k}", np.column_stack((np.cos(angle), np.sin(angle))) * rng.uniform(12, 45, 20)[:, None]
        )
        for k in range(40)
    ]
    solver = solver_of(problem_of([Demand(star, 1) for star in stars], [sheet_size()], Nesting()))
    assert isinstance(solver.board_for(0, [1] * 40), RasterBoard)
    assert solver.board_for(0, [1, 1] + [0] * 38) is solver.board(0)
