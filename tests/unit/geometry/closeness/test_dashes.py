"""Broken scores: rows of dashes are one line; short scores that stand alone are not."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.closeness.dashes import JoinedRows, join_fold_dashes
from cutprep.model.lines import Lines, Points
from cutprep.model.operation import Operation

Runs = list[list[tuple[float, float]]]


def joined(cuts: Runs, scores: Runs) -> JoinedRows:
    operations = [Operation.CUT] * len(cuts) + [Operation.SCORE] * len(scores)
    return join_fold_dashes(Lines.of([np.array(line) for line in [*cuts, *scores]], operation=operations))


def scores_of(found: JoinedRows) -> list[Points]:
    return [found.lines.points(k) for k in np.flatnonzero(found.lines.operation == Operation.SCORE)]


def dashes(x0: float, x1: float, y: float, dash: float = 3.0, gap: float = 1.5) -> Runs:
    return [[(x, y), (min(x + dash, x1), y)] for x in np.arange(x0, x1, dash + gap).tolist()]


RIGHT = [(40.0, -20.0), (40.0, 20.0)]


def test_a_row_is_one_line_and_ends_on_the_cut_that_its_pattern_stops_short_of() -> None:
    row = dashes(0.0, 39.5, 0.0)
    (line,) = scores_of(joined([RIGHT], row))
    assert sorted(line[:, 0].tolist()) == pytest.approx([0.0, 40.0])
    assert line[:, 1].tolist() == pytest.approx([0.0, 0.0])


def test_a_row_does_not_go_on_across_a_cut() -> None:
    row = dashes(0.0, 19.0, 0.0) + dashes(20.5, 38.0, 0.0)
    found = scores_of(joined([[(19.8, -5.0), (19.8, 5.0)], RIGHT], row))
    assert sorted(float(np.ptp(line[:, 0])) for line in found) == pytest.approx([17.2, 19.8])


def test_two_rows_that_both_stop_short_meet_in_their_corner() -> None:
    across, up = dashes(0.0, 30.5, 10.0), [[(y, x) for x, y in run] for run in dashes(-20.0, 9.0, 31.0)]
    found = scores_of(joined([], across + up))
    ends = np.vstack(found)
    assert (np.hypot(*(ends - [31.0, 10.0]).T) < 1e-9).sum() == 2


def test_dashes_of_one_path_go_round_its_corner() -> None:
    bent = [[(1.0, 0.0), (0.0, 0.0), (0.0, 2.0)], *dashes(2.5, 20.0, 0.0)]
    bent += [[(y, x) for x, y in run] for run in dashes(3.5, 20.0, 0.0)]
    assert len(scores_of(joined([], bent))) == 2


@pytest.mark.parametrize(
    "scores",
    [
        dashes(0.0, 7.0, 0.0),  # two are no row
        [[(0.0, 9.0 * k), (6.0, 9.0 * k)] for k in range(5)],  # side by side
        dashes(0.0, 60.0, 0.0, dash=20.0),  # scores, not dashes
    ],
)
def test_what_is_no_row_stays(scores: Runs) -> None:
    found = joined([], scores)
    assert len(scores_of(found)) == len(scores)
    assert not found.dashes.any()


def test_a_row_is_known_by_its_first_dash() -> None:
    found = joined([RIGHT], dashes(0.0, 39.0, 0.0))
    assert found.own.tolist() == [0, 1]
    assert found.rows.tolist() == [False, True]
    assert found.dashes.tolist() == [False] + [True] * 9


def test_a_row_drawn_twice_is_two_lines() -> None:
    row = dashes(0.0, 39.0, 0.0)
    assert len(scores_of(joined([RIGHT], row + [run[::-1] for run in row]))) == 2


def off_by(noise: float, runs: Runs, seed: int) -> Runs:
    rng = np.random.default_rng(seed)
    return [
        [(x + rng.uniform(-noise, noise), y + rng.uniform(-noise, noise)) for x, y in run] for run in runs
    ]


@pytest.mark.parametrize("seed", range(5))
def test_dashes_that_are_off_a_little_are_a_row_all_the_same(seed: int) -> None:
    row = off_by(0.05, [*dashes(0.0, 31.5, 0.0), [(31.5, 0.0), (32.0, 0.0)]], seed)
    corner = [(33.0, 20.0), (33.0, 0.05), (60.0, 0.05)]  # which the row, led on, passes by
    (line,) = scores_of(joined([corner], row))
    assert np.ptp(line[:, 0]) == pytest.approx(33.0, abs=0.1)
    assert np.abs(line[:, 1]).max() < 0.1


def test_ones_and_twos_go_on_where_rows_are() -> None:
    tab = dashes(50.0, 57.0, 10.0)  # two dashes and half a gap
    lone = [[(50.0, 20.0), (53.0, 20.0)]]
    edge = [(57.5, 0.0), (57.5, 30.0)]
    found = scores_of(joined([edge, [(50.0, 5.0), (50.0, 30.0)]], dashes(0.0, 40.0, 0.0) + tab + lone))
    assert sorted(round(float(np.ptp(line[:, 0])), 3) for line in found) == [3.0, 7.5, 39.0]


def test_a_bowed_row_is_a_bowed_line_and_a_ring_is_closed() -> None:
    def on(radius: float, count: int) -> Runs:
        step = 2 * np.pi / count
        at = [(step * k, step * (k + 0.6)) for k in range(count)]
        return [[(radius * np.cos(t), radius * np.sin(t)) for t in pair] for pair in at]

    (bow,) = scores_of(joined([], on(60.0, 80)[:15]))
    assert np.hypot(*bow.T) == pytest.approx(60.0)
    assert len(bow) == 30
    (ring,) = scores_of(joined([], on(60.0, 80)))
    assert (ring[0] == ring[-1]).all()
