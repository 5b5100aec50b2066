"""LINE, ARC, CIRCLE, ELLIPSE and the polylines, from hand-written tags."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.errors import DrawingError
from tests.dxf_text import Entity, drawing, entity, line, read_text


def one(*entities: Entity, sagitta: float = 0.02) -> tuple[np.ndarray, np.ndarray, bool]:
    """The points and curved flags of the only line, and whether it is closed."""
    lines = read_text(drawing(*entities), sagitta=sagitta).lines
    assert len(lines) == 1
    return lines.points(0), lines.curves(0), bool(lines.closed[0])


def circle(x: float, y: float, radius: float, *more: tuple[int, object]) -> Entity:
    return entity("CIRCLE", (8, "cut"), (10, x), (20, y), (40, radius), *more)


def arc(radius: float, begin: float, end: float, *more: tuple[int, object]) -> Entity:
    return entity("ARC", (8, "cut"), (10, 0), (20, 0), (40, radius), (50, begin), (51, end), *more)


def light(*vertices: tuple[float, ...], closed: bool = False, more: Entity = ()) -> Entity:  # type: ignore[assignment]
    """A LWPOLYLINE of (x, y) or (x, y, bulge)."""
    pairs: Entity = []
    for x, y, *bulge in vertices:
        pairs += [(10, x), (20, y), *((42, b) for b in bulge)]
    return entity("LWPOLYLINE", (8, "cut"), (90, len(vertices)), (70, int(closed)), *more, *pairs)


def polyline(flags: int, *vertices: Entity, more: Entity = ()) -> Entity:  # type: ignore[assignment]
    """A POLYLINE with its vertices."""
    head = entity("POLYLINE", (8, "cut"), (66, 1), (10, 0), (20, 0), (30, 0), (70, flags), *more)
    return [*head, *(pair for v in vertices for pair in v), (0, "SEQEND")]


def vertex(x: float, y: float, flags: int = 0, bulge: float = 0.0, z: float = 0.0) -> Entity:
    return entity("VERTEX", (8, "cut"), (10, x), (20, y), (30, z), (42, bulge), (70, flags))


def test_line_in_the_order_of_old_writers() -> None:
    points, _, _ = one(entity("LINE", (8, "cut"), (10, 1), (11, 3), (20, 2), (21, 4)))
    assert points.tolist() == [[1, 2], [3, 4]]


def test_a_circle_is_one_closed_line_with_exact_extents() -> None:
    points, curved, closed = one(circle(10, 5, 7))
    assert closed
    assert points.min(axis=0).tolist() == [3, -2]
    assert points.max(axis=0).tolist() == [17, 12]
    assert curved.all()
    assert np.allclose(np.hypot(*(points - (10, 5)).T), 7, atol=1e-12)


@pytest.mark.parametrize("sagitta", [0.1, 0.02, 0.003])
def test_chords_keep_to_the_sagitta(sagitta: float) -> None:
    points, _, _ = one(circle(0, 0, 40), sagitta=sagitta)
    middles = np.hypot(*((points[1:] + points[:-1]) / 2).T)
    assert sagitta * 0.5 < 40 - middles.min() <= sagitta


@pytest.mark.parametrize(
    ("begin", "end", "sweep"),
    [(0, 90, 90), (350, 10, 20), (-10, 10, 20), (90, 0, 270), (370, 380, 10), (0, 360, 360), (30, 390, 360)],
)
def test_arcs_run_counter_clockwise(begin: float, end: float, sweep: float) -> None:
    points, curved, closed = one(arc(10, begin, end))
    assert closed == (sweep == 360)
    angles = np.unwrap(np.arctan2(points[:, 1], points[:, 0]))
    assert math.degrees(angles[-1] - angles[0]) == pytest.approx(sweep)
    assert curved[1:-1].all()
    if not closed:
        assert not curved[[0, -1]].any()
        assert points[0] == pytest.approx(
            10 * np.array([math.cos(math.radians(begin)), math.sin(math.radians(begin))])
        )


@pytest.mark.parametrize("shape", [circle(0, 0, 0), circle(0, 0, -3), arc(10, 45, 45), line(1, 1, 1, 1)])
def test_what_has_no_length_is_told_and_nothing_else(shape: Entity) -> None:
    found = read_text(drawing(shape, line(0, 0, 9, 0)))
    assert len(found.lines) == 1
    assert [n.code for n in found.notes] == ["no-length-left-out"]


@pytest.mark.parametrize(
    "shape",
    [
        entity("LINE", (8, "cut"), (10, 0), (20, 0), (11, 5)),
        entity("CIRCLE", (8, "cut"), (10, 0), (20, 0)),
        entity("LWPOLYLINE", (8, "cut"), (10, 0), (20, 0), (10, 5), (10, 6), (20, 3)),
        polyline(0, vertex(0, 0), entity("VERTEX", (8, "cut"), (10, 5))),
        entity("ELLIPSE", (8, "cut"), (10, 0), (20, 0), (40, 0.5)),
    ],
)
def test_what_lacks_a_number_is_left_out_with_a_warning(shape: Entity) -> None:
    found = read_text(drawing(shape, line(0, 0, 9, 0)))
    assert len(found.lines) == 1
    assert [n.code for n in found.notes] == ["broken-left-out"]
    assert found.notes[0].places[0].line == 15


def test_ellipse() -> None:
    shape = entity("ELLIPSE", (8, "cut"), (10, 1), (20, 2), (11, 10), (21, 0), (40, 0.5))
    points, curved, closed = one(shape)
    assert closed
    assert curved.all()
    assert points.min(axis=0).tolist() == [-9, -3]
    x, y = (points - (1, 2)).T
    assert np.allclose((x / 10) ** 2 + (y / 5) ** 2, 1)


def test_part_of_an_ellipse_is_given_by_parameters_not_angles() -> None:
    shape = entity(
        "ELLIPSE", (8, "cut"), (10, 0), (20, 0), (11, 10), (21, 0), (40, 0.5), (41, 0), (42, math.pi / 4)
    )
    points, _, _ = one(shape)
    assert points[-1] == pytest.approx((10 * math.cos(math.pi / 4), 5 * math.sin(math.pi / 4)))


def test_light_polyline() -> None:
    points, curved, closed = one(light((0, 0), (10, 0), (10, 5), closed=True))
    assert closed
    assert points.tolist() == [[0, 0], [10, 0], [10, 5], [0, 0]]
    assert not curved.any()


@pytest.mark.parametrize(("bulge", "far"), [(1.0, -5.0), (-1.0, 5.0), (0.5, -2.5), (-0.2, 1.0)])
def test_bulges(bulge: float, far: float) -> None:
    # DXF reference, group 42: the tangent of a quarter of the angle, counter-clockwise positive;
    # so the height of the arc over its chord is bulge x chord / 2.
    points, curved, _ = one(light((0, 0, bulge), (10, 0)), sagitta=0.001)
    assert points[np.abs(points[:, 1]).argmax(), 1] == pytest.approx(far, abs=0.001)
    assert points[0].tolist() == [0, 0]
    assert points[-1].tolist() == [10, 0]
    assert curved[1:-1].all()


def test_two_half_circles_make_a_circle_without_corners() -> None:
    points, curved, closed = one(light((0, 0, 1), (10, 0, 1), closed=True))
    assert closed
    assert np.allclose(np.hypot(*(points - (5, 0)).T), 5)
    assert curved.all()


def test_a_line_that_runs_smoothly_into_an_arc_has_no_corner_there() -> None:
    quarter = math.tan(math.radians(90) / 4)
    points, curved, _ = one(light((0, 0), (10, 0, quarter), (15, 5), (15, 9), (3, 9)))
    corners = points[~curved].tolist()
    assert corners == [[0, 0], [15, 9], [3, 9]]


def test_closed_twice_is_closed_once() -> None:
    points, _, closed = one(light((0, 0), (10, 0), (10, 5), (0, 0), closed=True))
    assert closed
    assert len(points) == 4


def test_a_last_vertex_that_is_nearly_the_first() -> None:
    points, _, closed = one(light((0, 0), (10, 0), (10, 5), (1e-13, 0), closed=True))
    assert closed
    assert len(points) == 4


def test_closed_of_two_vertices_is_one_stroke() -> None:
    points, _, closed = one(light((0, 0), (10, 0), closed=True))
    assert not closed
    assert points.tolist() == [[0, 0], [10, 0]]


def test_repeated_vertices_are_one() -> None:
    points, _, _ = one(light((0, 0), (0, 0), (10, 0), (10, 0), (10, 5)))
    assert points.tolist() == [[0, 0], [10, 0], [10, 5]]


def test_a_single_vertex_is_no_line() -> None:
    found = read_text(drawing(light((0, 0)), line(0, 0, 9, 0)))
    assert [n.code for n in found.notes] == ["no-length-left-out"]


def test_widths_are_told_and_the_centre_line_is_read() -> None:
    found = read_text(drawing(light((0, 0), (10, 0), more=[(43, 2.0)])))
    assert found.lines.points(0).tolist() == [[0, 0], [10, 0]]
    assert [n.code for n in found.notes] == ["wide-line"]


def test_flat_polyline_with_arcs() -> None:
    points, _, closed = one(polyline(1, vertex(0, 0, bulge=1), vertex(10, 0), vertex(10, 8)))
    assert closed
    assert points[:, 1].min() == pytest.approx(-5, abs=0.02)


def test_thickness_is_told_and_the_base_line_is_read() -> None:
    found = read_text(drawing(line(0, 0, 9, 0, (39, 5)), line(0, 5, 9, 5, (39, 0))))
    assert found.lines.lengths.tolist() == [9, 9]
    assert [(n.code, n.measure) for n in found.notes] == [("thick-line", 1)]


def test_polyline_in_space_is_read_from_above_with_a_warning() -> None:
    found = read_text(drawing(polyline(8, vertex(0, 0, 32), vertex(10, 0, 32, z=5), vertex(10, 8, 32))))
    assert found.lines.points(0).tolist() == [[0, 0], [10, 0], [10, 8]]
    assert [n.code for n in found.notes] == ["projected"]


def test_spline_fit_polyline_drops_its_frame() -> None:
    # DXF reference, VERTEX group 70: 8 = created by spline fitting, 16 = control point of the frame.
    shape = polyline(
        4,
        vertex(0, 0, 16),
        vertex(5, 20, 16),
        vertex(10, 0, 16),
        vertex(0, 0, 8),
        vertex(5, 8, 8),
        vertex(10, 0, 8),
    )
    points, curved, _ = one(shape)
    assert points.tolist() == [[0, 0], [5, 8], [10, 0]]
    assert curved[1]


def test_polyline_of_the_frame_alone_is_left_out() -> None:
    found = read_text(drawing(polyline(4, vertex(0, 0, 16), vertex(5, 20, 16)), line(0, 0, 9, 0)))
    assert len(found.lines) == 1


def test_vertices_without_polyline_are_ignored() -> None:
    assert len(read_text(drawing(line(0, 0, 9, 0), vertex(0, 0), vertex(5, 5))).lines) == 1


@pytest.mark.parametrize("bulge", [1e9, 1e14])
def test_a_bulge_bomb_is_refused(bulge: float) -> None:
    with pytest.raises(DrawingError, match="one curve asks for"):
        read_text(drawing(light((0, 0, bulge), (10, 0))))


def test_level_lines_above_the_plane_are_a_note() -> None:
    found = read_text(drawing(line(0, 0, 9, 0, (30, 4), (31, 4))))
    assert [n.code for n in found.notes] == ["raised"]


def test_a_normal_of_no_length_is_the_z_axis() -> None:
    points, _, _ = one(circle(3, 0, 2, (210, 0), (220, 0), (230, 0)))
    assert points.min(axis=0).tolist() == [1, -2]


def test_file_order_is_kept() -> None:
    found = read_text(drawing(circle(0, 0, 1), line(0, 0, 1, 0), light((0, 0), (1, 1)), circle(5, 5, 1)))
    assert [x.element.tag for x in found.lines] == ["CIRCLE", "LINE", "LWPOLYLINE", "CIRCLE"]
