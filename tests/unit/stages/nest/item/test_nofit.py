"""No-fit polygons, against plain distances."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cutprep.stages.nest.item.demand import Pose
from cutprep.stages.nest.item.nofit import NoFit, convex_pieces, minkowski, simpler
from cutprep.stages.nest.item.shape import posed, shape_of, shifted
from tests.unit.stages.nest.specimens import box, carton, disc, ell, frame, tag, template


@pytest.mark.parametrize("name", ["carton", "ell", "tag", "disc", "frame"])
def test_convex_pieces_fill_the_shape(name: str) -> None:
    """Pieces are convex, do not overlap, and make up the whole, windows left open."""
    make = {"carton": carton, "ell": ell, "tag": tag, "disc": disc, "frame": frame}[name]
    body = shape_of(make()).body
    pieces = [shapely.Polygon(piece) for piece in convex_pieces(body)]
    assert all(p.convex_hull.area == pytest.approx(p.area) for p in pieces)
    assert sum(p.area for p in pieces) == pytest.approx(body.area)
    assert shapely.union_all(pieces).symmetric_difference(body).area < 1e-6
    assert len(pieces) <= {"carton": 3, "ell": 2, "tag": 1, "disc": 1, "frame": 4}[name]


def test_sum_of_two_boxes_is_a_box() -> None:
    """Minkowski sum of rectangles: the sides add up."""
    a, b = (np.array([(0, 0), (w, 0), (w, h), (0, h)], float) for w, h in ((3, 2), (5, 1)))
    assert minkowski([a], [b]).equals(shapely.box(0, 0, 8, 3))


@pytest.mark.parametrize("gap", [0.0, 3.0])
@pytest.mark.parametrize(
    ("pose", "other"),
    [
        (Pose(), Pose(180.0)),
        (Pose(90.0), Pose(0.0)),
        (Pose(30.0), Pose(75.0)),
        (Pose(90.0, mirror=True), Pose(45.0)),
        (Pose(180.0, mirror=True), Pose(270.0, mirror=True)),
    ],
)
def test_inside_is_exactly_where_copies_come_too_close(gap: float, pose: Pose, other: Pose) -> None:
    """Points in and out of the region against the distance (or overlap) of the shapes themselves."""
    shapes = [shape_of(carton()), shape_of(ell())]
    region = NoFit(shapes, gap).polygon(0, pose, 1, other)
    first, second = posed(shapes[0].solid, pose), posed(shapes[1].solid, other)
    rng = np.random.default_rng(3)
    left, bottom, right, top = region.bounds
    for x, y in rng.uniform((left - 5, bottom - 5), (right + 5, top + 5), (120, 2)).tolist():
        moved = shifted(second, x, y)
        close = first.distance(moved) < gap if gap else first.intersection(moved).area > 1e-9
        edge = region.boundary.distance(shapely.Point(x, y))
        if edge > 0.02:  # arcs are drawn round the true ones
            assert region.contains(shapely.Point(x, y)) == close


def test_arcs_never_come_too_close() -> None:
    """Everywhere on the region's edge the gap is kept, and exceeded by a hundredth at most."""
    shapes = [shape_of(carton())]
    for turn in (0.0, 37.0, 90.0, 123.4, 180.0):
        region = NoFit(shapes, 3.0).polygon(0, Pose(), 0, Pose(turn))
        second = posed(shapes[0].solid, Pose(turn))
        edge = shapely.get_coordinates(shapely.segmentize(region.exterior, 4.0))
        off = [shapes[0].solid.distance(shifted(second, x, y)) for x, y in edge.tolist()]
        assert min(off) > 3.0 - 1e-6
        assert max(off) < 3.03


def test_windows_are_room_when_allowed() -> None:
    """A small box may lie in the window of a frame, off its edge by the gap."""
    shapes = [shape_of(frame(120, 80)), shape_of(box(20, 20))]
    placement = shapely.Point(50, 50)
    assert NoFit(shapes, 3.0).polygon(0, Pose(), 1, Pose()).contains(placement)
    opened = NoFit(shapes, 3.0, windows=True).polygon(0, Pose(), 1, Pose())
    assert not opened.contains(placement)
    assert opened.contains(shapely.Point(20 + 2.9, 50))
    assert not opened.contains(shapely.Point(20 + 3.1, 50))


def test_simpler_shapes_are_never_smaller() -> None:
    """A wavy outline of a thousand vertices is drawn with fewer, around the true one."""
    angle = np.linspace(0, 2 * np.pi, 1000, endpoint=False)
    radius = 40 + 3 * np.sin(17 * angle)
    wavy = shape_of(template("lace", np.column_stack((radius * np.cos(angle), radius * np.sin(angle))))).solid
    plain = simpler(wavy)
    assert shapely.get_num_coordinates(plain) <= 90
    assert wavy.difference(plain).area < 1e-6
    assert plain.area < wavy.area * 1.1


def test_few_vertices_stay_as_they_are() -> None:
    """Straight outlines keep their edges, so that shared cuts stay exact."""
    solid = shape_of(carton()).solid
    assert simpler(solid) is solid
