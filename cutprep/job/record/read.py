"""`job.json` read again: checked as far as it is used, and refused with a sentence where it is not ours."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cutprep.errors import JobError, Place
from cutprep.files import load_bytes
from cutprep.job.record.form import EARLIER, SCHEMA
from cutprep.job.record.machine import machine_from_data
from cutprep.job.record.plan import plan_from
from cutprep.model.moves import Moves
from cutprep.profile.languages import LANGUAGES
from cutprep.profile.machine import Machine
from cutprep.tolerance import REACH

INDEX = "job.json"
LARGEST_INDEX = 30_000_000
_AGAIN = "Prepare the job again."


@dataclass(frozen=True, slots=True, eq=False)
class RecordedSheet:
    """A sheet of a job, as it is to be run.

    Attributes
    ----------
    number
        Among the sheets that differ, from 1.
    runs
        How often it is run.
    files
        Names of the files of a run, in the order of running.
    planned
        The plan of the whole sheet; of its front where both sides are worked.
    page
        Its size, mm.
    back
        The plan of the run over its back, which comes first; None when there is none.
    sides
        Of each file, "back" or "front"; empty words where nothing is turned over.
    turned
        How the sheet is turned over: "sideways", "endways" or "".
    marks
        It is laid by crosses that were cut through it.
    """

    number: int
    runs: int
    files: tuple[str, ...]
    planned: Moves
    page: tuple[float, float]
    back: Moves | None = None
    sides: tuple[str, ...] = ()
    turned: str = ""
    marks: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Record:
    """What `job.json` says, as far as it is proved.

    Attributes
    ----------
    data
        All of it.
    machine, language, title
        What the machine files were written for.
    sheets
        In the order of cutting.
    files
        Name to SHA-256 of every file of the job.
    accepted
        Name to SHA-256 of files that the maker has changed on purpose.
    """

    data: dict[str, Any]
    machine: Machine
    language: str
    title: str
    sheets: tuple[RecordedSheet, ...]
    files: dict[str, str]
    accepted: dict[str, str]


def load_json(path: Path) -> dict[str, Any]:
    """Read a `job.json` of any form.

    Raises
    ------
    JobError
        When it is missing, too large, no JSON, or no job of ours.
    """
    place = Place(file=str(path))
    try:
        data = json.loads(load_bytes(path, LARGEST_INDEX), parse_constant=_no_number)
    except OSError as fault:
        raise JobError(f"the file can't be read ({fault.strerror})", place=place) from None
    except (ValueError, RecursionError):
        raise JobError("this is not JSON", fix="Name a job.json that cutprep wrote.", place=place) from None
    schema = data.get("schema") if isinstance(data, dict) else None
    if schema not in (SCHEMA, *EARLIER):
        raise JobError(
            f"this is no job of the form {SCHEMA}", fix="Name a job.json that cutprep wrote.", place=place
        )
    assert isinstance(data, dict)
    return data


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is no number of JSON")


def load_record(folder: Path) -> Record:
    """Read the job of an output folder.

    Raises
    ------
    JobError
        When the folder holds none, one of an earlier form, or one that can't be understood.
    """
    path = folder / INDEX
    if not path.is_file():
        raise _no_record(folder)
    data = load_json(path)
    if data["schema"] != SCHEMA:
        raise JobError(
            f"the job is of the form {data['schema']}, which an earlier cutprep wrote and which holds too little "
            f"to prove its files; this one writes {SCHEMA}",
            fix="Prepare the job again; --places takes the layout of the old one.",
            place=Place(file=str(path)),
        )
    try:
        return _record(data)
    except (KeyError, ValueError, TypeError, AttributeError, IndexError, OverflowError, RecursionError):
        raise JobError(f"{INDEX} can't be understood", fix=_AGAIN, place=Place(file=str(path))) from None


def _no_record(folder: Path) -> JobError:
    """Why nothing can be read: the path may be one file of a job, or a folder that holds none."""
    place = Place(file=str(folder))
    if folder.is_file():
        fix = "Name the folder that `cutprep prepare --out` wrote."
        if (folder.parent / INDEX).is_file():
            fix = f"Name the folder that it lies in: {folder.parent}"
        return JobError("this is a file, and a job is a folder", fix=fix, place=place)
    missing = f"there is no {INDEX} in the folder" if folder.is_dir() else "there is no such folder"
    return JobError(missing, fix="Name the folder that `cutprep prepare --out` wrote.", place=place)


def _record(data: dict[str, Any]) -> Record:
    machine = machine_from_data(data["machine_profile"])
    return Record(
        data=data,
        machine=machine,
        language=_word(data["language"], LANGUAGES),
        title=str(data["title"]),
        sheets=tuple(_sheets(data)),
        files={_name(name): str(row["sha256"]) for name, row in data["files"].items()},
        accepted={_name(row["file"]): str(row["sha256"]) for row in data["accepted"]},
    )


def _sheets(data: dict[str, Any]) -> Iterator[RecordedSheet]:
    for row in data["sheets"]:
        yield RecordedSheet(
            number=int(row["number"]),
            runs=int(row["runs"]),
            files=tuple(_name(file["name"]) for file in row["files"]),
            planned=plan_from(row["plan"]),
            page=_page(row),
            **_back(row),
        )


def _back(row: dict[str, Any]) -> dict[str, Any]:
    """What a sheet's row says of its back."""
    sides = tuple(_word(file.get("side", ""), ("", "back", "front")) for file in row["files"])
    told = row.get("from_back")
    if told is None:
        return {"sides": sides}
    return {
        "sides": sides,
        "back": plan_from(told["plan"]) if "plan" in told else None,
        "turned": _word(told["turned"], ("sideways", "endways")),
        "marks": bool(told["marks_mm"]),
    }


def _word(word: Any, known: tuple[str, ...]) -> str:
    if word not in known:
        raise ValueError(f"{word!r} is not known")
    return str(word)


def _page(row: dict[str, Any]) -> tuple[float, float]:
    width, height = float(row["width_mm"]), float(row["height_mm"])
    if not (0 < width <= REACH and 0 < height <= REACH):
        raise ValueError("a sheet has no size")
    return width, height


def _name(name: Any) -> str:
    """A file's name; one that leads out of the folder is refused."""
    if not isinstance(name, str) or not name or Path(name).name != name:
        raise JobError(f"{INDEX} names the file '{name}', which is not in its folder", fix=_AGAIN)
    return name
