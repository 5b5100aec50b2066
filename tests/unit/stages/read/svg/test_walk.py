"""What is drawn and what is not; layers; references; viewports."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.errors import DrawingError
from cutprep.limits import Limits
from tests.svg_text import PAGE, codes, points, read_body, read_text, svg

LINE = "<path d='M0 0H9'/>"
LABELS = "xmlns:a='http://example.com/a'"


@pytest.mark.parametrize(
    ("body", "layer"),
    [
        (LINE, ""),
        (f"<g id='cut'>{LINE}</g>", "cut"),
        (f"<g id='g1' {LABELS} a:label='1 - Cut'>{LINE}</g>", "1 - Cut"),
        (f"<g id='g1' label='Cut'>{LINE}</g>", "Cut"),
        (f"<g class='cut lines'>{LINE}</g>", "cut lines"),
        (f"<g>{LINE}</g>", ""),
        (f"<g id='outer'><g><g class='inner'>{LINE}</g></g></g>", "outer/inner"),
        (f"<svg id='nested'>{LINE}</svg>", "nested"),
        (f"<a id='link'><switch id='choice'>{LINE}</switch></a>", "link/choice"),
        (f"<g id='place'><use href='#t'/></g><defs><g id='t'>{LINE}</g></defs>", "place/t"),
        (f"<use id='clone' href='#t'/><defs><g id='t'>{LINE}</g></defs>", "clone/t"),
        (f"<use href='#s'/><symbol id='s'>{LINE}</symbol>", "s"),
        (f"<g id='ä/ö 日本'>{LINE}</g>", "ä/ö 日本"),
        (f"<g id='  '>{LINE}</g>", ""),
        (f"<g id='x' aria-label='y'>{LINE}</g>", "x"),
    ],
)
def test_layers(body: str, layer: str) -> None:
    assert [line.layer for line in read_body(body).lines] == [layer]


def test_elements_know_where_they_came_from() -> None:
    drawing = read_text(
        f"<svg {PAGE}>\n<g id='cut'>\n<circle id='hole' {LABELS} a:label='Hole' r='5'/></g></svg>"
    )
    element = drawing.lines[0].element
    assert (element.file, element.line, element.tag) == ("probe.svg", 3, "circle")
    assert (element.ident, element.label, element.layer) == ("hole", "Hole", "cut")
    assert (element.colour, element.width, element.dash, element.filled) == ("#000000", 1.0, (), False)


@pytest.mark.parametrize(
    "kind",
    [
        "defs",
        "symbol",
        "clipPath",
        "mask",
        "marker",
        "pattern",
        "metadata",
        "title",
        "foreignObject",
        "unknown",
        "filter",
    ],
)
def test_only_what_renders_is_drawn(kind: str) -> None:
    drawing = read_body(f"<{kind}>{LINE}<g>{LINE}</g></{kind}><path d='M0 5H9'/>")
    assert len(drawing.lines) == 1


def test_a_switch_draws_one_child() -> None:
    body = (
        "<switch><path systemLanguage='de' d='M0 1H9'/><g><path d='M0 2H9'/></g><path d='M0 3H9'/></switch>"
    )
    assert points(read_body(body)).tolist() == [[0, 2], [9, 2]]


def test_references() -> None:
    drawing = read_body(
        "<defs><path id='p' d='M0 0H9'/></defs>"
        "<use href='#p' x='5' y='10%'/><use href='#p' transform='translate(1 1)' x='2'/>"
    )
    assert points(drawing, 0).tolist() == [[5, 6], [14, 6]]
    assert points(drawing, 1).tolist() == [[3, 1], [12, 1]]


@pytest.mark.parametrize(
    ("body", "code", "lines"),
    [
        ("<use href='#none'/>", "use-left-out", 0),
        ("<use/>", "use-left-out", 0),
        ("<use href='other.svg#a'/>", "outside-left-out", 0),
        ("<use id='u' href='#u'/>", "use-cycle", 0),
        ("<use id='u' href='#v'/><use id='v' href='#u'/>", "use-cycle", 0),
        (f"<g id='g'>{LINE}<use href='#g' y='5'/></g>", "use-cycle", 1),
        (f"<defs><g id='a'>{LINE}<use href='#b'/></g><g id='b'>{LINE}<use href='#a'/></g></defs><use href='#a'/>",
         "use-cycle", 2),
    ],
)  # fmt: skip
def test_references_that_lead_nowhere_or_back(body: str, code: str, lines: int) -> None:
    drawing = read_body(f"{body}<path d='M0 50H9'/>")
    assert len(drawing.lines) == lines + 1
    assert code in codes(drawing)


def test_references_that_multiply_are_refused() -> None:
    bomb = "".join(f"<g id='g{i}'>" + f"<use href='#g{i - 1}'/>" * 10 + "</g>" for i in range(1, 12))
    text = svg(f"<defs><g id='g0'>{LINE}</g>{bomb}</defs>\n<use href='#g11'/>")
    with pytest.raises(DrawingError, match="expand to more than 1000 elements") as caught:
        read_text(text, limits=Limits(expanded=1000))
    assert caught.value.place.line == 1


def test_references_that_lead_on_and_on_are_refused() -> None:
    chain = "".join(f"<use id='u{i}' href='#u{i - 1}'/>" for i in range(1, 3000))
    with pytest.raises(DrawingError, match="more than 64 steps"):
        read_body(f"<defs><path id='u0' d='M0 0H9'/>{chain}</defs><use href='#u2999'/>")


def test_a_large_ring_of_references_ends() -> None:
    ring = "".join(f"<use id='u{i}' href='#u{(i + 1) % 5000}'/>" for i in range(5000))
    with pytest.raises(DrawingError, match="more than 64 steps"):
        read_body(LINE + ring)


def test_hidden_lines_are_counted() -> None:
    drawing = read_body(
        f"<g id='notes' display='none'>{LINE * 3}</g><g visibility='hidden'>{LINE}<path visibility='visible' d='M0 5H9'/></g>"
        f"<g opacity='0'>{LINE}</g>"
    )
    assert len(drawing.lines) == 1
    (note,) = drawing.notes
    assert (note.code, note.measure) == ("hidden-left-out", 5)
    assert note.places[0].layer == "notes"


def test_symbols_are_fitted_and_clipped() -> None:
    drawing = read_body(
        "<symbol id='s' viewBox='0 0 10 5'><path d='M1 1H9'/><path d='M-5 2H20'/></symbol>"
        "<use href='#s' x='10' y='20' width='20' height='20'/>"
    )
    assert points(drawing, 0) == pytest.approx(np.array([[12, 27], [28, 27]]))
    assert points(drawing, 1) == pytest.approx(np.array([[10, 29], [30, 29]]), abs=0.03)
    assert "clip-applied" in codes(drawing)


def test_an_svg_inside_moves_and_scales() -> None:
    drawing = read_body(
        "<svg x='10' y='20' width='20' height='20' viewBox='0 0 10 10'><path d='M1 1H9'/></svg>"
    )
    assert points(drawing).tolist() == [[12, 22], [28, 22]]


def test_an_svg_inside_without_size_draws_nothing() -> None:
    drawing = read_body(f"<svg width='0'>{LINE}</svg><svg viewBox='0 0 0 5'>{LINE}</svg>{LINE}")
    assert len(drawing.lines) == 1
    (note,) = drawing.notes
    assert (note.code, note.measure) == ("empty-viewport", 2)


def test_flat_transforms_leave_out_and_faulty_ones_are_ignored() -> None:
    drawing = read_body(f"<g transform='scale(0)'>{LINE}</g><g transform='scale(2) qq'>{LINE}</g>")
    assert points(drawing).tolist() == [[0, 0], [9, 0]]
    assert sorted(codes(drawing)) == ["flat-left-out", "transform-ignored"]


def test_transform_box() -> None:
    drawing = read_body(
        "<rect x='20' y='20' width='20' height='10' transform='rotate(90)' "
        "style='transform-box:fill-box;transform-origin:center'/>"
    )
    assert points(drawing).min(axis=0) == pytest.approx([25, 15])
    assert points(drawing).max(axis=0) == pytest.approx([35, 35])


def test_a_sheet_of_letters_is_told_what_to_do() -> None:
    with pytest.raises(DrawingError, match=r"[Tt]urn text into outlines first"):
        read_body("<text x='5' y='5'>honey</text>")
