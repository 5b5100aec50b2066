"""Where lines lie on each other."""

from __future__ import annotations

import numpy as np
import pytest

from cutprep.geometry.closeness.neighbours import neighbours, rank
from cutprep.geometry.closeness.overlap import Runs, find_runs, find_strips, run_ends
from cutprep.model.lines import Lines
from cutprep.model.operation import Operation
from tests.planted import arc, circle


def runs(*lines: object, within: float = 0.1, beyond: float = 0.0) -> Runs:
    """Runs with the limits of doubled lines."""
    drawn = Lines.of([np.asarray(line, float) for line in lines])
    return find_runs(drawn, within, beyond=beyond, shortest=0.5, shortest_passing=3.0)


def test_a_run_tells_where_it_lies_on_both_lines() -> None:
    """Partly overlapping, against each other, a little apart."""
    found = runs([(0, 0), (10, 0)], [(15, 0.02), (4, 0.02)])
    assert len(found) == 1
    assert (found.first[0], found.second[0], found.sense[0]) == (0, 1, -1)
    columns = (found.begin, found.end, found.begin_other, found.end_other, found.length)
    assert [c[0] for c in columns] == pytest.approx([4, 10, 11, 5, 6])
    assert (found.least[0], found.most[0]) == pytest.approx((0.02, 0.02))


@pytest.mark.parametrize(
    ("name", "lines", "covered"),
    [
        ("the same line", ([(0, 0), (10, 0)], [(0, 0), (10, 0)]), 10),
        ("turned round", ([(0, 0), (10, 0)], [(10, 0), (0, 0)]), 10),
        ("in pieces", ([(0, 0), (10, 0)], [(0, 0), (4, 0)], [(4, 0), (10, 0)]), 10),
        ("more vertices", ([(0, 0), (10, 0)], [(0, 0), (3, 0), (3.1, 0), (10, 0)]), 10),
        ("another start", ([(0, 0), (9, 0), (9, 5), (0, 5), (0, 0)], [(9, 5), (0, 5), (0, 0), (9, 0), (9, 5)]), 28),
        ("in part", ([(0, 0), (10, 0)], [(2, 0), (5, 0)]), 3),
        ("askew", ([(0, -0.08), (30, 0.08)], [(0, 0), (30, 0)]), 30),
        ("a hairpin", ([(0, 0), (10, 0), (0, 0)],), 10),
        ("a circle and its chords", (circle((0, 0), 10), circle((0, 0), 10, 3.0, 0.01)), 2 * np.pi * 10),
        ("a circle and four arcs", (circle((0, 0), 5), *(arc((0, 0), 5, k, k + 90) for k in range(0, 360, 90))), 10 * np.pi),
        ("tiny circles", (circle((0, 0), 0.5), circle((0, 0), 0.5, 7.0)), np.pi),
        ("a stretch of a circle", (circle((0, 0), 20), arc((0, 0), 20, 30, 90)), 20 * np.pi / 3),
        ("a branch", ([(0, 0), (20, 0)], [*[(0.0, 0), (10, 0)], *arc((10, 5), 5, -90, 0)[1:]]), 10),
    ],
)  # fmt: skip
def test_doubled_lines_are_found_to_their_length(name: str, lines: tuple, covered: float) -> None:
    """Whatever the direction, the start, the pieces and the element."""
    found = runs(*lines)
    assert found.length.sum() == pytest.approx(covered, rel=0.005, abs=0.05 if name != "a branch" else 1.5)


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("crossing", ([(0, -5), (0, 5)], [(-5, 0), (5, 0)])),
        ("crossing at 1 degree", ([(0, -1), (100, 1)], [(0, 0), (100, 0)])),
        ("crossing at 5 degrees", ([(0, -4), (100, 4)], [(0, 0), (100, 0)])),
        ("arcs crossing flatly", (arc((0, -100), 100, 70, 110), arc((0, 99.5), 100, -110, -70))),
        ("a wedge", ([(0, 0), (100, 3)], [(0, 0), (100, 0)])),
        ("a continuation", ([(0, 0), (50, 0)], [(50, 0), (100, 0)])),
        ("a flat corner", ([(0, 0), (50, 0)], [(50, 0), (100, 1)])),
        ("a tangent", (circle((0, 20), 20, 45.0), [(-30, 0), (30, 0)])),
        ("0.7 mm apart", ([(0, 0), (50, 0)], [(0, 0.7), (50, 0.7)])),
        ("0.11 mm apart", ([(0, 0), (50, 0)], [(0, 0.11), (50, 0.11)])),
        ("too short", ([(0, 0), (50, 0)], [(50 - 0.45, 0), (90, 0)])),
        ("a closed line and its seam", ([(0, 0), (9, 0), (9, 9), (0, 9), (0, 0)],)),
        ("a circle alone", (circle((0, 0), 0.4),)),
    ],
)
def test_what_only_passes_by_is_not_doubled(name: str, lines: tuple) -> None:
    """Nothing is invented."""
    assert len(runs(*lines)) == 0, name


