"""Lines cut back to clips: what remains, in which order, and what is said."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cutprep.stages.read.svg.shapes import area as svg_area
from cutprep.stages.read.svg.shapes.area import NOTHING, fill
from tests.svg_text import codes, points, read_body

BOX = "<clipPath id='c'><rect x='10' y='10' width='20' height='20'/></clipPath>"
SQUARE = np.array([[0.0, 0], [10, 0], [10, 10], [0, 10], [0, 0]])


def test_lines_inside_stay_vertex_for_vertex() -> None:
    plain = read_body("<circle cx='20' cy='20' r='5'/>")
    drawing = read_body(f"{BOX}<circle clip-path='url(#c)' cx='20' cy='20' r='5'/>")
    assert np.array_equal(drawing.lines.xy, plain.lines.xy)
    assert np.array_equal(drawing.lines.curved, plain.lines.curved)
    assert drawing.lines.closed.all()
    assert drawing.notes == ()


def test_lines_across_are_cut_in_order_and_direction() -> None:
    drawing = read_body(f"{BOX}<path clip-path='url(#c)' d='M50 15H5V25H50'/>")
    assert points(drawing, 0) == pytest.approx(np.array([[30.02, 15], [9.98, 15]]))
    assert points(drawing, 1) == pytest.approx(np.array([[9.98, 25], [30.02, 25]]))
    (note,) = drawing.notes
    assert (note.code, note.measure) == ("clip-applied", 1)


def test_a_closed_line_runs_on_through_its_first_point() -> None:
    drawing = read_body(f"{BOX}<circle clip-path='url(#c)' cx='10' cy='20' r='5'/>")
    assert len(drawing.lines) == 1
    line = points(drawing)
    assert {line[0, 1] < 20, line[-1, 1] < 20} == {True, False}
    assert line[:, 0].min() == pytest.approx(9.98)
    assert drawing.lines.curved[1:-1].all()
    assert not drawing.lines.curved[[0, -1]].any()


def test_lines_outside_are_left_out_and_told() -> None:
    drawing = read_body(f"{BOX}<g id='notes'><path clip-path='url(#c)' d='M0 0H5'/></g><path d='M0 50H5'/>")
    assert len(drawing.lines) == 1
    (note,) = drawing.notes
    assert note.code == "clip-left-out"
    assert note.places[0].layer == "notes"


def test_a_line_along_the_edge_stays() -> None:
    drawing = read_body(f"{BOX}<rect clip-path='url(#c)' x='10' y='10' width='20' height='20'/>")
    assert drawing.lines.closed.all()
    assert drawing.notes == ()


def test_a_line_that_only_touches_is_left_out() -> None:
    drawing = read_body(f"{BOX}<path clip-path='url(#c)' d='M0 20L10 10L20 0'/><path d='M0 50H5'/>")
    assert len(drawing.lines) == 1


def test_a_self_crossing_line_is_not_broken_at_its_crossings() -> None:
    drawing = read_body(f"{BOX}<path clip-path='url(#c)' d='M12 12L28 28H12L28 12V60'/>")
    assert len(drawing.lines) == 1
    assert points(drawing)[:4].tolist() == [[12, 12], [28, 28], [12, 28], [28, 12]]


def test_a_clip_measured_by_its_content() -> None:
    drawing = read_body(
        "<clipPath id='c' clipPathUnits='objectBoundingBox'><rect width='.5' height='1'/></clipPath>"
        "<g clip-path='url(#c)'><path d='M10 10H30'/><path d='M10 20H50'/></g>"
    )
    assert points(drawing, 0).max(axis=0) == pytest.approx([30, 10])
    assert points(drawing, 1).max(axis=0) == pytest.approx([30.02, 20])


@pytest.mark.parametrize(
    "clip",
    [
        "url(#missing)", "url(#r)", "circle(5px)", "url(#t)",
    ],
)  # fmt: skip
def test_clips_that_cannot_be_applied_are_told(clip: str) -> None:
    drawing = read_body(
        "<clipPath id='t'><text x='5' y='5'>x</text></clipPath><rect id='r' width='5' height='5'/>"
        f"<path style='clip-path:{clip}' d='M0 50H50'/>"
    )
    assert points(drawing, 1).tolist() == [[0, 50], [50, 50]]
    assert "clip-ignored" in codes(drawing)


def test_masks_are_told() -> None:
    drawing = read_body("<mask id='m'/><path mask='url(#m)' d='M0 50H50'/>")
    assert codes(drawing) == ["mask-ignored"]


def test_clips_upon_clips_end() -> None:
    chain = "".join(
        f"<clipPath id='c{i}' clip-path='url(#c{i + 1})'><rect width='50' height='50'/></clipPath>"
        for i in range(500)
    )
    drawing = read_body(f"{chain}<path clip-path='url(#c0)' d='M0 10H60'/>")
    assert "clip-ignored" in codes(drawing)
    assert points(drawing).max() == pytest.approx(50.02)


def test_areas_that_cross_themselves_too_often_are_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(svg_area._MOST, "crossings", 100)
    star = " ".join(f"{30 + 25 * np.cos(i * 2.4):.3f} {30 + 25 * np.sin(i * 2.4):.3f}" for i in range(200))
    drawing = read_body(
        f"<clipPath id='c'><path d='M{star}z'/></clipPath><path clip-path='url(#c)' d='M0 30H60'/>"
    )
    assert points(drawing).tolist() == [[0, 30], [60, 30]]
    assert codes(drawing) == ["clip-ignored"]


def test_lines_across_too_large_an_area_are_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(svg_area._MOST, "cuts", 2)
    drawing = read_body(f"{BOX}<path clip-path='url(#c)' d='M0 20H60'/>")
    assert points(drawing).tolist() == [[0, 20], [60, 20]]
    assert codes(drawing) == ["clip-ignored"]


@pytest.mark.parametrize("kind", ["cuts", "corners"])
def test_all_clips_together_may_take_so_much_work(monkeypatch: pytest.MonkeyPatch, kind: str) -> None:
    boxes = "".join(f"<clipPath id='c{k}'><rect width='{20 + k}' height='50'/></clipPath>" for k in range(4))
    rows = "".join(f"<path clip-path='url(#c{k})' d='M0 20H60'/>" for k in range(4))
    monkeypatch.setitem(svg_area._MOST, kind, 6)
    drawing = read_body(boxes + rows)
    assert sorted(float(line.points[:, 0].max()) for line in drawing.lines) == pytest.approx(
        [20, 21, 60, 60], abs=0.05
    )
    assert sorted(codes(drawing)) == ["clip-applied", "clip-ignored"]


def test_fill_rules() -> None:
    inner = SQUARE * 0.5 + 2
    assert fill([SQUARE, inner], "evenodd").area == pytest.approx(75)
    assert fill([SQUARE, inner], "nonzero").area == pytest.approx(100)
    assert fill([SQUARE, inner[::-1]], "nonzero").area == pytest.approx(75)
    eight = np.array([[0.0, 0], [10, 10], [10, 0], [0, 10], [0, 0]])
    assert fill([eight], "nonzero").area == pytest.approx(50)
    assert fill([SQUARE[:4]], "nonzero").area == pytest.approx(100)
    assert fill([SQUARE[:2]], "nonzero") == NOTHING
    assert fill([], "evenodd") == NOTHING
    assert shapely.is_valid(fill([SQUARE, SQUARE + 5], "nonzero"))
