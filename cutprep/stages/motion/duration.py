"""How long a machine takes for its moves.

Worked out from moves as they stand in the file, never from the wish. The firmware sees only a
window of moves ahead and must be able to stop at the window's end; speeds come from a backward
and a forward sweep over the squares of the speeds.
"""

from __future__ import annotations

import numpy as np

from cutprep.model.lines import Flags, Index, Points
from cutprep.model.moves import Duration, Moves
from cutprep.profile.machine import Machine
from cutprep.stages.motion.junction import junction_squared, limit_along
from cutprep.stages.motion.ramp import ramp_times


def duration(moves: Moves, machine: Machine) -> Duration:
    """Work out the time of moves by kind.

    Waiting that the file states (G4 after each lift) and the profile's own times for lifting and
    lowering are the same seconds: only what is stated beyond the profile's counts as waiting.

    Parameters
    ----------
    moves
        What the machine does, best as read back from its file.
    machine
        Whose limits, look-ahead and times for lifting and changing tools apply.

    Returns
    -------
    Duration
        Seconds by tool and kind.
    """
    seconds = move_times(moves, machine)
    lift = float(lifting_times(moves, machine).sum())
    numbers = sorted({int(n) for n in moves.tool[moves.down]})
    return Duration(
        work=tuple((n, float(seconds[moves.down & (moves.tool == n)].sum())) for n in numbers),
        travel=float(seconds[~moves.down].sum()),
        lift=lift,
        change=0.0 if machine.change_how == "none" else moves.changes * machine.change,
        dwell=max(0.0, moves.dwell - lift),
    )


def lifting_times(moves: Moves, machine: Machine) -> Points:
    """Work out the seconds of raising and lowering that the profile gives; the tool is up before the first move.

    Parameters
    ----------
    moves, machine
        As for `duration`.

    Returns
    -------
    (k,) ndarray of float
        s, before each move.
    """
    step = np.diff(moves.down.astype(np.int8), prepend=np.int8(0))
    return np.asarray(np.where(step > 0, machine.lower, np.where(step < 0, machine.lift, 0.0)), np.float64)


def instruction_times(moves: Moves, at: Index, waits: Points, machine: Machine) -> Points:
    """Work out the seconds of each instruction of a file.

    Parameters
    ----------
    moves, machine
        As for `duration`.
    at
        (k,) ndarray of int: which instruction makes each move, from 0.
    waits
        (n,) ndarray of float: what each instruction states to wait for, s. As in `duration` that and the profile's times
        for lifting are the same seconds.

    Returns
    -------
    (n,) ndarray of float
        s; without changes of tool their sum is the time of the file.
    """
    lifting = np.bincount(at, lifting_times(moves, machine), len(waits))
    still = waits if waits.sum() >= lifting.sum() else lifting
    return np.asarray(np.bincount(at, move_times(moves, machine), len(waits)) + still, np.float64)


def move_times(moves: Moves, machine: Machine) -> Points:
    """Work out the seconds of each move.

    Parameters
    ----------
    moves, machine
        As for `duration`.

    Returns
    -------
    (k,) ndarray of float
        s; 0 for a move of no length.
    """
    seconds = np.zeros(len(moves))
    lengths = moves.lengths
    moving = np.flatnonzero(lengths > 0)
    if not len(moving):
        return seconds
    d = lengths[moving]
    unit = (moves.xy - moves.begin)[moving] / d[:, None]
    wish = np.where(moves.speed > 0, moves.speed, machine.travel_speed)[moving]
    limit = np.minimum(wish, limit_along(unit, machine.top_speed))
    overall = machine.path_acceleration or np.inf
    along = limit_along(unit, machine.acceleration, overall)
    corner = junction_squared(unit, along, machine.acceleration, overall, machine.junction)
    corner[_stops(moves, moving)] = 0.0
    ends = end_speeds_squared(d, limit, along, corner, machine.blocks)
    seconds[moving] = ramp_times(d, limit, along, ends[:-1], ends[1:])
    return seconds


def _stops(moves: Moves, moving: Index) -> Flags:
    """Between which consecutive moving moves the machine stands still: lift, lower, change."""
    changed = (np.diff(moves.down.astype(np.int8)) != 0) | (np.diff(moves.tool) != 0)
    state = np.concatenate(([0], np.cumsum(changed)))[moving]
    return np.asarray(np.diff(state) != 0)


def end_speeds_squared(d: Points, limit: Points, along: Points, corner: Points, blocks: int) -> Points:
    """Find the squares of the speeds at the ends of a chain of moves that starts and ends at rest.

    Parameters
    ----------
    d, limit, along
        (k,) lengths mm, speed limits mm/s, accelerations mm/s2.
    corner
        (k - 1,) squares of the speeds allowed between them.
    blocks
        Moves that the firmware holds at once, the running one included.

    Returns
    -------
    (k + 1,) ndarray of float
        mm2/s2.
    """
    gain = np.concatenate(([0.0], np.cumsum(2.0 * along * d)))
    k = len(d)
    most = np.zeros(k + 1)
    most[1:-1] = np.minimum(corner, np.square(np.minimum(limit[:-1], limit[1:])))
    # With the window full, the firmware can always stop at the end of its last known move.
    seen = np.minimum(np.arange(k + 1) + blocks - 1, k)
    most = np.minimum(most, gain[seen] - gain)
    rise = np.diff(gain)
    return _sweep(_sweep(most[::-1], rise[::-1])[::-1], rise)


def _sweep(most: Points, rise: Points) -> Points:
    """Squares of speeds that grow from each junction to the next by no more than the rise.

    A running minimum of sums would do it without a loop, but loses the digits of slow corners.
    """
    reached = float(most[0])
    result = [reached]
    for limit, step in zip(most[1:].tolist(), rise.tolist(), strict=True):
        reached += step
        if reached > limit:  # noqa: PLR1730 - a call of `min` takes as long as all the rest, for each of 100,000 moves
            reached = limit
        result.append(reached)
    return np.array(result)
