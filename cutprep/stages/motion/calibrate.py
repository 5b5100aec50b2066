"""Find a machine's speed, acceleration and lifting time from a few timed trials.

The maker runs some small files, each of which is dominated by one unknown, and times them with
a watch. The unknowns are those with which the same estimate that every job gets comes closest to
the measured times.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutprep.errors import PlanError
from cutprep.model.lines import Lines, Points
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.profile.machine import Machine
from cutprep.stages.motion.duration import duration

UNKNOWNS = ("speed", "travel_speed", "acceleration", "lift")
#: Largest side of the trials, mm, and the free border around them.
_SIDE, _BORDER = 180.0, 10.0
#: A trial should run for about this long at the profile's present figures, s: a hand on a watch
#: is late by some tenths of a second (common practice, no published source).
_SECONDS = 40.0
_ROUNDS = 60
#: Change of an unknown by which the fit's slopes are taken, and at which it ends; relative.
_STEP, _END = 1e-4, 1e-9  # not a tolerance: numerics of the fit


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """One small file to be timed.

    Attributes
    ----------
    name
        What it is for.
    lines
        What it works, mm on the sheet, in working order.
    """

    name: str
    lines: Lines


@dataclass(frozen=True, slots=True, eq=False)
class Calibration:
    """What the measured times say about a machine.

    Attributes
    ----------
    machine
        The profile with the fitted figures.
    figures
        Name, value and standard error of each unknown; mm/s, mm/s2, s. The error is 0 when there
        are no more trials than unknowns.
    predicted
        (k,) seconds of each trial with these figures.
    residual
        Root mean square of measured less predicted, s.
    """

    machine: Machine
    figures: tuple[tuple[str, float, float], ...]
    predicted: Points
    residual: float


def trials(machine: Machine, operation: Operation = Operation.DRAW) -> tuple[Trial, ...]:
    """Make the lines of the trials.

    Parameters
    ----------
    machine
        Whose area and present figures decide on size and number.
    operation
        What the lines are: a pen is the cheapest tool to try with.

    Returns
    -------
    tuple of Trial
        One for each unknown and one more, so that there is something left to judge the fit by.

    Raises
    ------
    PlanError
        When the machine has no tool for the operation.
    """
    tool = machine.tool_for(operation)
    if tool is None:
        raise PlanError(
            f"the machine '{machine.name}' has no tool that does '{operation.word}'",
            fix="Name an operation that it has a tool for.",
        )
    wide = min(machine.width - 2 * _BORDER, _SIDE)
    high = min(machine.height - 2 * _BORDER, _SIDE)
    slow, travel = min(machine.acceleration), machine.travel_speed
    far = machine.width - 2 * _BORDER
    long_run = wide / tool.speed + tool.speed / slow
    short_run = 2.0 * np.sqrt(4.0 / slow)
    lift = machine.lift + machine.lower
    return (
        Trial("long lines", _lines([_meander(wide, high, _count(long_run))], operation)),
        Trial("short steps", _lines([_stairs(wide, high, 4.0, _count(short_run))], operation)),
        Trial("middling steps", _lines([_stairs(wide, high, 12.0, _count(2 * short_run))], operation)),
        Trial("lifting", _lines(_ticks(wide, high, 3.0, _count(lift + 2 * short_run)), operation)),
        Trial(
            "travel", _lines(_far_apart(far, high, _count(lift + far / travel + travel / slow)), operation)
        ),
    )


def _count(seconds: float) -> int:
    return int(np.clip(round(_SECONDS / seconds), 4, 400))


def _lines(polylines: list[Points], operation: Operation) -> Lines:
    return Lines.of([line + _BORDER for line in polylines], operation=operation)


def _meander(wide: float, high: float, rows: int) -> Points:
    """Long lines to and fro, joined at their ends."""
    y = np.repeat(np.linspace(0.0, high, rows), 2)
    x = np.tile([0.0, wide, wide, 0.0], rows // 2 + 1)[: 2 * rows]
    return np.column_stack((x, y))


def _stairs(wide: float, high: float, step: float, count: int) -> Points:
    """Right-angled steps, going up and down between the left and the right."""
    across = max(1, int(min(wide, high) // step))
    k = np.arange(count + 1)
    x = np.abs((k + 1) // 2 % (2 * across) - across) * step
    y = np.abs(k // 2 % (2 * across) - across) * step
    return np.column_stack((x, y))


def _ticks(wide: float, high: float, step: float, count: int) -> list[Points]:
    """Short separate lines side by side."""
    columns = max(1, int(wide // (2 * step)))
    k = np.arange(count)
    x, y = (k % columns) * 2.0 * step, (k // columns * step) % high
    return [np.array([[a, b], [a + step, b]]) for a, b in zip(x.tolist(), y.tolist(), strict=True)]


def _far_apart(wide: float, high: float, count: int) -> list[Points]:
    """Short lines at the left and the right by turns."""
    y = np.linspace(0.0, high, count)
    return [
        np.array([[x, b], [x + 2.0, b]])
        for x, b in zip(np.resize([0.0, wide - 2.0], count).tolist(), y.tolist(), strict=True)
    ]


def fit(
    moves: Sequence[Moves],
    seconds: Sequence[float],
    machine: Machine,
    *,
    unknown: Sequence[str] = UNKNOWNS,
) -> Calibration:
    """Fit a machine's figures to measured times.

    Parameters
    ----------
    moves
        What the machine did in each trial: its file, read back.
    seconds
        How long each took, s.
    machine
        The profile to start from.
    unknown
        Which of `UNKNOWNS` to fit: "speed" with the tool down, "travel_speed", "acceleration" of
        both axes, "lift" for raising and lowering together.

    Returns
    -------
    Calibration
        The fitted profile, how sure each figure is, and what is left unexplained.

    Raises
    ------
    PlanError
        When there are fewer trials than unknowns, a time is not above 0, or the trials don't
        tell the unknowns apart.
    ValueError
        When an unknown has no such name.

    References
    ----------
    Gauss-Newton with halved steps on the logarithms of the unknowns, which keeps them above 0;
    standard errors from the slopes at the end, as in any textbook on least squares.
    """
    if strange := set(unknown) - set(UNKNOWNS):
        raise ValueError(f"{sorted(strange)} can't be fitted; known: {', '.join(UNKNOWNS)}")
    measured = np.asarray(seconds, dtype=np.float64)
    if len(measured) != len(moves) or len(moves) < len(unknown):
        raise PlanError(
            f"{len(measured)} times of {len(moves)} trials can't tell {len(unknown)} figures",
            fix="Time every trial, or fit fewer figures.",
        )
    if not (np.isfinite(measured) & (measured > 0)).all():
        raise PlanError("a measured time is not above 0 s", fix="Time that trial again.")

    def predict(logarithms: Points) -> Points:
        figures = dict(zip(unknown, np.exp(logarithms).tolist(), strict=True))
        changed = with_figures(machine, figures, moves[0])
        return np.array([duration(_at_speed(m, figures), changed).total for m in moves])

    start = np.log([_figure(machine, name, moves[0]) for name in unknown])
    found, slopes = _least_squares(predict, start, measured)
    predicted = predict(found)
    error = measured - predicted
    figures = dict(zip(unknown, np.exp(found).tolist(), strict=True))
    spread = _standard_errors(slopes, error) * np.exp(found)
    return Calibration(
        machine=with_figures(machine, figures, moves[0]),
        figures=tuple(zip(unknown, figures.values(), spread.tolist(), strict=True)),
        predicted=predicted,
        residual=float(np.sqrt(np.mean(error**2))),
    )


def with_figures(machine: Machine, figures: dict[str, float], moves: Moves) -> Machine:
    """A profile with fitted figures; the speed is that of the tool which the moves use."""
    number = int(moves.tool[moves.down][0]) if moves.down.any() else -1
    tools = tuple(
        replace(tool, speed=figures.get("speed", tool.speed)) if tool.number == number else tool
        for tool in machine.tools
    )
    both = machine.lift + machine.lower
    share = machine.lift / both if both > 0 else 0.5
    lift = figures.get("lift", both)
    acceleration = figures.get("acceleration")
    fastest = max(figures.get("speed", 0.0), figures.get("travel_speed", 0.0))
    return replace(
        machine,
        tools=tools,
        travel_speed=figures.get("travel_speed", machine.travel_speed),
        # What was measured was reached: the axes can do at least that.
        top_speed=(max(machine.top_speed[0], fastest), max(machine.top_speed[1], fastest)),
        acceleration=machine.acceleration if acceleration is None else (acceleration, acceleration),
        lift=lift * share,
        lower=lift * (1.0 - share),
    )


def _figure(machine: Machine, name: str, moves: Moves) -> float:
    """The profile's present figure, above 0, to start the search from."""
    least = 0.01
    if name == "speed":
        return max(float(moves.speed[moves.down][0]), least) if moves.down.any() else 1.0
    if name == "travel_speed":
        return machine.travel_speed
    return min(machine.acceleration) if name == "acceleration" else max(machine.lift + machine.lower, least)


