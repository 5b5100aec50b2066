"""What `cutprep trial times` does: trial files out, measured times in, a fitted profile out."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from cutprep.cli import show
from cutprep.cli.files import make_folder, write_file
from cutprep.errors import JobError
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.model.strokes import Strokes
from cutprep.profile import shelf
from cutprep.profile.machine import Machine
from cutprep.profile.written import machine_toml
from cutprep.stages.blade.plan import compensate
from cutprep.stages.motion.calibrate import Trial, fit, trials
from cutprep.stages.motion.duration import duration
from cutprep.stages.readback.machine_file import read_back
from cutprep.stages.write.machine_file import write
from cutprep.tolerance import Tolerance
from cutprep.units import say_time


def _files(machine: Machine, language: str | None) -> list[tuple[Trial, str, Moves]]:
    """Each trial with its machine file, and what that file makes the machine do."""
    chosen = language or machine.languages[0]
    if chosen not in machine.languages:
        raise JobError(
            f"the machine '{machine.name}' does not read {chosen}",
            fix=f"It reads {', '.join(machine.languages)}.",
        )
    found = []
    for trial in trials(machine, _operation(machine)):
        count = len(trial.lines)
        none = np.full(count, -1, np.int32)
        strokes = Strokes(
            trial.lines, np.zeros(count, np.int8), none, np.zeros(count, bool), home=machine.home
        )
        moves = compensate(strokes, machine, Tolerance())
        text = write(moves, machine, chosen, title=trial.name)
        found.append((trial, text, read_back(text, chosen, machine)))
    return found


def _operation(machine: Machine) -> Operation:
    """What the trials do: draw where a tool draws, else the first thing that any tool does."""
    does = [operation for tool in machine.tools for operation in tool.does]
    return Operation.DRAW if Operation.DRAW in does or not does else does[0]


def write_trials(name: str, language: str | None, out: Path | None, *, replace: bool = False) -> None:
    """Write the trial files.

    Raises
    ------
    CutprepError
        When the profile or the folder can't be used.
    """
    if out is None:
        raise JobError("no folder is named for the trial files", fix="Add --out FOLDER.")
    machine = shelf.machine(name)
    ending = language or machine.languages[0]
    files = _files(machine, language)
    make_folder(out)
    rows = []
    for number, (trial, text, moves) in enumerate(files, 1):
        path = out / f"trial-{number}.{ending}"
        write_file(path, text.encode("ascii"), replace=replace)
        rows.append((path.name, trial.name, say_time(duration(moves, machine).total)))
    show.show_table(("file", "what it tries", "estimate"), rows, right=(2,))
    tool = machine.tool_for(_operation(machine))
    holder = f" in place of the {tool.name}" if tool is not None and tool.kind != "pen" else ""
    show.say(
        f"Put a pen{holder} and paper into the machine, run each file, time it from start to end, then run: "
        f"cutprep trial times --machine {name} --seconds S,S,S,S,S"
    )
    show.say("Keep your hands off the moving carriage while you time it; the machine's manual comes first.")


def fit_profile(name: str, language: str | None, times: str, profile: Path | None, *, replace: bool) -> None:
    """Fit a profile to measured times and write it, without a file's name among her own profiles.

    Raises
    ------
    CutprepError
        When a time can't be used, the fit fails, or the file can't be written.
    """
    try:
        seconds = [float(text) for text in times.split(",")]
    except ValueError:
        raise JobError(
            f"'{times}' is no list of seconds", fix="Write for example 41.2,40.8,39.9,40.1,40.5."
        ) from None
    machine = shelf.machine(name)
    files = _files(machine, language)
    if len(seconds) != len(files):
        raise JobError(
            f"{len(seconds)} times are given for {len(files)} trials", fix="Time every trial, in their order."
        )
    found = fit([moves for _, _, moves in files], seconds, machine)
    rows = [(figure, f"{value:.4g}", f"{error:.2g}") for figure, value, error in found.figures]
    show.show_table(("figure", "fitted", "standard error"), rows, right=(1, 2))
    compared = [
        (trial.name, f"{measured:.2f} s", f"{predicted:.2f} s")
        for (trial, _, _), measured, predicted in zip(files, seconds, found.predicted.tolist(), strict=True)
    ]
    show.show_table(("trial", "measured", "with these figures"), compared, right=(1, 2))
    if profile is None:
        profile = shelf.own_folder() / "machines" / f"{machine.name}.toml"
        make_folder(profile.parent)
    write_file(profile, machine_toml(found.machine).encode("utf-8"), replace=replace)
    show.say(f"{profile}: left unexplained {found.residual:.2f} s (root mean square)")
