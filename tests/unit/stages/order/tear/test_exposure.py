"""Tear exposure by the definition, worked out by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutprep.errors import PlanError
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.order.entry.starts import begins_at_corner
from cutprep.stages.order.tear import exposure, near
from cutprep.stages.order.tear.exposure import (
    corner_starts,
    find_strips,
    loose,
    pair_costs,
    running,
    strips_of_joined,
)
from tests.order_sheets import square

CUT = Operation.CUT


def run(lines: list[object], order: list[int], back: list[bool]) -> float:
    drawn = Lines.of(lines, operation=CUT)
    place = np.empty(len(lines), np.int64)
    place[order] = np.arange(len(lines))
    return float(running(find_strips(drawn), place, np.array(back)).sum())


@pytest.mark.parametrize("degrees", [10, 30, 60, 90])
def test_running_into_a_tip(degrees: float) -> None:
    # The width at distance s from the tip is s sin(angle): the weight 1 - width / 3 summed over the
    # stretch where it is below 3 is 1.5 / sin(angle), by hand.
    angle = math.radians(degrees)
    lines = [[[0, 0], [40, 0]], [[0, 0], [40 * math.cos(angle), 40 * math.sin(angle)]]]
    assert run(lines, [0, 1], [False, False]) == 0
    assert run(lines, [0, 1], [False, True]) == pytest.approx(1.5 / math.sin(angle), rel=0.01)
    assert run(lines, [1, 0], [False, True]) == 0


def test_parallel_cuts_run_into_no_point() -> None:
    assert run([[[0, 0], [40, 0]], [[0, 2], [40, 2]]], [0, 1], [False, True]) == 0


def test_only_what_was_cut_before_counts_and_scores_do_not() -> None:
    lines = [[[0, 0], [40, 0]], [[40, 20], [0, 0]]]
    assert run(lines, [1, 0], [False, False]) == 0
    drawn = Lines.of(lines, operation=[Operation.SCORE, CUT])
    assert running(find_strips(drawn), np.arange(2), np.zeros(2, bool)).sum() == 0


def test_of_two_lines_the_nearer_tells_the_width() -> None:
    # Two equal cuts converge with a third: the tip is one tip, not two.
    lines = [[[0, 0], [40, 0]], [[40, 0], [0, 0]], [[40, 40], [0, 0]]]
    assert run(lines, [0, 1, 2], [False] * 3) - run(lines[:2], [0, 1], [False] * 2) == pytest.approx(
        1.5 / math.sin(math.pi / 4), rel=0.01
    )


def test_costs_of_pairs_are_the_exposure_of_two_lines() -> None:
    lines = [[[0, 0], [30, 0]], [[0, 1], [30, 8]], [[100, 0], [130, 0]]]
    line, other, ahead, back = pair_costs(find_strips(Lines.of(lines, operation=CUT)), 3)
    assert list(zip(line.tolist(), other.tolist(), strict=True)) == [(0, 1), (1, 0)]
    assert back[1] == pytest.approx(run(lines, [0, 1, 2], [False, True, False]))
    assert ahead[0] == pytest.approx(run(lines, [1, 0, 2], [False] * 3))


def test_loose_cutting_is_the_length_cut_in_a_closed_ring() -> None:
    drawn = Lines.of([square(0, 0, 50), square(10, 10, 5)], operation=CUT)
    inside, ring = np.array([1]), np.array([0])
    assert loose(drawn, inside, ring, np.array([0, 1])) == 20
    assert loose(drawn, inside, ring, np.array([1, 0])) == 0


def test_corner_starts_count_where_there_is_a_run() -> None:
    turn = np.linspace(0, 2 * np.pi, 25)
    ring = np.column_stack((np.cos(turn), np.sin(turn)))
    ring[-1] = ring[0]
    drawn = Lines.of([square(0, 0, 50), square(0, 0, 2), 20 * ring], operation=CUT)
    assert corner_starts(drawn, np.array([True, True, True])) == 3.0
    assert corner_starts(drawn, np.array([False, True, True])) == 0.0


def test_corner_starts_are_counted_line_by_line() -> None:
    """Most lines are ruled out together; what is left is looked at one by one, and nothing is lost by that."""
    chance = np.random.default_rng(9)
    rings = []
    for k in range(60):
        corners, size = chance.integers(3, 9), chance.uniform(1, 12)
        turn = np.sort(chance.uniform(0, 2 * np.pi, corners))
        ring = np.column_stack((np.cos(turn), np.sin(turn))) * size + (30 * k, 0)
        rings.append(np.vstack((ring, ring[:1] if k % 5 else np.add(ring[:1], (0, 1)))))
        if k % 7 == 0:
            rings[-1] = np.vstack((rings[-1][:1], rings[-1]))  # a first step of no length
    drawn = Lines.of(rings, operation=CUT)
    outline = chance.random(len(drawn)) < 0.8
    own = [begins_at_corner(drawn.points(i), drawn.curves(i)) for i in range(len(drawn))]
    wanted = 3.0 * int((np.array(own) & drawn.closed & outline).sum())
    assert corner_starts(drawn, outline) == wanted > 30


def test_widths_between_joined_lines_are_those_of_their_pieces() -> None:
    """Measured once on the lines as drawn, and told of the strokes that were made of them."""
    rng = np.random.default_rng(2)
    chains = [np.cumsum(rng.uniform(-1, 4, (7, 2)), axis=0) + rng.uniform(0, 12, 2) for _ in range(8)]
    pieces, joined, reverse = [], [], []
    for number, chain in enumerate(chains):
        for part in (chain[:3], chain[2:5], chain[4:]):
            back = bool(rng.integers(2))
            pieces.append(part[::-1] if back else part)
            joined.append(number)
            reverse.append(back)
    drawn = find_strips(Lines.of(pieces, operation=CUT))
    want = pair_costs(find_strips(Lines.of(chains, operation=CUT)), 8)
    got = pair_costs(strips_of_joined(drawn, np.array(joined), np.array(reverse)), 8)
    assert len(want[0]) > 5
    for a, b in zip(want, got, strict=True):
        assert b == pytest.approx(a, abs=1e-4)


def test_in_dense_lace_neighbours_grow_with_the_lines_not_with_their_square(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    shares: list[float] = []
    found_near = exposure.near_segments

    def counted(a: np.ndarray, b: np.ndarray, owner: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        found = found_near(a, b, owner)
        shares.append(len(found[0]) / len(a))
        return found

    monkeypatch.setattr(exposure, "near_segments", counted)
    for side in (30, 90):  # as many rows and columns of squares on a sheet of 90 mm
        pitch = 90 / side
        rings = [square(x * pitch, y * pitch, 0.6 * pitch) for x in range(side) for y in range(side)]
        find_strips(Lines.of(rings, operation=CUT))
    assert min(shares) > 4
    assert max(shares) < 25


def test_lines_that_all_cross_are_measured_where_they_are_near_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """A long way off from the crossing no steps are taken; too many crossings are refused with a way out."""
    turn = np.arange(40) * np.pi / 40
    star = Lines.of(
        [np.array([(np.cos(a), np.sin(a)), (-np.cos(a), -np.sin(a))]) * 140 for a in turn], operation=CUT
    )
    strips = find_strips(star)
    assert (
        0 < len(strips.line) < 40 * 39 * 280 / 0.25 / 4
    )  # of a width every quarter millimetre for every pair
    monkeypatch.setattr(near, "_MOST_PAIRS", 1000)
    with pytest.raises(PlanError, match="too densely to be put in order") as told:
        find_strips(star)
    assert told.value.fix == (
        "Delete lines that are not for the machine, such as hatching, or make the job in pieces."
    )