def test_lines_are_near_but_not_doubled() -> None:
    """Between two limits, on either side; what drifts apart is none."""
    near = {"within": 0.6, "beyond": 0.1}
    for off in (0.3, -0.3):
        found = runs([(0, 0), (50, 0)], [(10, off), (40, off)], **near)
        assert found.length.tolist() == pytest.approx([30])
        assert found.least.tolist() == pytest.approx([0.3])
    assert len(runs([(0, 0), (50, 0)], [(10, 0.02), (40, 0.02)], **near)) == 0
    assert len(runs([(0, -1), (100, 1)], [(0, 0), (100, 0)], **near)) == 0


def test_many_short_pieces_count_together() -> None:
    """Twenty lines of 0.3 mm, each drawn twice."""
    pieces = [[(0.3 * k, 0), (0.3 * k + 0.3, 0)] for k in range(20)]
    assert runs(*pieces, *pieces).length.sum() == pytest.approx(6)


def test_a_stack_is_told_against_the_line_that_stays() -> None:
    """A hundred copies make ninety-nine runs, all with the longest."""
    copies = [[(0, 0), (10, 0)]] * 60 + [[(0, 0), (10.01, 0)]] + [[(10, 0), (0, 0)]] * 39
    found = runs(*copies)
    assert len(found) == 99
    assert ((found.first == 60) | (found.second == 60)).all()


def test_rank_says_which_line_stays() -> None:
    """The stronger operation, then the closed line, the longer one, the first."""
    lines = Lines.of(
        [[(0, 0), (9, 0)], [(0, 0), (9, 0)], [(0, 0), (20, 0)], circle((0, 0), 1.0), [(0, 0), (2, 0)]],
        operation=[Operation.SCORE] * 4 + [Operation.CUT],
    )
    assert np.argsort(rank(lines)).tolist() == [4, 3, 2, 0, 1]
    assert np.argsort(rank(lines, -lines.operation.astype(int))).tolist() == [3, 2, 0, 1, 4]


def strips(*lines: object) -> Runs:
    """Strips with the limits of a thin strip."""
    drawn = Lines.of([np.asarray(line, float) for line in lines])
    near = neighbours(drawn, 1.5, spot=0.1)
    return find_strips(drawn, 1.5, beyond=0.1, pick=np.ones(len(drawn), bool), shortest=2.0, nearby=near)


def test_strips_count_as_far_as_they_are_narrow() -> None:
    """Parallel or not; but the two sides of a corner are no strip, nor are crossing lines."""
    assert strips([(0, 0), (30, 0)], [(0, 1), (30, 1)]).length.tolist() == pytest.approx([30])
    slanted = strips([(0, 0), (30, 0)], [(0, 0.5), (30, 6.5)])
    assert slanted.length.tolist() == pytest.approx([5])
    assert len(strips([(0, 0), (30, 0)], [(0, 0), (30, 6)])) == 0
    assert len(strips([(0, 0), (30, 0)], [(0, -3), (30, 3)])) == 0
    needle = strips([(0, 0), (90, 0)], [(0, 0), (90, 1.2)])
    assert needle.length.sum() > 80


