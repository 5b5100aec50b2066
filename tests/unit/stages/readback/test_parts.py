"""The readers' small parts: instructions, blocks, frames, windows, arcs."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from cutprep.geometry.affine import apply
from cutprep.stages.readback.curves import chord_count, chords_on_arc
from cutprep.stages.readback.gcode.words import block, blocks
from cutprep.stages.readback.hpgl.frame import Scaling
from cutprep.stages.readback.hpgl.window import clipped
from cutprep.stages.readback.hpgl.words import instructions


def mm(frame: Scaling, x: float, y: float) -> tuple[float, ...]:
    return tuple(apply(frame.mm_of_units, apply(frame.units_of_user, (x, y))).tolist())


def test_instructions_keep_their_lines_and_ends() -> None:
    got = list(instructions("IN;\nSP1;PD1,2\n;LBfair;PD\x03\x1b.(PU;pa3 -4"))
    assert [(i.name, i.numbers, i.line, i.ended) for i in got] == [
        ("IN", (), 1, True),
        ("SP", ("1",), 2, True),
        ("PD", ("1", "2"), 2, True),
        ("LB", (), 3, True),
        ("\x1b", (), 3, True),
        ("PU", (), 3, True),
        ("PA", ("3", "-4"), 3, False),
    ]


def test_blocks_give_words_remarks_and_lines() -> None:
    first, second = blocks("n5 g1 x1.5 (to the right) y-2\r\n\n\nM3S90\n")
    assert (first.line, first.g, first.words, first.remarks) == (
        1,
        [10],
        {"X": 1.5, "Y": -2.0},
        ["to the right"],
    )
    assert (second.line, second.m, second.words) == (4, [3], {"S": 90.0})
    assert not first.faults


def test_a_code_is_close_to_a_whole_number() -> None:
    """NISTIR 6556, 3.3.2.1: within 0.0001."""
    assert block("G1.00001 X1").g == [10]
    assert [code for code, _ in block("G1.04 X1").faults] == ["unknown-code"]


def test_isotropic_scaling_keeps_circles_round_and_centres_them() -> None:
    """HP PCL 5 TRM II, SC type 1: the smaller scale for both axes, 50 % left over on each side."""
    frame = Scaling(unit=0.025, size=None, corners=(0, 0, 1000, 2000)).with_scale((0, 10, 0, 10, 1))
    assert mm(frame, 0, 0) == pytest.approx((0, 12.5))
    assert mm(frame, 10, 10) == pytest.approx((25, 37.5))
    left = Scaling(unit=0.025, size=None, corners=(0, 0, 1000, 2000)).with_scale((0, 10, 0, 10, 1, 0, 0))
    assert mm(left, 0, 0) == pytest.approx((0, 0))


def test_point_factor_scaling() -> None:
    """HP PCL 5 TRM II, SC type 2: so many plotter units a user unit, from P1."""
    frame = Scaling(unit=0.025, size=None, corners=(40, 80, 1000, 2000)).with_scale((0, 40, 0, 40, 2))
    assert mm(frame, 1, 1) == pytest.approx((2, 3))


def test_p2_follows_p1_when_it_moves_alone() -> None:
    """HP PCL 5 TRM II p. 19-24; equal coordinates put P2 one unit on."""
    frame = Scaling(unit=0.025, size=None, corners=(0, 0, 1000, 2000))
    assert frame.with_points((10, 20)).points == (10, 20, 1010, 2020)
    assert frame.with_points((5, 5, 5, 9)).points == (5, 5, 6, 9)


@pytest.mark.parametrize(
    ("turn", "origin", "ahead"),
    [(0, (0, 0), (10, 0)), (1, (270, 0), (270, 10)), (2, (270, 190), (260, 190)), (3, (0, 190), (0, 180))],
)
def test_rotation_keeps_the_area_in_the_first_quadrant(turn: int, origin: tuple, ahead: tuple) -> None:
    """HP PCL 5 TRM II pp. 19-34, 19-35, on 270 x 190 mm."""
    frame = Scaling(unit=0.025, size=(270, 190), turn=turn)
    assert mm(frame, 0, 0) == pytest.approx(origin)
    assert mm(frame, 400, 0) == pytest.approx(ahead)
    assert frame.back(mm(frame, 123, 456)) == pytest.approx((123, 456))


_AT = st.floats(-10, 10).map(lambda v: round(v, 3))


@given(_AT, _AT, _AT, _AT)
def test_a_window_leaves_what_lies_inside(x0: float, y0: float, x1: float, y1: float) -> None:
    """Against shapely's intersection with the box."""
    parts, at, drawn = clipped((x0, y0), (x1, y1), (-4.0, -3.0, 5.0, 6.0)), (x0, y0), 0.0
    for place, inside in parts:
        drawn += math.dist(at, place) if inside else 0.0
        at = place
    assert at == (x1, y1)
    line = shapely.LineString([(x0, y0), (x1, y1)])
    assert drawn == pytest.approx(line.intersection(shapely.box(-4, -3, 5, 6)).length, abs=1e-9)


@given(st.floats(0.01, 500), st.floats(-6.28, 6.28).filter(lambda v: abs(v) > 1e-3))
def test_chords_keep_their_sagitta_and_their_ends(radius: float, sweep: float) -> None:
    start = (3 + radius, 4.0)
    points = np.vstack(
        (start, list(chords_on_arc((3.0, 4.0), start, sweep, chord_count(radius, sweep, 0.002))))
    )
    np.testing.assert_allclose(np.hypot(*(points - (3, 4)).T), radius, rtol=1e-12)
    middles = (points[1:] + points[:-1]) / 2
    if radius > 0.002:
        assert radius - np.hypot(*(middles - (3, 4)).T).min() <= 0.002 + 1e-9
    end = (3 + radius * math.cos(sweep), 4 + radius * math.sin(sweep))
    np.testing.assert_allclose(points[-1], end, atol=1e-9)