def _at_speed(moves: Moves, figures: dict[str, float]) -> Moves:
    """The same moves at the speed that is tried."""
    speed = figures.get("speed")
    return moves if speed is None else replace(moves, speed=np.where(moves.down, speed, 0.0))


def _least_squares(
    predict: Callable[[Points], Points], start: Points, measured: Points
) -> tuple[Points, Points]:
    """Find where predicted times come closest to measured ones, and the slopes there."""
    at, error = start, measured - predict(start)
    slopes = _slopes(predict, at)
    for _ in range(_ROUNDS):
        if np.linalg.matrix_rank(slopes) < len(at):
            raise PlanError(
                "the trials don't tell the figures apart",
                fix="Time all the trials that the command writes, or fit fewer figures.",
            )
        step = np.linalg.lstsq(slopes, error, rcond=None)[0]
        # A figure may not change by more than a factor of e at once: the model is far from linear.
        step /= max(1.0, float(np.abs(step).max()))
        better = measured - predict(at + step)
        while (better**2).sum() > (error**2).sum() and np.abs(step).max() > _END:
            step /= 2.0
            better = measured - predict(at + step)
        at, error = at + step, better
        slopes = _slopes(predict, at)
        if np.abs(step).max() <= _END:
            break
    return at, slopes


def _slopes(predict: Callable[[Points], Points], at: Points) -> Points:
    """Change of every prediction with every unknown, (k, n)."""
    columns = [(predict(at + step) - predict(at - step)) / (2.0 * _STEP) for step in _STEP * np.eye(len(at))]
    return np.column_stack(columns)


def _standard_errors(slopes: Points, error: Points) -> Points:
    """Standard errors of the unknowns' logarithms; 0 where nothing is left to judge them by."""
    spare = slopes.shape[0] - slopes.shape[1]
    if spare <= 0:
        return np.zeros(slopes.shape[1])
    return np.asarray(np.sqrt(np.diag(np.linalg.inv(slopes.T @ slopes)) * (error**2).sum() / spare))
