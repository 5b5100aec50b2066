"""Time of moves by kind."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cutprep.model.moves import Moves
from cutprep.stages.motion.duration import duration, end_speeds_squared, move_times
from tests.moving import machine_of, moves_along

TOUR = [(0, 0), (50, 0), (90, 0), (90, 40), (0, 0)]


def tour(down=(False, True, True, False), tool=(1, 1, 1, 1), **extra) -> Moves:
    return replace(moves_along(TOUR, 50, down=down), tool=np.array(tool), **extra)


def test_kinds_of_work() -> None:
    moves, machine = tour(), machine_of(lift=0.1, lower=0.3, travel_speed=100.0)
    time = duration(replace(moves, speed=np.where(moves.down, 50, 0)), machine)
    assert time.work[0][0] == 1
    assert time.work[0][1] == pytest.approx(40 / 50 + 40 / 50 + 2 * 50 / 500, abs=0.02)
    assert time.travel == pytest.approx(50 / 100 + 100 / 500 + 98.49 / 100 + 100 / 500, rel=0.06)
    assert time.lift == pytest.approx(0.4)
    assert time.change == 0
    assert time.total == pytest.approx(sum(s for _, s in time.work) + time.travel + time.lift)


def test_lifting_is_a_stop() -> None:
    """The same moves in line take longer when the tool comes down between."""
    straight = moves_along([(0, 0), (50, 0), (100, 0)], 50)
    touched = replace(straight, down=np.array([False, True]), speed=np.array([50.0, 50.0]))
    machine = machine_of(travel_speed=50.0)
    assert move_times(straight, machine).sum() == pytest.approx(2.1)
    assert move_times(touched, machine).sum() == pytest.approx(2.2)


def test_changing_tools_is_a_stop_and_takes_its_time() -> None:
    moves = tour(down=(True,) * 4, tool=(1, 2, 2, 2), changes=1)
    time = duration(moves, machine_of(change=30.0))
    assert time.change == 30
    assert [number for number, _ in time.work] == [1, 2]
    assert time.work[0][1] == pytest.approx(50 / 50 + 50 / 500)


def test_a_machine_that_changes_nothing_waits_for_nothing() -> None:
    assert duration(tour(changes=1), machine_of(change_how="none", change=30.0)).change == 0


def test_stated_waiting_at_a_lift_is_the_lifting() -> None:
    """G4 after each lift says the same seconds as the profile; only more than those is waiting."""
    machine = machine_of(lift=0.1, lower=0.2)
    assert duration(tour(dwell=0.3), machine).dwell == pytest.approx(0)
    assert duration(tour(dwell=0.25), machine).dwell == 0
    time = duration(tour(dwell=2.0), machine)
    assert time.lift + time.dwell == pytest.approx(2.0)


def test_a_move_of_no_length_takes_no_time_and_stops_nothing() -> None:
    plain = moves_along([(0, 0), (50, 0), (100, 0)], 50)
    doubled = moves_along([(0, 0), (50, 0), (50, 0), (100, 0)], 50)
    assert move_times(doubled, machine_of())[1] == 0
    assert move_times(doubled, machine_of()).sum() == pytest.approx(move_times(plain, machine_of()).sum())


def test_lifting_in_place_is_a_stop_too() -> None:
    doubled = moves_along([(0, 0), (50, 0), (50, 0), (100, 0)], 50)
    touched = replace(doubled, down=np.array([True, False, True]))
    assert move_times(touched, machine_of()).sum() == pytest.approx(2.2)


def test_no_moves_no_time() -> None:
    empty = Moves(np.empty((0, 2)), *(np.empty(0) for _ in range(5)))
    assert duration(empty, machine_of()).total == 0
    still = moves_along([(3, 3), (3, 3)], 50)
    assert duration(still, machine_of()).total == 0


def test_the_axes_limit_the_speed() -> None:
    moves = moves_along([(0, 0), (0, 100)], 500)
    assert move_times(moves, machine_of(top_speed=(400.0, 25.0)))[0] == pytest.approx(100 / 25 + 25 / 500)


def test_a_short_window_slows_fine_curves_down() -> None:
    """With two blocks the firmware must be able to stop at the end of the next chord."""
    a = np.linspace(0, 2 * np.pi, 2000)
    circle = moves_along(20 * np.column_stack((np.cos(a), np.sin(a))), 50)
    far, near = (duration(circle, machine_of(blocks=n)).total for n in (64, 2))
    assert near > 2 * far


def test_with_one_block_every_move_stops() -> None:
    moves = moves_along([(0, 0), (50, 0), (100, 0)], 50)
    assert duration(moves, machine_of(blocks=1)).total == pytest.approx(2.2)


def test_speeds_at_the_ends_of_a_chain() -> None:
    d, limit, along = np.array([1.0, 1.0]), np.array([50.0, 40.0]), np.array([500.0, 500.0])
    assert end_speeds_squared(d, limit, along, np.array([np.inf]), 16).tolist() == [0, 1000, 0]
