"""The planar graph: edges with where they come from, told apart by what they bound, and back as lines."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.lines.rings import signed_area
from cutprep.geometry.planar.graph.drawn import outline_lines, rest_lines
from cutprep.geometry.planar.graph.graph import EdgeKind, Graph
from cutprep.geometry.planar.plane import Plane
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from tests.drawn import LIMITS, arc, box


def graph(*cuts: object) -> Graph:
    lines = Lines.of([np.asarray(c, float) for c in cuts], operation=Operation.CUT)
    return Plane(lines, LIMITS).graph


def kinds(found: Graph) -> list[str]:
    return sorted(EdgeKind(int(k)).name for k in found.kind)


SIDES = [[(0, 0), (20, 0)], [(20, 0), (20, 20)], [(20, 20), (0, 20)], [(0, 20), (0, 0)]]


def test_what_runs_over_is_a_dangle_and_what_bounds_an_outline() -> None:
    found = graph([(-3, 0), (20, 0)], *SIDES[1:])
    assert kinds(found) == ["DANGLE", *["OUTLINE"] * 4]
    assert found.faces == 1
    (ring,) = outline_lines(found)
    assert signed_area(ring.points) == pytest.approx(400)


def test_a_wall_between_two_faces_is_inner_and_one_between_two_outlines_a_bridge() -> None:
    wall = graph(*SIDES, [(10, 0), (10, 20)])
    assert kinds(wall).count("INNER") == 1
    assert wall.faces == 2
    beside = [[(x + 40, y) for x, y in side] for side in SIDES]
    link = graph(*SIDES, *beside, [(20, 10), (40, 10)])
    assert kinds(link).count("BRIDGE") == 1
    assert len(link.ring) - 1 == 2


def test_of_two_edges_on_each_other_one_counts() -> None:
    found = graph(*SIDES, [(0, 0), (10, 0), (20, 0)], [(0, 0), (5, 0)])
    assert "TWIN" in kinds(found) or len(found) == 4
    assert len(outline_lines(found)) == 1


def test_faces_that_touch_in_a_point_are_two_outlines() -> None:
    found = graph(
        *SIDES, [(20, 20), (40, 20)], [(40, 20), (40, 40)], [(40, 40), (20, 40)], [(20, 40), (20, 20)]
    )
    areas = [signed_area(line.points) for line in outline_lines(found)]
    assert areas == [pytest.approx(400), pytest.approx(400)]


def test_an_edge_knows_its_line_and_where_on_it() -> None:
    found = graph([(-3, 0), (25, 0)], [(20, -2), (20, 22)], [(22, 20), (-1, 20)], [(0, 21), (0, -4)])
    bottom = np.flatnonzero(found.line == 0)
    assert found.begin[bottom].tolist() == pytest.approx([0, 3, 23])
    assert found.end[bottom].tolist() == pytest.approx([3, 23, 28])
    assert [EdgeKind(int(k)) for k in found.kind[bottom]] == [
        EdgeKind.DANGLE,
        EdgeKind.OUTLINE,
        EdgeKind.DANGLE,
    ]


def test_rest_lines_are_what_outlines_leave_as_it_was_drawn() -> None:
    slit = [(10, 0), (10, 4), (12, 7)]
    found = graph([(-3, 0), (20, 0)], *SIDES[1:], slit)
    rest = rest_lines(found, np.ones(len(found.lines), bool))
    assert [line.points.tolist() for line in rest] == [[[-3, 0], [0, 0]], [list(map(float, p)) for p in slit]]
    total = outline_lines(found).lengths.sum() + rest.lengths.sum()
    assert total == pytest.approx(found.lines.lengths.sum())


def test_vertices_of_curves_keep_their_mark() -> None:
    bow = np.asarray(arc((0, 0), 10, 0, 180))
    curved = np.ones(len(bow), bool)
    curved[[0, -1]] = False
    lines = Lines.of([bow, [(-13, 0), (14, 0)]], operation=Operation.CUT, curved=[curved, [False, False]])
    (ring,) = (outline_lines(Plane(lines, LIMITS).graph),)
    assert int(ring.curved.sum()) == len(bow) - 2


def test_a_line_that_is_marked_but_keeps_its_whole_run_comes_back_bit_for_bit() -> None:
    wave = [(3.3, 0.0), (4.1, 5.7), (7.9, 11.3), (3.3, 20.0)]
    found = graph(*SIDES, wave, [(5, 7), (6, 7)])
    rest = rest_lines(found, found.lines.lengths > 20.5)
    assert rest.points(0).tolist() == [list(p) for p in wave]


def test_order_and_direction_change_nothing() -> None:
    rng = np.random.default_rng(3)
    cuts = [
        np.asarray(c, float) for c in [*box_sides(0), *box_sides(31), [(-3, 5), (60, 5)], [(7, 2), (7, 30)]]
    ]
    first = _areas(graph(*cuts))
    for _ in range(6):
        mixed = [cuts[k][:: 1 if rng.random() < 0.5 else -1] for k in rng.permutation(len(cuts))]
        assert _areas(graph(*mixed)) == pytest.approx(first)


def box_sides(x: float) -> list[np.ndarray]:
    corners = np.array(box(x, 0, 25, 25))
    return [corners[k : k + 2] for k in range(4)]


def _areas(found: Graph) -> list[float]:
    return sorted(signed_area(line.points) for line in outline_lines(found))


def test_nothing_makes_an_empty_graph() -> None:
    found = Plane(Lines.empty(), LIMITS).graph
    assert len(found) == 0
    assert len(outline_lines(found)) == 0


@pytest.mark.parametrize(
    ("off", "corner"), [((0.02, 0.0), (0.0, 0.0)), ((-0.01, 0.02), (0.0, 0.0)), ((0.0, 0.0), (0.0, 0.0))]
)
def test_a_corner_lies_where_most_ends_lie(off: tuple[float, float], corner: tuple[float, float]) -> None:
    """A stray end, as of the last dash of a row, drew the corner of a dish along with it: its inside was 0.02 mm off."""
    found = graph(*SIDES[:3], [(0, 20), (0, 0)], [off, (-10, -10)], [(0, 0), (-10, 5)])
    near = found.xy[np.hypot(*found.xy.T) < 0.5]
    assert near.tolist() == [list(corner)]


def test_a_corner_on_which_two_ends_disagree_is_one_of_them_or_between() -> None:
    found = graph([(0, 0), (20, 0)], *SIDES[1:3], [(0, 20), (0.02, 0)])
    near = found.xy[np.hypot(*found.xy.T) < 0.5]
    ((x, y),) = near.tolist()
    assert 0.0 <= x <= 0.02
    assert y == 0.0
