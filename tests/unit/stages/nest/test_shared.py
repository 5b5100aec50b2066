"""Shared cuts: the doubled-line code must find them before, and nothing after."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.closeness.overlap import find_runs
from cutprep.geometry.placed import placed_lines
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.model.part import Part, Template
from cutprep.model.sheet import Placement, Sheet
from cutprep.stages.nest.shared import share_cuts
from cutprep.tolerance import Tolerance
from tests.asserting import assert_same_ink
from tests.unit.stages.nest.specimens import box, disc, ring, sheet, template

_T = Tolerance()


def _doubled(s: Sheet) -> int:
    runs = find_runs(
        placed_lines(s).lines, _T.doubled, shortest=_T.doubled_run, shortest_passing=_T.doubled_run
    )
    return len(runs)


def _check(before: Sheet, saved: float) -> Sheet:
    """Length falls by what is said to be saved, the ink stays, nothing is doubled."""
    after = share_cuts(before, tolerance=Tolerance())
    was, now = placed_lines(before).lines, placed_lines(after).lines
    assert was.lengths.sum() - now.lengths.sum() == pytest.approx(saved, abs=1e-6)
    assert_same_ink(now, was, within=2e-3)
    assert _doubled(before) > 0
    assert _doubled(after) == 0
    assert (now.operation == Operation.CUT).all()
    (note,) = [f for f in after.notes if f.code == "shared-cuts"]
    assert note.measure == pytest.approx(saved, abs=1e-6)
    return after


def test_two_boxes_side_by_side() -> None:
    """One edge of 10 is shared: the second box is cut as an open line of three edges."""
    after = _check(sheet([box(20, 10)], [Placement(0, 0, 0), Placement(0, 20, 0, copy=2)]), 10.0)
    assert after.dropped == ((), (0,))
    assert len(after.extra) == 1
    assert len(after.extra.points(0)) == 4


@pytest.mark.parametrize("turn", [0.0, 90.0, 33.0])
def test_a_grid_of_trays(turn: float) -> None:
    """3 by 4 boxes share 2 x 4 + 3 x 3 edges, at any angle of the whole."""
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    placements = [
        Placement(0, 150 + c * 20 * i - s * 10 * j, 150 + s * 20 * i + c * 10 * j, turn, copy=4 * i + j + 1)
        for i in range(3)
        for j in range(4)
    ]
    _check(sheet([box(20, 10)], placements), 2 * 4 * 10 + 3 * 3 * 20)


def test_edges_that_face_in_part() -> None:
    """Bricks: each upper one lies over two lower ones."""
    placements = [Placement(0, 0, 0), Placement(0, 20, 0, copy=2), Placement(0, 10, 10, copy=3)]
    _check(sheet([box(20, 10)], placements), 10 + 20)


def test_a_copy_cut_all_round_by_others_leaves_nothing() -> None:
    """Four earlier bricks around a fifth: its outline is dropped and nothing is added for it."""
    placements = [
        Placement(0, 0, 0),
        Placement(0, 30, 0, 90, copy=2),
        Placement(0, 10, 20, copy=3),
        Placement(0, 10, 10, 90, copy=4),
        Placement(1, 10, 10, copy=5),
    ]
    after = _check(sheet([box(20, 10), box(10, 10)], placements), 4 * 10 + 4 * 10)
    assert after.dropped[4] == (0,)


def test_head_to_tail_tags() -> None:
    """Slanted edges are shared like upright ones."""
    wedge = template("wedge", [(0, 0), (30, 0), (20, 15), (0, 15)])
    _check(sheet([wedge], [Placement(0, 0, 0), Placement(0, 50, 15, 180, copy=2)]), np.hypot(10, 15))


def test_curves_are_never_shared() -> None:
    """A disc in a dish of the same chords: every chord is doubled, and stays so."""
    lid = disc(10, 32)
    rim = lid.lines.points(0)[::-1]
    around = ring([(-5, -5), (25, -5), (25, 25), (-5, 25)])
    lines = Lines.of(
        [around, rim], operation=Operation.CUT, curved=[np.zeros(5, bool), np.ones(len(rim), bool)]
    )
    dish = Template("dish", lines, (Part(0), Part(1)))
    before = sheet([lid, dish], [Placement(0, 20, 20), Placement(1, 20, 20, copy=2)])
    assert _doubled(before) > 0
    assert share_cuts(before, tolerance=Tolerance()) is before


@pytest.mark.parametrize("tilt", [0.2, 1.0])
def test_nearly_parallel_edges_are_never_shared(tilt: float) -> None:
    """Two edges that open like a needle are two cuts."""
    s = sheet([box(60, 10)], [Placement(0, 0, 0), Placement(0, 0, 10, tilt, copy=2)])
    assert share_cuts(s, tolerance=Tolerance()) is s


def test_edges_a_little_apart_are_not_shared() -> None:
    """A hundredth of a millimetre is not on each other."""
    s = sheet([box(20, 10)], [Placement(0, 0, 0), Placement(0, 20.01, 0, copy=2)])
    assert share_cuts(s, tolerance=Tolerance()) is s


def test_scores_are_never_shared() -> None:
    """A score that ends on the neighbour's side stays, and so does the score along the edge."""
    lines = Lines.of(
        [ring([(0, 0), (20, 0), (20, 10), (0, 10)]), np.array([(20.0, 0.0), (20.0, 10.0)])],
        operation=[Operation.CUT, Operation.SCORE],
    )
    t = Template("scored", lines, (Part(0, (), (1,)),))
    after = share_cuts(sheet([t], [Placement(0, 0, 0), Placement(0, 20, 0, copy=2)]), tolerance=Tolerance())
    assert (placed_lines(after).lines.operation == Operation.SCORE).sum() == 2


def test_lines_of_one_copy_are_left_alone() -> None:
    """Two parts of one template that touch are as drawn."""
    lines = Lines.of(
        [ring([(0, 0), (20, 0), (20, 10), (0, 10)]), ring([(20, 0), (40, 0), (40, 10), (20, 10)])],
        operation=Operation.CUT,
    )
    s = sheet([Template("pair", lines, (Part(0), Part(1)))], [Placement(0, 0, 0)])
    assert share_cuts(s, tolerance=Tolerance()) is s


def test_mirrored_copies_share_too() -> None:
    """A mirrored outline runs clockwise; its facing edge is found all the same."""
    before = sheet([box(20, 10)], [Placement(0, 0, 0), Placement(0, 40, 0, mirror=True, copy=2)])
    _check(before, 10.0)
