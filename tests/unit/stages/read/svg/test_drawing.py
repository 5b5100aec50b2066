"""A whole drawing: page, notes, errors."""

from __future__ import annotations

import pytest

from cutprep.errors import DrawingError, JobError
from cutprep.model.findings.finding import Severity
from cutprep.model.operation import Operation
from tests.svg_text import PAGE, SPACE, codes, read_body, read_text

LINE = "<path d='M5 5H9'/>"


def test_the_origin_is_the_lower_left_of_the_page_and_y_points_up() -> None:
    drawing = read_text(
        f"<svg {SPACE} width='100mm' height='50mm' viewBox='0 0 200 100' stroke='red'>{LINE}</svg>"
    )
    assert drawing.page == (100, 50)
    assert drawing.lines.points(0).tolist() == [[2.5, 47.5], [4.5, 47.5]]
    assert drawing.lines.operation.tolist() == [Operation.UNPLACED]
    assert drawing.name == "probe"


def test_a_drawing_without_any_size_has_its_lines_as_page() -> None:
    drawing = read_text(f"<svg {SPACE} stroke='red'><path d='M48 96H96V192'/></svg>")
    assert drawing.page == pytest.approx((25.4, 50.8))
    assert drawing.lines.bounds == pytest.approx((12.7, 0, 25.4, 25.4))


def test_units_are_told_when_they_are_guessed() -> None:
    plain = f"<svg {SPACE} width='100' height='100' stroke='red'>{LINE}</svg>"
    (note,) = read_text(plain).notes
    assert (note.code, note.severity) == ("unit-assumed", Severity.WARNING)
    assert "--units" in note.fix
    assert read_text(plain).scale_note == note.problem
    assert read_text(plain, units="mm").notes == ()
    assert read_text(plain, units="mm").page == (100, 100)
    (note,) = read_text(plain.replace("'100'", "'100px'")).notes
    assert note.severity is Severity.NOTE
    with pytest.raises(JobError):
        read_text(plain, units="ells")


def test_everything_left_out_is_told_with_its_place() -> None:
    """Text, picture, clip and hidden layer in one drawing."""
    drawing = read_text(
        f"<svg {PAGE}>\n<g id='labels'>\n<text x='5' y='5'>lid</text></g>\n<image href='bee.png' width='5' height='5'/>\n"
        f"<g id='old' style='display:none'>{LINE}</g>\n<clipPath id='c'><rect width='20' height='60'/></clipPath>\n"
        f"<path id='lid' clip-path='url(#c)' d='M0 9H60'/>\n<path id='torn' d='M0 0H9L1 x'/></svg>"
    )
    told = {note.code: note for note in drawing.notes}
    assert set(told) == {
        "text-left-out",
        "image-left-out",
        "hidden-left-out",
        "clip-applied",
        "path-cut-short",
    }
    lines = {code: note.places[0].line for code, note in told.items()}
    assert lines == {
        "text-left-out": 3,
        "image-left-out": 4,
        "hidden-left-out": 5,
        "clip-applied": 7,
        "path-cut-short": 8,
    }
    assert told["text-left-out"].places[0].layer == "labels"
    assert told["hidden-left-out"].places[0].layer == "old"
    assert told["path-cut-short"].places[0].element == "path 'torn'"
    assert all(note.places[0].file == "probe.svg" for note in drawing.notes)
    assert "1 good number before 'x'" in told["path-cut-short"].problem


def test_counts_read_as_sentences() -> None:
    one, many = (read_body(f"{LINE}{'<text>a</text>' * n}").notes[0] for n in (1, 2))
    assert one.problem.startswith("1 text was left out")
    assert many.problem.startswith("2 texts were left out")
    assert many.measure == 2


def test_a_long_list_of_faults_is_cut_short() -> None:
    drawing = read_body(LINE + "<path d='M0 0H9 x'/>" * 300 + "<text>a</text>" * 300)
    notes = [note for note in drawing.notes if note.code == "path-cut-short"]
    assert len(notes) == 100
    assert "not listed" in notes[-1].problem
    (text,) = (note for note in drawing.notes if note.code == "text-left-out")
    assert text.measure == 300
    assert len(text.places) == 50


def test_markers_and_sizes_in_error_are_told() -> None:
    drawing = read_body(
        "<marker id='m'/><path marker-end='url(#m)' d='M0 0H9'/><rect width='9' height='9' rx='-1'/><rect width='2zz' height='2'/>"
    )
    assert codes(drawing).count("size-ignored") == 2
    assert "marker-left-out" in codes(drawing)


