"""Ways of closing an outline altogether: the most even corners first."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from cutprep.model.folded import Verdict
from cutprep.stages.fold.closing.work import OutOfWork, WorkBudget
from cutprep.stages.fold.closing.zip.gluings import closed_zips
from cutprep.stages.fold.closing.zip.outline import Outline, outline_of
from tests.folding import folded, part_from
from tests.nets import Sketch, dual_edges, from_faces, hang, hull, net_of, spanning_trees, tray, unfold


def outline(sketch: Sketch) -> Outline:
    part = part_from(sketch)
    return outline_of(part, frozenset(range(len(part.panels))))


def bipyramid(edge: float) -> tuple[np.ndarray, list[list[int]]]:
    """Ten equilateral triangles on both sides of a pentagon."""
    r = edge / (2 * math.sin(math.pi / 5))
    ring = [(r * math.cos(0.4 * math.pi * k), r * math.sin(0.4 * math.pi * k), 0.0) for k in range(5)]
    rise = math.sqrt(edge**2 - r**2)
    return hull(np.array([*ring, (0.0, 0.0, rise), (0.0, 0.0, -rise)]))


def test_a_cube_closes_with_all_its_corners_alike() -> None:
    first = next(closed_zips(outline(net_of("cube", 40)), WorkBudget()))
    assert not first.rims
    assert len(first.pairs) == 7
    assert [fan.angle for fan in first.cycles] == pytest.approx([270.0] * 8)


def test_an_open_tray_has_no_such_way() -> None:
    assert not list(closed_zips(outline(tray(bare=True)), WorkBudget()))


def test_every_step_is_counted() -> None:
    with pytest.raises(OutOfWork):
        next(closed_zips(outline(net_of("icosahedron", 40)), WorkBudget(0.1)))


@pytest.mark.parametrize("which", range(7, 1800, 199))
def test_triangles_that_close_in_several_ways_make_the_full_solid(which: int) -> None:
    """Zipped at the widest corners first, they also close to 20, 39 or 98 % of it.

    Volume: Johnson, Convex polyhedra with regular faces (1966), number 13.
    """
    v, faces = bipyramid(40.0)
    flat = unfold(v, faces, hang(spanning_trees(dual_edges(faces), 10)[which]))
    alone = [shapely.Polygon(f).buffer(-0.1) for f in flat]
    assert shapely.union_all(alone).area == pytest.approx(sum(f.area for f in alone)), "pieces overlap"
    report = folded(from_faces(flat))
    assert report.verdict is Verdict.CLOSED
    assert report.volume_mm3 == pytest.approx((5 + math.sqrt(5)) / 12 * 40.0**3, rel=1e-6)
