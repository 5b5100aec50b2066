"""What the trials are made of, and what a fit makes of a profile."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cutprep.errors import PlanError
from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine, Tool
from cutprep.stages.motion.calibrate import fit, trials, with_figures
from cutprep.stages.motion.duration import duration
from tests.moving import EVERYTHING, knife, machine_of, moves_along


def told(lines, speed: float) -> Moves:
    """A trial as moves: lines one after the other, and home."""
    down = np.ones(len(lines.xy), bool)
    down[lines.start[:-1]] = False
    down = np.append(down, False)
    k = len(down)
    return Moves(
        xy=np.vstack((lines.xy, [[0, 0]])),
        down=down,
        tool=np.ones(k),
        speed=np.where(down, speed, 0.0),
        force=np.full(k, np.nan),
        stroke=np.zeros(k),
    )


@pytest.mark.parametrize(
    "machine",
    [
        machine_of(knife(0.0), lift=0.1, lower=0.1),
        machine_of(knife(0.0), lift=0.1, lower=0.9),
        machine_of(knife(0.0, speed=60.0), lift=0.4, lower=0.1, acceleration=(300.0, 250.0), travel_speed=90.0),
        machine_of(knife(0.0, speed=80.0), acceleration=(900.0, 1500.0), height=120.0),
    ],
)  # fmt: skip
def test_each_trial_lasts_some_forty_seconds(machine: Machine) -> None:
    """At the profile's own figures: long enough for a hand on a watch, short enough for a maker."""
    for trial in trials(machine):
        seconds = duration(told(trial.lines, machine.tools[0].speed), machine).total
        assert seconds == pytest.approx(40, rel=0.25), trial.name


def test_the_names_of_the_trials() -> None:
    """They become names of files, so they stay."""
    names = [trial.name for trial in trials(machine_of())]
    assert names == ["long lines", "short steps", "middling steps", "lifting", "travel"]


def test_a_lively_machine_gets_four_hundred_and_a_lazy_one_four() -> None:
    lively = machine_of(knife(0.0, speed=400.0), acceleration=(20000.0, 20000.0), travel_speed=900.0)
    _, steps, _, lifting, _ = trials(lively)
    assert (len(steps.lines.xy) - 1, len(lifting.lines)) == (400, 400)
    lazy = machine_of(knife(0.0, speed=1.0), acceleration=(5.0, 5.0), lift=5.0, lower=6.0, travel_speed=2.0)
    long_lines, _, _, lifting, travel = trials(lazy)
    assert (len(long_lines.lines.xy), len(lifting.lines), len(travel.lines)) == (8, 4, 4)


def test_long_lines_run_to_and_fro() -> None:
    long_lines = trials(machine_of())[0].lines.points(0)
    assert set(long_lines[:, 0].tolist()) == {10, 190}
    step = np.diff(long_lines, axis=0)
    assert np.abs(step[::2, 0]).tolist() == [180] * len(step[::2])
    assert (step[::2, 1] == 0).all()
    assert (step[1::2, 0] == 0).all()
    assert (step[1::2, 1] > 0).all()
    assert long_lines[-1, 1] == 190


@pytest.mark.parametrize(("number", "size"), [(1, 4.0), (2, 12.0)])
def test_steps_are_right_angled_and_of_one_size(number: int, size: float) -> None:
    """Each is another stop: that is what makes the acceleration count."""
    small = machine_of(knife(0.0, speed=200.0), acceleration=(2000.0, 2000.0), width=100.0, height=90.0)
    for machine in (machine_of(), small):
        step = np.diff(trials(machine)[number].lines.points(0), axis=0)
        assert np.hypot(*step.T) == pytest.approx(size)
        assert (np.count_nonzero(step, axis=1) == 1).all()
        assert ((step[:-1] * step[1:]).sum(axis=1) == 0).all()


def test_ticks_stand_side_by_side() -> None:
    """3 mm long, the next one 3 mm on, the next row 3 mm higher; none on another."""
    quick = machine_of(knife(0.0, speed=100.0), acceleration=(4000.0, 4000.0), lift=0.05, lower=0.05)
    lines = trials(quick)[3].lines
    first, last = lines.xy[lines.start[:-1]], lines.xy[lines.start[1:] - 1]
    assert (last - first).tolist() == [[3, 0]] * len(lines)
    assert len({tuple(p) for p in first.tolist()}) == len(lines)
    row = first[first[:, 1] == 10]
    assert np.diff(row[:, 0]).tolist() == [6] * (len(row) - 1)
    assert len(row) == 180 // 6
    assert sorted(set(first[:, 1].tolist()))[:3] == [10, 13, 16]