def test_neighbours_serve_several_searches() -> None:
    """One search for the larger distance gives the same runs as one of its own."""
    rng = np.random.default_rng(3)
    drawn = Lines.of([np.sort(rng.uniform(0, 20, (2, 2)), axis=0) for _ in range(60)])
    near = neighbours(drawn, 1.5, spot=0.1)
    own = find_runs(drawn, 0.1, shortest=0.1, shortest_passing=0.1)
    shared = find_runs(drawn, 0.1, shortest=0.1, shortest_passing=0.1, nearby=near)
    assert own.begin.tolist() == shared.begin.tolist()
    assert own.second.tolist() == shared.second.tolist()


@pytest.mark.parametrize("lines", [[], [[(0, 0), (5, 0)]], [[(0, 0), (0, 0)], [(0, 0), (0, 0)]]])
def test_nothing_to_compare(lines: list) -> None:
    """No line, one line, and lines without length."""
    assert len(find_runs(Lines.of(lines), 0.1, shortest=0.5, shortest_passing=3.0)) == 0


def test_two_passes_over_one_spot_are_two_runs() -> None:
    """A line that comes round and covers the same stretch again, in the same direction."""
    again = [(0, 0), (10, 0), (10, 5), (0, 5), (0, 0), (10, 0)]
    found = runs([(0, 0), (10, 0)], again)
    pairs = found.take(found.first != found.second)
    assert pairs.length.tolist() == pytest.approx([10, 10])
    assert sorted(pairs.begin_other.tolist()) == pytest.approx([0, 30])
    assert sorted(pairs.end_other.tolist()) == pytest.approx([10, 40])
    own = found.take(found.first == found.second)
    assert own.begin.tolist() == pytest.approx([0])
    assert own.begin_other.tolist() == pytest.approx([30])


def test_a_run_against_the_line_is_one_however_many_its_vertices() -> None:
    """Every 2 mm a vertex on both, the second drawn backwards, and again shifted by one."""
    comb = [(2.0 * k, 0) for k in range(11)]
    found = runs(comb, comb[::-1])
    assert len(found) == 1
    assert (found.sense[0], found.length[0]) == (-1, pytest.approx(20))
    assert (found.begin_other[0], found.end_other[0]) == pytest.approx((20, 0))
    shifted = runs(comb, [(x + 1.0, 0.02) for x, _ in comb[::-1]])
    assert len(shifted) == 1
    assert shifted.length[0] == pytest.approx(19)


def test_a_line_that_leaves_across_another_is_cut_at_the_crossing() -> None:
    """It runs beside for 20 mm, and leaves through the other line at 3 degrees: on the far side it only leaves."""
    found = runs([(0, 0), (40, 0)], [(0, 0.05), (20, 0.05), (40, -1)])
    assert len(found) == 1
    assert found.passing.tolist() == [True]
    assert found.end[0] == pytest.approx(20 + 20 * 0.05 / 1.05)
    assert found.end_other[0] == pytest.approx(20 + np.hypot(20, 1.05) * 0.05 / 1.05)
    assert (found.least[0], found.most[0]) == pytest.approx((0, 0.05))


def test_what_lies_exactly_at_the_limit_counts() -> None:
    """Half a millimetre is half a millimetre, on either side, whichever search found the neighbours."""
    for off in (0.5, -0.5):
        drawn = Lines.of([[(0, 0), (50, 0)], [(10, off), (40, off)]])
        wide = neighbours(drawn, 1.5, spot=0.1)
        for near in (None, wide):
            found = find_runs(drawn, 0.5, shortest=0.5, shortest_passing=3.0, nearby=near)
            assert found.length.tolist() == pytest.approx([30])
    upright = Lines.of([[(0, 0), (0, 50)], [(0.5, 10), (0.5, 40)]])
    wide = neighbours(upright, 1.5, spot=0.1)
    assert len(find_runs(upright, 0.5, shortest=0.5, shortest_passing=3.0, nearby=wide)) == 1


def test_the_shortest_that_counts() -> None:
    """Exactly as long as asked for is long enough; ends that pass by ask for more."""
    assert len(runs([(0, 0), (50, 0)], [(49.5, 0), (90, 0)])) == 1
    assert len(runs([(0, 0), (50, 0)], [(49.75, 0), (90, 0)])) == 0
    leaving = [(0, 0.05), (2.5, 0.05), (22.5, 1.05)]
    assert len(runs([(0, 0), (40, 0)], leaving)) == 0
    assert len(runs([(0, 0), (40, 0)], [(-1, 0.05), *leaving[1:]])) == 0
    assert len(runs([(0, 0), (40, 0)], [(0, 0.05), (3.5, 0.05), (23.5, 1.05)])) == 1


