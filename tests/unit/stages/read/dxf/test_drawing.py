"""The whole way from a DXF file to a drawing, and that everything in it is drawn or told."""

from __future__ import annotations

import io

import ezdxf
import numpy as np
import pytest

from cutprep.errors import DrawingError
from cutprep.limits import Limits
from cutprep.model.findings.finding import Severity
from cutprep.model.operation import Operation
from tests.dxf_text import (
    MM,
    block,
    drawing,
    entity,
    header,
    insert,
    layer,
    line,
    linetype,
    read_text,
    section,
    text,
)


def test_a_line_knows_where_it_came_from() -> None:
    source = drawing(
        line(0, 0, 10, 0, (5, "2F")), tables=[layer("cut", 1, linetype="D"), linetype("D", 2, -1)]
    )
    found = read_text(source)
    got = found.lines[0].element
    assert (got.file, got.tag, got.ident, got.layer) == ("tray.dxf", "LINE", "2F", "cut")
    assert (got.colour, got.dash, got.width, got.filled) == ("#ff0000", (2, 1), None, False)
    assert source.split("\n")[(got.line or 0) - 1 : (got.line or 0) + 1] == ["  0", "LINE"]


def test_lines_are_unplaced_and_stay_where_they_lie() -> None:
    found = read_text(drawing(line(-70, 5, 300, 9)))
    assert found.page is None
    assert found.lines.bounds == (-70, 5, 300, 9)
    assert found.lines.operation.tolist() == [Operation.UNPLACED]


def test_a_file_without_handles_has_none() -> None:
    assert read_text(drawing(line(0, 0, 1, 0))).lines[0].element.ident == ""


