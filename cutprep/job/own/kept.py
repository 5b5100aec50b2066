"""A job kept with all that it needs: every value written out, drawings and profiles beside it.

It runs the same on another computer, whatever is remembered, measured or installed there: its machine and cards are
files of its own, and no figure of a trial is put in.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import tomlkit

from cutprep.errors import JobError, Place
from cutprep.job.file import ALONE, YOURS
from cutprep.job.job import Batch, Item, Job
from cutprep.job.settings.resolve import RULES, Resolved, SettingValue, Source
from cutprep.job.settings.setting import Scope
from cutprep.job.settings.worked import WORKED
from cutprep.profile.stock import SheetSize
from cutprep.profile.written import machine_toml, stock_toml

JOB_FILE = "job.toml"
#: Tables of a job file that are no settings: of a drawing folding and places by hand; of the job what fits into
#: what, how the templates come together, and figures of single layers.
_AS_THEY_ARE = ("fold", "place")
_BESIDE_THEM = ("fits", "together", WORKED)


class _Beside:
    """Files that are kept beside a job file, each under a name of its own."""

    def __init__(self) -> None:
        self.files: dict[str, bytes] = {}
        self._names: dict[Path, str] = {}

    def text(self, name: str, content: str) -> str:
        """A file that is made."""
        name = self._free(name)
        self.files[name] = content.encode("utf-8")
        return name

    def copy(self, path: Path) -> str:
        """A file of hers; the same one is there once.

        Raises
        ------
        JobError
            When it can't be read.
        """
        path = path.resolve()
        if path not in self._names:
            name = self._free(path.name)
            try:
                self.files[name] = path.read_bytes()
            except OSError as fault:
                raise JobError(
                    f"the file can't be read ({fault.strerror})", place=Place(file=str(path))
                ) from None
            self._names[path] = name
        return self._names[path]

    def _free(self, name: str) -> str:
        stem, dot, ending = name.rpartition(".")
        fresh, number = name, 2
        while fresh in self.files or fresh == JOB_FILE:
            fresh, number = f"{stem}-{number}{dot}{ending}", number + 1
        return fresh


def kept_job(job: Job, source: Path | None = None) -> dict[str, bytes]:
    """Name to content of a job file with every value written out, and of all files that it names.

    Parameters
    ----------
    job
        As it was read, with its settings.
    source
        The job file that it was read from: what in it is no setting is kept as it stands.

    Raises
    ------
    JobError
        When a file that it names can't be read.
    """
    assert job.settings is not None  # put together by hand it has no settings to be written out
    beside = _Beside()
    raw = tomllib.loads(source.read_text(encoding="utf-8")) if source is not None else {}
    doc: dict[str, Any] = {ALONE: True, **_values(job.settings, beside)}
    doc["machine"] = beside.text(f"{job.machine.name}.toml", machine_toml(job.machine))
    hers = list(dict.fromkeys(_hers(job)))
    doc.update({YOURS: hers} if hers else {})
    doc["stock"] = [_card(batch, beside) for batch in job.batches]
    rows = [{"drawing": beside.copy(path)} for batch in job.batches for path, _ in batch.keep_out_drawn]
    if rows and len(job.batches) > 1:
        raise JobError(
            "a job of several cards can't be kept with what was cut out of an offcut of one of them",
            fix="Keep it without the offcut.",
        )
    doc.update({"keep_out": [*doc.get("keep_out", []), *rows]} if rows else {})
    doc["template"] = list(_templates(job, raw.get("template", []), beside))
    doc.update({key: raw[key] for key in _BESIDE_THEM if key in raw})
    return {JOB_FILE: job_toml(doc).encode("utf-8"), **beside.files}


def _hers(job: Job) -> Iterator[str]:
    """Settings of the whole job that were remembered, and remembered rules."""
    for resolved in (job.settings, *(item.settings for item in job.items)):
        for entry in resolved.entries if resolved is not None else ():
            if entry.setting.name in RULES:
                yield from (f"{entry.setting.name}.{rule}" for rule in sorted(entry.quiet))
            elif entry.source is Source.YOURS and entry.setting.scope is Scope.JOB:
                yield entry.setting.name


def _values(resolved: Resolved, beside: _Beside, *scopes: Scope) -> dict[str, Any]:
    """Every value by its key, a key with a dot in a table of its own."""
    found: dict[str, Any] = {}
    for entry in resolved.entries:
        if entry.value is None or entry.value == () or (scopes and entry.setting.scope not in scopes):
            continue
        head, dot, key = entry.setting.key.rpartition(".")
        (found.setdefault(head, {}) if dot else found)[key] = _plain(entry, beside)
    return found


def _plain(entry: SettingValue, beside: _Beside) -> Any:
    """A value as a job file holds it; files are kept beside it."""
    name, value = entry.setting.name, entry.value
    plain = entry.setting.form.plain(value)
    if name == "keep_out":
        return [
            {**row, "drawing": beside.copy(Path(row["drawing"]))} if "drawing" in row else row
            for row in plain
        ]
    if name in ("names", "places") and isinstance(value, Path):
        return beside.copy(value)
    if name == "font" and Path(str(value)).is_file():
        return beside.copy(Path(str(value)))
    return plain


def _card(batch: Batch, beside: _Beside) -> dict[str, Any]:
    said = _values(batch.settings[0], beside, Scope.CARD) if batch.settings else {}
    for own in ("like", "offcut"):  # that of a folder of hers is written out, with the sheet below
        said.pop(own, None)
    return {
        "name": batch.stock.name,
        "title": batch.stock.title,
        "like": beside.text(f"{batch.stock.name}.toml", stock_toml(batch.stock)),
        **said,
        "sheet": [_size(size, batch) for size in batch.sheets],
    }


def _size(size: SheetSize, batch: Batch) -> dict[str, Any]:
    named = batch.stock.sheet_named(size.name) is not None
    row: dict[str, Any] = {"size": size.name if named else f"{size.width!r}x{size.height!r}mm"}
    row.update({"at_hand": size.at_hand} if size.at_hand is not None else {})
    row.update({"price": size.price} if size.price is not None else {})
    return row


def _templates(job: Job, raw: Sequence[Mapping[str, Any]], beside: _Beside) -> Iterator[dict[str, Any]]:
    """Each drawing once, with the card that it is on; pieces with a card of their own belong to it."""
    rows: dict[tuple[Path, int], tuple[Item, str]] = {}
    for batch in job.batches:
        for item in batch.items:
            key = (item.path, item.row)
            if key not in rows or not item.only:
                rows[key] = (item, batch.stock.name)
    for item, stock in sorted(rows.values(), key=lambda one: one[0].row):
        assert item.settings is not None
        told = raw[item.row] if item.row < len(raw) else {}
        yield {
            "file": beside.copy(item.path),
            "stock": stock,
            **_values(item.settings, beside),
            **{key: told[key] for key in _AS_THEY_ARE if key in told},
        }


def job_toml(doc: Mapping[str, Any]) -> str:
    """A table as TOML: what is plain stands before tables, or it would belong to them."""
    return tomlkit.dumps(_plain_first(doc))


def _plain_first(value: Any) -> Any:
    if isinstance(value, list | tuple):
        return [_plain_first(one) for one in value]
    if not isinstance(value, Mapping):
        return value
    rows = sorted(value.items(), key=lambda row: isinstance(row[1], Mapping) or _listed(row[1]))
    return {key: _plain_first(one) for key, one in rows}


def _listed(value: Any) -> bool:
    """Whether a value is a list of tables."""
    return isinstance(value, list) and any(isinstance(one, Mapping) for one in value)
