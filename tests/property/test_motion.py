"""What must hold for every time."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutprep.model.moves import Moves
from cutprep.profile.machine import Machine
from cutprep.stages.motion.duration import duration, move_times
from tests.moving import machine_of, moves_along
from tests.oracles import time_at_rest


@st.composite
def motions(draw: st.DrawFn) -> Moves:
    """Up to 25 moves of 0.01 to 100 mm at any speed, some with the tool up."""
    k = draw(st.integers(1, 25))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    steps = rng.normal(size=(k, 2)) * 10 ** rng.uniform(-2, 2, (k, 1))
    if draw(st.booleans()):
        steps = np.round(steps)  # straight on, reversals, and steps of no length
    points = np.vstack(((0.0, 0.0), np.cumsum(steps, axis=0)))
    down = rng.random(k) < draw(st.sampled_from([0.0, 0.7, 1.0]))
    moves = moves_along(points, draw(st.floats(1, 300)), down=down)
    moves = replace(moves, speed=np.where(down, moves.speed, 0.0))
    return replace(moves, tool=rng.integers(1, 3, k) if draw(st.booleans()) else moves.tool)


@st.composite
def machines(draw: st.DrawFn) -> Machine:
    return machine_of(
        acceleration=(draw(st.floats(50, 5000)), draw(st.floats(50, 5000))),
        top_speed=(draw(st.floats(10, 800)), draw(st.floats(10, 800))),
        travel_speed=draw(st.floats(10, 800)),
        junction=draw(st.floats(0, 0.2)),
        blocks=draw(st.integers(2, 40)),
        path_acceleration=draw(st.sampled_from([0.0, 700.0])),
        lift=0.1,
        lower=0.2,
    )


@settings(max_examples=200, deadline=None)
@given(motions(), machines(), st.data())
def test_a_lower_limit_never_saves_time(moves: Moves, machine: Machine, data: st.DataObject) -> None:
    """Whichever limit is lowered."""
    share = data.draw(st.floats(0.2, 1))
    ax, ay = machine.acceleration
    vx, vy = machine.top_speed
    slower = data.draw(
        st.sampled_from([
            replace(machine, acceleration=(ax * share, ay)),
            replace(machine, acceleration=(ax, ay * share)),
            replace(machine, top_speed=(vx * share, vy)),
            replace(machine, top_speed=(vx, vy * share)),
            replace(machine, travel_speed=machine.travel_speed * share),
            replace(machine, junction=machine.junction * share),
            replace(machine, blocks=max(1, int(machine.blocks * share))),
            replace(machine, path_acceleration=(machine.path_acceleration or 5000) * share),
        ])
    )  # fmt: skip
    assert duration(moves, slower).total >= duration(moves, machine).total - 1e-9
    crawl = replace(moves, speed=moves.speed * share)
    assert duration(crawl, machine).total >= duration(moves, machine).total - 1e-9


@settings(max_examples=150, deadline=None)
@given(motions(), machines(), st.data())
def test_a_split_move_takes_as_long(moves: Moves, machine: Machine, data: st.DataObject) -> None:
    """Two moves in line are one, as long as the firmware's window is not what limits the speed."""
    machine = replace(machine, blocks=1000)
    k = data.draw(st.integers(0, len(moves) - 1))
    share = data.draw(st.floats(0.1, 0.9))
    rows = np.insert(np.arange(len(moves)), k, k)
    xy = moves.xy[rows]
    xy[k] = moves.begin[k] + share * (moves.xy[k] - moves.begin[k])
    columns = {name: getattr(moves, name)[rows] for name in ("down", "tool", "speed", "force", "stroke")}
    split = Moves(xy=xy, **columns, home=moves.home)
    assert duration(split, machine).total == pytest.approx(duration(moves, machine).total, abs=1e-9)


@settings(max_examples=150, deadline=None)
@given(motions(), machines())
def test_the_way_back_takes_as_long(moves: Moves, machine: Machine) -> None:
    """Reversed moves, within the window."""
    machine = replace(machine, blocks=1000)
    back = Moves(
        xy=moves.begin[::-1],
        **{name: getattr(moves, name)[::-1] for name in ("down", "tool", "speed", "force", "stroke")},
        home=(float(moves.xy[-1, 0]), float(moves.xy[-1, 1])),
    )
    there, again = move_times(moves, machine), move_times(back, machine)
    assert again[::-1] == pytest.approx(there, abs=1e-9)


@settings(max_examples=150, deadline=None)
@given(motions(), machines())
def test_no_move_beats_its_limits(moves: Moves, machine: Machine) -> None:
    """Each move takes at least length / speed, and the whole no longer than stopping everywhere."""
    seconds = move_times(moves, machine)
    length = moves.lengths
    unit = np.abs(moves.xy - moves.begin) / np.where(length > 0, length, 1)[:, None]
    with np.errstate(divide="ignore"):
        axis = (np.array(machine.top_speed) / unit).min(axis=1)
        pull = (np.array(machine.acceleration) / unit).min(axis=1)
    speed = np.minimum(np.where(moves.down, moves.speed, machine.travel_speed), axis)
    assert (seconds >= length / speed - 1e-9).all()
    pull = np.minimum(pull, machine.path_acceleration or np.inf)
    stops = [time_at_rest(d, v, a) if d else 0.0 for d, v, a in zip(length, speed, pull, strict=True)]
    assert seconds.sum() <= sum(stops) + 1e-9


@settings(max_examples=100, deadline=None)
@given(motions(), machines())
def test_the_kinds_sum_to_the_total(moves: Moves, machine: Machine) -> None:
    """Nothing is counted twice or lost."""
    time = duration(moves, machine)
    assert sum(s for _, s in time.work) + time.travel == pytest.approx(move_times(moves, machine).sum())
    lowered = np.diff(moves.down.astype(int), prepend=0)
    assert time.lift == pytest.approx(0.2 * (lowered > 0).sum() + 0.1 * (lowered < 0).sum())
    assert min(time.travel, time.lift, time.change, time.dwell, *(s for _, s in time.work), 0.0) == 0.0
