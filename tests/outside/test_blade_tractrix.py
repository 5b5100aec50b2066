"""Blade kinematics against closed forms and an integration of our own.

Sources: the tractrix (Perrault 1670, Newton 1676, Huygens 1692): a point pulled by a rod of fixed
length; "On the Kinematic Path of Semi-Trailers", ASME Journal of Applied Mechanics 22(3), 407;
circle radii by Pythagoras. Figures are computed from these closed forms, or by Runge-Kutta steps of
d(phi)/ds = sin(alpha - phi)/e in tests/oracles.py.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from cutprep.stages.blade.plan import compensate
from cutprep.stages.blade.tip import blade_error, headings
from cutprep.tolerance import Tolerance
from tests.moving import knife, machine_of, strokes_of, tip_path
from tests.oracles import slow_tip


def circle(radius: float, turns: float = 1.0, n: int = 4000) -> np.ndarray:
    a = np.linspace(0, 2 * math.pi * turns, n)
    return radius * np.column_stack((np.cos(a), np.sin(a)))


def led(points: list, offset: float = 0.25) -> np.ndarray:
    """Pivot path of one cut."""
    machine = machine_of(knife(offset), first_turn="none")
    moves = compensate(strokes_of(np.array(points, float) + 20), machine, Tolerance())
    return moves.xy[:-1] - 20


def test_an_l_is_led_round_its_corner() -> None:
    """Tip along (0,0)(10,0)(10,10): pivot (0.25,0), (10.25,0), an arc about the corner, (10,10.25)."""
    pivot = led([(0, 0), (10, 0), (10, 10)])
    assert pivot[0] == pytest.approx((0.25, 0), abs=1e-9)
    assert pivot[1] == pytest.approx((10.25, 0), abs=1e-9)
    assert pivot[-2] == pytest.approx((10, 0.25), abs=1e-9)
    assert pivot[-1] == pytest.approx((10, 10.25), abs=1e-9)
    swivel = pivot[1:-1] - (10, 0)
    assert np.hypot(*swivel.T) == pytest.approx(0.25, rel=0.01)
    # Length 10 + 10 + e pi/2 = 20.392699: chords on the arc, set out so that they are as long.
    assert np.hypot(*np.diff(pivot, axis=0).T).sum() == pytest.approx(20.392699, abs=1e-4)
    assert math.degrees(headings(pivot, 0.25, 0.0)[-1]) == pytest.approx(90, abs=0.2)


def test_an_exact_arc_leaves_no_error() -> None:
    """The same with a true arc of 400 chords: tip error below 1e-6 mm, end heading 90 degrees."""
    a = np.linspace(0, math.pi / 2, 4001)
    arc = (10, 0) + 0.25 * np.column_stack((np.cos(a), np.sin(a)))
    pivot = np.vstack(((0.25, 0), arc, (10, 10.25)))
    wanted = shapely.LineString([(0, 0), (10, 0), (10, 10)])
    tip = tip_path(pivot, 0.25, 0.0)
    assert shapely.distance(shapely.points(tip), wanted).max() < 1e-6
    assert math.degrees(headings(pivot, 0.25, 0.0)[-1]) == pytest.approx(90, abs=1e-4)


def test_uncompensated_the_corner_is_missed() -> None:
    """Pivot (0.25,0)(10,0)(10,10): nearest approach 0.165686, and the tip ends at (10, 9.75)."""
    pivot = np.array([(0.25, 0), (10, 0), (10, 10)])
    tip = tip_path(pivot, 0.25, 0.0)
    assert shapely.LineString(tip).distance(shapely.Point(10, 0)) == pytest.approx(0.165686, abs=2e-3)
    fine = slow_tip(pivot, 0.25, 0.0)
    assert np.hypot(*(fine - (10, 0)).T).min() == pytest.approx(0.165686, abs=1e-6)
    assert tip[-1] == pytest.approx((10, 9.75), abs=1e-6)


def test_pulled_straight_the_blade_aligns() -> None:
    """After 90 degrees, e 0.25: 0.01 mm beside after 0.977906 mm; after 1 mm 2.09858 degrees, 0.0091547 mm."""
    phi = headings(np.array([(0, 0), (0.977906, 0)]), 0.25, math.pi / 2)[-1]
    assert 0.25 * math.sin(phi) == pytest.approx(0.01, abs=1e-7)
    phi = headings(np.array([(0, 0), (1, 0)]), 0.25, math.pi / 2)[-1]
    assert math.degrees(phi) == pytest.approx(2.09858, abs=1e-5)
    assert 0.25 * math.sin(phi) == pytest.approx(0.0091547, abs=1e-7)


@pytest.mark.parametrize(("radius", "tip_radius"), [(1, 0.968246), (5, 4.993746)])
def test_on_a_circle_the_tip_runs_inside(radius: float, tip_radius: float) -> None:
    """Pivot radius R: tip radius sqrt(R^2 - e^2), once the blade has settled."""
    tip = tip_path(circle(radius, 2), 0.25, math.pi / 2)
    assert np.hypot(*tip[-2000:].T) == pytest.approx(tip_radius, abs=2e-5)


@pytest.mark.parametrize(("radius", "pivot_radius"), [(1, 1.030776), (10, 10.003125)])
def test_a_wanted_circle_asks_for_a_wider_one(radius: float, pivot_radius: float) -> None:
    """Tip radius R: pivot radius sqrt(R^2 + e^2)."""
    wanted = circle(radius, n=121)
    wanted[-1] = wanted[0]
    curved = np.ones(121, bool)
    machine = machine_of(knife(), first_turn="none")
    moves = compensate(strokes_of(wanted + 20, curved=[curved]), machine, Tolerance())
    assert np.hypot(*(moves.xy[:-1] - 20).T) == pytest.approx(pivot_radius, abs=1e-5)


MISSES = {5: 0.032, 10: 0.064, 15: 0.097, 20: 0.129, 30: 0.195, 45: 0.298, 60: 0.408, 90: 0.663}


@pytest.mark.parametrize("turn", MISSES)
def test_how_far_a_corner_is_missed(turn: int) -> None:
    """Distance of the tip's path from an uncompensated corner, in offsets: from the tractrix by hand."""
    a = math.radians(turn)
    pivot = np.array([(-10, 0), (0, 0), (10 * math.cos(a), 10 * math.sin(a))])
    tip = slow_tip(pivot, 1.0, 0.0)
    assert np.hypot(*tip.T).min() == pytest.approx(MISSES[turn], abs=6e-4)
    ours = shapely.LineString(tip_path(pivot, 1.0, 0.0)).distance(shapely.Point(0, 0))
    assert ours == pytest.approx(MISSES[turn], abs=4e-3)


