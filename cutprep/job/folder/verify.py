"""A job on the disk against what was prepared: byte by byte, and every machine file against its plan.

First each file's digest is compared with the one in `job.json`, and that of `job.json` with its own.
A machine file that is not byte for byte what was prepared is laid beside the plan, written anew,
instruction by instruction. And whatever its bytes, each is followed by a reader that shares nothing
with the writers, and all that it says is compared with the plan, stroke by stroke.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from cutprep.errors import CutprepError, InputError, Place, ReadbackError, TooLarge
from cutprep.files import as_bytes, load_bytes
from cutprep.job.folder.machine_files import runs_of
from cutprep.job.job import readback_limit
from cutprep.job.record.form import changed_parts, sha256
from cutprep.job.record.read import INDEX, Record, RecordedSheet, load_record
from cutprep.limits import Limits
from cutprep.model.findings.finding import Finding, Findings, Severity, errors
from cutprep.model.moves import Duration, Moves
from cutprep.profile.languages import DRAWINGS
from cutprep.stages.motion.duration import duration
from cutprep.stages.readback.compare.proof import prove
from cutprep.stages.readback.compare.texts import same_but_for_blanks, text_differences
from cutprep.stages.readback.machine_file import follow
from cutprep.stages.write.machine_file import write
from cutprep.tolerance import Tolerance

#: Of a page or a picture; machine files have limits of their own.
_LARGEST_FILE = 60_000_000


@dataclass(frozen=True, slots=True)
class Verified:
    """One machine file laid beside its plan.

    Attributes
    ----------
    file
        Its name.
    strokes
        How many strokes the plan has.
    duration
        Time of the file as it is, or None when it can't be read.
    differences
        Empty when the file is what was planned.
    runs
        How often its sheet is run.
    """

    file: str
    strokes: int
    duration: Duration | None
    differences: Findings
    runs: int = 1


@dataclass(frozen=True, slots=True)
class Verification:
    """A whole job laid beside what was prepared.

    Attributes
    ----------
    files
        The machine files, in the order of running.
    findings
        What is to be said of `job.json` and of all other files.
    """

    files: tuple[Verified, ...]
    findings: Findings

    @property
    def everything(self) -> Findings:
        """All that was found."""
        return (*self.findings, *(one for file in self.files for one in file.differences))

    @property
    def sound(self) -> bool:
        """Whether the job is what was prepared, changes on purpose aside."""
        return not errors(self.everything)


def verify(
    folder: Path | str, tolerance: Tolerance | None = None, limits: Limits | None = None
) -> Verification:
    """Compare a job's files with what was prepared, and its machine files with their plan.

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
        When the folder holds no job that can be read.
    """
    folder = Path(folder)
    record = load_record(folder)
    limits = limits or Limits()
    here = {
        name: _content(folder / name, max(_LARGEST_FILE, limits.machine_bytes + 1)) for name in record.files
    }
    found = [*_of_index(record), *_of_folder(folder, record)]
    planned = list(_planned(record))
    named = {name for _, name, _ in planned}
    found += [
        finding
        for name, data in here.items()
        if name not in named
        for finding in _of_file(name, data, record)
    ]
    files: list[Verified] = []
    for sheet, name, moves in planned:
        data = here.get(name, "it is not one of the job's files")
        told = _machine_file(name, data, sheet, moves, record, tolerance or Tolerance(), limits)
        files.append(replace(told, runs=sheet.runs))
    return Verification(tuple(files), tuple(found))


def _content(path: Path, most: int) -> bytes | str:
    """A file's content, or why there is none."""
    try:
        return load_bytes(path, most)
    except OSError as fault:
        return str(fault.strerror)


def _of_index(record: Record) -> Iterator[Finding]:
    """Whether `job.json` is as it was written, by its own digests."""
    changed = changed_parts(record.data)
    if changed:
        yield Finding.of(
            "job-changed",
            f"{INDEX} is not as it was written: {', '.join(changed)} {'is' if len(changed) == 1 else 'are'} not what"
            " its digest says",
            places=(Place(file=INDEX),),
        )


def _of_folder(folder: Path, record: Record) -> Iterator[Finding]:
    """Files that the job knows nothing of."""
    names = sorted(path.name for path in folder.iterdir())
    unknown = [name for name in names if name not in record.files and name != INDEX]
    if unknown:
        shown = ", ".join(unknown[:5]) + (f" and {len(unknown) - 5} more" if len(unknown) > 5 else "")
        yield Finding.of("not-of-the-job", f"the job knows nothing of {shown}")


def _of_file(name: str, data: bytes | str, record: Record) -> Iterator[Finding]:
    """Whether a file is byte for byte what was prepared."""
    if isinstance(data, str):
        yield Finding.of("file-missing", f"{name} can't be read ({data})", places=(Place(file=name),))
        return
    now = sha256(data)
    if now == record.files[name]:
        return
    if record.accepted.get(name) == now:
        yield _accepted(name)
        return
    yield Finding.of(
        "file-changed", f"{name} is not byte for byte what was prepared", places=(Place(file=name),)
    )


