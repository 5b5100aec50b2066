"""Dashes and bridges."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely

from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from cutprep.stages.blade.broken import (
    bridge_positions,
    bridges_of,
    corner_positions,
    cut_between,
    dashes,
    held,
    hinge_ends,
    too_few_bridges,
)
from cutprep.stages.blade.cutting import Bridges, Perforation
from cutprep.stages.blade.track import track
from cutprep.tolerance import Tolerance
from tests.moving import machine_of, ring, strokes_of

NONE = np.empty((0, 2))
SQUARE = ring([(0, 0), (40, 0), (40, 40), (0, 40)])


def tracked(points):
    return track(Lines.of([points]), Tolerance())


def test_a_dashed_line_starts_and_ends_with_a_cut() -> None:
    spans = dashes(tracked([(0, 0), (20, 0)]), Perforation(3, 1))
    assert spans[0][0] == 0
    assert spans[-1][1] == 20
    cuts = [b - a for a, b in spans]
    gaps = [b[0] - a[1] for a, b in pairwise(spans)]
    assert gaps == pytest.approx([1] * len(gaps))
    assert cuts == pytest.approx([cuts[0]] * len(cuts))
    assert cuts[0] == pytest.approx(3, abs=0.5)


def test_dashes_meet_at_a_corner() -> None:
    spans = dashes(tracked([(0, 0), (10, 0), (10, 10)]), Perforation(3, 1))
    across = [span for span in spans if span[0] < 10 < span[1]]
    assert len(across) == 1
    assert across[0] == pytest.approx((7, 13), abs=0.6)


def test_a_short_line_is_cut_whole() -> None:
    assert dashes(tracked([(0, 0), (2, 0)]), Perforation(3, 1)) == [(0, 2)]


def test_long_gaps_leave_something_of_the_cuts() -> None:
    for length in np.linspace(0.1, 12, 60).tolist():
        spans = dashes(tracked([(0, 0), (length, 0)]), Perforation(0.4, 2.5))
        assert min(b - a for a, b in spans) >= min(0.2, length) - 1e-9


def test_corners_of_a_line() -> None:
    assert corner_positions(tracked(SQUARE)).tolist() == [40, 80, 120]
    a = np.linspace(0, 2, 40)
    assert len(corner_positions(tracked(10 * np.column_stack((np.cos(a), np.sin(a)))))) == 0


def test_bridges_are_spread_over_the_outline() -> None:
    places, wanted = bridge_positions(tracked(SQUARE), Bridges(count=4), NONE, 0.6)
    assert wanted == 4
    assert places == pytest.approx([20, 60, 100, 140])


def test_a_bridge_moves_out_of_the_way() -> None:
    """The middle of a side is where a fold ends: the bridge goes beside it."""
    fold = np.array([(20.0, 0.0), (20.0, 40.0)])
    places, _ = bridge_positions(tracked(SQUARE), Bridges(width=1, count=4, clear=2), fold, 0.6)
    assert abs(places[0] - 20) == pytest.approx(2.5)
    assert abs(places[2] - 100) == pytest.approx(2.5)
    assert places[1] == pytest.approx(60)


def test_a_fold_that_ends_elsewhere_is_no_matter() -> None:
    places, _ = bridge_positions(tracked(SQUARE), Bridges(count=4), np.array([(20.0, 5.0)]), 0.6)
    assert places[0] == pytest.approx(20)


def test_no_room_for_a_bridge() -> None:
    tiny = ring([(0, 0), (2, 0), (2, 2), (0, 2)])
    places, wanted = bridge_positions(tracked(tiny), Bridges(width=0.5, count=2), NONE, 0.6)
    assert (places, wanted) == ([], 2)
    lines = Lines.of([tiny])
    (finding,) = too_few_bridges(lines, 0, 0, 2)
    assert finding.code == "no-room-for-bridge"
    assert (finding.measure, finding.limit) == (0, 2)
    assert too_few_bridges(lines, 0, 2, 2) == ()


def test_bridges_on_a_circle_need_no_corner() -> None:
    a = np.linspace(0, 2 * math.pi, 100)
    round_one = 20 * np.column_stack((np.cos(a), np.sin(a)))
    round_one[-1] = round_one[0]
    places, _ = bridge_positions(tracked(round_one), Bridges(count=3), NONE, 0.6)
    assert len(places) == 3


def test_what_is_cut_between_bridges() -> None:
    assert cut_between(100, [20, 70], 1, 0.5) == [(0, 19.5), (20.5, 69.5), (70.5, 100.5)]
    assert cut_between(100, [], 1, 0) == [(0, 100)]


def test_only_cut_outlines_are_held() -> None:
    strokes = strokes_of(SQUARE, SQUARE, [(0, 0), (1, 1)], operation=[5, 2, 5], outline=True)
    assert held(strokes).tolist() == [True, False, False]
    assert not held(strokes_of(SQUARE)).any()


def test_who_decides_on_bridges() -> None:
    assert bridges_of(machine_of(), None).count == 0
    assert bridges_of(machine_of(hold_bridges=True), None).count is None
    assert bridges_of(machine_of(), Bridges(count=2)).count == 2


def test_hinges_are_scores_and_perforations() -> None:
    lines = Lines.of(
        [[(0, 0), (5, 0), (9, 9)], [(1, 1), (2, 2)], [(3, 3), (4, 4)]],
        operation=[Operation.SCORE, Operation.CUT, Operation.PERFORATE],
    )
    assert hinge_ends(lines).tolist() == [[0, 0], [3, 3], [9, 9], [4, 4]]


def test_bridges_keep_two_widths_apart() -> None:
    """Free of folds are only 2 mm around the place where two shares meet: the second bridge stands
    beside the first, not on it. Corners of this outline are elsewhere."""
    outline = ring([(35, 0), (70, 0), (70, 10), (0, 10), (0, 0)])
    along = [float(x) for x in np.arange(1, 160, 1.5) if not 78.5 < x < 83] + [78.5, 83.0]
    line = shapely.LineString(outline)
    crowded = np.array([line.interpolate(x).coords[0] for x in along])
    places, wanted = bridge_positions(tracked(outline), Bridges(width=0.5, count=2, clear=1), crowded, 0.1)
    assert wanted == 2
    assert places == pytest.approx([79.75, 81.75])
    # A wider one asks for its own width twice.
    places, _ = bridge_positions(tracked(outline), Bridges(width=1.0, count=2, clear=0.75), crowded, 0.1)
    assert places == pytest.approx([79.75])


def test_a_bridge_goes_to_the_nearer_side() -> None:
    """A fold a little left of the middle sends it to the right, one right of it to the left."""
    for x, place in ((19.9, 22.4), (20.1, 17.6)):
        places, _ = bridge_positions(
            tracked(SQUARE), Bridges(width=1, count=4, clear=2), np.array([(x, 0.0)]), 0.6
        )
        assert places[0] == pytest.approx(place)


def test_how_near_a_fold_must_end() -> None:
    at_limit, beyond = np.array([(20.0, 0.5)]), np.array([(20.0, 0.51)])
    assert bridge_positions(tracked(SQUARE), Bridges(count=4), at_limit, 0.5)[0][0] != pytest.approx(20)
    assert bridge_positions(tracked(SQUARE), Bridges(count=4), beyond, 0.5)[0][0] == pytest.approx(20)


def test_how_many_cuts_a_line_gets() -> None:
    """So many gaps that a cut comes nearest to its length: 3 and 1 on 11 mm make three of 3 and two gaps."""
    for length, cuts in ((3, 1), (4.9, 1), (5.1, 2), (7, 2), (11, 3), (12.9, 3), (13.1, 4)):
        spans = dashes(tracked([(0, 0), (length, 0)]), Perforation(3, 1))
        assert len(spans) == cuts, length
        assert spans[0][0] == 0
        assert spans[-1][1] == length
    spans = dashes(tracked([(0, 0), (11, 0)]), Perforation(3, 1))
    assert np.array(spans) == pytest.approx(np.array([(0, 3), (4, 7), (8, 11)]))


def test_dashes_on_both_sides_of_corners() -> None:
    """Three runs of 11, 7 and 3 mm: the cuts that meet in a corner are one."""
    spans = dashes(tracked([(0, 0), (11, 0), (11, 7), (8, 7)]), Perforation(3, 1))
    assert np.array(spans) == pytest.approx(np.array([(0, 3), (4, 7), (8, 14), (15, 21)]))


def test_what_is_told_of_missing_bridges() -> None:
    (finding,) = too_few_bridges(Lines.of([SQUARE, SQUARE + 5]), 1, 1, 3)
    assert "1 of 3 bridges" in finding.problem
    assert (finding.measure, finding.limit, finding.unit) == (1, 3, "bridges")
    assert finding.places[0].xy == (5, 5)
    assert finding.severity.name == "WARNING"
    assert too_few_bridges(Lines.of([SQUARE]), 0, 4, 3) == ()
