"""Copies of a job that were spoilt, made again: the same drawings, settings and texts, and nothing else of the job."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from cutprep.errors import JobError
from cutprep.job.api import job_from
from cutprep.job.file import load_job
from cutprep.job.job import Batch, Item, Job
from cutprep.job.record.read import Record
from cutprep.job.settings.resolve import Layer, Source, as_typed, read_layer
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.table import ANEW, SETTINGS
from cutprep.limits import Limits
from cutprep.tables import Table
from cutprep.units import letters

_MARK = re.compile(r"([A-Z]+)\d{1,9}")
#: A spoilt copy by its template's name, its card, and what is written on it.
Spoilt = tuple[str, str, str]


def spoilt_copies(record: Record, marks: Iterable[str]) -> Counter[Spoilt]:
    """What was spoilt, by the marks that stand on the job sheet, such as "C4".

    Raises
    ------
    JobError
        When a mark is none, or the job has no such copy.
    """
    copies = dict(_copies(record.data))
    found: Counter[Spoilt] = Counter()
    for mark in marks:
        match = _MARK.fullmatch(mark.strip().upper())
        if match is None:
            raise JobError(
                f"--spoilt: '{mark.strip()}' is no mark of a copy",
                fix="Write the marks of the job sheet with commas between: C4,C7.",
            )
        if mark.strip().upper() not in copies:
            numbers = sorted(int(one[len(match[1]) :]) for one in copies if _letters(one) == match[1])
            known = f"Of {match[1]} it has {numbers[0]} to {numbers[-1]}." if numbers else ""
            raise JobError(
                f"--spoilt: the job has no copy {mark.strip()}", fix=known or "Look at the job sheet again."
            )
        found[copies[mark.strip().upper()]] += 1
    if not found:
        raise JobError("no copy is named that was spoilt", fix="Add --spoilt C4,C7, as on the job sheet.")
    return found


def _letters(mark: str) -> str:
    return mark.rstrip("0123456789")


def _copies(data: dict[str, Any]) -> Iterator[tuple[str, Spoilt]]:
    """The mark of each copy of a job, also of those on equal sheets, and what it is."""
    letter = {(row["name"], row["stock"]): letters(i) for i, row in enumerate(data["templates"])}
    for sheet in data["sheets"]:
        count = len({placement["copy"] for placement in sheet["placements"]})
        for placement in sheet["placements"]:
            what = (str(placement["template"]), str(sheet["stock"]), str(placement.get("text", "")))
            for turn in range(int(sheet["runs"])):
                yield f"{letter.get(what[:2], '')}{int(placement['copy']) + turn * count}", what


def made_again(
    record: Record,
    spoilt: Counter[Spoilt],
    sources: Sequence[Path],
    *,
    options: Layer,
    yours: Layer,
    limits: Limits,
) -> Job:
    """Make the job of what was spoilt.

    Parameters
    ----------
    record
        Of the job that it was part of.
    spoilt
        From `spoilt_copies`.
    sources
        The drawings of that job, or its job file.
    options
        What is asked for now, such as an offcut.
    yours
        What is remembered.
    limits
        Upper bounds on what is asked for.

    Raises
    ------
    CutprepError
        When a source does not belong to the job, or can't be used.
    """
    if any(path.suffix.lower() == ".toml" for path in sources):
        asked = {**_said(record, "option"), **_of_job(options)}
        whole = load_job(sources[0], elsewhere=True, limits=limits, yours=yours, options=asked)
    else:
        said = _said(record)
        if "offcut" in options:  # it has a size of its own
            said.pop("sheet", None)
        whole = job_from(list(sources), said, options, limits=limits)
    batches = [batch for batch in (_remade(batch, spoilt) for batch in whole.batches) if batch.items]
    made = sum(_count(item) for batch in batches for item in batch.items)
    if made < spoilt.total():
        names = ", ".join(sorted({name for name, _, _ in spoilt}))
        raise JobError(
            f"not all of what was spoilt ({names}) is in these drawings",
            fix="Name the same drawings, or the job file, that the job was prepared from.",
        )
    title = f"{record.title}: {made} made again"
    return replace(whole, batches=tuple(batches), title=title, sets=1, amount="copies", fits=(), together=())


def _count(item: Item) -> int:
    """How many copies of an item are made."""
    return len(item.names) * item.copies if isinstance(item.names, tuple) else item.copies


def _of_job(options: Layer) -> Layer:
    """Options beside a job file, which has its own cards."""
    foreign = [one.setting.option for one in options.values() if one.setting.scope is not Scope.JOB]
    if foreign or "keep_out" in options:
        raise JobError(
            "a card, a sheet or an offcut can't stand beside a job file, which has its own cards",
            fix="Leave it out; or keep an own job file for what is made again.",
        )
    return options


def _remade(batch: Batch, spoilt: Counter[Spoilt]) -> Batch:
    """What is to be made again on one card."""
    return replace(batch, items=tuple(_items(batch, spoilt)), spots=())


def _items(batch: Batch, spoilt: Counter[Spoilt]) -> Iterator[Item]:
    for item in batch.items:
        texts = [
            text
            for (name, stock, text), count in spoilt.items()
            if (name, stock) == (item.name, batch.stock.name)
            for _ in range(count)
        ]
        written = tuple(texts) if any(texts) else None
        if texts:
            yield replace(
                item, copies=1 if written else len(texts), in_set=1 if written else 0, names=written, rows=()
            )


def _said(record: Record, source: str = "") -> Layer:
    """The settings of a job as `job.json` keeps them; of one source, or of all but what is built in."""
    settings = record.data["settings"]
    first = [*settings.get("stock", [])[:2], *settings.get("template", [])[:1]]
    values: dict[str, Any] = {}
    for name, told in [*settings.items(), *(pair for table in first for pair in table.items())]:
        if isinstance(told, list) or name not in SETTINGS or name in ANEW or told["value"] is None:
            continue
        if (told["from"] == source) if source else told["from"] not in ("built in", "profile", "trial"):
            values[name] = told["value"]
    scope = [s for s in SETTINGS.values() if not source or s.scope is Scope.JOB]
    return read_layer(scope, Table(values), Source.JOB, as_typed)


def from_job_file(record: Record) -> bool:
    """Whether a job was prepared from a job file."""
    tables = record.data["settings"]
    told = [row for row in tables.values() if isinstance(row, dict)]
    told += [
        row for rows in tables.values() if isinstance(rows, list) for table in rows for row in table.values()
    ]
    return any(row.get("from") == "job" for row in told)


def drawings_of(record: Record, folders: Sequence[Path]) -> list[Path]:
    """The drawings of a job, looked for by their names.

    Raises
    ------
    JobError
        When one is not found.
    """
    found = []
    for name in dict.fromkeys(str(row["source"]) for row in record.data["templates"]):
        path = next((folder / name for folder in folders if (folder / name).is_file()), None)
        if path is None:
            raise JobError(
                f"the drawing {name} is not here", fix="Name the drawings of the job behind its folder."
            )
        found.append(path)
    return found


def again_by_row(job: Job, spoilt: Counter[Spoilt]) -> dict[int, tuple[int, list[str]]]:
    """What was spoilt, by the rows of the job file that its drawings stand in.

    Parameters
    ----------
    job
        Read from that file.
    spoilt
        From `spoilt_copies`.

    Returns
    -------
    dict
        Row to how many copies, and what is written on them.

    Raises
    ------
    JobError
        When a copy does not belong to the file any more, or is a piece that counts by itself.
    """
    found: dict[int, tuple[int, list[str]]] = {}
    for (name, stock, text), count in spoilt.items():
        row = next(
            (
                item
                for batch in job.batches
                for item in batch.items
                if (item.name, batch.stock.name) == (name, stock)
            ),
            None,
        )
        if row is None:
            raise JobError(
                f"'{name}' is not in the job any more", fix="Undo what was changed since it was cut."
            )
        if row.only or row.less:
            raise JobError(
                f"'{row.path.name}' has pieces with a card or a count of their own",
                fix="Make them again on the command line: cutprep again.",
            )
        before, texts = found.get(row.row, (0, []))
        found[row.row] = (before + count, texts + [text] * count if text else texts)
    return found