@pytest.mark.parametrize(
    ("body", "told", "fix"),
    [
        ("<text>a</text>", "nothing but text", "Turn text into outlines first"),
        ("<g><text>a</text></g><image/>", "nothing but text", "Turn text into outlines first"),
        ("<image/>", "nothing but a picture", "Trace"),
        ("", "no line that shows", "stroke"),
        ("<g display='none'><path d='M0 0H9'/></g>", "1 hidden line was left out", "show the layers"),
        ("<path stroke='none' d='M0 0H9'/>", "without stroke and fill", "stroke"),
        ("<path d='M0 0'/>", "of no length", "stroke"),
        ("<path d='M1e30 0H9'/>", "beyond every mat", "stroke"),
    ],
)
def test_a_drawing_without_lines_is_an_error_that_says_why(body: str, told: str, fix: str) -> None:
    with pytest.raises(DrawingError, match=told) as caught:
        read_body(body)
    assert fix in caught.value.fix
    assert caught.value.place.file == "probe.svg"


@pytest.mark.parametrize(
    "text",
    [
        "<html/>",
        f"<g {SPACE}/>",
        "<x:svg xmlns:x='http://example.com/x'/>",
        "<svg xmlns='http://example.com/x'/>",
    ],
)
def test_other_xml_is_refused(text: str) -> None:
    with pytest.raises(DrawingError, match="no SVG"):
        read_text(text)


def test_without_a_namespace_and_with_a_prefix() -> None:
    bare = "width='60mm' height='60mm' viewBox='0 0 60 60' stroke='red'"
    assert len(read_text(f"<svg {bare}>{LINE}</svg>").lines) == 1
    assert (
        len(
            read_text(
                f"<s:svg xmlns:s='http://www.w3.org/2000/svg' {bare}><s:path d='M0 0H9'/></s:svg>"
            ).lines
        )
        == 1
    )


def test_a_page_of_another_shape_than_its_view_box_is_told_with_both_sizes() -> None:
    shape = '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="{h}" viewBox="0 0 100 100">'
    body = '<path d="M10 10H60V40H10Z" stroke="#000" fill="none"/></svg>'
    found = [n for n in read_text(shape.format(h="100mm") + body).notes if n.code == "page-fitted"]
    assert "measures 50.0 x 30.0 mm" in found[0].problem
    assert "would measure 100.0 x 60.0 mm" in found[0].problem
    assert not read_text(shape.format(h="200.5mm") + body).notes  # rounded figures


@pytest.mark.parametrize(
    ("size", "unit", "named"),
    [
        ('width="100mm" height="100mm" viewBox="0 0 100 100"', 1.0, True),
        ('width="4in" height="4in" viewBox="0 0 4 4"', 25.4, True),
        ('width="100" height="100"', 25.4 / 96, False),
        ('viewBox="0 0 100 100"', 25.4 / 96, False),
    ],
)
def test_the_unit_of_the_file_and_whether_it_names_it(size: str, unit: float, named: bool) -> None:
    body = '<path d="M1 1H3V3Z" stroke="#000" fill="none"/></svg>'
    drawing = read_text(f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{body}')
    assert drawing.unit_mm == pytest.approx(unit)
    assert drawing.unit_named is named


def test_a_stretched_page_and_an_assumed_unit_are_told_with_the_sizes_otherwise() -> None:
    body = '<path d="M10 10H60V40H10Z" stroke="#000" fill="none"/></svg>'
    head = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100" '
    stretched = read_text(f'{head} width="200mm" height="100mm" preserveAspectRatio="none">{body}').notes
    (found,) = [n for n in stretched if n.code == "page-stretched"]
    assert "measures 100.0 x 30.0 mm" in found.problem
    assert (
        "of its width it would measure 100.0 x 60.0 mm, at that of its height 50.0 x 30.0 mm" in found.problem
    )
    (found,) = read_text(f"{head}>{body}").notes
    for told in ("mm makes it 50.0 x 30.0 mm", "in makes it 1270.0 x 762.0 mm", "pt makes it 17.6 x 10.6 mm"):
        assert f"--units {told}" in found.fix
    assert read_text(f"{head}>{body}", units="mm").lines.bounds[2] == pytest.approx(60.0)


def test_a_unit_that_does_nothing_is_told() -> None:
    text = '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">'
    text += '<path d="M10 10H30V30Z" stroke="#000" fill="none"/></svg>'
    (found,) = read_text(text, units="in").notes
    assert found.code == "unit-not-used"
    assert not read_text(text, units="mm").notes
