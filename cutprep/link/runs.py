"""What is to be run: the machine files of a proved job, or a single one, from their first stroke or a later one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from cutprep.errors import JobError, Place, ReadbackError
from cutprep.files import load_bytes
from cutprep.job.folder.verify import verify
from cutprep.job.job import readback_limit
from cutprep.job.record.read import Record, load_record
from cutprep.limits import Limits
from cutprep.link.script import Script, script_of
from cutprep.model.findings.finding import errors
from cutprep.model.moves import Moves
from cutprep.profile import shelf
from cutprep.profile.languages import DRAWINGS
from cutprep.profile.line import LineStyle
from cutprep.profile.machine import Machine
from cutprep.stages.readback.compare.proof import prove
from cutprep.stages.readback.machine_file import sniff
from cutprep.stages.write.dialect import check_reach
from cutprep.stages.write.machine_file import write
from cutprep.tolerance import Tolerance


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """One machine file on one sheet.

    Attributes
    ----------
    file
        Its name.
    sheet, sheets
        Which sheet this is of how many that are laid in; several files may be run on one.
    script
        What is sent.
    machine
        That takes it.
    skipped
        Strokes of the file that are left out, from its first.
    side
        Of the card that is up, "back" or "front"; empty where nothing is turned over.
    turned
        How the sheet is turned over: "sideways", "endways" or "".
    marks
        The turned sheet is laid by crosses that were cut through it.
    """

    file: str
    sheet: int
    sheets: int
    script: Script
    machine: Machine
    skipped: int = 0
    side: str = ""
    turned: str = ""
    marks: bool = False

    def tool(self, number: int) -> str:
        """What she calls a tool."""
        tool = self.machine.tool_numbered(number)
        return tool.name if tool is not None else f"tool {number}"


def proved(folder: Path, tolerance: Tolerance, limits: Limits | None = None) -> Record:
    """Prove a job once more.

    Parameters
    ----------
    folder
        That `prepare` wrote.
    tolerance
        How far a machine file may be from its plan.
    limits
        How large a machine file is followed.

    Raises
    ------
    InputError
        When there is no job.
    ReadbackError
        When a file is not what was prepared.
    """
    result = verify(folder, tolerance, limits)
    if not result.sound:
        raise ReadbackError(
            f"{folder.name} is not what was prepared: {errors(result.everything)[0].problem}",
            fix="`cutprep verify` tells all of it. Nothing was sent.",
        )
    return load_record(folder)


def known_style(folder: Path) -> LineStyle | None:
    """How a job's machine is spoken to, as its profile says now; None when there is no such profile any more."""
    own = shelf.machines().get(load_record(folder).machine.name)
    return own.line if own is not None else None


def files_in_order(record: Record, sheet: int | None) -> list[tuple[int, str]]:
    """Which sheet is laid in and which file is run on it, in the order of running.

    Raises
    ------
    JobError
        When there is no such sheet.
    """
    laid = [one.files for one in record.sheets for _ in range(one.runs)]
    rows = [(n, name) for n, names in enumerate(laid, 1) for name in names if sheet in (None, n)]
    if not rows:
        raise JobError(f"there is no sheet {sheet}", fix=f"The job has {len(laid)}.")
    return rows


def job_runs(
    folder: Path,
    tolerance: Tolerance,
    *,
    style: LineStyle | None = None,
    sheet: int | None = None,
    file: str | None = None,
    stroke: int = 1,
    limits: Limits | None = None,
) -> tuple[Run, ...]:
    """Prove a job once more, and give what is to be run, sheet by sheet.

    Parameters
    ----------
    folder
        That `prepare` wrote.
    tolerance
        How far a machine file may be from its plan.
    style
        How the machine is spoken to; None: as its profile said when the job was prepared.
    sheet
        Only this one, as it is numbered in the order of laying in; None for all.
    file
        With which file of the first sheet to begin, where it has several; None for the first.
    stroke
        Of the first file, where to begin: 1 for the first.
    limits
        How large a machine file is followed.

    Raises
    ------
    InputError
        When there is no job, or no such sheet or stroke.
    ReadbackError
        When a file is not what was prepared, or can't be sent.
    """
    record = proved(folder, tolerance, limits)
    if record.language in DRAWINGS:
        raise JobError(
            f"this job is in {record.language}, which only the machine's own program reads",
            fix="Copy it: --to a folder or a stick.",
        )
    count = sum(one.runs for one in record.sheets)
    machine = replace(record.machine, line=style or record.machine.line)
    order = _from_file(files_in_order(record, sheet), file)
    scripts = {
        name: _script(folder / name, record.language, machine, limits)
        for name in dict.fromkeys(name for _, name in order)
    }
    sides = {
        name: (side, one.turned, one.marks)
        for one in record.sheets
        for name, side in zip(one.files, one.sides, strict=True)
    }
    runs = [Run(name, laid, count, scripts[name], machine, 0, *sides[name]) for laid, name in order]
    return (from_stroke(runs[0], stroke, tolerance, limits), *runs[1:])


