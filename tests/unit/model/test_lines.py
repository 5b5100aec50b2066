"""Lines as columns: what holds for every value."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as nst

from cutprep.model.lines import Element, Lines
from cutprep.model.operation import Fold, Operation

numbers = st.floats(-1e4, 1e4, allow_nan=False)


@st.composite
def some_lines(draw: st.DrawFn) -> Lines:
    count = draw(st.integers(0, 6))
    rows = [
        draw(nst.arrays(np.float64, (draw(st.integers(2, 6)), 2), elements=numbers)) for _ in range(count)
    ]
    return Lines.of(rows, operation=draw(st.lists(st.integers(0, 5), min_size=count, max_size=count)))


@given(some_lines(), st.randoms())
def test_take_with_a_permutation_keeps_everything(lines: Lines, random) -> None:  # type: ignore[no-untyped-def]
    index = list(range(len(lines)))
    random.shuffle(index)
    taken = lines.take(index)
    assert sorted(taken.lengths.tolist()) == pytest.approx(sorted(lines.lengths.tolist()))
    back = taken.take(np.argsort(index))
    assert np.array_equal(back.xy, lines.xy)
    assert np.array_equal(back.operation, lines.operation)


@given(some_lines())
def test_reversing_twice_changes_nothing(lines: Lines) -> None:
    index, turned = np.arange(len(lines)), np.ones(len(lines), bool)
    twice = lines.take(index, turned).take(index, turned)
    assert np.array_equal(twice.xy, lines.xy)
    assert np.array_equal(twice.curved, lines.curved)


@given(some_lines(), st.floats(0, 360), numbers, numbers)
def test_a_rigid_motion_keeps_lengths(lines: Lines, degrees: float, dx: float, dy: float) -> None:
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    moved = lines.transform([[c, -s, dx], [s, c, dy]])
    assert moved.lengths == pytest.approx(lines.lengths, abs=1e-6)
    assert moved.closed[lines.closed].all()


def test_closed_is_bit_for_bit_and_needs_four_points() -> None:
    square = [(0, 0), (1, 0), (1, 1), (0, 0)]
    lines = Lines.of([square, [(0, 0), (1, 0), (0, 0)], [(0, 0), (1, 0), (1, 1), (1e-12, 0)]])
    assert lines.closed.tolist() == [True, False, False]
    assert [line.closed for line in lines] == [True, False, False]


def test_each_line_has_its_box() -> None:
    """Left, bottom, right, top; of no lines none."""
    lines = Lines.of([[(3, 1), (0, 4)], [(-2, 0), (5, 5), (6, -1)]])
    assert lines.boxes.tolist() == [[0, 1, 3, 4], [-2, -1, 6, 5]]
    assert lines.take([]).boxes.shape == (0, 4)


def test_a_view_tells_where_it_came_from() -> None:
    elements = (Element(layer="cut", tag="path", ident="lid"), Element(layer="score"))
    lines = Lines.of(
        [[(0, 0), (3, 4)], [(0, 0), (1, 0)]],
        operation=[Operation.CUT, Operation.SCORE],
        fold=[Fold.UNSAID, Fold.VALLEY],
        source=[0, 1],
        elements=elements,
    )
    assert lines[0].layer == "cut"
    assert lines[0].element.name == "path 'lid'"
    assert lines[-1].fold is Fold.VALLEY
    assert lines.lengths.tolist() == [5.0, 1.0]
    assert lines.bounds == (0.0, 0.0, 3.0, 4.0)
    with pytest.raises(IndexError):
        lines[2]


def test_arrays_refuse_writes_and_do_not_follow_their_origin() -> None:
    origin = np.array([[0.0, 0.0], [1.0, 0.0]])
    lines = Lines.of([origin])
    origin[0, 0] = 99.0
    assert lines.xy[0, 0] == 0.0
    columns = {
        "xy": np.zeros((2, 2)),
        "start": np.array([0, 2]),
        "operation": np.array([5], np.int8),
        "fold": np.zeros(1, np.int8),
        "source": np.zeros(1, np.int32),
        "curved": np.zeros(2, bool),
    }
    own = Lines(**columns)
    for name, column in columns.items():
        column[...] = column + 1  # a caller's own array stays the caller's
        assert (getattr(own, name) != column).any(), name
    with pytest.raises(ValueError, match="read-only"):
        lines.xy[0, 0] = 5.0
    with pytest.raises(ValueError, match="read-only"):
        lines.points(0)[0, 0] = 5.0


@pytest.mark.parametrize(
    "change",
    [
        {"xy": [[np.nan, 0], [1, 0]]},
        {"xy": [[np.inf, 0], [1, 0]]},
        {"start": [0, 1]},
        {"start": [1, 2]},
        {"operation": []},
        {"source": [3]},
        {"curved": [True]},
        {"fold": [1], "operation": [Operation.CUT]},
        {"xy": [[0.0, 0.0]], "start": [0, 1], "curved": [False]},
    ],
)
def test_broken_columns_are_refused(change: dict[str, list[object]]) -> None:
    good = {
        "xy": [[0.0, 0.0], [1.0, 0.0]],
        "start": [0, 2],
        "operation": [5],
        "fold": [0],
        "source": [0],
        "curved": [False, False],
    }
    Lines(**good)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match=r"."):
        Lines(**{**good, **change})  # type: ignore[arg-type]


def test_concat_keeps_sources_and_equal_tables_once() -> None:
    a = Lines.of([[(0, 0), (1, 0)]], elements=(Element(layer="a"),))
    b = Lines.of([[(0, 0), (2, 0)]], elements=(Element(layer="b"),))
    joined = Lines.concat([a, b, a.take([0]), Lines.empty()])
    assert [line.layer for line in joined] == ["a", "b", "a"]
    assert Lines.concat([a, a]).elements is a.elements
    assert len(Lines.concat([])) == 0
    assert len(joined.elements) == 2


def test_no_lines_at_all() -> None:
    none = Lines.empty()
    assert (len(none), none.bounds, none.closed.tolist(), none.lengths.tolist()) == (0, (0, 0, 0, 0), [], [])
    assert len(none.take([])) == 0
    assert len(none.transform([[1, 0, 5], [0, 1, 5]])) == 0
