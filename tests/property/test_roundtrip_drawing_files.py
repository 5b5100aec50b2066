"""SVG and DXF that we write, read again by `cutprep.read`: the same lines, the same layers."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cutprep.model.drawing import Drawing
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Fold, Operation
from cutprep.model.rules import Rules
from cutprep.stages.classify import classify
from cutprep.stages.read.reader import read
from cutprep.stages.write.dxf_file import write_dxf
from cutprep.stages.write.svg_file import write_svg
from cutprep.tolerance import Tolerance
from tests.asserting import assert_same_ink, assert_same_lines
from tests.plans import circle

_KINDS = [
    (Operation.CUT, Fold.UNSAID),
    (Operation.PARTIAL_CUT, Fold.UNSAID),
    (Operation.PERFORATE, Fold.UNSAID),
    (Operation.PERFORATE, Fold.MOUNTAIN),
    (Operation.PERFORATE, Fold.VALLEY),
    (Operation.SCORE, Fold.UNSAID),
    (Operation.SCORE, Fold.MOUNTAIN),
    (Operation.SCORE, Fold.VALLEY),
    (Operation.DRAW, Fold.UNSAID),
    (Operation.GUIDE, Fold.UNSAID),
]
_AT = st.floats(0, 280).map(lambda v: round(v, 3))
_LAYER = st.sampled_from(["1 - Cut", "Lid & base/cut", "Knick <außen>/score", 'a "b" (c)', "perforate; fine"])


@st.composite
def classified(draw: st.DrawFn) -> Lines:
    """Polylines and circles of every operation, sorted by layer as the writers write them."""
    count = draw(st.integers(1, 8))
    kinds = sorted(draw(st.sampled_from(range(len(_KINDS)))) for _ in range(count))
    lines = []
    for _ in kinds:
        spots = draw(st.lists(st.tuples(_AT, _AT), min_size=2, max_size=9, unique=True))
        closed = draw(st.booleans()) and len(spots) > 2
        lines.append([*spots, spots[0]] if closed else spots)
    return Lines.of(
        lines,
        operation=[_KINDS[k][0] for k in kinds],
        fold=[_KINDS[k][1] for k in kinds],
        curved=[[False] * len(line) for line in lines],
    )


def again(folder: Path, name: str, text: str) -> Drawing:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return read(path, tolerance=Tolerance())


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(classified())
def test_svg_gives_the_lines_back(tmp_path: Path, lines: Lines) -> None:
    """Within 0.001 mm, page and operations too; the words of the layers place every line."""
    text = write_svg(lines, page=(297, 210), title="Honey <fair> & co")
    assert text == write_svg(lines, page=(297, 210), title="Honey <fair> & co")
    found = classify(again(tmp_path, "plan.svg", text), Rules())
    assert found.page == (297, 210)
    assert not found.notes
    assert_same_lines(found.lines, lines, within=0.001)
    assert found.lines.operation.tolist() == lines.operation.tolist()
    assert found.lines.fold.tolist() == lines.fold.tolist()
    assert found.lines.closed.tolist() == lines.closed.tolist()


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(classified())
def test_dxf_gives_the_lines_back(tmp_path: Path, lines: Lines) -> None:
    """As SVG, but that a DXF has no page."""
    text = write_dxf(lines)
    assert text == write_dxf(lines)
    found = classify(again(tmp_path, "plan.dxf", text), Rules())
    assert not found.notes
    assert_same_lines(found.lines, lines, within=0.001)
    assert found.lines.operation.tolist() == lines.operation.tolist()
    assert found.lines.fold.tolist() == lines.fold.tolist()


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(st.tuples(_LAYER, st.sampled_from(["#d02020", "#0a0a0a"])), min_size=1, max_size=6, unique=True)
)
def test_svg_keeps_layers_colours_dashes_and_names(tmp_path: Path, looks: list[tuple[str, str]]) -> None:
    """What `mend` writes: the drawing's own layers, nested as they were."""
    looks = sorted(looks)
    elements = tuple(
        Element(file="x.svg", layer=layer, colour=colour, dash=(3.0, 1.0), width=0.4, label=f"line {k} é")
        for k, (layer, colour) in enumerate(looks)
    )
    lines = Lines.of(
        [[(k, 1.0), (k + 5.0, 9.0)] for k in range(len(looks))], source=range(len(looks)), elements=elements
    )
    found = again(tmp_path, "kept.svg", write_svg(lines, page=(50, 40), keep=True))
    for got, want in zip(found.lines, elements, strict=True):
        kept = got.element
        assert (kept.layer, kept.colour, kept.dash, kept.label) == (
            want.layer,
            want.colour,
            (3.0, 1.0),
            want.label,
        )
        assert kept.width == pytest.approx(0.4)