def _from_file(order: list[tuple[int, str]], file: str | None) -> list[tuple[int, str]]:
    """The same without the files that come before one of the first sheet.

    Raises
    ------
    JobError
        When that sheet has no such file.
    """
    if file is None:
        return order
    names = [name for laid, name in order if laid == order[0][0]]
    if file not in names:
        other = next((laid for laid, name in order if name == file), None)
        fix = f"It has {', '.join(names)}." if other is None else f"Sheet {other} has it: --sheet {other}."
        raise JobError(f"sheet {order[0][0]} has no file '{file}'", fix=fix)
    return order[names.index(file) :]


def file_run(
    path: Path,
    machine: Machine,
    tolerance: Tolerance,
    *,
    language: str | None = None,
    stroke: int = 1,
    limits: Limits | None = None,
) -> Run:
    """Give a single machine file, which has no plan to be proved against: it is followed, and must be without fault.

    Parameters
    ----------
    path
        Of the file.
    machine
        That takes it.
    tolerance
        How far what is left of a file may be from the file.
    language
        "hpgl" or "gcode"; None to find out.
    stroke
        Where to begin: 1 for the first.
    limits
        How large a machine file is followed.

    Raises
    ------
    CutprepError
        When it can't be read, a machine would refuse it, or it leaves the machine's area.
    """
    script = _script(path, language, machine, limits)
    check_reach(script.moves, machine)
    return from_stroke(Run(path.name, 1, 1, script, machine), stroke, tolerance, limits)


def _script(path: Path, language: str | None, machine: Machine, limits: Limits | None) -> Script:
    try:
        text = load_bytes(path, (limits or Limits()).machine_bytes).decode("latin-1")
    except OSError as fault:
        missing = isinstance(fault, FileNotFoundError)
        problem = (
            "there is no such file or folder" if missing else f"the file can't be read ({fault.strerror})"
        )
        raise JobError(problem, place=Place(file=str(path))) from None
    return script_of(text, language or sniff(text), machine, limits)


def from_stroke(run: Run, stroke: int, tolerance: Tolerance, limits: Limits | None = None) -> Run:
    """The same from the start of a stroke on, written anew and proved: nothing before it is worked again.

    Parameters
    ----------
    run
        The whole file.
    stroke
        Counted from 1.
    tolerance
        How far it may be from the file.
    limits
        How large a machine file is followed.

    Raises
    ------
    JobError
        When there is no such stroke.
    ReadbackError
        When what is written is not the rest of the file.
    """
    if stroke == 1:
        return run
    if not 1 <= stroke <= run.script.strokes:
        raise JobError(f"{run.file} has no stroke {stroke}", fix=f"It has {run.script.strokes}.")
    moves, language = _rest(run.script.moves, stroke - 1), run.script.language
    text = write(moves, run.machine, language)
    within = readback_limit(language, run.machine, tolerance)
    proof = prove(moves, text, language, run.machine, within=within, sagitta=tolerance.sagitta, limits=limits)
    if errors(proof.findings):
        raise ReadbackError(
            f"what is left from stroke {stroke} on can't be proved: {errors(proof.findings)[0].problem}",
            fix="Nothing was sent. Prepare the job again for what is missing.",
        )
    return replace(run, script=script_of(text, language, run.machine, limits), skipped=stroke - 1)


def _rest(moves: Moves, stroke: int) -> Moves:
    """Moves from the start of a stroke on, a travel to it before them."""
    first = int(np.argmax(moves.stroke == stroke))
    start = moves.begin[first : first + 1]

    def behind(column: np.ndarray, head: float) -> np.ndarray:
        return np.concatenate(([head], column[first:]))

    return replace(
        moves,
        xy=np.vstack((start, moves.xy[first:])),
        down=behind(moves.down, 0),
        tool=behind(moves.tool, moves.tool[first]),
        speed=behind(moves.speed, 0.0),
        force=behind(moves.force, np.nan),
        stroke=behind(moves.stroke, -1),
        curved=behind(moves.curved, 0),
        dwell=0.0,
        changes=0,
    )


def frame_run(run: Run, limits: Limits | None = None) -> Run:
    """A way around all that is worked, with the tool up.

    Raises
    ------
    ReadbackError
        When it would lower the tool.
    """
    moves = run.script.moves
    worked = np.vstack((moves.xy[moves.down], moves.begin[moves.down]))
    (left, low), (right, high) = worked.min(axis=0), worked.max(axis=0)
    around = np.array([(left, low), (right, low), (right, high), (left, high), (left, low)])
    count = len(around)
    way = Moves(
        xy=around,
        down=np.zeros(count, bool),
        tool=np.zeros(count, np.int8),
        speed=np.zeros(count),
        force=np.full(count, np.nan),
        stroke=np.full(count, -1, np.int32),
        home=moves.home,
    )
    script = script_of(write(way, run.machine, run.script.language), run.script.language, run.machine, limits)
    if script.moves.down.any():
        raise ReadbackError("the way around the sheet would lower the tool", fix="Nothing was sent.")
    return replace(run, script=script, skipped=0)
