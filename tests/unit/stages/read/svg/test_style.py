"""The cascade, inheritance, and what of a style a knife cares about."""

from __future__ import annotations

import pytest

from cutprep.errors import DrawingError
from cutprep.stages.read.svg import css as svg_css
from cutprep.stages.read.svg.css import parse_declarations
from tests.svg_text import codes, points, read_body

LINE = "<path d='M0 0H9'/>"


def colour(style: str, attributes: str, *, around: str = "") -> str | None:
    """Stroke colour of one line under a style sheet."""
    body = f"<style>{style}</style><g {around}><path id='i' class='c d' {attributes} d='M0 0H9'/></g>"
    return read_body(body).lines[0].element.colour


@pytest.mark.parametrize(
    ("style", "attributes", "wanted"),
    [
        ("", "", "#000000"),
        ("", "stroke='red'", "#ff0000"),
        ("path{stroke:lime}", "stroke='red'", "#00ff00"),
        ("path{stroke:lime}", "stroke='red' style='stroke:blue'", "#0000ff"),
        ("path{stroke:lime!important}", "style='stroke:blue'", "#00ff00"),
        ("path{stroke:lime !important}", "style='stroke:blue!important'", "#0000ff"),
        ("#i{stroke:lime}.c{stroke:blue}path{stroke:red}", "", "#00ff00"),
        (".c{stroke:lime}.d{stroke:blue}", "", "#0000ff"),
        (".c.d{stroke:lime}.d{stroke:blue}", "", "#00ff00"),
        ("g path{stroke:lime}path{stroke:blue}", "", "#00ff00"),
        ("svg>g>path{stroke:lime}", "", "#00ff00"),
        ("path:first-child{stroke:lime}", "", "#00ff00"),
        ("[class~=d]{stroke:lime}", "", "#00ff00"),
        ("path:not(.c){stroke:lime}", "", "#000000"),
        ("@media screen{path{stroke:lime}}", "", "#00ff00"),
        ("@media print{path{stroke:lime}}", "", "#000000"),
        ("@layer a{path{stroke:lime}}", "", "#00ff00"),
        ("@font-face{src:url(x)}path{stroke:lime}", "", "#00ff00"),
        ("path{stroke:nothing}", "stroke='red'", "#ff0000"),
        ("path{stroke:lime;}}path{fill:red}", "", "#00ff00"),
        ("/*x*/path{/*y*/stroke/*z*/:lime}", "", "#00ff00"),
        ("svg{color:lime}path{stroke:currentColor}", "", "#00ff00"),
        ("g{stroke:lime}path{stroke:inherit}", "stroke='red'", "#00ff00"),
        ("g{stroke:lime}path{stroke:unset}", "stroke='red'", "#00ff00"),
        ("path{}", "style='stroke:url(\"a;b\") lime'", "#00ff00"),
        ("@namespace s url(http://www.w3.org/2000/svg);s|path{stroke:lime}", "", "#00ff00"),
    ],
)  # fmt: skip
def test_cascade(style: str, attributes: str, wanted: str) -> None:
    assert colour(style, attributes) == wanted


def test_an_initial_stroke_is_none() -> None:
    assert read_body(f"<path style='stroke:initial' fill='red' d='M0 0H9V9z'/>{LINE}").lines[0].element.filled


def test_sheets_after_the_elements_count_too() -> None:
    assert read_body(f"{LINE}<style>path{{stroke:lime}}</style>").lines[0].element.colour == "#00ff00"


def test_width_and_dash_are_millimetres() -> None:
    drawing = read_body(
        "<g transform='scale(2)' stroke-width='.5' stroke-dasharray='2 1 1'><path d='M0 0H9'/></g>"
        "<path stroke-width='1cm' stroke-dasharray='none' d='M0 0H9'/><path stroke-dasharray='0 0' d='M0 0H9'/>"
        "<path stroke-dasharray='-1 2' d='M0 0H9'/>"
    )
    first, second, third, fourth = (line.element for line in drawing.lines)
    assert first.width == pytest.approx(1)
    assert first.dash == pytest.approx((4, 2, 2, 4, 2, 2))
    assert second.width == pytest.approx(10 / 25.4 * 96)  # a cm is 37.8 units, and a unit is 1 mm here
    assert second.dash == third.dash == fourth.dash == ()
    assert "style-ignored" in codes(drawing)