def test_the_closed_form_agrees_with_tiny_steps() -> None:
    """The tip's path of a wild pivot path, by closed form and by Runge-Kutta."""
    rng = np.random.default_rng(5)
    pivot = np.cumsum(rng.normal(size=(60, 2)), axis=0)
    for offset in (0.1, 0.25, 0.9):
        ours, slow = tip_path(pivot, offset, 1.0), slow_tip(pivot, offset, 1.0)
        assert ours[-1] == pytest.approx(slow[-1], abs=1e-8)
        far = shapely.distance(shapely.points(ours), shapely.LineString(slow))
        assert far.max() < 1e-3


def test_blade_error_agrees_with_tiny_steps() -> None:
    """The judge of every file, judged by an integration that shares nothing with it."""
    wanted = np.array([(20, 20), (40, 20), (21, 23), (21, 60), (60, 60), (60, 40), (30, 40)], float)
    machine = machine_of(knife(0.4), first_turn="none")
    strokes = strokes_of(wanted)
    moves = compensate(strokes, machine, Tolerance())
    tip = slow_tip(moves.xy[:-1], 0.4, 0.0, step=5e-4)
    beside = shapely.distance(shapely.points(tip), shapely.LineString(wanted)).max()
    uncut = shapely.distance(shapely.points(wanted), shapely.LineString(tip)).max()
    assert blade_error(moves, strokes, machine)[0] == pytest.approx(max(beside, uncut), abs=5e-4)