def test_where_runs_begin_and_end() -> None:
    """Halfway between both lines, beginnings first."""
    drawn = Lines.of([[(0, 0), (10, 0)], [(15, 0.02), (4, 0.02)]])
    found = find_runs(drawn, 0.1, shortest=0.5, shortest_passing=3.0)
    assert run_ends(drawn, found).tolist() == pytest.approx(np.array([[4, 0.01], [10, 0.01]]))


def test_picked_lines_only() -> None:
    drawn = Lines.of([[(0, 0), (10, 0)]] * 2 + [[(0, 0.05), (10, 0.05)]])
    found = find_runs(drawn, 0.1, pick=np.array([True, False, True]), shortest=0.5, shortest_passing=3.0)
    assert (found.first.tolist(), found.second.tolist()) == ([0], [2])


def test_runs_are_sorted() -> None:
    """By first line, second line and position."""
    drawn = Lines.of(
        [[(0, 0), (30, 0)], [(20, 0.02), (28, 0.02)], [(0, 0.02), (8, 0.02)], [(10, 0.02), (12, 5), (16, 0.02), (25, 0.02)]]
    )  # fmt: skip
    found = find_runs(drawn, 0.1, shortest=0.5, shortest_passing=3.0)
    rows = list(zip(found.first.tolist(), found.second.tolist(), found.begin.tolist(), strict=True))
    assert rows == sorted(rows)
    assert len(rows) >= 3


def test_runs_of_one_pair_are_sorted_by_position() -> None:
    """First covered from 5 to 8, then, coming back the other way, from 25 to 20."""
    found = runs([(0, 0), (30, 0)], [(5, 0), (8, 0), (8, 9), (25, 9), (25, 0), (20, 0), (20, -9)])
    assert found.begin.tolist() == pytest.approx([5, 20])
    assert found.end.tolist() == pytest.approx([8, 25])
    assert found.sense.tolist() == [1, -1]


def test_strips_in_pieces_count_together() -> None:
    """Five pieces of 1.2 mm one after the other, where 2 mm count; one such piece alone doesn't."""
    pieces = [[(1.2 * k, 1), (1.2 * k + 1.2, 1)] for k in range(5)]
    assert strips([(0, 0), (30, 0)], *pieces).length.sum() == pytest.approx(6)
    assert len(strips([(0, 0), (30, 0)], pieces[0])) == 0
    # Beside a long strip elsewhere, too: all are judged together then.
    mixed = strips([(0, 0), (30, 0)], pieces[0], [(0, 50), (20, 50)], [(0, 51), (20, 51)])
    assert mixed.length.tolist() == pytest.approx([20])


def test_strips_of_picked_lines() -> None:
    drawn = Lines.of([[(0, 0), (30, 0)], [(0, 1), (30, 1)], [(0, -1), (30, -1)]])
    near = neighbours(drawn, 1.5, spot=0.1)
    found = find_strips(drawn, 1.5, beyond=0.1, pick=np.array([True, False, True]), shortest=2.0, nearby=near)
    assert (found.first.tolist(), found.second.tolist()) == ([0], [2])


def test_lines_drift_apart_from_half_a_degree_on() -> None:
    """After 20 mm together, the second leaves: at 0.4 degrees it counts as far as it is near, at 0.6 to
    the bend only."""
    for degrees, passing in ((0.4, False), (0.6, True)):
        rise = np.tan(np.radians(degrees))
        found = runs([(0, 0), (60, 0)], [(0, 0), (20, 0), (60, 40 * rise)])
        assert found.passing.tolist() == [passing]
        assert found.end[0] == pytest.approx(20 if passing else 20 + 0.1 / rise)


def test_a_corner_opens_from_three_degrees_on() -> None:
    """Below that the two sides make a needle, a strip to be told; above they are a corner."""
    for degrees, told in ((2.8, True), (3.2, False), (-2.8, True), (-3.2, False)):
        a = np.radians(degrees)
        found = strips([(0, 0), (60, 0)], [(0, 0), (60 * np.cos(a), 60 * np.sin(a))])
        assert bool(len(found)) is told
