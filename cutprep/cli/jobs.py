"""What the commands about jobs and machine files do and show."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from cutprep.cli import show
from cutprep.cli.files import read_text, write_picture, write_pictures
from cutprep.cli.options import option_of
from cutprep.cli.progress import progress_bar
from cutprep.errors import DrawingError, JobError, Place, at
from cutprep.job.api import job_from, read
from cutprep.job.build import machine_of, rules_of
from cutprep.job.file import load_job
from cutprep.job.folder.accept import accept
from cutprep.job.folder.outputs import pictures
from cutprep.job.folder.verify import Verification, verify
from cutprep.job.job import Job
from cutprep.job.loading import Loaded, load_all
from cutprep.job.settings.remembered import remembered
from cutprep.job.settings.resolve import Given, Layer, Resolved, Source, as_typed, read_layer, resolve
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import SETTINGS
from cutprep.limits import raise_limits
from cutprep.link.over_line import over_line
from cutprep.model.drawing import Drawing
from cutprep.model.findings.finding import Findings, Severity, errors
from cutprep.model.moves import Moves
from cutprep.model.operation import Operation
from cutprep.profile.machine import Machine
from cutprep.report.data import duration_data, finding_data
from cutprep.report.outcome import Outcome
from cutprep.report.pictures.findings import findings_picture
from cutprep.report.pictures.machine_file import picture as draw_moves
from cutprep.stages.check.layers import LayerRow, tabulate
from cutprep.stages.motion.duration import duration
from cutprep.stages.readback.machine_file import parse
from cutprep.tolerance import Tolerance
from cutprep.units import plural, say_length, say_size, say_time

#: So many differences are shown each by itself.
_FEW = 12


def chosen(settings: dict[str, Any]) -> Resolved:
    """Every setting, with what was given to a command and what is remembered.

    Raises
    ------
    JobError
        When an option can't be used.
    """
    return resolve(SETTINGS.values(), remembered(), options_given(settings))


def options_given(settings: dict[str, Any]) -> Layer:
    """What was given to a command.

    Raises
    ------
    InputError
        When an option can't be used.
    """
    return read_layer(SETTINGS.values(), Given(settings, option_of), Source.OPTION, as_typed)


def job_of_command(
    sources: list[Path], settings: dict[str, Any], *, elsewhere: bool = False, limit: Iterable[str] = ()
) -> Job:
    """Make the job that a command is given: drawings with options, or a job file.

    Raises
    ------
    JobError
        When an option can't be used, or other sources or options stand beside a job file that belong into it.
    """
    limits = raise_limits(limit)
    options, yours = options_given(settings), remembered()
    if not any(source.suffix.lower() == ".toml" for source in sources):
        return job_from(sources, yours, options, limits=limits)
    if len(sources) > 1:
        raise JobError("a job file stands alone", fix="Put the drawings into the job file.")
    foreign = [SETTINGS[name].option for name in settings if SETTINGS[name].scope is not Scope.JOB]
    if foreign:
        raise JobError(
            f"{', '.join(sorted(foreign))} can't stand beside a job file, which has its own cards and templates",
            fix="Put it into the job file: docs/JOB-FILE.md.",
        )
    return load_job(sources[0], elsewhere=elsewhere, limits=limits, options=options, yours=yours)


def read_classified(source: Path, said: Resolved, limit: Iterable[str]) -> Drawing:
    """Read a drawing and classify its lines.

    Raises
    ------
    CutprepError
        When it can't be used, or a rule matches nothing in it.
    """
    return read(source, rules=rules_of(said), units=said["units"], limits=raise_limits(limit))


def named_machine(settings: dict[str, Any]) -> Machine:
    """The machine that a command is given, or the usual one.

    Raises
    ------
    InputError
        When there is none of its name.
    """
    return machine_of(chosen(settings))


def show_pictures(outcome: Outcome, folder: Path, *, replace: bool) -> None:
    """Write the pictures of a job into a folder of their own, and say how many.

    Raises
    ------
    OutputError
        When one is there already or can't be written.
    """
    count = write_pictures(folder, pictures(outcome), replace=replace)
    show.say(f"{folder}: {count} pictures")


def show_stopped(findings: Findings, *, every: bool, unit: str) -> None:
    """Show why the job stopped."""
    show.show_findings(findings, console=show.err(), every=every, unit=unit)
    count = len(errors(findings))
    show.say(
        f"Stopped: {count} error{'s' * (count > 1)} in the drawing; nothing was written. "
        "Mend the drawing, or add --despite-findings to go on all the same.",
        style="bold red",
        console=show.err(),
    )


def check_sources(job: Job, *, json: bool, every: bool, picture: Path | None, replace: bool) -> bool:
    """Check every drawing of a job; True when one has errors.

    Raises
    ------
    CutprepError
        When a drawing can't be read, or the picture can't be written.
    """
    with progress_bar() as tell:
        loaded = [one for batch in load_all(job, tell) for one in batch]
    if picture is not None:
        for count, one in enumerate(loaded, 1):
            name = picture if count == 1 else picture.with_stem(f"{picture.stem}-{count}")
            write_picture(name, findings_picture(one.drawing, one.findings), replace=replace)
    if json:
        data = [checked_data(one, job.tolerance) for one in loaded]
        show.say_json(data[0] if len(data) == 1 else data)
    else:
        for one in loaded:
            _show_checked(one, job.tolerance, every=every, unit=job.unit)
    return any(errors(one.findings) for one in loaded)


def checked_data(one: Loaded, tolerance: Tolerance) -> dict[str, Any]:
    """One checked drawing as plain data: the contract of `check --json`."""
    left, bottom, right, top = one.drawing.lines.bounds
    return {
        "source": one.item.path.name,
        "size_mm": [round(right - left, 3), round(top - bottom, 3)],
        "parts": one.parts(tolerance),
        "scale_note": one.drawing.scale_note,
        "layers": [
            {
                "layer": row.layer,
                "operation": None if row.operation is Operation.UNPLACED else row.operation.word,
                "rule": row.rule,
                "colour": row.colour,
                "lines": row.lines,
                "length_mm": round(row.length_mm, 3),
            }
            for row in tabulate(one.drawing)
        ],
        "findings": [finding_data(f) for f in one.findings],
    }


def _show_checked(one: Loaded, tolerance: Tolerance, *, every: bool, unit: str) -> None:
    drawing = one.drawing
    left, bottom, right, top = drawing.lines.bounds
    size = say_size(right - left, top - bottom, unit)
    show.say(f"{one.item.path.name}: {size}, {_say_parts(one, tolerance)}; {drawing.scale_note}")
    show.show_table(
        ("layer", "colour", "operation", "by", "lines", "length"),
        [_layer_cells(row, unit) for row in tabulate(drawing)],
    )
    show.show_findings(one.findings, every=every, unit=unit)
    bad = len(errors(one.findings))
    warned = sum(f.severity is Severity.WARNING for f in one.findings)
    show.say(f"{bad} error{'s' * (bad != 1)}, {warned} warning{'s' * (warned != 1)}")


def _say_parts(one: Loaded, tolerance: Tolerance) -> str:
    """How many parts there are, and whether they fold."""
    count = one.parts(tolerance)
    parts = plural(count, "part") if count else "no part with a closed outline"
    folds = np.isin(one.drawing.lines.operation, (Operation.SCORE, Operation.PERFORATE)).any()
    return parts if folds else f"{parts}, nothing to fold"


def _layer_cells(row: LayerRow, unit: str) -> tuple[str, ...]:
    placed = row.operation is not Operation.UNPLACED
    return (
        row.layer or "(unnamed)",
        row.colour or "-",
        row.operation.word if placed else "not placed",
        row.rule or "-",
        str(row.lines),
        say_length(row.length_mm, unit),
    )


def verify_folder(
    folder: Path, *, accepted: Sequence[str] = (), limit: Iterable[str] = (), json: bool, every: bool
) -> bool:
    """Verify a job, or take changed files of it as they are; True when it is not what was prepared.

    Raises
    ------
    CutprepError
        When the job can't be read, or a file can't be taken as it is.
    """
    limits = raise_limits(limit)
    result = accept(folder, accepted, limits) if accepted else verify(folder, limits=limits)
    if json:
        show.say_json(_verified_data(folder, result))
        return not result.sound
    bad = errors(result.everything)
    if not bad:
        show.say(_sound(folder, result))
    for told in dict.fromkeys(f.problem for f in result.everything if f.severity is Severity.NOTE):
        show.say(f"Note: {told}.")
    if bad:
        shown = [f for f in result.everything if f.severity is not Severity.NOTE]
        show.show_findings(shown, every=every or len(shown) <= _FEW)
        files = {place.file for finding in bad for place in finding.places if place.file}
        show.say(
            f"{folder.name}: {plural(len(files), 'file')} {'is' if len(files) == 1 else 'are'} not what was prepared:"
            f" {', '.join(sorted(files))}",
            style="bold red",
        )
    return bool(bad)


def _sound(folder: Path, result: Verification) -> str:
    """The one line for a sound job."""
    seconds = sum(one.duration.total * one.runs for one in result.files if one.duration is not None)
    return (
        f"{folder.name}: every file is what was prepared, and {plural(len(result.files), 'machine file')} read back"
        f" {'does' if len(result.files) == 1 else 'do'} what was planned, {say_time(seconds)} of machine time"
    )


def _verified_data(folder: Path, result: Verification) -> dict[str, Any]:
    return {
        "job": folder.name,
        "same": result.sound,
        "findings": [finding_data(f) for f in result.findings],
        "files": [
            {
                "file": one.file,
                "strokes": one.strokes,
                "seconds": None if one.duration is None else round(one.duration.total, 3),
                "same": not errors(one.differences),
                "differences": [finding_data(f) for f in one.differences],
            }
            for one in result.files
        ],
    }


def time_file(
    file: Path, machine: Machine, language: str | None, *, limit: Iterable[str] = (), json: bool
) -> None:
    """Estimate the time of a machine file; without a language the file itself tells.

    Raises
    ------
    InputError
        When the file can't be read.
    """
    with at(file=str(file)):
        took = duration(_moves_in(file, machine, language, limit), machine)
    sent = over_line(file, machine, Tolerance(), language, raise_limits(limit))
    if json:
        data = {"file": str(file), "machine": machine.name, "seconds": duration_data(took)}
        show.say_json(data if sent is None else {**data, "over_line": round(sent + took.change, 3)})
        return
    show.say(f"{file.name}: {say_time(took.total)} on {machine.name}")
    if sent is not None:
        show.say(f"Sent over its line at {machine.line.speed:,} baud: {say_time(sent + took.change)}")
    names = {tool.number: tool.name for tool in machine.tools}
    rows = [(names.get(number, f"tool {number}"), say_time(seconds)) for number, seconds in took.work]
    rows += [
        ("travel", say_time(took.travel)),
        ("lifting and lowering", say_time(took.lift)),
        ("tool changes", say_time(took.change)),
        ("waiting", say_time(took.dwell)),
    ]
    show.show_table(("what", "time"), rows)


def _moves_in(file: Path, machine: Machine, language: str | None, limit: Iterable[str]) -> Moves:
    """Read any machine file; what is not understood in it is shown, and the rest is taken.

    Raises
    ------
    InputError
        When it can't be read, or nothing in it moves.
    """
    limits = raise_limits(limit)
    moves, findings = parse(read_text(file, limits), language, machine, limits)
    if not len(moves):
        raise DrawingError(
            "nothing in this file moves a tool", fix="Is it HP-GL or G-code?", place=Place(file=str(file))
        )
    show.show_findings(findings, console=show.err())
    return moves


def look_at(
    file: Path,
    picture: Path,
    machine: Machine,
    language: str | None,
    *,
    limit: Iterable[str] = (),
    replace: bool,
) -> None:
    """Draw a machine file; without a language the file itself tells.

    Raises
    ------
    CutprepError
        When the file can't be read, or the picture can't be written.
    """
    with at(file=str(file)):
        moves = _moves_in(file, machine, language, limit)
    write_picture(picture, draw_moves(moves, machine, title=file.name), replace=replace)
    show.say(f"{picture}: {len(moves)} moves")
