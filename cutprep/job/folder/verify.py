"""Machine files on the disk against the plan that was written beside them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from cutprep.errors import InputError, JobError, Place, ReadbackError
from cutprep.files import load_bytes
from cutprep.job.folder.machine_files import runs_of
from cutprep.job.folder.store import INDEX, LARGEST_INDEX
from cutprep.job.job import readback_limit
from cutprep.model.findings.finding import Finding, Findings
from cutprep.model.moves import Duration, Moves
from cutprep.profile.machine import Machine
from cutprep.report.data import SCHEMA, machine_from_data, moves_from
from cutprep.stages.motion.duration import duration
from cutprep.stages.readback.compare.strokes import compare
from cutprep.stages.readback.machine_file import read_back
from cutprep.tolerance import Tolerance

_LARGEST_FILE = 60_000_000  # some five million moves, followed within 2 GiB


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
    """

    file: str
    strokes: int
    duration: Duration | None
    differences: Findings


def verify(folder: Path | str, tolerance: Tolerance | None = None) -> tuple[Verified, ...]:
    """Read the machine files of a job back and compare them with its `job.json`.

    Raises
    ------
    InputError
        When the folder holds no job that can be read.
    """
    limits = tolerance or Tolerance()
    folder = Path(folder)
    data, machine, language = _job(folder)
    within = readback_limit(language, machine, limits)
    try:
        planned = [named for sheet in data["sheets"] for named in _planned(sheet, machine)]
    except (KeyError, ValueError, TypeError, IndexError, AttributeError):
        raise _unreadable(folder) from None
    return tuple(
        _file(folder, name, moves, machine, language, within, limits.sagitta) for name, moves in planned
    )


def _job(folder: Path) -> tuple[dict[str, Any], Machine, str]:
    path = folder / INDEX
    if not path.is_file():
        raise JobError(
            f"there is no {INDEX} in the folder",
            fix="Name the folder that `cutprep prepare --out` wrote.",
            place=Place(file=str(folder)),
        )
    try:
        data = json.loads(load_bytes(path, LARGEST_INDEX))
        if data["schema"] != SCHEMA:
            raise JobError(
                f"the job is of the form {data['schema']!r}; this version reads {SCHEMA}",
                fix="Prepare the job again.",
                place=Place(file=str(path)),
            )
        return data, machine_from_data(data["machine_profile"]), str(data["language"])
    except (OSError, KeyError, ValueError, TypeError, AttributeError, RecursionError):
        raise _unreadable(folder) from None


def _unreadable(folder: Path) -> InputError:
    return JobError(
        f"{INDEX} can't be understood", fix="Prepare the job again.", place=Place(file=str(folder / INDEX))
    )


def _planned(sheet: dict[str, Any], machine: Machine) -> Iterator[tuple[str, Moves]]:
    """The files of one sheet and what is planned for each, in the order of running."""
    names = [str(file["file"]) for file in sheet.get("files", [sheet])]
    runs = runs_of(moves_from(sheet["plan"]), machine)
    if len(names) != len(runs):
        raise JobError(
            f"{INDEX} names {len(names)} files for a sheet whose plan takes {len(runs)}",
            fix="Prepare the job again.",
        )
    yield from zip(names, runs, strict=True)


def _file(
    folder: Path,
    name: str,
    planned: Moves,
    machine: Machine,
    language: str,
    within: float,
    sagitta: float,
) -> Verified:
    if Path(name).name != name:
        raise JobError(
            f"{INDEX} names the file '{name}', which is not in its folder", fix="Prepare the job again."
        )
    begun = np.diff(np.where(planned.down, planned.stroke, -2), prepend=-2) != 0
    strokes = int((begun & planned.down).sum())
    path = folder / name
    try:
        # The machine files are ASCII; any other byte is for the reader to refuse.
        text = load_bytes(path, _LARGEST_FILE).decode("latin-1")
        read = read_back(text, language, machine)
    except OSError as fault:
        return Verified(name, strokes, None, (_lost(name, str(fault.strerror)),))
    except (InputError, ReadbackError) as fault:
        return Verified(name, strokes, None, (_lost(name, str(fault)),))
    found = compare(planned, read, within=within, machine=machine, sagitta=sagitta)
    return Verified(name, strokes, duration(read, machine), found)


def _lost(name: str, why: str) -> Finding:
    return Finding.of(
        code="machine-file-unreadable",
        problem=f"{name} can't be read back ({why})",
        fix="Prepare the job again.",
        places=(Place(file=name),),
    )
