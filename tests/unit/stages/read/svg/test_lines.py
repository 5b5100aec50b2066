"""Segments to lines: order, joins, closing, and what is dropped."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.errors import DrawingError
from cutprep.geometry.lines.turning import corners
from cutprep.limits import Limits
from tests.svg_text import codes, points, read_body, read_text, svg


def curved(d: str) -> list[bool]:
    """Flags of one path."""
    return read_body(f"<path d='{d}'/>").lines.curved.tolist()


def test_lines_come_in_the_order_of_the_document() -> None:
    drawing = read_body("<path d='M0 1H9M0 2H9'/><circle cy='30' r='3'/><path d='M0 4H9'/>")
    assert [round(60 - line.points[0, 1]) for line in drawing.lines] == [1, 2, 30, 4]


@pytest.mark.parametrize(
    "body",
    [
        "<path d='M5 5H20V20Z'/>", "<path d='M5 5H20V20L5 5'/>", "<path d='M5 5H20V20L5 5Z'/>", "<rect width='5' height='3'/>",
        "<rect width='5' height='3' rx='1'/>", "<circle r='5'/>", "<ellipse rx='5' ry='3'/>",
        "<polygon points='0,0 5,0 5,5'/>", "<path d='M5 5C20 5 20 20 5 20S-10 5 5 5'/>",
        "<path d='M10 5A5 5 0 0 1 10 15A5 5 0 0 1 10 5'/>", "<path d='m.1.1l.7.3-.2.9-.1-.4-.4-.8'/>",
        "<path transform='rotate(33)' d='M5 5H20V20Z'/>", "<circle transform='skewX(20)' r='5'/>",
    ],
)  # fmt: skip
def test_closed_lines_end_bit_for_bit_where_they_begin(body: str) -> None:
    line = read_body(body).lines[0]
    assert line.closed
    assert (line.points[0] == line.points[-1]).all()
    assert (np.hypot(*np.diff(line.points, axis=0).T) > 0).all()


def test_a_circle_has_its_four_quarter_points() -> None:
    ring = points(read_body("<circle cx='30' cy='30' r='10'/>")).tolist()
    assert ring[0] == ring[-1] == [40, 30]
    assert [30, 40] in ring
    assert [20, 30] in ring
    assert [30, 20] in ring


def test_inner_points_of_curves_are_curved_and_corners_are_not() -> None:
    assert curved("M0 0H9V9") == [False, False, False]
    flags = curved("M0 0C5 5 15 5 20 0")
    assert flags[1:-1] == [True] * (len(flags) - 2)
    assert not flags[0]
    assert not flags[-1]


@pytest.mark.parametrize(
    ("d", "corner_at"),
    [
        ("M0 20C0 9 9 0 20 0S40 9 40 20", []),
        ("M0 20C0 9 9 0 20 0C30 10 40 9 40 20", [(20, 0)]),
        ("M0 20Q0 0 20 0T40 20", []),
        ("M0 20A20 20 0 0 1 20 0A20 20 0 0 1 40 20", []),
        ("M0 20A20 20 0 0 1 20 0A20 20 0 0 0 40 20", [(20, 0)]),
        ("M0 20V10A10 10 0 0 1 10 0H20", []),
        ("M0 20V10A10 10 0 0 0 10 0H20", [(0, 10), (10, 0)]),
        ("M0 0H20V20", [(20, 0)]),
        ("M0 0C0 0 10 0 20 0C20 0 20 10 20 20", [(20, 0)]),
    ],
)
def test_smooth_joins_are_no_corners(d: str, corner_at: list[tuple[float, float]]) -> None:
    drawing = read_body(f"<path d='{d}'/>")
    found = corners(drawing.lines.points(0), drawing.lines.curves(0), 10.0)
    assert points(drawing)[found] == pytest.approx(np.array(corner_at).reshape(-1, 2))


def test_a_closed_line_may_close_smoothly_or_in_a_corner() -> None:
    round_ = read_body("<path d='M10 20A10 10 0 0 1 30 20A10 10 0 0 1 10 20Z'/>").lines
    assert round_.curved.all()
    drop = read_body("<path d='M20 0C40 30 0 30 20 0Z'/>").lines
    assert not drop.curved[[0, -1]].any()


def test_lines_of_no_length_are_dropped_and_counted() -> None:
    drawing = read_body("<path id='dot' d='M5 5zM5 5L5 5M5 5C5 5 5 5 5 5M9 9M0 0H9'/><line/>")
    assert len(drawing.lines) == 1
    (note,) = drawing.notes
    assert (note.code, note.measure) == ("point-left-out", 5)
    assert note.places[0].element == "path 'dot'"


def test_steps_of_no_length_are_dropped() -> None:
    assert points(read_body("<path d='M0 0L0 0H9H9V9V9L0 0z'/>")).tolist() == [[0, 0], [9, 0], [9, 9], [0, 0]]


@pytest.mark.parametrize(
    "body",
    [
        "<path d='M1e30 0L1 1'/>", "<path d='M0 0L1e999 1'/>", "<rect width='1e300' height='5'/>",
        "<circle r='1e7'/>", "<path d='M0 0A1e9 1e9 0 1 1 5 5'/>", "<path d='M0 0C1e9 0 0 0 5 5'/>",
        "<g transform='scale(1e9)'><path d='M0 0H9'/></g>",
    ],
)  # fmt: skip
def test_shapes_beyond_every_mat_are_left_out_and_told(body: str) -> None:
    drawing = read_body(f"{body}<path d='M0 5H9'/>")
    assert points(drawing).tolist() == [[0, 5], [9, 5]]
    (note,) = drawing.notes
    assert (note.code, note.severity.value) == ("far-left-out", "warning")


def test_too_many_points_are_an_error() -> None:
    with pytest.raises(DrawingError, match="at most 1000 are read"):
        read_text(svg("<circle r='900'/>" * 20), limits=Limits(points=1000))


@pytest.mark.parametrize("sagitta", [0.02])
def test_the_chord_error_is_measured_in_millimetres(sagitta: float) -> None:
    """The same circle drawn small and scaled up takes the points of the large one."""
    large = read_body("<circle r='25'/>").lines
    scaled = read_body("<g transform='scale(50)'><circle r='.5'/></g>").lines
    assert len(large.xy) == len(scaled.xy)
    assert np.abs(large.xy - scaled.xy).max() < 1e-9


def test_quadratic_and_arc_ends_stay_exact_under_a_matrix() -> None:
    drawing = read_body("<path transform='matrix(1.1 .3 -.2 .9 4 5)' d='M1 2Q5 9 7 3A3 2 40 1 0 9 9'/>")
    want = [(1.1 * 9 - 0.2 * 9 + 4, 0.3 * 9 + 0.9 * 9 + 5)]
    assert points(drawing)[-1] == pytest.approx(want[0])
    assert codes(drawing) == []


@pytest.mark.parametrize(
    ("transform", "arc"),
    [
        ("scale(1)", "1e-320 1e-320 0 0 1 50 5"),
        ("scale(1)", "1e-200 30 0 0 1 50 5"),
        ("scale(1e-120)", "1e120 2e121 0 0 1 5e121 3e121"),
    ],
)
def test_arcs_of_any_size_and_shape_raise_no_warning(transform: str, arc: str) -> None:
    """Radii whose ratios overflow count as 0 (SVG 2, B.2.5); whoever makes errors of warnings reads them all."""
    drawing = read_body(f"<g transform='{transform}'><path d='M5 5A{arc}'/></g><path d='M1 1H9'/>")
    assert np.isfinite(drawing.lines.xy).all()
    assert drawing.lines[-1].points.tolist() == [[1.0, 59.0], [9.0, 59.0]]


@pytest.mark.parametrize("radius", ["1e5", "1e6", "1e9", "3e9", "1e15"])
@pytest.mark.parametrize("sweep", [0, 1])
def test_an_arc_of_a_huge_radius_is_drawn_nearly_straight(radius: str, sweep: int) -> None:
    """Its centre lies beyond every mat, it doesn't: chord and bulge are those of the circle."""
    drawing = read_body(
        f"<path id='cut' d='M10 10A{radius} {radius} 0 0 {sweep} 110 10V60H10Z' stroke='red'/>"
    )
    assert "far-left-out" not in codes(drawing)
    (left, bottom, right, top) = drawing.lines.bounds
    chord = (right - left) * 1.0
    assert (right - left) / (top - bottom) == pytest.approx(2.0, rel=1e-3)
    assert top - bottom <= (right - left) / 2 + chord**2 / (8 * float(radius)) + 0.001


def test_an_arc_that_goes_far_away_is_left_out_still() -> None:
    """The large way round a huge circle, and half of a needle's ellipse."""
    for words in ("1e9 1e9 0 1 1 110 10", "1e9 50 90 0 1 110 10"):
        drawing = read_body(f"<path d='M10 10A{words}' stroke='red'/><path d='M1 1L9 9' stroke='red'/>")
        assert "far-left-out" in codes(drawing)
        assert len(drawing.lines) == 1
