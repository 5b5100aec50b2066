"""Fitting a machine to measured times."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cutprep.errors import PlanError
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.profile.machine import Machine
from cutprep.stages.motion.calibrate import UNKNOWNS, fit, trials, with_figures
from cutprep.stages.motion.duration import duration
from tests.moving import knife, machine_of

TRUE = {"speed": 41.0, "travel_speed": 210.0, "acceleration": 800.0, "lift": 0.33}


def machine() -> Machine:
    return machine_of(knife(0.0), lift=0.1, lower=0.1, junction=0.01)


def drawn(machine: Machine) -> list[Moves]:
    """What a machine is told in each trial: lines one after the other."""
    told = []
    for trial in trials(machine):
        lines = trial.lines
        down = np.ones(len(lines.xy), bool)
        down[lines.start[:-1]] = False
        speed = machine.tools[0].speed
        told.append(
            Moves(
                xy=np.vstack((lines.xy, [[0, 0]])),
                down=np.append(down, False),
                tool=np.ones(len(down) + 1),
                speed=np.append(np.where(down, speed, 0), 0),
                force=np.full(len(down) + 1, np.nan),
                stroke=np.zeros(len(down) + 1),
            )
        )
    return told


def measured(moves: list[Moves], real: Machine) -> list[float]:
    speed = real.tools[0].speed
    return [duration(replace(m, speed=np.where(m.down, speed, 0)), real).total for m in moves]


def test_exact_times_give_the_figures_back() -> None:
    moves = drawn(machine())
    real = with_figures(machine(), TRUE, moves[0])
    found = fit(moves, measured(moves, real), machine())
    for name, value, _ in found.figures:
        assert value == pytest.approx(TRUE[name], rel=1e-6)
    assert found.residual < 1e-6
    assert found.machine.lift + found.machine.lower == pytest.approx(0.33, rel=1e-6)
    assert found.machine.tools[0].speed == pytest.approx(41, rel=1e-6)
    assert found.machine.acceleration[1] == pytest.approx(800, rel=1e-6)
    assert found.machine.travel_speed == pytest.approx(210, rel=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_a_hand_on_a_watch_is_good_enough(seed: int) -> None:
    """Times off by 0.2 s or so: figures within a few percent, and the residual says how far off."""
    moves = drawn(machine())
    real = with_figures(machine(), TRUE, moves[0])
    noise = np.random.default_rng(seed).normal(size=len(moves)) * 0.2
    found = fit(moves, np.array(measured(moves, real)) + noise, machine())
    for name, value, error in found.figures:
        assert value == pytest.approx(TRUE[name], rel=0.08)
        assert error > 0
    assert found.residual < 0.3
    assert found.predicted + noise == pytest.approx(np.array(measured(moves, real)) + noise, abs=1.0)


def test_what_is_known_stays_as_it_is() -> None:
    moves = drawn(machine())
    real = with_figures(machine(), {"acceleration": 900.0}, moves[0])
    found = fit(moves, measured(moves, real), machine(), unknown=["acceleration"])
    assert [(name, round(value)) for name, value, _ in found.figures] == [("acceleration", 900)]
    assert found.machine.travel_speed == machine().travel_speed


def test_a_faster_machine_than_its_profile_says() -> None:
    """What was measured was reached: the axes' limits give way."""
    lively = replace(machine(), acceleration=(4000.0, 4000.0))
    moves = drawn(lively)
    real = with_figures(lively, {"travel_speed": 700.0}, moves[0])
    found = fit(moves, measured(moves, real), lively, unknown=["travel_speed"])
    assert found.figures[0][1] == pytest.approx(700, rel=1e-4)
    assert min(found.machine.top_speed) >= 700 * 0.999


@pytest.mark.parametrize("wide", [100.0, 300.0, 900.0])
def test_trials_fit_the_machine_and_last_long_enough(wide: float) -> None:
    small = machine_of(knife(0.0), width=wide, height=120.0)
    for trial, moves in zip(trials(small), drawn(small), strict=True):
        left, bottom, right, top = trial.lines.bounds
        assert left >= 5
        assert bottom >= 5
        assert right <= wide - 5
        assert top <= 115
        assert 10 < duration(moves, small).total < 200, trial.name


def test_trials_are_what_was_asked_for() -> None:
    made = trials(machine(), Operation.CUT)
    assert all((t.lines.operation == Operation.CUT).all() for t in made)
    assert len(made) > len(UNKNOWNS)
    assert len({t.name for t in made}) == len(made)


def test_no_tool_for_the_trials() -> None:
    with pytest.raises(PlanError, match="no tool that does 'draw'"):
        trials(machine_of(knife(0.0, does=(Operation.CUT,))))


def test_too_few_times() -> None:
    moves = drawn(machine())
    with pytest.raises(PlanError, match="can't tell 4 figures"):
        fit(moves[:3], [1, 2, 3], machine())
    with pytest.raises(PlanError, match="can't tell 4 figures"):
        fit(moves, [1, 2, 3], machine())


def test_times_that_are_none() -> None:
    with pytest.raises(PlanError, match="not above 0"):
        fit(drawn(machine()), [1, 2, 3, 4, 0], machine())


def test_trials_that_tell_nothing_apart() -> None:
    """The same trial five times says one thing about four figures."""
    moves = drawn(machine())
    with pytest.raises(PlanError, match="don't tell the figures apart"):
        fit([moves[0]] * 5, [50.0] * 5, machine())


def test_unknown_names() -> None:
    with pytest.raises(ValueError, match="can't be fitted"):
        fit(drawn(machine()), [1, 2, 3, 4, 5], machine(), unknown=["colour"])
