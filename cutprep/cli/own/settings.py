"""What `cutprep settings` does: shows what is set and where it was said, keeps her own settings, forgets them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from cutprep.cli import show
from cutprep.cli.files import make_folder, write_file
from cutprep.cli.options import option_of
from cutprep.errors import JobError, OutputError, Place
from cutprep.job.build import settings_data
from cutprep.job.file import load_job
from cutprep.job.job import Job
from cutprep.job.own.kept import JOB_FILE, kept_job
from cutprep.job.own.settings import keep_own, own_settings, said_of
from cutprep.job.record.read import INDEX, load_json
from cutprep.job.settings.remembered import remembered, settings_file
from cutprep.job.settings.resolve import Resolved
from cutprep.job.settings.table import SETTINGS

#: What a setting belongs to, where it is not the whole job.
_TABLES = {"stock": "card", "template": "drawing"}


def keep_settings(given: dict[str, Any], forgotten: Iterable[str]) -> None:
    """Keep settings as her own, and forget others.

    Raises
    ------
    CutprepError
        When a value can't be used, or the file can't be written; it then stays as it was.
    """
    for words in keep_own(given, forgotten, option_of):
        show.say(words)


def show_settings(job: Path | None, *, json: bool) -> None:
    """Show her settings, or those of a job.

    Raises
    ------
    CutprepError
        When her file or the job can't be read.
    """
    if job is not None:
        _show_job(_data_of(job), json=json)
        return
    said, words = own_settings()
    if json:
        show.say_json({entry.setting.name: _plain(said, entry.setting.name) for entry in said.entries})
        return
    show.show_table(
        ("setting", "option", "value", "from"),
        [
            (one.setting.own_key, one.setting.option, said_of(one, words), one.source.value)
            for one in said.entries
        ],
    )
    show.say(f"Yours stand in {settings_file()}", console=show.err())


def _plain(said: Resolved, name: str) -> dict[str, Any]:
    entry = said.entry(name)
    value = None if entry.value is None else entry.setting.form.plain(entry.value)
    return {"value": value, "from": entry.source.value}


def _data_of(job: Path) -> Mapping[str, Any]:
    """The settings of a job file, as the next `prepare` takes them, or of a folder as they were taken."""
    if job.is_dir():
        return dict(load_json(job / INDEX).get("settings", {}))
    if job.suffix.lower() != ".toml":
        raise JobError(
            f"'{job.name}' is neither a job file nor a folder that `prepare` wrote",
            fix="Name one of these, or none to see your own settings.",
        )
    return settings_data(load_job(job, yours=remembered()))


def _show_job(data: Mapping[str, Any], *, json: bool) -> None:
    if json:
        show.say_json(data)
        return
    if not data:
        show.say("This job says nothing of its settings.")
        return
    show.show_table(("setting", "value", "from"), list(_rows(data)))


def _rows(data: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    for name, told in data.items():
        if isinstance(told, list):
            for heading, table in _headed(name, told):
                yield from ((f"{heading}: {one}", value, source) for one, value, source in _rows(table))
        else:
            yield name, _said(name, told["value"]), str(told["from"])


def _headed(name: str, tables: Iterable[Mapping[str, Any]]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Tables of a list with what each belongs to: a size stands behind its card."""
    count = 0
    for table in tables:
        count += name != "stock" or "stock" in table
        size = ", size" if name == "stock" and "stock" not in table else ""
        yield f"{_TABLES.get(name, name)} {count}{size}", table


def _said(name: str, value: Any) -> str:
    """A value of job.json for a person."""
    if value is None:
        return SETTINGS[name].said_default if name in SETTINGS else "none"
    if isinstance(value, dict):
        return ", ".join(f"{key}={word}" for key, word in value.items()) or "none"
    if isinstance(value, list):
        return "; ".join(map(_row_said, value)) or "none"
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def _row_said(row: Any) -> str:
    """One of several values: an area or a point by its sides, what has no value left out."""
    if not isinstance(row, dict):
        return str(row)
    return " ".join(
        f"{key} {', '.join(map(str, value)) if isinstance(value, list) else value}"
        for key, value in row.items()
        if value != ""
    )


def write_kept(job: Job, sources: Sequence[Path], folder: Path, *, replace: bool) -> None:
    """Write a job file with every value, and beside it all that the job needs.

    Raises
    ------
    OutputError
        When a file is there already and is not to be replaced (then none is written), or can't be written.
    """
    file = next((path for path in sources if path.suffix.lower() == ".toml"), None)
    files = kept_job(job, file)
    there = [folder / name for name in files if (folder / name).exists()]
    if there and not replace:
        raise OutputError(
            "the file is there already", fix="Add --replace to replace it.", place=Place(file=str(there[0]))
        )
    make_folder(folder)
    for name, content in files.items():
        write_file(folder / name, content, replace=replace)
    show.say(
        f"{folder}: the job with {len(files) - 1} files that it needs; prepare {folder / JOB_FILE} anywhere"
    )
