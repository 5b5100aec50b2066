"""Where the tip runs, and how far that is from what was wanted."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from cutprep.errors import ReadbackError
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.profile.machine import Tool
from cutprep.stages.blade.cutting import Bridges, Cutting, Perforation
from cutprep.stages.blade.plan import compensate
from cutprep.stages.blade.tip import blade_error, follow_tips, headings
from cutprep.tolerance import Tolerance
from tests.moving import knife, machine_of, moves_along, ring, strokes_of, tip_path

TOLERANCE = Tolerance()
BOX = ring([(20, 20), (60, 20), (60, 50), (20, 50)])


def test_without_an_offset_the_tip_is_the_pivot() -> None:
    path = np.array([(0, 0), (1, 2), (3, 3)], float)
    assert tip_path(path, 0.0) is path


def test_unknown_headings_begin_along_the_first_move() -> None:
    assert headings(np.array([(0, 0), (0, 0), (0, 5)], float), 0.25)[0] == pytest.approx(math.pi / 2)


def test_a_move_of_no_length_turns_nothing() -> None:
    found = headings(np.array([(0, 0), (5, 0), (5, 0), (9, 0)], float), 0.25, 1.0)
    assert found[1] == found[2]


def test_a_blade_that_looks_backwards_is_pushed() -> None:
    """Exactly against the pull it stays: the one heading that no straight pull turns."""
    assert math.cos(headings(np.array([(0, 0), (2, 0)], float), 0.25, math.pi)[-1]) == pytest.approx(-1)


def test_a_planned_cut_has_little_error() -> None:
    machine, strokes = machine_of(knife(0.3)), strokes_of(BOX)
    assert blade_error(compensate(strokes, machine, TOLERANCE), strokes, machine)[0] < 0.01


def test_without_compensation_the_error_is_seen() -> None:
    """The same lines, planned as if the tip were the pivot: the tip trails by the offset at the ends."""
    strokes = strokes_of(BOX)
    plain = compensate(strokes, machine_of(knife(0.0)), TOLERANCE)
    error = blade_error(plain, strokes, machine_of(knife(0.3)))
    assert error[0] == pytest.approx(0.3, abs=0.01)


def test_the_offset_may_be_given() -> None:
    strokes, machine = strokes_of(BOX), machine_of(knife(0.3))
    moves = compensate(strokes, machine, TOLERANCE, Cutting(offset=0.8))
    assert blade_error(moves, strokes, machine, Cutting(offset=0.8))[0] < 0.01
    assert blade_error(moves, strokes, machine)[0] > 0.2
    none = Cutting(offset=0)
    moves = compensate(strokes, machine, TOLERANCE, none)
    assert blade_error(moves, strokes, machine, none)[0] == pytest.approx(0, abs=1e-9)


def test_a_stroke_that_is_left_out_is_infinitely_wrong() -> None:
    strokes, machine = strokes_of(BOX, [(70, 70), (90, 70)]), machine_of(knife(0.3))
    moves = compensate(strokes, machine, TOLERANCE)
    moves = replace(moves, down=moves.down & (moves.stroke != 1))
    assert np.isinf(blade_error(moves, strokes, machine)).tolist() == [False, True]


def test_a_stroke_that_stops_short_is_seen() -> None:
    strokes, machine = strokes_of([(20, 20), (60, 20)]), machine_of(knife(0.0))
    assert blade_error(moves_along([(20, 20), (57, 20)], 50), strokes, machine)[0] == pytest.approx(3)


def test_guides_need_no_tool() -> None:
    strokes = strokes_of(BOX, [(0, 0), (1, 1)], operation=[5, 0])
    machine = machine_of()
    assert blade_error(compensate(strokes, machine, TOLERANCE), strokes, machine)[1] == 0


def test_read_back_moves_are_paired_by_the_plan() -> None:
    """A reader counts what is lowered; the first turn of the blade is none of the strokes."""
    strokes, machine = strokes_of(BOX, [(70, 70), (90, 70)]), machine_of(knife(0.3))
    planned = compensate(strokes, machine, TOLERANCE)
    counted = np.where(planned.down, planned.stroke + 1, -1)
    read = replace(planned, stroke=counted)
    assert blade_error(read, strokes, machine, planned=planned).max() < 0.01
    assert blade_error(planned, strokes, machine, planned=read).max() > 10, "shifted by one, all is wrong"


def test_a_plan_that_lowers_more_often_is_refused() -> None:
    strokes, machine = strokes_of(BOX), machine_of(knife(0.3))
    planned = compensate(strokes, machine, TOLERANCE)
    read = replace(planned, down=planned.down & (planned.stroke >= 0))
    with pytest.raises(ReadbackError, match="lowers the tool 1 times, and the plan 2 times"):
        blade_error(read, strokes, machine, planned=planned)


def test_gaps_that_are_meant_are_no_error() -> None:
    machine = machine_of(knife(0.25))
    strokes = strokes_of(BOX, operation=Operation.PERFORATE)
    pattern = Perforation(2, 1.5)
    moves = compensate(strokes, machine, TOLERANCE, Cutting(perforation=pattern))
    assert blade_error(moves, strokes, machine, Cutting(perforation=pattern))[0] < 0.05
    assert blade_error(moves, strokes, machine, Cutting(perforation=Perforation(2, 0.5)))[0] > 0.4
    outline = strokes_of(BOX, outline=True)
    moves = compensate(outline, machine, TOLERANCE, Cutting(bridges=Bridges(width=1, count=3)))
    assert blade_error(moves, outline, machine, Cutting(bridges=Bridges(width=1, count=3)))[0] < 0.05
    assert blade_error(moves, outline, machine)[0] > 0.4


def test_long_lines_are_judged_by_an_index() -> None:
    """More vertices than are compared one by one."""
    x = np.linspace(0, 200, 900)
    wave = np.column_stack((x + 20, 100 + 10 * np.sin(x / 8)))
    strokes, machine = strokes_of(wave, curved=[np.ones(900, bool)]), machine_of(knife(0.3))
    moves = compensate(strokes, machine, TOLERANCE)
    assert blade_error(moves, strokes, machine)[0] < 0.02
    off = replace(moves, xy=moves.xy + np.array([0, 0.5]))
    assert blade_error(off, strokes, machine)[0] == pytest.approx(0.5, abs=0.03)


def test_a_tool_that_nobody_knows_trails_by_nothing() -> None:
    strokes = strokes_of([(20, 20), (60, 20)])
    moves = moves_along([(20, 20), (60, 20)], 50, tool=9)
    assert blade_error(moves, strokes, machine_of())[0] == pytest.approx(0, abs=1e-12)


def test_no_strokes_no_errors() -> None:
    empty = Moves(np.empty((0, 2)), *(np.empty(0) for _ in range(5)))
    assert len(blade_error(empty, strokes_of(), machine_of())) == 0


def turned_by(start: float, way: float, far: float, e: float) -> float:
    """Heading after a straight pull: tan(b/2) shrinks by exp(-s/e), b the angle to the pull."""
    half = math.remainder(way - start, math.tau) / 2
    return way - 2 * math.atan(math.tan(half) * math.exp(-far / e))


@pytest.mark.parametrize("start", [0.0, 1.0, 2.5, -2.0, 4.0])
@pytest.mark.parametrize("way", [0.0, 0.9, -2.2, 3.0])
def test_headings_follow_the_tractrix(start: float, way: float) -> None:
    """Two pulls in a row, by the closed form."""
    e, path = 0.4, [(1.0, 2.0)]
    for far, angle in ((0.3, way), (0.5, way + 1.1)):
        path.append((path[-1][0] + far * math.cos(angle), path[-1][1] + far * math.sin(angle)))
    found = headings(np.array(path), e, start)
    first = turned_by(start, way, 0.3, e)
    second = turned_by(first, way + 1.1, 0.5, e)
    off = [math.remainder(a - b, math.tau) for a, b in zip(found, (start, first, second), strict=True)]
    assert off == pytest.approx([0, 0, 0], abs=1e-12)


def test_the_tip_is_sampled_where_it_turns() -> None:
    """From standing across: every sample is one offset behind the pivot, on the tractrix, closely set."""
    e = 0.5
    path = tip_path(np.array([(10.0, 5.0), (30.0, 5.0)]), e, math.pi / 2)
    assert path[0] == pytest.approx((10, 4.5)), "the tip trails the pivot"
    assert path[-1] == pytest.approx((29.5, 5))
    # On a tractrix the tip's height y above the pull and its lead satisfy x = s - e cos(phi).
    depth = 5 - path[:, 1]
    phi = np.arcsin(np.clip(depth / e, 0, 1))
    s = e * np.log(1 / np.tan(np.maximum(phi, 1e-12) / 2))
    live = depth > 1e-3
    assert path[live, 0] == pytest.approx(10 + s[live] - e * np.cos(phi[live]), abs=1e-9)
    steps = np.hypot(*np.diff(path[live], axis=0).T)
    assert steps.max() < e / 5
    assert (np.diff(path[:, 0]) > 0).all()


def test_a_blade_that_stands_right_is_not_sampled() -> None:
    """Straight on: one point for each vertex."""
    path = tip_path(np.array([(0.0, 0.0), (5, 0), (9, 0)]), 0.5)
    assert path == pytest.approx(np.array([(-0.5, 0), (4.5, 0), (8.5, 0)]))
    single = np.array([(3.0, 3.0)])
    assert tip_path(single, 0.5) is single


def test_a_still_pivot_keeps_its_tip() -> None:
    path = tip_path(np.array([(0.0, 0.0), (0.0, 0.0), (4.0, 0.0)]), 0.5, math.pi)
    assert path[:2] == pytest.approx(np.array([(0.5, 0), (0.5, 0)]))


def line_of(*y: float) -> list[tuple[float, float]]:
    return [(20.0 + 10 * k, v) for k, v in enumerate(y)]


def test_the_error_counts_both_ways() -> None:
    """What is cut beside the line, and what of the line is not cut: each alone is found."""
    machine = machine_of(knife(0.0))
    strokes = strokes_of(line_of(50, 50, 50, 50))
    aside = moves_along([*line_of(50, 50, 50, 50), (50.0, 57.0)], 50)
    assert blade_error(aside, strokes, machine)[0] == pytest.approx(7)
    short = moves_along([(20, 50), (38, 50)], 50)
    assert blade_error(short, strokes, machine)[0] == pytest.approx(12)
    late = moves_along([(26, 50), (50, 50)], 50)
    assert blade_error(late, strokes, machine)[0] == pytest.approx(6)
    bent = moves_along([(20, 50), (35, 53), (50, 50)], 50)
    assert blade_error(bent, strokes, machine)[0] == pytest.approx(3)


def test_a_stroke_in_parts_is_judged_as_a_whole() -> None:
    """Two lowerings with a gap of 4 mm between: its middle is 2 mm from both."""
    machine, strokes = machine_of(knife(0.0)), strokes_of([(20, 50), (50, 50)])
    whole = moves_along([(20, 50), (33, 50), (37, 50), (50, 50)], 50, down=np.array([True, False, True]))
    error = blade_error(whole, strokes, machine)[0]
    assert error == pytest.approx(2, abs=0.15)
    dashed = strokes_of([(20, 50), (50, 50)], operation=Operation.PERFORATE)
    assert blade_error(whole, dashed, machine, Cutting(perforation=Perforation(3, 4)))[0] == pytest.approx(
        0, abs=0.15
    )
    assert blade_error(whole, dashed, machine, Cutting(perforation=Perforation(3, 3)))[0] == pytest.approx(
        0.5, abs=0.15
    )


def test_a_blade_keeps_its_heading_while_it_is_up() -> None:
    """The second stroke starts as the first one ended: along x, then it is pulled along y."""
    e = 0.5
    machine, strokes = machine_of(knife(e)), strokes_of([(20, 20), (40, 20)], [(60, 20), (60, 40)])
    moves = moves_along(
        [(20.5, 20), (40.5, 20), (60.5, 20), (60.5, 40.5)], 50, down=np.array([True, False, True])
    )
    moves = replace(moves, stroke=np.array([0, -1, 1]))
    errors = blade_error(moves, strokes, machine)
    assert errors[0] == pytest.approx(0, abs=1e-6)
    # The tip comes down on (60, 20) and is drawn over to the pivot's line 0.5 mm on the right.
    assert errors[1] == pytest.approx(0.5, abs=0.01)
    other = replace(moves, tool=np.array([1, 1, 7]))
    apart = machine_of(knife(e), knife(e, number=7, name="other"))
    # Another knife knows nothing of it: it looks along its own first move, its tip on (60.5, 19.5).
    assert blade_error(other, strokes, apart)[1] == pytest.approx(math.sqrt(0.5), abs=1e-6)


def test_what_is_known_of_other_moves_is_not_worked_out_again() -> None:
    """The second of four strokes is moved: only that one is followed anew."""
    e = 0.5
    machine = machine_of(knife(e))
    strokes = strokes_of(
        [(20, 20), (60, 20)], [(20, 40), (60, 40)], [(20, 60), (60, 60)], [(20, 80), (60, 80)]
    )
    moves = compensate(strokes, machine, Tolerance())
    first = follow_tips(moves, strokes, machine)
    xy = moves.xy.copy()
    xy[5:7, 1] += 0.2  # the way to it, and itself
    other = replace(moves, xy=xy)
    again = follow_tips(other, strokes, machine, before=first)
    assert again.error == pytest.approx(blade_error(other, strokes, machine), abs=1e-12)
    assert again.error[1] > first.error[1] + 0.1
    doubted = replace(first, error=first.error + 8.0)
    known = follow_tips(other, strokes, machine, before=doubted).error > 7.0
    assert known.tolist() == [True, False, True, True]


def test_the_longest_lines_are_judged_alike() -> None:
    """By an index or one by one, beside it or short of it, the figure is the same."""
    machine = machine_of(knife(0.0))
    for count in (30, 900):
        x = np.linspace(20, 220, count)
        wave = np.column_stack((x, 100 + 5 * np.sin(x / 20)))
        strokes = strokes_of(wave)
        assert blade_error(moves_along(wave + np.array([0, 0.7]), 50), strokes, machine)[0] == pytest.approx(
            0.7, abs=0.02
        )
        cut = wave[x <= 200]
        missing = float(np.hypot(*(wave[-1] - cut[-1])))
        assert blade_error(moves_along(cut, 50), strokes, machine)[0] == pytest.approx(missing)


def test_what_the_machine_knows_of_its_tools() -> None:
    """The offset asked for replaces that of knives only; bridges count on cut outlines only."""
    pen = Tool("pen", 2, (Operation.DRAW,), kind="pen", offset=0.0)
    machine = machine_of(knife(0.3), pen)
    strokes = strokes_of([(20, 50), (50, 50)], operation=Operation.DRAW)
    drawn = moves_along([(20, 50), (50, 50)], 50, tool=2)
    assert blade_error(drawn, strokes, machine, Cutting(offset=0.9))[0] == pytest.approx(0, abs=1e-9)
    plain = strokes_of(BOX)
    gap = moves_along(BOX[:-1], 50)
    missing = blade_error(gap, plain, machine_of(knife(0.0)), Cutting(bridges=Bridges(width=40, count=2)))[0]
    assert missing == pytest.approx(15), "no outline, so no bridge explains the open side"


def test_strokes_that_no_moves_belong_to() -> None:
    """Numbers beyond the strokes are passed over; every wanted stroke without moves is infinitely off."""
    machine = machine_of(knife(0.0))
    strokes = strokes_of([(20, 50), (50, 50)], [(20, 60), (50, 60)])
    moves = replace(moves_along([(20, 50), (50, 50)], 50), stroke=np.array([5]))
    assert np.isinf(blade_error(moves, strokes, machine)).all()
    right = moves_along([(20, 50), (50, 50)], 50)
    assert blade_error(right, strokes, machine).tolist() == [pytest.approx(0, abs=1e-9), math.inf]


def test_a_path_of_no_length_has_a_heading_all_the_same() -> None:
    assert headings(np.array([(3.0, 3.0), (3.0, 3.0)]), 0.25).tolist() == [0, 0]
