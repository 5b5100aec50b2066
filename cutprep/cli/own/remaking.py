"""What `cutprep again` does: copies that were spoilt, as a small job of their own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from cutprep.cli.done import show_outcome
from cutprep.cli.jobs import options_given
from cutprep.cli.own.offcuts import offer
from cutprep.cli.progress import progress_bar
from cutprep.errors import JobError
from cutprep.job.api import prepare_job
from cutprep.job.own.again import drawings_of, from_job_file, made_again, spoilt_copies
from cutprep.job.record.read import Record, load_record
from cutprep.job.settings.remembered import remembered
from cutprep.limits import raise_limits


def make_again(
    folder: Path,
    sources: Sequence[Path],
    settings: dict[str, Any],
    out: Path,
    spoilt: str,
    *,
    replace: bool,
    limit: Iterable[str],
) -> None:
    """Prepare what was spoilt.

    Parameters
    ----------
    folder
        Of the job that it was part of.
    sources
        Its drawings or its job file; none: they are looked for here and beside the folder.
    settings
        Options that were given.
    out
        Folder for the new job.
    spoilt
        Marks of copies, with commas between.
    replace
        Whether what cutprep wrote into `out` before may go.
    limit
        As for `prepare`.

    Raises
    ------
    CutprepError
        When it can't be made.
    """
    record = load_record(folder)
    copies = spoilt_copies(record, [mark for mark in spoilt.split(",") if mark.strip()])
    found = list(sources) or _looked_for(record, folder)
    job = made_again(
        record,
        copies,
        found,
        options=options_given(settings),
        yours=remembered(),
        limits=raise_limits(limit),
    )
    with progress_bar() as tell:
        outcome = prepare_job(job, out, replace=replace, progress=tell)
    show_outcome(outcome, out, every=False)
    offer(job, outcome)


def _looked_for(record: Record, folder: Path) -> list[Path]:
    """The drawings of a job, here or beside its folder."""
    if from_job_file(record):
        raise JobError(
            "this job was made from a job file",
            fix="Name the job file behind the folder: its drawings stand there.",
        )
    return drawings_of(record, (Path(), folder.resolve().parent))
