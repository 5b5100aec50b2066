"""Where the name of a copy stands."""

from __future__ import annotations

import pytest
import shapely

from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.model.part import Part, Template
from cutprep.model.sheet import Placement, Sheet
from cutprep.report.pictures import sheet_words
from cutprep.report.pictures.lettering import Labels
from tests.order_sheets import square


def _panel(rings: list[object]) -> Template:
    lines = Lines.of([square(0, 0, 90), *rings], operation=Operation.CUT)
    holes = tuple(range(1, len(rings) + 1))
    return Template("panel", lines, parts=(Part(outline=0, holes=holes),))


@pytest.mark.parametrize("side", [0, 2, 9])
def test_the_room_of_a_name_is_clear_and_nearly_the_largest(side: int) -> None:
    pitch = 60 / side if side else 0.0
    template = _panel(
        [square(3 + x * pitch, 3 + y * pitch, 0.8 * pitch) for x in range(side) for y in range(side)]
    )
    middle, room = sheet_words._roomy(template, template.parts[0])
    drawn = shapely.MultiLineString([line.points for line in template.lines])
    assert shapely.distance(shapely.Point(middle), drawn) == pytest.approx(room)
    body = shapely.Polygon(
        template.lines.points(0), [template.lines.points(i) for i in template.parts[0].holes]
    )
    assert body.contains(shapely.Point(middle))
    assert room >= 0.95 * shapely.maximum_inscribed_circle(body, 0.01).length


def test_a_copy_of_very_many_parts_is_told_by_the_slider_only() -> None:
    rings = [square(k % 25, k // 25, 0.5) for k in range(500)]
    lines = Lines.of(rings, operation=Operation.CUT)
    sheets = [
        Sheet(
            1,
            100,
            100,
            "",
            (Template("isles", lines, tuple(Part(i) for i in range(count))),),
            (Placement(0, 0, 0, 0),),
        )
        for count in (300, 500)
    ]
    shown = []
    for sheet in sheets:
        labels = Labels()
        sheet_words.names(sheet, labels, (), 2.0)
        shown.append(len(labels.rows))
    assert shown[0] >= 300
    assert shown[1] == 0


@pytest.mark.parametrize("edge", ["lower", "upper"])
@pytest.mark.parametrize("side", [-1, 1])
def test_words_along_an_edge_give_way_by_an_eighth_of_their_length(edge: str, side: int) -> None:
    """What lies under their end only pushes them off it; what lies under their middle has them stand further out."""
    found = []
    for beside in (None, side):
        labels = Labels()
        if beside is not None:
            left, _, right, _ = found[0]
            end = right if side > 0 else left
            labels.keep_clear((end - 0.5, -20, end + 0.5, 120))
        sheet_words._edge(Sheet(1, 200, 100, "", (), ()), labels, edge, 2.0)
        found.append(labels.taken[-1])
    (left, top, right, _), (moved, same, _, _) = found
    assert (left + right) / 2 == pytest.approx(100)
    assert moved - left == pytest.approx(-side * (right - left) / 8)
    assert same == top
