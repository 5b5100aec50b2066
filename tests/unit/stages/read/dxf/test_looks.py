"""Layer, colour, linetype and visibility, by layer, by block and on layer 0."""

from __future__ import annotations

import pytest

from cutprep.errors import DrawingError
from cutprep.model.lines import Element
from tests.dxf_text import Entity, block, drawing, header, insert, layer, line, linetype, read_text

TABLES = [
    layer("cut", 1),
    layer("Score", 5, linetype="DASHED"),
    layer("true", 3, (420, 0x336699)),
    layer("thick", 2, (370, 50)),
    linetype("DASHED", 12.7, -6.35),
    linetype("DASHDOT", 12.7, -6.35, 0, -6.35),
    linetype("CONTINUOUS"),
]


def look(*entities: Entity, blocks: list[Entity] | None = None, head: Entity | None = None) -> Element:
    """The element of the first line."""
    source = (
        drawing(*entities, tables=TABLES, blocks=blocks or [])
        if head is None
        else drawing(*entities, tables=TABLES, blocks=blocks or [], head=head)
    )
    return read_text(source).lines[0].element


def test_by_layer() -> None:
    got = look(line(0, 0, 1, 0, layer="Score"))
    assert (got.layer, got.colour, got.dash, got.width) == ("Score", "#0000ff", (12.7, 6.35), None)


def test_names_are_the_tables_whatever_the_case() -> None:
    assert look(line(0, 0, 1, 0, layer="SCORE")).layer == "Score"


def test_a_layer_that_is_in_no_table() -> None:
    got = look(line(0, 0, 1, 0, layer="fold"))
    assert (got.layer, got.colour, got.dash) == ("fold", "#000000", ())


def test_an_entity_without_layer_lies_on_0() -> None:
    assert look([p for p in line(0, 0, 1, 0) if p[0] != 8]).layer == "0"


@pytest.mark.parametrize(
    ("pairs", "colour"),
    [
        ([(62, 3)], "#00ff00"),
        ([(62, 7)], "#000000"),  # the ink's colour: black on paper
        ([(62, 255)], "#ffffff"),
        ([(62, 256)], "#ff0000"),
        ([(62, 0)], "#000000"),
        ([(62, 3), (420, 0x0A0B0C)], "#0a0b0c"),
        ([(62, "x")], "#ff0000"),
    ],
)
def test_colours(pairs: Entity, colour: str) -> None:
    assert look(line(0, 0, 1, 0, *pairs)).colour == colour


def test_true_colour_and_weight_of_a_layer() -> None:
    assert look(line(0, 0, 1, 0, layer="true")).colour == "#336699"
    assert look(line(0, 0, 1, 0, layer="thick")).width == 0.5
    assert look(line(0, 0, 1, 0, (370, 25), layer="thick")).width == 0.25


def test_linetype_scales_multiply_and_units_count() -> None:
    head = header(INSUNITS=(70, 5), LTSCALE=(40, 2))
    got = look(line(0, 0, 1, 0, (6, "DASHED"), (48, 0.5)), head=head)
    assert got.dash == (127.0, 63.5)


def test_dots_are_dashes_without_length() -> None:
    assert look(line(0, 0, 1, 0, (6, "dashdot"))).dash == (12.7, 6.35, 0.0, 6.35)


def test_patterns_begin_with_a_dash_and_alternate() -> None:
    tables = [linetype("A", -1, 2), linetype("B", 1, 2, -3), linetype("C", 1, -2, 3), linetype("D", 5)]
    for name, dash in (("A", (2, 1)), ("B", (3, 3)), ("C", (4, 2)), ("D", ())):
        found = read_text(drawing(line(0, 0, 1, 0, (6, name)), tables=tables))
        assert found.lines[0].element.dash == dash


INSIDE = block(
    "tab",
    line(0, 0, 1, 0, layer="0"),
    line(0, 1, 1, 1, (62, 0), (6, "BYBLOCK"), (370, -2), layer="Score"),
    line(0, 2, 1, 2, layer="Score"),
)


