"""Files that are run to be timed, and the profile that the measured times give."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutprep.errors import JobError
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.model.strokes import Strokes
from cutprep.profile.machine import Machine
from cutprep.stages.blade.plan import compensate
from cutprep.stages.motion.calibrate import Calibration, fit, trials
from cutprep.stages.motion.duration import duration
from cutprep.stages.readback.machine_file import read_back
from cutprep.stages.write.machine_file import write
from cutprep.tolerance import Tolerance


@dataclass(frozen=True, slots=True, eq=False)
class TimedFile:
    """One file to be run and timed.

    Attributes
    ----------
    name, tries
        The file's name, and what it tries.
    text
        What stands in it.
    moves
        What it makes the machine do, read back out of it.
    estimate
        How long that takes as the profile says, s.
    """

    name: str
    tries: str
    text: str
    moves: Moves
    estimate: float


def timed_files(machine: Machine, language: str | None = None) -> tuple[TimedFile, ...]:
    """Make the files, in the order in which they are run.

    Parameters
    ----------
    machine
        That is timed.
    language
        Of the files; what the machine prefers when None.

    Raises
    ------
    CutprepError
        When the machine does not read that language, or no tool of it does anything.
    """
    chosen = language or machine.languages[0]
    if chosen not in machine.languages:
        raise JobError(
            f"the machine '{machine.name}' does not read {chosen}",
            fix=f"It reads {', '.join(machine.languages)}.",
        )
    found = []
    for number, trial in enumerate(trials(machine, operation_of(machine)), 1):
        count = len(trial.lines)
        none = np.full(count, -1, np.int32)
        strokes = Strokes(
            trial.lines, np.zeros(count, np.int8), none, np.zeros(count, bool), home=machine.home
        )
        text = write(compensate(strokes, machine, Tolerance()), machine, chosen, title=trial.name)
        moves = read_back(text, chosen, machine)
        name = f"trial-{number}.{chosen}"
        found.append(TimedFile(name, trial.name, text, moves, duration(moves, machine).total))
    return tuple(found)


def operation_of(machine: Machine) -> Operation:
    """What the files do: draw where a tool draws, else the first thing that any tool does."""
    does = [operation for tool in machine.tools for operation in tool.does]
    return Operation.DRAW if Operation.DRAW in does or not does else does[0]


def in_its_place(machine: Machine) -> str:
    """What she does before they are run: a pen draws them, in place of the knife where the machine has none."""
    tool = machine.tool_for(operation_of(machine))
    holder = f" in place of the {tool.name}" if tool is not None and tool.kind != "pen" else ""
    return f"Put a pen{holder} and paper into the machine"


def seconds_of(typed: str) -> float:
    """A measured time as it is typed.

    Raises
    ------
    JobError
        When it is none.
    """
    try:
        seconds = float(typed.strip().removesuffix("s").replace(",", "."))
    except ValueError:
        seconds = math.nan
    if not 0 < seconds < math.inf:
        raise JobError(f"'{typed[:20]}' is no time in seconds", fix="Write for example 41.2.")
    return seconds


def fitted(files: Sequence[TimedFile], seconds: Sequence[float], machine: Machine) -> Calibration:
    """Fit the machine's profile to measured times.

    Parameters
    ----------
    files
        As they were run.
    seconds
        Measured, one for each file in their order.
    machine
        Its profile as it was.

    Raises
    ------
    CutprepError
        When there are fewer or more times, or no figures can be found with them.
    """
    if len(seconds) != len(files):
        raise JobError(
            f"{len(seconds)} times are given for {len(files)} trials", fix="Time every trial, in their order."
        )
    return fit([file.moves for file in files], seconds, machine)
