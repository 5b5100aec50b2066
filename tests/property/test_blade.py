"""What must hold for every pivot path, whatever is cut."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutprep.geometry.curves import flatten
from cutprep.model.operation import Operation
from cutprep.model.strokes import Strokes
from cutprep.stages.blade.cutting import Bridges, Cutting, Passes, Perforation
from cutprep.stages.blade.plan import compensate
from cutprep.stages.blade.tip import blade_error
from cutprep.tolerance import Tolerance
from tests.moving import knife, machine_of, ring, strokes_of
from tests.oracles import slow_tip

TOLERANCE = Tolerance()
#: A plan is kept to so many millimetres.
ROUNDED = 1e-6
hundredths = st.integers(2000, 9000).map(lambda k: k / 100)
offsets = st.floats(0.1, 0.9)
Curve = tuple[np.ndarray, np.ndarray]


@st.composite
def polylines(draw: st.DrawFn) -> Curve:
    """Corners of any sharpness, with steps from 0.01 to 50 mm."""
    at = np.array(draw(st.tuples(hundredths, hundredths)))
    points = [at]
    for _ in range(draw(st.integers(1, 8))):
        length, way = 10 ** draw(st.floats(-2, 1.5)), draw(st.floats(0, 2 * math.pi))
        at = np.clip(at + length * np.array([math.cos(way), math.sin(way)]), 5, 290)
        points.append(at)
    return np.array(points), np.zeros(len(points), bool)


@st.composite
def arcs(draw: st.DrawFn) -> Curve:
    """Arcs and whole circles from 0.2 to 60 mm."""
    radius, begin = 10 ** draw(st.floats(-0.7, 1.78)), draw(st.floats(0, 2 * math.pi))
    sweep = draw(st.floats(0.2, 2 * math.pi)) * draw(st.sampled_from([-1, 1]))
    points = flatten.arc((100, 100), radius, begin, sweep, 0.02)
    curved = np.ones(len(points), bool)
    curved[[0, -1]] = False
    return points, curved


@st.composite
def cusps(draw: st.DrawFn) -> Curve:
    """Cubics, among them those whose handles cross so that the curve turns back in a point."""
    size = 10 ** draw(st.floats(-0.3, 1.5))
    corner = st.floats(0, 1)
    control = np.array([[(0, 0), (1, 1), (draw(corner), 1), (1, draw(corner))]]) * size + 60
    points, _ = flatten.cubics(control, 0.02)
    curved = np.ones(len(points), bool)
    curved[[0, -1]] = False
    return points, curved


curves = st.one_of(polylines(), arcs(), cusps())


def closed(curve: Curve) -> Curve:
    points, curved = curve
    if len(points) < 3 or (points[0] == points[-1]).all():
        return curve
    return ring(points), np.append(curved, False)


def strokes(items: list[Curve]) -> Strokes:
    return strokes_of(*(p for p, _ in items), curved=[c for _, c in items])


@settings(max_examples=100, deadline=None)
@given(st.lists(st.one_of(curves, curves.map(closed)), min_size=1, max_size=3), offsets)
def test_the_tip_stays_on_the_line(items: list[Curve], offset: float) -> None:
    """Blade error at most 0.05 mm, from a blade of unknown heading on."""
    machine, wanted = machine_of(knife(offset, overcut=0.5)), strokes(items)
    moves = compensate(wanted, machine, TOLERANCE)
    assert blade_error(moves, wanted, machine).max() <= TOLERANCE.blade


@settings(max_examples=40, deadline=None)
@given(curves, offsets)
def test_tiny_steps_say_so_too(item: Curve, offset: float) -> None:
    """The same with an integration that shares nothing with the program."""
    machine = machine_of(knife(offset), first_turn="none")
    wanted = strokes([item])
    pivot = compensate(wanted, machine, TOLERANCE).xy[:-1]
    line = wanted.lines.points(0)
    first = line[np.hypot(*(line - line[0]).T) > 1e-9][:1]
    if not len(first):
        return
    blade = pivot[0] - line[0]
    tip = slow_tip(pivot, offset, math.atan2(blade[1], blade[0]), step=5e-3)
    assert shapely.distance(shapely.points(tip), shapely.LineString(line)).max() <= TOLERANCE.blade
    assert shapely.distance(shapely.points(line), shapely.LineString(tip)).max() <= TOLERANCE.blade


#: A ring, and an arc that begins where the ring ends and goes on as it ended.
GOES_ON = [
    (flatten.arc((100, 100), 1.0, 0.0, -2 * math.pi, 0.02), np.zeros(17, bool)),
    (flatten.arc((100, 100), 1.0, 0.0, -1.0, 0.02), np.zeros(4, bool)),
]


@settings(max_examples=60, deadline=None)
@given(st.lists(curves, min_size=1, max_size=4), offsets)
@example(GOES_ON, 0.5)
def test_moves_are_well_formed(items: list[Curve], offset: float) -> None:
    """Up at both ends, inside the area, each stroke once and in order, begun with the blade on its first point.

    The tool stays down from one stroke to the next where the pivot is at its place already.
    """
    machine, wanted = machine_of(knife(offset), home=(10.0, 0.0)), strokes(items)
    moves = compensate(wanted, machine, TOLERANCE)
    assert not moves.down[0]
    assert not moves.down[-1]
    assert tuple(moves.xy[-1]) == machine.home == moves.home
    assert (moves.xy >= -1e-6).all()
    assert (moves.xy <= (machine.width + 1e-6, machine.height + 1e-6)).all()
    rows = np.flatnonzero(moves.down)
    begins = rows[np.diff(moves.stroke[rows], prepend=-2) != 0]
    assert moves.stroke[begins].tolist() == [-1, *range(len(items))]
    away = moves.begin[begins[1:]] - wanted.lines.xy[wanted.lines.start[:-1]]
    assert np.hypot(*away.T) == pytest.approx(offset, abs=2 * ROUNDED)
    lowered = np.flatnonzero(moves.down & ~np.append(False, moves.down[:-1]))
    assert set(lowered) <= set(begins)
    assert ((moves.speed > 0) == moves.down).all()


def test_the_tool_stays_down_where_the_next_stroke_goes_on() -> None:
    machine = machine_of(knife(0.5), home=(10.0, 0.0))
    moves = compensate(strokes(GOES_ON), machine, TOLERANCE)
    lowered = np.flatnonzero(moves.down & ~np.append(False, moves.down[:-1]))
    assert moves.stroke[lowered].tolist() == [-1, 0]
    assert set(moves.stroke[moves.down]) == {-1, 0, 1}


@settings(max_examples=40, deadline=None)
@given(st.lists(curves, min_size=1, max_size=3), offsets)
def test_a_quarter_turn_of_the_sheet_turns_the_moves(items: list[Curve], offset: float) -> None:
    """Nothing depends on the directions of the axes."""
    machine = machine_of(knife(offset), first_turn="none")
    moves = compensate(strokes(items), machine, TOLERANCE)
    turned = [(np.column_stack((290 - p[:, 1], p[:, 0])), c) for p, c in items]
    again = compensate(strokes(turned), machine, TOLERANCE)
    want = np.column_stack((290 - moves.xy[:-1, 1], moves.xy[:-1, 0]))
    assert again.xy[:-1] == pytest.approx(want, abs=2 * ROUNDED)


@settings(max_examples=60, deadline=None)
@given(st.one_of(curves, curves.map(closed)), st.floats(0.3, 8), st.floats(0.2, 3), offsets)
def test_a_perforation_leaves_its_gaps_and_no_more(
    item: Curve, cut: float, gap: float, offset: float
) -> None:
    """What is not cut is no longer than a gap, and the tip stays on the line."""
    pattern = Perforation(cut, gap)
    wanted = strokes_of(item[0], curved=[item[1]], operation=Operation.PERFORATE)
    machine = machine_of(knife(offset))
    moves = compensate(wanted, machine, TOLERANCE, Cutting(perforation=pattern))
    assert blade_error(moves, wanted, machine, Cutting(perforation=pattern))[0] <= TOLERANCE.blade


@settings(max_examples=60, deadline=None)
@given(st.one_of(curves, curves.map(closed)), st.integers(1, 4), st.sampled_from(["outline", "sheet"]))
def test_passes_work_the_same_lines_again(item: Curve, count: int, by: str) -> None:
    """The tip's path is the same line, as often as asked."""
    machine, wanted = machine_of(knife(0.25)), strokes([item])
    moves = compensate(wanted, machine, TOLERANCE, Cutting(passes=Passes(count, by=by)))
    assert blade_error(moves, wanted, machine)[0] <= TOLERANCE.blade
    length = float(wanted.lines.lengths[0])
    # With no offset the moves are the line itself; nothing is run past a closing here.
    plain = machine_of(knife(0.0))
    moves = compensate(wanted, plain, TOLERANCE, Cutting(passes=Passes(count, by=by)))
    assert moves.lengths[moves.down].sum() == pytest.approx(count * length, abs=ROUNDED * len(moves))


