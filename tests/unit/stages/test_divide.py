"""Lines to parts."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.geometry.lines.rings import signed_area
from cutprep.model.drawing import Drawing
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.divide import close_rings, divide, main_fold
from cutprep.template.kinds import KINDS
from cutprep.tolerance import Tolerance

CUT, SCORE, GUIDE = Operation.CUT, Operation.SCORE, Operation.GUIDE
SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)]


def drawing(rows: list[list[tuple[float, float]]], ops: object = CUT) -> Drawing:
    return Drawing("d", Lines.of(rows, operation=ops))  # type: ignore[arg-type]


def test_an_outline_of_four_strokes_becomes_one_ring() -> None:
    rows = [[(0, 0), (10, 0)], [(10.03, 0), (10, 10)], [(0, 10), (10, 10)], [(0, 10), (0, 0)]]
    template = divide(drawing(rows), Tolerance())
    assert len(template.parts) == 1
    assert template.lines.closed.tolist() == [True]
    assert signed_area(template.lines.points(0)) == pytest.approx(100, abs=0.2)


def test_a_gap_within_the_limit_is_taken_as_closed() -> None:
    """As mending would close it: the sides go on to their corner."""
    rows = [[(0, 0), (10, 0)], [(10.6, 0), (10.6, 10)], [(0, 10), (10.6, 10)], [(0, 10), (0, 0)]]
    template = divide(drawing(rows), Tolerance())
    assert len(template.parts) == 1
    assert signed_area(template.lines.points(0)) == pytest.approx(106)


@pytest.mark.parametrize(
    "rows",
    [
        [[(-2, 0), (60, 0)], [(50, -10), (50, 33)], [(55, 30), (-3, 30)], [(0, 36), (0, -5)]],
        [[(0, 0), (50, 0)], [(0, 30), (50, 30)], [(0, -9), (0, 40)], [(50, -9), (50, 40)]],
        [[(-20, 0), (70, 0)], [(-20, 30), (70, 30)], [(0, -20), (0, 50)], [(50, -20), (50, 50)]],
        [[(0, 0), (50, 0), (50, 30), (0, 30), (0, -2)]],
    ],
    ids=["corners run over", "sides end on longer lines", "a hash of four lines", "a path past its start"],
)
def test_an_outline_drawn_by_hand_is_one_part(rows: list) -> None:
    """However far its strokes run on; what runs on stays, as lines beside the part."""
    template = divide(drawing(rows), Tolerance())
    (part,) = template.parts
    assert signed_area(template.lines.points(part.outline)) == pytest.approx(1500)
    drawn = sum(np.hypot(*np.diff(np.array(row, float), axis=0).T).sum() for row in rows)
    assert template.lines.lengths.sum() == pytest.approx(drawn)


def test_a_gap_beyond_the_limit_closes_nothing() -> None:
    rows = [[(0, 0), (10, 0)], [(11.0, 0), (10, 10)], [(0, 10), (10, 10)], [(0, 10), (0, 0)]]
    template = divide(drawing(rows), Tolerance())
    assert template.parts == ()
    assert len(template.loose) == 4


def test_a_slit_from_the_outline_stays_a_slit() -> None:
    rows = [
        [(0, 0), (10, 0)],
        [(10, 0), (10, 10)],
        [(10, 10), (0, 10)],
        [(0, 10), (0, 0)],
        [(10, 10), (7, 7)],
    ]
    template = divide(drawing(rows), Tolerance())
    (part,) = template.parts
    assert [template.lines.points(i).tolist() for i in part.inner] == [[[10, 10], [7, 7]]]


def test_panels_with_a_shared_edge_keep_their_outer_boundary() -> None:
    rows = [
        [(0, 0), (10, 0)], [(10, 0), (20, 0)], [(0, 10), (10, 10)], [(10, 10), (20, 10)],
        [(0, 0), (0, 10)], [(10, 0), (10, 10)], [(20, 0), (20, 10)],
    ]  # fmt: skip
    template = divide(drawing(rows), Tolerance())
    (part,) = template.parts
    assert signed_area(template.lines.points(part.outline)) == pytest.approx(200)
    assert len(part.inner) == 1


def test_windows_and_parts_within_windows() -> None:
    big, window, island = (
        [(x * s + o, y * s + o) for x, y in SQUARE] for s, o in ((10, 0), (5, 20), (2, 30))
    )
    template = divide(drawing([island, window, big, [(35, 35), (36, 35)], [(2, 2), (3, 2)]]), Tolerance())
    outer, inner = sorted(template.parts, key=lambda p: -abs(signed_area(template.lines.points(p.outline))))
    assert len(outer.holes) == 1
    assert inner.holes == ()
    assert signed_area(template.lines.points(outer.outline)) > 0
    assert signed_area(template.lines.points(outer.holes[0])) < 0
    assert [template.lines.points(i)[0].tolist() for i in inner.inner] == [[35, 35]]
    assert [template.lines.points(i)[0].tolist() for i in outer.inner] == [[2, 2]]


def test_guides_belong_to_nothing_and_the_corner_is_the_origin() -> None:
    rows = [[(x + 5, y + 7) for x, y in SQUARE], [(0, 0), (1, 1)], [(5, 7), (15, 17)]]
    template = divide(drawing(rows, [CUT, GUIDE, SCORE]), Tolerance())
    assert template.lines.bounds == (0, 0, 10, 10)
    assert len(template.lines) == 2
    assert template.grain == 45.0


@settings(max_examples=30)
@given(st.randoms(), st.sampled_from(sorted(KINDS)))
def test_neither_order_nor_direction_of_lines_matters(random, kind: str) -> None:  # type: ignore[no-untyped-def]
    whole = KINDS[kind].from_values()
    index = list(range(len(whole.lines)))
    random.shuffle(index)
    turned = [random.random() < 0.5 for _ in index]
    shuffled = whole.with_lines(whole.lines.take(index, turned))
    one, other = divide(whole, Tolerance()), divide(shuffled, Tolerance())
    assert len(one.parts) == len(other.parts)
    assert sorted(len(p.holes) for p in one.parts) == sorted(len(p.holes) for p in other.parts)
    assert sorted(len(p.inner) for p in one.parts) == sorted(len(p.inner) for p in other.parts)
    assert one.size == other.size


def test_every_cut_line_belongs_to_exactly_one_part() -> None:
    for kind in KINDS.values():
        template = divide(kind.from_values(), Tolerance())
        named = [i for p in template.parts for i in (p.outline, *p.holes, *p.inner)] + list(template.loose)
        assert sorted(named) == list(range(len(template.lines)))


def test_curved_flags_survive_joining() -> None:
    flags = [[False, True, False], [False, False]]
    lines = Lines.of([[(0, 0), (5, 5), (10, 0)], [(10, 0), (0, 0)]], operation=CUT, curved=flags)
    closed = close_rings(lines, Tolerance())
    assert closed.closed.tolist() == [True]
    assert [tuple(p) for p in closed.xy[closed.curved].tolist()] == [(5, 5)]


def test_main_fold_goes_by_length() -> None:
    rows = [[(0, 0), (0, 30)], [(0, 0), (10, 0)], [(5, 0), (15, 0)]]
    assert main_fold(Lines.of(rows, operation=SCORE)) == 90.0
    assert main_fold(Lines.of(rows, operation=CUT)) is None
    assert main_fold(Lines.empty()) is None


def test_nothing_to_divide() -> None:
    template = divide(Drawing("d", Lines.empty()), Tolerance())
    assert (template.parts, template.loose, template.size) == ((), (), (0.0, 0.0))


def test_ten_thousand_strokes_are_joined() -> None:
    """A honeycomb of single strokes: each cell its own six; no pair of cells touches."""
    angles = np.radians(60 * np.arange(7))
    cell = np.column_stack((np.cos(angles), np.sin(angles)))
    rows = [
        (cell[[k, k + 1]] + (3 * i, 3 * j)).tolist() for i in range(40) for j in range(40) for k in range(6)
    ]
    template = divide(drawing(rows), Tolerance())
    assert len(template.parts) == 1600
