"""The machine files of one sheet: one for the whole sheet, or one for each tool in turn."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from cutprep.errors import ReadbackError, TooLarge
from cutprep.job.folder.over_line import held_up
from cutprep.job.job import Job, readback_limit
from cutprep.model.findings.finding import errors
from cutprep.model.moves import Moves
from cutprep.profile.languages import DRAWINGS
from cutprep.profile.machine import Machine
from cutprep.report.outcome import MachineFile
from cutprep.stages.motion.duration import duration
from cutprep.stages.readback.compare.proof import FileRead, prove_read, read_file
from cutprep.stages.write.machine_file import write


@dataclass(frozen=True, slots=True, eq=False)
class Draft:
    """A machine file that was written and followed, but not yet proved.

    Attributes
    ----------
    run
        The moves that were planned.
    text
        The file.
    read
        What it says.
    moves
        What the machine will do: a drawing says nothing of speeds, so for one they are those of the plan.
    """

    run: Moves
    text: str
    read: FileRead
    moves: Moves


def drafted(planned: Moves, job: Job, sheet: int, page: tuple[float, float]) -> tuple[Draft, ...]:
    """Write the machine files of a sheet, and follow each of them.

    Parameters
    ----------
    planned
        The moves of the whole sheet.
    job
        Whose machine, language and limits apply.
    sheet, page
        Its number, for messages; its size, mm.

    Returns
    -------
    tuple of Draft
        In the order of running.

    Raises
    ------
    ReadbackError
        When a file can't be followed.
    """
    machine, language = job.machine, job.language
    found = []
    for run in runs_of(planned, machine):
        text = write(run, machine, language, title=job.title, page=page)
        try:
            read = read_file(text, language, machine, job.limits)
        except TooLarge as fault:
            raise ReadbackError(f"sheet {sheet}: {fault.problem}", fix=fault.fix) from None
        except ReadbackError as fault:
            raise _not_planned(sheet, fault.problem) from None
        found.append(Draft(run, text, read, run if language in DRAWINGS else read.moves))
    return tuple(found)


def proved(
    drafts: Sequence[Draft], job: Job, sheet: int, page: tuple[float, float], side: str = ""
) -> tuple[MachineFile, ...]:
    """Prove the machine files of a sheet.

    Parameters
    ----------
    drafts
        What `drafted` gave for the same job, sheet and page.
    side
        Of the card that is up, where both are worked.
    job, sheet, page
        As for `drafted`.

    Returns
    -------
    tuple of MachineFile
        In the order of running, still without names.

    Raises
    ------
    ReadbackError
        When a file is not what was planned.
    """
    machine, language = job.machine, job.language
    within = readback_limit(language, machine, job.tolerance)
    files = []
    for draft in drafts:
        try:
            proof = prove_read(
                draft.run,
                draft.read,
                language,
                machine,
                within=within,
                sagitta=job.tolerance.sagitta,
                page=page,
            )
        except ReadbackError as fault:
            raise _not_planned(sheet, fault.problem) from None
        faults = errors(proof.findings)
        if faults:
            raise _not_planned(sheet, faults[0].problem)
        took = duration(draft.moves, machine)
        over = held_up(draft.text, language, machine, took, proof)
        files.append(MachineFile("", draft.text, tool_name(machine, draft.run), took, side, over))
    return tuple(files)


def _not_planned(sheet: int, why: str) -> ReadbackError:
    return ReadbackError(
        f"sheet {sheet}: the machine file is not what was planned ({why})",
        fix="No file was written. This is a fault of cutprep, not of your drawing: please report it, with the drawing.",
    )


def named(files: Sequence[MachineFile], stem: str, ending: str) -> tuple[MachineFile, ...]:
    """Give files their names: that of the sheet and its side; of several, with turn and tool, so that they sort by turn."""
    found = []
    for side in dict.fromkeys(file.side for file in files):
        mine = [file for file in files if file.side == side]
        start = f"{stem}-{side}" if side else stem
        for turn, file in enumerate(mine, 1):
            name = start if len(mine) == 1 else f"{start}-{turn}-{_plain(file.tool)}"
            found.append(replace(file, name=f"{name}.{ending}"))
    return tuple(found)


def _plain(name: str) -> str:
    """A tool's name as part of a file's."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:30] or "tool"


def runs_of(planned: Moves, machine: Machine) -> tuple[Moves, ...]:
    """Divide the moves of a sheet into what stands in one machine file each.

    A file begins and ends at home. With one file for each tool, a tool that is needed again later gets
    another file, since the stages of the work are never mixed.
    """
    edges = [0, *(1 + np.flatnonzero(np.diff(planned.tool))).tolist(), len(planned)]
    if machine.one_file_for == "sheet" or len(edges) < 3:
        return (planned,)
    return tuple(_run(planned, a, b) for a, b in pairwise(edges))


def _run(moves: Moves, first: int, last: int) -> Moves:
    """Some of the moves, all of one tool, and home."""
    rows = slice(first, last)
    home = last < len(moves)  # the last run goes home by itself
    return Moves(
        xy=np.vstack((moves.xy[rows], [moves.home])) if home else moves.xy[rows],
        down=np.append(moves.down[rows], [False] * home),
        tool=np.append(moves.tool[rows], moves.tool[last - 1 : last] if home else []),
        speed=np.append(moves.speed[rows], [0.0] * home),
        force=np.append(moves.force[rows], [np.nan] * home),
        stroke=np.append(moves.stroke[rows], [-1] * home),
        home=moves.home,
        curved=np.append(moves.curved[rows], [False] * home),
    )


def joined(runs: Sequence[Moves]) -> Moves:
    """All moves of a sheet behind each other; each file counts as a change of tool."""
    if len(runs) == 1:
        return runs[0]
    columns = {
        name: np.concatenate([getattr(run, name) for run in runs])
        for name in ("xy", "down", "tool", "speed", "force", "stroke", "curved")
    }
    dwell, changes = sum(run.dwell for run in runs), len(runs) - 1 + sum(run.changes for run in runs)
    return Moves(**columns, home=runs[0].home, dwell=dwell, changes=changes)


def tool_name(machine: Machine, run: Moves) -> str:
    """Names of the tools that work in a file."""
    numbers = dict.fromkeys(run.tool[run.down].tolist())
    tools = [machine.tool_numbered(number) for number in numbers]
    return ", ".join(tool.name for tool in tools if tool is not None)


def page_of(width: float, height: float) -> tuple[float, float]:
    """A sheet's size as `job.json` keeps it, so that a drawing can be written again from there."""
    return round(width, 3), round(height, 3)