@pytest.mark.parametrize("release", ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
@pytest.mark.parametrize("binary", [False, True])
def test_every_release_ascii_and_binary(release: str, binary: bool) -> None:
    doc = ezdxf.new(release, units=4)
    doc.layers.add("Rillen", color=5)
    doc.modelspace().add_line((0, 0), (40, 30), dxfattribs={"layer": "Rillen"})
    doc.modelspace().add_circle((5, 5), 2)
    if binary:
        stream = io.BytesIO()
        doc.write(stream, fmt="bin")
        data = stream.getvalue()
    else:
        written = io.StringIO()
        doc.write(written)
        data = written.getvalue().encode(doc.output_encoding)
    lines = read_text(data).lines
    assert lines.lengths[0] == 50
    assert (lines[0].layer, lines[0].element.colour) == ("Rillen", "#0000ff")
    assert lines.closed.tolist() == [False, True]
    assert (lines[0].element.line is None) == binary


def test_paper_space_is_left_out_and_said() -> None:
    found = read_text(drawing(line(0, 0, 1, 0), line(0, 0, 9, 9, (67, 1))))
    assert len(found.lines) == 1
    assert [n.code for n in found.notes] == ["paper-space-left-out"]


@pytest.mark.parametrize(
    ("kind", "code", "severity"),
    [
        ("TEXT", "text-left-out", Severity.WARNING),
        ("MTEXT", "text-left-out", Severity.WARNING),
        ("ATTRIB", "text-left-out", Severity.WARNING),
        ("HATCH", "fill-left-out", Severity.WARNING),
        ("SOLID", "fill-left-out", Severity.WARNING),
        ("DIMENSION", "dimension-left-out", Severity.NOTE),
        ("LEADER", "dimension-left-out", Severity.NOTE),
        ("POINT", "point-left-out", Severity.NOTE),
        ("XLINE", "endless-line-left-out", Severity.NOTE),
        ("IMAGE", "image-left-out", Severity.WARNING),
        ("3DSOLID", "solid-left-out", Severity.WARNING),
        ("ACAD_TABLE", "table-left-out", Severity.NOTE),
        ("ACAD_PROXY_ENTITY", "unknown-left-out", Severity.WARNING),
        ("SOMETHING_ELSE", "unknown-left-out", Severity.WARNING),
    ],
)
def test_what_is_no_line_is_told_with_its_place(kind: str, code: str, severity: Severity) -> None:
    extra = entity(kind, (5, "7A"), (8, "notes"), (10, 0), (20, 0), (40, 3))
    source = drawing(line(0, 0, 1, 0), extra, extra)
    found = read_text(source)
    assert len(found.lines) == 1
    (note,) = found.notes
    assert (note.code, note.severity, note.measure) == (code, severity, 2)
    assert kind in note.problem
    place = note.places[0]
    assert (place.element, place.layer) == (f"{kind} '7A'", "notes")
    assert source.split("\n")[place.line or 0] == kind


def test_what_a_block_holds_is_told_as_often_as_it_is_inserted() -> None:
    label = block("label", entity("TEXT", (8, "0"), (1, "lid")), line(0, 0, 1, 0))
    found = read_text(
        drawing(insert("label"), insert("label", 9), insert("label", 0, 9, (70, 3), (44, 5)), blocks=[label])
    )
    assert [(n.code, n.measure) for n in found.notes] == [("text-left-out", 5)]
    assert len(found.notes[0].places) == 1


def test_places_are_named_up_to_fifty() -> None:
    found = read_text(drawing(line(0, 0, 1, 0), *(entity("POINT", (10, i), (20, 0)) for i in range(80))))
    assert found.notes[0].measure == 80
    assert len(found.notes[0].places) == 50


def test_frames_and_lights_need_no_word() -> None:
    quiet = [entity(kind, (8, "0")) for kind in ("VIEWPORT", "SEQEND", "LIGHT")]
    assert not read_text(drawing(line(0, 0, 1, 0), *quiet)).notes


@pytest.mark.parametrize(
    ("source", "said"),
    [
        (drawing(), "the drawing is empty"),
        (text([MM]), "the drawing is empty"),
        (drawing(entity("TEXT", (1, "lid"))), "turn it into outlines"),
        (drawing(line(0, 0, 1, 0, (67, 1))), "paper space"),
        (drawing(insert("gone")), "does not hold"),
        (drawing(line(3, 3, 3, 3)), "without length"),
    ],
)
def test_nothing_to_cut_is_an_error_that_says_what_there_is(source: str, said: str) -> None:
    with pytest.raises(DrawingError, match="nothing to cut") as caught:
        read_text(source)
    assert said in str(caught.value)
    assert caught.value.place.file == "tray.dxf"


def test_repairs_are_told_with_their_line() -> None:
    found = read_text(text([MM, section("ENTITIES", line(0, 0, 1, 0))], end=False))
    assert [n.code for n in found.notes] == ["repaired"]


def test_far_off_coordinates_name_their_entity() -> None:
    source = drawing(line(0, 0, 1, 0), line(0, 0, 1e13, 0, (5, "B")))
    with pytest.raises(DrawingError, match=r"1e\+13 mm") as caught:
        read_text(source)
    assert caught.value.place.element == "LINE 'B'"
    assert source.split("\n")[caught.value.place.line or 0] == "LINE"


def test_a_drawing_larger_than_any_mat_is_read_with_a_warning() -> None:
    found = read_text(drawing(line(0, 0, 500, 0), head=header(INSUNITS=(70, 6))))
    assert found.lines.lengths.tolist() == [500_000]
    assert [n.code for n in found.notes] == ["huge-drawing"]


def test_the_number_of_records_is_limited() -> None:
    with pytest.raises(DrawingError, match="the limit is 5"):
        read_text(drawing(line(0, 0, 1, 0), line(0, 0, 1, 1)), limits=Limits(elements=5))


def test_the_same_file_gives_the_same_drawing() -> None:
    ring = block("ring", entity("CIRCLE", (8, "0"), (10, 0), (20, 0), (40, 5)))
    source = drawing(line(0, 0, 1, 0), *(insert("ring", i) for i in range(9)), blocks=[ring])
    a, b = read_text(source), read_text(source)
    assert np.array_equal(a.lines.xy, b.lines.xy)
    assert a.elements == b.elements
    assert a.notes == b.notes


@pytest.mark.parametrize("name", ["*Model_Space", "$MODEL_SPACE"])
def test_lines_in_the_block_that_stands_for_the_drawing_are_drawn(name: str) -> None:
    found = read_text(
        drawing(blocks=[block(name, line(0, 0, 5, 0)), block("*Paper_Space", line(0, 0, 9, 0))])
    )
    assert found.lines.lengths.tolist() == [5]


def test_the_3dline_of_early_releases() -> None:
    old = entity("3DLINE", (8, "cut"), (10, 0), (20, 0), (30, 0), (11, 3), (21, 4), (31, 0))
    assert read_text(drawing(old)).lines.lengths.tolist() == [5]