def test_layer_0_inside_a_block_is_the_inserts_layer() -> None:
    found = read_text(drawing(insert("tab", layer="cut"), tables=TABLES, blocks=[INSIDE]))
    assert [x.layer for x in found.lines] == ["cut", "Score", "Score"]
    assert found.lines[0].element.colour == "#ff0000"


def test_by_block_is_the_inserts_look() -> None:
    looks = [(62, 3), (6, "DASHED"), (370, 100)]
    found = read_text(drawing(insert("tab", 0, 0, *looks, layer="cut"), tables=TABLES, blocks=[INSIDE]))
    inherited = found.lines[1].element
    assert (inherited.layer, inherited.colour, inherited.dash, inherited.width) == (
        "Score", "#00ff00", (12.7, 6.35), 1.0,
    )  # fmt: skip
    assert found.lines[2].element.colour == "#0000ff"


def test_inheritance_goes_through_nested_blocks() -> None:
    outer = block("outer", insert("tab", 0, 0, (62, 0), layer="0"))
    found = read_text(
        drawing(insert("outer", 0, 0, (62, 4), layer="cut"), tables=TABLES, blocks=[INSIDE, outer])
    )
    assert found.lines[0].layer == "cut"
    assert found.lines[1].element.colour == "#00ffff"


def test_the_same_entity_in_the_same_look_is_one_element() -> None:
    rows = [insert("tab", 0, 0), insert("tab", 5, 0), insert("tab", 9, 0, layer="cut")]
    found = read_text(drawing(*rows, tables=TABLES, blocks=[INSIDE]))
    assert len(found.lines) == 9
    assert len(found.elements) == 6


def test_escapes_in_names() -> None:
    assert read_text(drawing(line(0, 0, 1, 0, layer="R\\U+00FCcken"))).lines[0].layer == "Rücken"
    tables = [layer("R\\U+00FCcken", 1)]
    assert (
        read_text(drawing(line(0, 0, 1, 0, layer="RÜCKEN"), tables=tables)).lines[0].element.colour
        == "#ff0000"
    )


HIDDEN = [
    layer("off", -1),
    layer("frozen", 1, flags=1),
    layer("unplotted", 1, (290, 0)),
    layer("DefPoints", 1),
]


@pytest.mark.parametrize(
    ("name", "said"),
    [("off", "off"), ("FROZEN", "frozen"), ("unplotted", "not plotted"), ("defpoints", "not plotted")],
)
def test_hidden_layers_are_left_out_and_said(name: str, said: str) -> None:
    found = read_text(drawing(line(0, 0, 1, 0), line(0, 1, 1, 1, layer=name), tables=HIDDEN))
    assert len(found.lines) == 1
    assert [n.code for n in found.notes] == ["hidden-left-out"]
    assert said in found.notes[0].problem


def test_invisible_entities_are_left_out_and_said() -> None:
    found = read_text(drawing(line(0, 0, 1, 0), line(0, 1, 1, 1, (60, 1))))
    assert "invisible" in found.notes[0].problem


@pytest.mark.parametrize(
    ("name", "more", "seen"),
    [("off", [], ["cut"]), ("frozen", [], []), ("cut", [(60, 1)], []), ("unplotted", [], ["cut"])],
)
def test_a_frozen_insert_hides_all_and_an_off_one_what_is_on_layer_0(
    name: str, more: Entity, seen: list[str]
) -> None:
    inside = block("tab", line(0, 0, 1, 0, layer="0"), line(0, 1, 1, 1, layer="cut"))
    found = read_text(
        drawing(insert("tab", 0, 0, *more, layer=name), line(9, 9, 8, 8), tables=HIDDEN, blocks=[inside])
    )
    assert [x.layer for x in found.lines] == [*seen, "cut"] or [x.layer for x in found.lines] == [
        "cut",
        *seen,
    ]
    assert len(found.lines) == len(seen) + 1


def test_when_all_is_hidden_the_error_says_so() -> None:
    with pytest.raises(DrawingError, match="'off' left out: the layer or block is off"):
        read_text(drawing(line(0, 1, 1, 1, layer="off"), tables=HIDDEN))
