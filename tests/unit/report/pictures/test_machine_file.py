"""The picture of a machine file: what is drawn, how tools are told apart, and what is written below."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import numpy as np
import pytest
import resvg_py

from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine
from cutprep.report.pictures.machine_file import picture
from cutprep.stages.readback.machine_file import parse
from cutprep.stages.write.machine_file import write
from tests.plans import MACHINE, circle, plan

SVG = "{http://www.w3.org/2000/svg}"
STROKES = [
    (2, [(20, 40), (120, 40)]),
    (1, circle(50, 65, 8.0)),
    (1, [(10, 10), (130, 10), (130, 120), (10, 120), (10, 10)]),
]


def texts(svg: str) -> list[str]:
    return [e.text or "" for e in ET.fromstring(svg).iter(f"{SVG}text")]


def looks(svg: str) -> list[tuple[str, str, str | None]]:
    paths = ET.fromstring(svg).iter(f"{SVG}path")
    return [(p.get("stroke", ""), p.get("stroke-width", ""), p.get("stroke-dasharray")) for p in paths]


def test_legend_says_tool_strokes_length_and_speed() -> None:
    svg = picture(plan(STROKES), MACHINE, title="sheet-01.hpgl")
    outline = 2 * (120 + 110)
    around = float(np.hypot(*np.diff(circle(50, 65, 8.0), axis=0).T).sum())
    found = texts(svg)
    assert found[0] == "sheet-01.hpgl"
    assert "tool 2: scoring stylus, 1 stroke, 100 mm, 50 mm/s" in found
    assert f"tool 1: drag knife, 2 strokes, {outline + around:.0f} mm, 50 mm/s" in found
    assert [t for t in found if t.startswith("travel")]


def test_the_frame_is_the_area_at_the_size_that_the_legend_names() -> None:
    """It was once clipped to where the file works, and still labelled with the whole area."""
    svg = picture(plan(STROKES), MACHINE)
    plate, sample = [r for r in ET.fromstring(svg).iter(f"{SVG}rect") if r.get("stroke")]
    assert (float(plate.get("width", "")), float(plate.get("height", ""))) == (MACHINE.width, MACHINE.height)
    assert f"area of {MACHINE.name}: {MACHINE.width:g} x {MACHINE.height:g} mm" in texts(svg)
    assert sample is not None


def test_strokes_are_numbered_in_order() -> None:
    assert [t for t in texts(picture(plan(STROKES), MACHINE)) if t.isdigit()] == ["1", "2", "3"]
    assert not [t for t in texts(picture(plan(STROKES), MACHINE, numbers=False)) if t.isdigit()]


def test_tools_and_travel_differ_without_colour() -> None:
    """No two have both the same width and the same dashes."""
    strokes = [(tool, [(10, 10 * tool), (90, 10 * tool)]) for tool in (3, 2, 1)]
    for machine in (MACHINE, None):
        plain = {(width, dash) for _, width, dash in looks(picture(plan(strokes), machine))}
        assert len(plain) == 4


def test_a_kind_of_tool_looks_the_same_in_every_file_and_a_second_of_it_does_not() -> None:
    """Whichever comes first, and whatever its number is."""

    def shown(*tools: int, machine: Machine = MACHINE) -> list[tuple[str, str, str | None]]:
        strokes = [(tool, [(10, 10 * k), (90, 10 * k)]) for k, tool in enumerate(tools, 1)]
        svg = picture(plan(strokes), machine, numbers=False)
        travel, *found = looks(svg)
        return [look for look in found if look != travel][: len(tools)]

    knife, stylus, pen = shown(1, 2, 3)
    assert shown(3, 1) == [pen, knife]
    assert shown(2) == [stylus]
    both = replace(MACHINE, tools=tuple(replace(tool, kind="knife") for tool in MACHINE.tools))
    one, other, third = shown(1, 2, 3, machine=both)
    assert one == knife
    assert len({one, other, third}) == 3


def test_speeds_of_a_tool_are_shown_apart() -> None:
    moves = plan(STROKES)
    slow = np.where(moves.stroke == 1, 20.0, moves.speed)
    found = texts(picture(replace(moves, speed=slow), MACHINE))
    assert [t for t in found if "20 mm/s" in t]
    assert [t for t in found if t.startswith("tool 1") and "50 mm/s" in t]


def test_many_strokes_are_numbered_in_steps() -> None:
    strokes = [(1, [(k % 50, k // 50), (k % 50 + 0.5, k // 50)]) for k in range(1000)]
    numbers = [int(t) for t in texts(picture(plan(strokes), MACHINE)) if t.isdigit()]
    assert len(numbers) <= 300
    assert numbers == list(range(1, 1001, 4))


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_a_file_of_any_language_can_be_looked_at(language: str) -> None:
    """The picture is a real one: resvg draws it, and there is ink."""
    moves, _ = parse(write(plan(STROKES), MACHINE, language), None, MACHINE)
    picture_bytes = bytes(resvg_py.svg_to_bytes(svg_string=picture(moves, MACHINE), dpi=96))
    assert picture_bytes[:4] == b"\x89PNG"
    assert len(picture_bytes) > 5000


def test_moves_outside_the_area_are_in_the_picture() -> None:
    svg = picture(plan([(1, [(-30, 10), (350, 10)])]), MACHINE)
    width = float(re.search(r'width="([\d.]+)mm"', svg)[1])
    assert width > 380


def test_nothing_is_a_picture_too() -> None:
    empty = Moves(xy=np.zeros((0, 2)), down=[], tool=[], speed=[], force=[], stroke=[])
    for machine in (MACHINE, None):
        assert texts(picture(empty, machine))[0] == "Machine file"


def test_names_from_a_file_cannot_break_the_picture() -> None:
    svg = picture(plan(STROKES), MACHINE, title='a"><script>x</script>\x00 & co')
    assert "<script" not in svg
    assert texts(svg)[0] == "a'><script>x</script> & co"


def test_the_legend_stands_beside_its_samples() -> None:
    """Each sample is level with its words and ends just before they begin; the frame's is a plate."""
    svg = picture(plan(STROKES), MACHINE, title="sheet-01.hpgl")
    legend = list(ET.fromstring(svg))[-1]
    size = float(re.search(r"text{[^}]*font-size:([\d.]+)px", svg)[1])  # type: ignore[index]
    samples = [e for e in legend if e.tag != f"{SVG}text"]
    words = [e for e in legend if e.tag == f"{SVG}text"]
    assert len(samples) == len(words) == 4
    for sample, text in zip(samples, words, strict=True):
        begin, level = float(text.get("x", "nan")), float(text.get("y", "nan"))
        if sample.tag == f"{SVG}rect":
            x, y, wide, high = (float(sample.get(k, "nan")) for k in ("x", "y", "width", "height"))
            assert (x, y < level < y + high) == (0, True)
            end = wide
        else:
            at, across = map(float, re.fullmatch(r"M0 (-?[\d.]+)h([\d.]+)", sample.get("d", "")).groups())  # type: ignore[union-attr]
            assert 0 < level - at < size / 2
            end = across
        assert 0 < begin - end < size


def test_no_figure_has_a_digit_too_many() -> None:
    """Numbers end neither in a point nor in a nought behind it."""
    said = [v for e in ET.fromstring(picture(plan(STROKES), MACHINE)).iter() for v in e.attrib.values()]
    figures = re.findall(r"-?\d+\.?\d*", " ".join(said))
    assert len(figures) > 100
    assert not [f for f in figures if re.search(r"\.$|\.\d*0$", f)]
