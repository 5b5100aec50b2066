"""Texts with words in braces: where they stand, how high, which way, in SVG and in DXF."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ezdxf
import pytest

import cutprep
from cutprep.model.drawing import Drawing
from cutprep.stages.write.dxf_file import write_dxf
from cutprep.stages.write.svg_file import write_svg

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 100 50">'
CARD = '<path id="cut" d="M0 0H90V40H0Z" fill="none" stroke="#000"/>'


def svg(tmp_path: Path, text: str) -> Drawing:
    path = tmp_path / "a.svg"
    path.write_text(f"{HEAD}{CARD}{text}</svg>", encoding="utf-8")
    return cutprep.read(path)


@pytest.mark.parametrize(
    ("text", "at", "height", "turn", "anchor"),
    [
        # One user unit is 2 mm; a capital is 0.7 of the font size; y runs up from the page's foot.
        ('<text x="10" y="20" font-size="5">{name}</text>', (20, 60), 7, 0, "start"),
        (
            '<text style="text-anchor:middle;font-size:5px"><tspan x="10" y="20">{name}</tspan></text>',
            (20, 60), 7, 0, "middle",
        ),
        (
            '<g text-anchor="end" font-size="10"><text x="1" y="1"><tspan x="10 11" y="20">{</tspan>name}</text></g>',
            (2, 98), 14, 0, "end",
        ),
        ('<text x="10" y="20" font-size="5" transform="rotate(-90 10 20)">{name}</text>', (20, 60), 7, 90, "start"),
        ('<text x="5" y="10" font-size="5" transform="scale(2)">{name}</text>', (20, 60), 14, 0, "start"),
        # The middle stands on the line: the foot lies half a capital, 3.5 mm, below.
        ('<text x="10" y="20" font-size="5" dominant-baseline="central">{name}</text>', (20, 56.5), 7, 0, "start"),
        ('<text x="10" y="20" dx="1" dy="1" font-size="5">{name}</text>', (22, 58), 7, 0, "start"),
    ],
)  # fmt: skip
def test_an_svg_text_marks_a_place(
    text: str, at: tuple[float, float], height: float, turn: float, anchor: str, tmp_path: Path
) -> None:
    drawing = svg(tmp_path, text)
    (place,) = drawing.texts
    assert place.fields == ("name",)
    assert place.at == pytest.approx(at)
    assert (place.height, place.turn, place.anchor) == (pytest.approx(height), pytest.approx(turn), anchor)
    assert not drawing.notes


def test_lines_of_a_text_are_places_of_their_own(tmp_path: Path) -> None:
    text = '<text font-size="5"><tspan x="5" y="10">{Name}</tspan><tspan x="5" y="20">at { Table }</tspan></text>'
    one, two = svg(tmp_path, text).texts
    assert (one.fields, two.fields) == (("name",), ("table",))
    assert two.at[1] == pytest.approx(60)
    assert two.filled({"table": "7"}) == "at 7"


def test_other_texts_are_left_out_as_before(tmp_path: Path) -> None:
    drawing = svg(tmp_path, '<text x="1" y="9">Honey {}</text><text display="none">{name}</text>')
    assert drawing.texts == ()
    assert [n.code for n in drawing.notes] == ["text-left-out"]


def test_a_drawing_without_a_page_moves_its_places_along(tmp_path: Path) -> None:
    path = tmp_path / "a.svg"
    text = '<text x="10" y="30" font-size="10">{name}</text>'
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg">{CARD}{text}</svg>', encoding="utf-8")
    drawing = cutprep.read(path, units="mm")
    assert drawing.lines.bounds == pytest.approx((0, 0, 90, 40))
    assert drawing.texts[0].at == pytest.approx((10, 10))


@pytest.mark.parametrize(
    ("kind", "words", "looks", "at", "turn", "anchor"),
    [
        ("TEXT", "{name}", {"insert": (10, 20)}, (10, 20), 0, "start"),
        ("TEXT", "{name}", {"insert": (0, 0), "align_point": (10, 20), "halign": 1}, (10, 20), 0, "middle"),
        # Middle of the line at the point: the foot lies half a capital below, turned with the text.
        ("TEXT", "{name}", {"align_point": (10, 20), "halign": 2, "valign": 2, "rotation": 90}, (12, 20), 90, "end"),
        ("MTEXT", r"\A1;\{name\}", {"insert": (10, 20), "attachment_point": 5}, (10, 18), 0, "middle"),
        ("MTEXT", r"{\fArial|b0;\H4x;\{name\}}", {"insert": (10, 20), "attachment_point": 1}, (10, 16), 0, "start"),
        ("MTEXT", "{name}", {"insert": (10, 20), "attachment_point": 9, "text_direction": (0, 1)}, (10, 20), 90, "end"),
    ],
)  # fmt: skip
def test_a_dxf_text_marks_a_place(
    kind: str,
    words: str,
    looks: dict[str, Any],
    at: tuple[float, float],
    turn: float,
    anchor: str,
    tmp_path: Path,
) -> None:
    """Written by ezdxf, after the group codes of the DXF Reference."""
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (50, 0), (50, 40), (0, 40)], close=True, dxfattribs={"layer": "cut"})
    high = {"char_height": 4} if kind == "MTEXT" else {"height": 4}
    add = space.add_mtext if kind == "MTEXT" else space.add_text
    add(words, dxfattribs={"layer": "draw", **high, **looks})
    document.saveas(tmp_path / "a.dxf")
    drawing = cutprep.read(tmp_path / "a.dxf")
    (place,) = drawing.texts
    assert place.words == "{name}"
    assert place.at == pytest.approx(at, abs=1e-9)
    assert (place.height, place.turn, place.anchor) == (4, pytest.approx(turn), anchor)
    assert place.element.layer == "draw"
    assert not [n for n in drawing.notes if n.code == "text-left-out"]


@pytest.mark.parametrize("ending", ["svg", "dxf"])
@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
def test_a_written_place_is_read_again(anchor: str, ending: str, tmp_path: Path) -> None:
    text = f'<g id="draw"><text x="20" y="20" font-size="5" text-anchor="{anchor}" transform="rotate(30)">{{name}} &amp; co</text></g>'
    drawing = svg(tmp_path, text)
    if ending == "svg":
        written = write_svg(drawing.lines, page=drawing.page, keep=True, texts=drawing.texts)
    else:
        written = write_dxf(drawing.lines, keep=True, texts=drawing.texts)
    path = tmp_path / f"b.{ending}"
    path.write_text(written, encoding="utf-8")
    (one,), (other,) = drawing.texts, cutprep.read(path).texts
    assert other.at == pytest.approx(one.at, abs=1e-3)
    assert (other.height, other.turn) == (
        pytest.approx(one.height, abs=1e-3),
        pytest.approx(one.turn, abs=1e-3),
    )
    assert (other.words, other.anchor, other.element.layer) == (one.words, one.anchor, "draw")