@settings(max_examples=60, deadline=None)
@given(st.floats(10, 60), st.floats(10, 60), st.integers(0, 6), st.floats(0.2, 2), st.floats(0, 1), offsets)
def test_bridges_keep_clear_of_corners_and_folds(
    wide: float, high: float, count: int, width: float, at: float, offset: float
) -> None:
    """Everything but the bridges is cut, and no bridge touches a corner or the end of a fold."""
    box = ring([(20, 20), (20 + wide, 20), (20 + wide, 20 + high), (20, 20 + high)])
    fold = np.array([(20 + at * wide, 20), (20 + at * wide, 20 + high)])
    made = strokes_of(fold, box, operation=[Operation.SCORE, Operation.CUT])
    wanted = replace(made, outline=np.array([False, True]))
    machine, bridges = machine_of(knife(offset)), Bridges(width=width, count=count)
    moves = compensate(wanted, machine, TOLERANCE, Cutting(bridges=bridges))
    assert blade_error(moves, wanted, machine, Cutting(bridges=bridges)).max() <= TOLERANCE.blade
    # With no offset the moves are what is cut.
    moves = compensate(wanted, machine_of(knife(0.0)), TOLERANCE, Cutting(bridges=bridges))
    rows = np.flatnonzero(moves.down & (moves.stroke == 1))
    cut = shapely.union_all(shapely.linestrings(np.stack((moves.begin[rows], moves.xy[rows]), axis=1)))
    bridge = shapely.LineString(box).difference(cut.buffer(ROUNDED))
    for x, y in [*box[:-1].tolist(), *fold.tolist()]:
        assert bridge.is_empty or bridge.distance(shapely.Point(x, y)) >= bridges.clear - 2 * ROUNDED
    if count and wide > 20 and high > 20:
        assert bridge.length == pytest.approx(
            width * len(shapely.get_parts(shapely.line_merge(bridge))), abs=4 * ROUNDED * count
        )
