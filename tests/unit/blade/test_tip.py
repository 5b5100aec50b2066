"""Where the tip runs, and how far that is from what was wanted."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from cutprep.blade.options import Bridges, Perforation
from cutprep.blade.plan import compensate
from cutprep.blade.tip import blade_error, headings, tip_path
from cutprep.errors import ReadbackError
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.tolerance import Tolerance
from tests.moving import knife, machine_of, moves_along, ring, strokes_of

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
    moves = compensate(strokes, machine, TOLERANCE, blade_offset=0.8)
    assert blade_error(moves, strokes, machine, blade_offset=0.8)[0] < 0.01
    assert blade_error(moves, strokes, machine)[0] > 0.2
    assert blade_error(
        compensate(strokes, machine, TOLERANCE, blade_offset=0), strokes, machine, blade_offset=0
    )[0] == pytest.approx(0, abs=1e-9)


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
    moves = compensate(strokes, machine, TOLERANCE, perforation=pattern)
    assert blade_error(moves, strokes, machine, perforation=pattern)[0] < 0.05
    assert blade_error(moves, strokes, machine, perforation=Perforation(2, 0.5))[0] > 0.4
    outline = strokes_of(BOX, outline=True)
    moves = compensate(outline, machine, TOLERANCE, bridges=Bridges(width=1, count=3))
    assert blade_error(moves, outline, machine, bridges=Bridges(width=1, count=3))[0] < 0.05
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