def test_travels_go_from_side_to_side() -> None:
    """2 mm are drawn at the left, then at the right of the whole width, by turns."""
    lines = trials(machine_of(width=500.0))[4].lines
    first, last = lines.xy[lines.start[:-1]], lines.xy[lines.start[1:] - 1]
    assert (last - first).tolist() == [[2, 0]] * len(lines)
    assert first[::2, 0].tolist() == [10] * len(first[::2])
    assert last[1::2, 0].tolist() == [490] * len(first[1::2])
    assert (np.diff(first[:, 1]) > 0).all()


def test_a_profile_takes_the_figures_that_were_found() -> None:
    """Only the tool that worked changes; lifting and lowering keep their shares."""
    pen = Tool("pen", 3, EVERYTHING, kind="pen", speed=70.0)
    machine = machine_of(knife(0.0), pen, lift=0.1, lower=0.3)
    moves = moves_along([(0, 0), (9, 0)], 50)
    found = with_figures(machine, {"speed": 500.0, "lift": 0.8, "acceleration": 700.0}, moves)
    assert [tool.speed for tool in found.tools] == [500, 70]
    assert (found.lift, found.lower) == pytest.approx((0.2, 0.6))
    assert found.acceleration == (700, 700)
    assert found.top_speed == (500, 500), "what was measured was reached"
    assert found.travel_speed == machine.travel_speed
    slower = with_figures(machine, {"speed": 30.0, "travel_speed": 450.0}, moves)
    assert slower.top_speed == (450, 450)
    assert (slower.lift, slower.lower) == pytest.approx((0.1, 0.3))
    assert slower.acceleration == machine.acceleration


def test_without_times_of_lifting_a_fit_shares_them_evenly() -> None:
    moves = moves_along([(0, 0), (9, 0)], 50)
    found = with_figures(machine_of(lift=0.0, lower=0.0), {"lift": 0.6}, moves)
    assert (found.lift, found.lower) == pytest.approx((0.3, 0.3))
    still = with_figures(machine_of(), {"speed": 60.0}, replace(moves, down=np.array([False])))
    assert still.tools[0].speed == machine_of().tools[0].speed, "no tool worked"


def test_axes_are_fitted_apart_from_their_limits() -> None:
    machine = machine_of(top_speed=(400.0, 600.0))
    found = with_figures(machine, {"speed": 500.0}, moves_along([(0, 0), (9, 0)], 50))
    assert found.top_speed == (500, 600)


def test_figures_and_their_errors_by_hand() -> None:
    """One unknown, three trials at a constant speed: t = c + d / v, so that the slope of t with ln v is
    -d / v, and the error of v is v s / sqrt(sum (d / v)^2) with s^2 the squared residuals over k - 1."""
    machine = machine_of(knife(0.0), acceleration=(1e9, 1e9), top_speed=(1e6, 1e6))
    far = np.array([100.0, 200.0, 400.0])
    moves = [moves_along([(0, 0), (d, 0)], 50) for d in far]
    seconds = far / 40 + np.array([0.1, -0.2, 0.1])
    found = fit(moves, seconds, machine, unknown=["speed"])
    ((name, speed, error),) = found.figures
    # Least squares of 1/v by hand: v = sum d^2 / sum d t.
    best = (far**2).sum() / (far * seconds).sum()
    assert (name, speed) == ("speed", pytest.approx(best, rel=1e-4))
    left = seconds - far / best
    assert found.predicted == pytest.approx(far / best, abs=1e-4)
    assert found.residual == pytest.approx(np.sqrt((left**2).mean()), rel=1e-3)
    spread = best * np.sqrt((left**2).sum() / 2) / np.sqrt(((far / best) ** 2).sum())
    assert error == pytest.approx(spread, rel=1e-3)
    exact = fit(moves[:1], seconds[:1], machine, unknown=["speed"])
    assert exact.figures[0][2] == 0, "nothing is left to judge it by"


def test_short_times_are_times() -> None:
    machine = machine_of(knife(0.0), acceleration=(1e9, 1e9), top_speed=(1e6, 1e6))
    found = fit([moves_along([(0, 0), (20, 0)], 50)], [0.5], machine, unknown=["speed"])
    assert found.figures[0][1] == pytest.approx(40, rel=1e-4)
    for wrong in (0.0, -1.0, float("nan"), float("inf")):
        with pytest.raises(PlanError, match="not above 0 s"):
            fit([moves_along([(0, 0), (20, 0)], 50)], [wrong], machine, unknown=["speed"])