def test_font_sizes_carry_em() -> None:
    drawing = read_body("<g font-size='5'><g style='font-size:200%'><rect width='2em' height='1ex'/></g></g>")
    assert drawing.lines.bounds == pytest.approx((0, 55, 20, 60))


def test_filled_shapes_without_a_stroke_are_marked() -> None:
    drawing = read_body(
        "<g stroke='none'><path fill='red' d='M0 0H9V9z'/><path fill='none' d='M0 0H9'/></g>"
        "<g fill='red' stroke-opacity='0'><path d='M0 0H9V9z'/><path fill-opacity='0' d='M0 0H9V9z'/></g>"
        "<path fill='red' stroke='red' d='M0 0H9V9z'/><line x2='9' stroke='none' fill='red'/>"
    )
    assert [line.element.filled for line in drawing.lines] == [True, True, False]
    assert drawing.lines[0].element.colour is None
    (note,) = (note for note in drawing.notes if note.code == "unpainted-left-out")
    assert note.measure == 3


def test_context_paints_come_from_the_use() -> None:
    body = "<defs><path id='p' stroke='context-stroke' d='M0 0H9'/></defs><use href='#p' stroke='lime'/>"
    assert read_body(body).lines[0].element.colour == "#00ff00"


def test_css_geometry_and_path() -> None:
    drawing = read_body(
        "<rect style='x:5;width:20px;height:10px' width='3'/><path style='d:path(\"M1 1H9\")'/>"
    )
    assert points(drawing, 0).min(axis=0).tolist() == [5, 0]
    assert points(drawing, 1).tolist() == [[1, 1], [9, 1]]


@pytest.mark.parametrize(
    ("style", "told"),
    [
        ("@import url(a.css);", "style-left-out"),
        ("@media print{path{stroke:red}}", "media-left-out"),
        ("{stroke:red}", "style-ignored"),
        ("path:hover::nonsense(>{stroke:red}", "style-ignored"),
    ],
)
def test_what_is_not_applied_is_told_with_its_line(style: str, told: str) -> None:
    drawing = read_body(f"\n<style>{style}</style>{LINE}")
    (note,) = (note for note in drawing.notes if note.code == told)
    assert note.places[0].line == 2


def test_a_media_attribute_is_told() -> None:
    assert "media-left-out" in codes(read_body(f"<style media='print'>path{{stroke:red}}</style>{LINE}"))


@pytest.mark.parametrize(
    ("text", "normal", "important"),
    [
        ("stroke:red", {"stroke": "red"}, {}),
        (" STROKE : red ; fill:none!important;", {"stroke": "red"}, {"fill": "none"}),
        ("stroke:red;stroke:blue", {"stroke": "blue"}, {}),
        ('stroke:url("a;b");fill:red', {"stroke": 'url("a;b")', "fill": "red"}, {}),
        ("/*;*/stroke:red;nonsense;fill", {"stroke": "red"}, {}),
        ("font-family:x;stroke:", {}, {}),
    ],
)
def test_declarations(text: str, normal: dict[str, str], important: dict[str, str]) -> None:
    assert parse_declarations(text) == (normal, important)


def test_siblings_are_not_compared_in_a_large_drawing() -> None:
    body = "<style>path~path{stroke:red}</style>" + LINE * 2100
    drawing = read_body(body)
    assert drawing.lines[5].element.colour == "#000000"
    assert "style-ignored" in codes(drawing)


def test_too_many_rules_for_too_many_elements_are_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(svg_css, "_MOST_TESTS", 1000)
    rules = "".join(f"g path.a{i} , g path{{stroke:red}}" for i in range(50))
    with pytest.raises(DrawingError, match="too many rules"):
        read_body(f"<style>{rules}</style><g>{LINE * 50}</g>")
