"""Lines that meet end to end."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.planar.ends.chains import (
    JoinedChains,
    ends,
    headings,
    join,
    loose,
    nodes,
    partners,
    same_kind,
    trace,
)
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation

SQUARE = Lines.of([[(0, 0), (10, 0)], [(10, 10), (10.02, 0)], [(10, 10), (0, 10)], [(0, 10), (0, 0.01)]])
FORK = Lines.of([[(0, 0), (5, 0)], [(5, 0), (9, 3)], [(9, -3), (5, 0)]])


def test_a_square_in_four_strokes_is_one_closed_line() -> None:
    """Whatever the direction of the strokes; ends move by no more than half their distance."""
    joined, chains = join(SQUARE, 0.05)
    assert len(joined) == 1
    assert joined.closed.tolist() == [True]
    assert chains.pieces(0).tolist() == [0, 1, 2, 3]
    assert chains.reverse[chains.start[0] : chains.start[1]].tolist() == [False, True, False, False]
    assert joined.points(0).tolist() == [[0, 0.005], [10.01, 0], [10, 10], [0, 10], [0, 0.005]]


def test_a_chain_stops_at_a_fork() -> None:
    """Three ends at one node go nowhere."""
    joined, chains = join(FORK, 0.05)
    assert len(joined) == 3
    assert not chains.closed.any()
    node = nodes(FORK, 0.05)
    assert len(set(node[[1, 2, 5]].tolist())) == 1
    assert (partners(node) == -1).all()
    assert loose(node).tolist() == [True, False, False, True, True, False]


def test_kinds_keep_operations_apart() -> None:
    """A cut and a score that meet stay two lines."""
    lines = Lines.of([[(0, 0), (5, 0)], [(5, 0), (9, 3)]], operation=[Operation.CUT, Operation.SCORE])
    assert len(join(lines, 0.05)[0]) == 1
    assert len(join(lines, 0.05, kind=same_kind(lines))[0]) == 2


def test_only_picked_lines_are_joined() -> None:
    """The rest passes through as it is."""
    joined, _ = join(SQUARE, 0.05, pick=np.array([True, True, False, False]))
    assert len(joined) == 3


def test_a_sliver_at_a_meeting_makes_no_fork() -> None:
    """A line shorter than the distance takes no part."""
    lines = Lines.of([[(0, 0), (5, 0)], [(5, 0), (5.02, 0)], [(5.02, 0), (9, 0)]])
    joined, _ = join(lines, 0.05)
    assert len(joined) == 2
    assert max(joined.counts) == 3


def test_joined_lines_keep_what_they_were() -> None:
    """The longest piece gives its source; curves stay curves, and a joint is a corner."""
    lines = Lines.of(
        [[(0, 0), (1, 0), (2, 0)], [(2, 0), (9, 0), (12, 5)]],
        source=[0, 1],
        curved=[[False, True, False], [False, True, False]],
        elements=(SQUARE.elements[0], SQUARE.elements[0]),
    )
    joined, _ = join(lines, 0.05)
    assert joined.source.tolist() == [1]
    assert joined.curved.tolist() == [False, True, False, True, False]


@pytest.mark.parametrize("seed", range(5))
def test_order_and_direction_of_strokes_don_t_matter(seed: int) -> None:
    """A polyline cut in pieces, shuffled and turned, comes back whole."""
    rng = np.random.default_rng(seed)
    points = np.cumsum(rng.uniform(0.5, 2, (30, 2)), axis=0)
    order = rng.permutation(29)
    pieces = [points[k : k + 2][:: rng.choice([1, -1])] for k in order]
    joined, chains = join(Lines.of(pieces), 0.05)
    assert len(joined) == 1
    got = joined.points(0)
    assert min(np.abs(got - points).max(), np.abs(got[::-1] - points).max()) == 0
    assert sorted(chains.piece.tolist()) == list(range(29))
    assert (chains.of_line == 0).all()


def test_a_way_runs_through_its_pieces() -> None:
    """Positions on pieces become positions on the chain, turned pieces backwards."""
    chains = trace(SQUARE, 0.05)
    way = JoinedChains(SQUARE, chains)
    assert way.closed.tolist() == [True]
    line = np.array([0, 1, 3])
    assert way.along(line, np.array([0.0, 0.0, 4.0])) == pytest.approx([0, 20, 34], abs=0.05)
    assert np.isinf(way.to_ends(line, np.zeros(3))).all()
    assert way.points_at(np.array([0]), np.array([-1.0]))[0] == pytest.approx((0, 1), abs=0.05)
    open_way = JoinedChains(FORK, trace(FORK, 0.05))
    assert open_way.to_ends(np.array([0]), np.array([1.5])).tolist() == [1.5]
    assert open_way.from_end(np.array([1]), np.array([1.5])).tolist() == [3.5]


def test_ends_and_headings() -> None:
    """Two ends a line, each with the direction in which the line leaves."""
    assert ends(FORK)[:2].tolist() == [[0, 0], [5, 0]]
    assert headings(FORK, np.array([0, 1])).tolist() == [[-1, 0], [1, 0]]
    assert len(ends(Lines.empty())) == 0
