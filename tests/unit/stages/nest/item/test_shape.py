"""What a template takes up."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cutprep.errors import PlanError
from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Operation
from cutprep.model.part import Part, Template
from cutprep.stages.nest.item.demand import Demand, Pose
from cutprep.stages.nest.item.shape import box_at, matrix_of, posed, shape_of
from cutprep.stages.nest.nesting import Nesting
from cutprep.stages.nest.plan import nest
from tests.unit.stages.nest.specimens import box, frame, ring, sheet_size, template


def test_a_window_counts_as_waste_and_as_room() -> None:
    """The area leaves the hole out; the solid fills it, the body does not."""
    shape = shape_of(frame(120, 80))
    assert shape.area == pytest.approx(120**2 - 80**2)
    assert shape.solid.area == pytest.approx(120**2)
    assert shape.body.area == pytest.approx(120**2 - 80**2)


def test_lines_across_a_window_close_it_there() -> None:
    """A cut that lies in the waste must not be run over by a neighbour."""
    square = [(0, 0), (50, 0), (50, 50), (0, 50)]
    hole = [(10, 10), (40, 10), (40, 40), (10, 40)]
    lines = Lines.of(
        [ring(square), ring(hole, clockwise=True), np.array([(10.0, 25.0), (40.0, 25.0)])],
        operation=Operation.CUT,
    )
    shape = shape_of(Template("t", lines, (Part(0, (1,), (2,)),)))
    assert shape.body.distance(shapely.Point(25, 25)) == 0
    assert shape.body.distance(shapely.Point(25, 30)) > 4


def test_loose_lines_keep_neighbours_off() -> None:
    """A pen line beside the part widens what the template takes up."""
    lines = Lines.of(
        [ring([(0, 0), (10, 0), (10, 10), (0, 10)]), np.array([(15.0, 0.0), (15.0, 10.0)])],
        operation=[Operation.CUT, Operation.DRAW],
    )
    left, _, right, _ = box_at(shape_of(Template("t", lines, (Part(0),), loose=(1,))), Pose())
    assert left == 0
    assert right == pytest.approx(15, abs=0.06)


def test_an_open_outline_is_named() -> None:
    """The error says which element, and where it stands."""
    element = Element(file="tray.svg", line=48, tag="path", ident="lid")
    lines = Lines.of([[(0, 0), (10, 0), (10, 10)]], operation=Operation.CUT, elements=(element,))
    with pytest.raises(PlanError, match=r"tray.svg:48 \(path 'lid'\): .*open"):
        shape_of(Template("tray", lines, (Part(0),)))


def test_a_template_without_lines_is_refused() -> None:
    """There is nothing to place."""
    with pytest.raises(PlanError, match="no line"):
        shape_of(Template("notes", Lines.empty(), ()))


def test_a_template_without_an_outline_takes_the_room_around_its_lines() -> None:
    """Scores for a card that is cut already are laid out by their hull."""
    lines = Lines.of([[(0, 0), (40, 0)], [(0, 30), (40, 30)]], operation=Operation.SCORE)
    shape = shape_of(Template("scores", lines, (), loose=(0, 1)))
    assert shape.solid.bounds == pytest.approx((0, 0, 40, 30), abs=0.06)
    assert shape.area == pytest.approx(1200, rel=0.01)


def test_an_outline_that_crosses_itself_is_taken_by_its_area() -> None:
    """A bow tie has no valid polygon; both halves count."""
    shape = shape_of(template("bow", [(0, 0), (10, 10), (10, 0), (0, 10.1)]))
    assert shape.solid.is_valid
    assert shape.solid.area == pytest.approx(50, rel=0.05)


@pytest.mark.parametrize("turn", [0.0, 90.0, 180.0, 270.0])
def test_quarter_turns_are_exact(turn: float) -> None:
    """No coordinate is off by the cosine of 90 degrees."""
    turned = posed(shape_of(box(30, 10)).solid, Pose(turn))
    assert set(np.abs(shapely.get_coordinates(turned)).ravel().tolist()) <= {0.0, 10.0, 30.0}


def test_mirroring_comes_before_turning() -> None:
    """As in a placement: mirrored about its y axis, turned, moved."""
    point = matrix_of(Pose(90.0, mirror=True), 5.0, 7.0) @ np.array([2.0, 1.0, 1.0])
    assert point.tolist() == [5.0 - 1.0, 7.0 - 2.0]


def test_a_score_from_edge_to_edge_makes_the_body_no_larger_than_the_solid() -> None:
    """Else a plain card with a score would not lie inside its own margin as soon as windows may be used."""
    lines = Lines.of(
        [[(0, 0), (50, 0), (50, 30), (0, 30), (0, 0)], [(25, 0), (25, 30)]],
        operation=[Operation.CUT, Operation.SCORE],
    )
    shape = shape_of(Template("card", lines, (Part(0, (), (1,)),)))
    assert shape.solid.covers(shape.body)
    (sheet,) = nest([Demand(shape.template, 3)], [sheet_size(100, 100)], Nesting(margin=5.0, windows=True))
    assert len(sheet.placements) == 3


@pytest.mark.parametrize("apart", [12.0, 9.0])
def test_parts_of_very_many_vertices_are_one_area_whether_they_lie_apart_or_not(apart: float) -> None:
    turn = np.linspace(0, 2 * np.pi, 1200)
    disc = 5 * np.column_stack((np.cos(turn), np.sin(turn)))
    disc[-1] = disc[0]
    moved = np.add(disc, (apart, 0.0))
    lines = Lines.of([disc, moved], operation=Operation.CUT)
    shape = shape_of(Template("t", lines, (Part(0, (), ()), Part(1, (), ()))))
    assert shape.solid.is_valid
    assert shape.solid.area == pytest.approx(
        shapely.union_all([shapely.Polygon(disc), shapely.Polygon(moved)]).area
    )