def test_dxf_keeps_layers_and_colours(tmp_path: Path) -> None:
    """Names that DXF does not allow are made to fit, and two that fit alike stay two."""
    names = ["cut", "lid/cut", "lid:cut", "LID-CUT"]
    elements = tuple(Element(file="x.svg", layer=name, colour="#123456") for name in names)
    lines = Lines.of([[(k, 0.0), (k, 5.0)] for k in range(4)], source=range(4), elements=elements)
    found = again(tmp_path, "kept.dxf", write_dxf(lines, keep=True))
    layers = [line.layer for line in found.lines]
    assert layers == ["cut", "lid-cut", "lid-cut (2)", "LID-CUT (3)"]
    assert {line.element.colour for line in found.lines} == {"#123456"}


@pytest.mark.parametrize("radius", [1.0, 12.5, 80.0])
def test_curves_may_be_said_as_arcs(tmp_path: Path, radius: float) -> None:
    """A circle comes back as a curve: curved vertices, and the ink within the flattening limit."""
    points = circle(100, 90, radius)
    lines = Lines.of([points], operation=Operation.CUT, curved=[np.ones(len(points), bool)])
    svg, dxf = write_svg(lines, page=(200, 200), arcs=True), write_dxf(lines, arcs=True)
    assert len(re.findall(r"A[0-9.]", svg)) == 2
    assert len(svg) < len(write_svg(lines, page=(200, 200)))
    for name, text in (("arcs.svg", svg), ("arcs.dxf", dxf)):
        found = again(tmp_path, name, text)
        assert found.lines.closed.tolist() == [True]
        assert_same_ink(found.lines, lines, within=0.025)
        assert found.lines.curved[1:-1].mean() > 0.9


def test_a_polygon_of_corners_stays_a_polygon() -> None:
    """Vertices that no curve gave are kept one by one, arcs or not."""
    lines = Lines.of([circle(50, 50, 20)], operation=Operation.CUT)
    assert write_svg(lines, arcs=True) == write_svg(lines)


def test_a_page_is_made_for_lines_without_one() -> None:
    lines = Lines.of([[(5, 5), (80, 45.5)]], operation=Operation.CUT)
    assert 'width="80mm" height="45.5mm" viewBox="0 0 80 45.5"' in write_svg(lines)


def test_nothing_is_still_a_file(tmp_path: Path) -> None:
    assert write_svg(Lines.empty()).endswith("</svg>\n")
    assert write_dxf(Lines.empty()).rstrip().endswith("EOF")


def test_characters_that_xml_forbids_are_dropped(tmp_path: Path) -> None:
    """A name from a hostile file can't break out of its attribute."""
    element = Element(file="x.dxf", layer='a"><script>\x00\x1b', colour="#000000")
    text = write_svg(Lines.of([[(0, 0), (1, 1)]], elements=(element,)), title="</title>\x07", keep=True)
    assert "<script" not in text
    assert again(tmp_path, "odd.svg", text).lines[0].layer == 'a"><script>'