def _accepted(name: str) -> Finding:
    return Finding.of("change-accepted", f"{name} was changed on purpose", places=(Place(file=name),))


def _planned(record: Record) -> Iterator[tuple[RecordedSheet, str, Moves]]:
    """Sheet, name and plan of each machine file, in the order of running."""
    for sheet in record.sheets:
        plans = [plan for plan in (sheet.back, sheet.planned) if plan is not None]
        runs = [part for plan in plans for part in runs_of(plan, record.machine)]
        for k in range(max(len(runs), len(sheet.files))):
            name = sheet.files[k] if k < len(sheet.files) else f"sheet {sheet.number}, file {k + 1}"
            yield sheet, name, runs[k] if k < len(runs) else sheet.planned


def _machine_file(
    name: str,
    data: bytes | str,
    sheet: RecordedSheet,
    planned: Moves,
    record: Record,
    tolerance: Tolerance,
    limits: Limits,
) -> Verified:
    """Everything that is to be said of one machine file."""
    begun = np.diff(np.where(planned.down, planned.stroke, -2), prepend=-2) != 0
    strokes = int((begun & planned.down).sum())
    if isinstance(data, str):
        return Verified(name, strokes, None, (_lost(name, ReadbackError(data)),))
    if record.accepted.get(name) == sha256(data):
        return _as_it_is(name, data, strokes, record, limits)
    machine, language = record.machine, record.language
    text = _text(data, language)
    changed = list(_changed(name, data, text, sheet, planned, record, limits))
    within = readback_limit(language, machine, tolerance)
    try:
        proof = prove(
            planned,
            text,
            language,
            machine,
            within=within,
            sagitta=tolerance.sagitta,
            page=sheet.page,
            limits=limits,
        )
    except (InputError, ReadbackError) as fault:
        return Verified(name, strokes, None, (*(f for _, f in changed), _lost(name, fault)))
    told = [finding for _, finding in changed]
    covered = {(stroke, finding.code) for stroke, finding in changed}
    told += [finding for stroke, finding in proof.told if (stroke, finding.code) not in covered]
    return Verified(
        name,
        strokes,
        duration(planned if language in DRAWINGS else proof.moves, machine),
        tuple(_on_sheet(sheet.number, name, f) for f in told),
    )


def _text(data: bytes, language: str) -> str:
    """A machine file as text: HP-GL and G-code are ASCII, and any other byte is for the reader to refuse."""
    return data.decode("utf-8" if language in DRAWINGS else "latin-1", "replace")


def _as_it_is(name: str, data: bytes, strokes: int, record: Record, limits: Limits) -> Verified:
    """A file that was changed on purpose: only its time is worked out."""
    try:
        track, _ = follow(_text(data, record.language), record.language, record.machine, limits)
    except (InputError, ReadbackError) as fault:
        return Verified(name, strokes, None, (_lost(name, fault),))
    return Verified(name, strokes, duration(track.moves(record.machine), record.machine), (_accepted(name),))


def _changed(
    name: str,
    data: bytes,
    text: str,
    sheet: RecordedSheet,
    planned: Moves,
    record: Record,
    limits: Limits,
) -> Iterator[tuple[int, Finding]]:
    """In what a file is not what was prepared: (stroke from 0, finding)."""
    if record.files.get(name) == sha256(data):
        return
    place = (Place(file=name),)
    try:
        prepared = write(planned, record.machine, record.language, title=record.title, page=sheet.page)
    except CutprepError as fault:
        yield -1, Finding.of("file-changed", f"{name} can't be written anew ({fault.problem})", places=place)
        return
    if sha256(as_bytes(prepared)) != record.files.get(name):
        yield (
            -1,
            Finding.of(
                "file-changed",
                f"{name} is not byte for byte what was prepared, and this version writes the plan otherwise",
                places=place,
            ),
        )
    elif same_but_for_blanks(prepared, text):
        yield -1, Finding.of("line-ends-differ", f"{name} is the same but for line ends", places=place)
        return
    try:
        rows = text_differences(prepared, text, record.language, record.machine, limits)
    except (InputError, ReadbackError):
        rows = []
    if not rows:
        yield -1, Finding.of("file-changed", f"{name} is not byte for byte what was prepared", places=place)
    yield from rows


def _on_sheet(sheet: int, name: str, finding: Finding) -> Finding:
    """The same with the sheet before it, and the file's name as its place."""
    if finding.code in ("file-changed", "line-ends-differ", "more-of-the-same"):
        return finding
    places = tuple(replace(place, file=name) for place in finding.places) or (Place(file=name),)
    return replace(finding, problem=f"sheet {sheet}, {finding.problem}", places=places)


def _lost(name: str, fault: CutprepError) -> Finding:
    return Finding.of(
        "machine-file-unreadable",
        f"{name} can't be read back ({fault.problem})",
        fault.fix if isinstance(fault, TooLarge) else None,
        places=(Place(file=name),),
        severity=Severity.ERROR,
    )
