"""Files of a job that the maker has changed on purpose: taken as they are, and written on the job sheet."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from html import escape
from pathlib import Path
from typing import Any

from cutprep.errors import JobError, OutputError, Place
from cutprep.files import load_bytes
from cutprep.job.folder.outputs import JOB_SHEET
from cutprep.job.folder.store import publish
from cutprep.job.folder.verify import Verification, verify
from cutprep.job.record.form import as_text, sha256
from cutprep.job.record.read import INDEX, LARGEST_INDEX, load_record
from cutprep.limits import Limits
from cutprep.model.findings.finding import Finding, errors, sentence
from cutprep.report.data import finding_data

#: What no wish can make right: nobody would know what the machine does.
_NEVER = ("machine-file-unreadable", "file-missing", "outside-area", "tool-left-down")
_SECTION = re.compile(r"<section class=\"on-purpose\">.*?</section>\n", re.DOTALL)
_BEFORE = '<ul class="facts four">'


def accept(folder: Path, names: Iterable[str], limits: Limits | None = None) -> Verification:
    """Take changed files of a job as they are.

    Parameters
    ----------
    folder
        Of the job; its `job.json` and its job sheet are written anew.
    names
        Files in it.
    limits
        How large a machine file is followed.

    Returns
    -------
    Verification
        Of the job afterwards.

    Raises
    ------
    JobError
        When a file is none of the job's, or has not changed, or can't be taken.
    OutputError
        When the folder can't be written.
    """
    record = load_record(folder)
    found = verify(folder, limits=limits)
    if any(finding.code == "job-changed" for finding in found.findings):
        raise JobError(
            f"{INDEX} is not as it was written, so nothing can be compared with it",
            fix="Prepare the job again.",
            place=Place(file=str(folder)),
        )
    changes = {name: _changes(name, found) for name in dict.fromkeys(names)}
    contents = {name: _read(folder / name) for name in record.files}
    for name, told in changes.items():
        _check(name, told, name in record.files)
    kept = [row for row in record.data["accepted"] if row["file"] not in changes]
    rows = kept + [
        {"file": name, "sha256": sha256(contents[name]), "changes": [finding_data(f) for f in told]}
        for name, told in changes.items()
    ]
    sheet = contents.get(JOB_SHEET, b"")
    if sha256(sheet) not in (record.files.get(JOB_SHEET), *(row["sha256"] for row in rows)):
        raise JobError(
            f"{JOB_SHEET} is not as it was written, and the change is to be written on it",
            fix=f"Accept it too: --accept {JOB_SHEET}.",
            place=Place(file=str(folder / JOB_SHEET)),
        )
    contents[JOB_SHEET] = _with_changes(sheet.decode("utf-8"), rows).encode("utf-8")
    own = next((row for row in rows if row["file"] == JOB_SHEET), None)
    written = {"sha256": sha256(contents[JOB_SHEET]), "bytes": len(contents[JOB_SHEET])}
    files = dict(record.data["files"])
    if own is None:
        files[JOB_SHEET] = written
    else:
        own["sha256"] = written["sha256"]
    data = {**record.data, "files": files, "accepted": rows}
    publish(folder, {**contents, INDEX: as_text(data)}, replace=True)
    return verify(folder, limits=limits)


def _changes(name: str, found: Verification) -> tuple[Finding, ...]:
    """What is wrong with one file."""
    of_files = {file.file: file.differences for file in found.files}
    if name in of_files:
        return errors(of_files[name])
    return tuple(f for f in errors(found.findings) if any(place.file == name for place in f.places))


def _check(name: str, told: Sequence[Finding], known: bool) -> None:
    """Refuse what can't be taken."""
    if not known:
        raise JobError(f"'{name}' is none of the job's files", fix="Name a file as `verify` shows it.")
    if not told:
        raise JobError(f"'{name}' is what was prepared", fix="There is nothing to accept.")
    for finding in told:
        if finding.code in _NEVER:
            raise JobError(f"'{name}' can't be accepted: {finding.problem}", fix=finding.fix)


def _read(path: Path) -> bytes:
    try:
        return load_bytes(path, LARGEST_INDEX)
    except OSError as fault:
        raise OutputError(f"the file can't be read ({fault.strerror})", place=Place(file=str(path))) from None


def _with_changes(page: str, rows: Sequence[dict[str, Any]]) -> str:
    """The job sheet with a list of what was changed after preparing, near its top."""
    items = "".join(
        f"<li><b>{escape(row['file'])}</b>: "
        + " ".join(escape(sentence(change["problem"])) for change in row["changes"])
        + "</li>\n"
        for row in rows
    )
    section = (
        '<section class="on-purpose">\n<p class="warning">Changed on purpose after preparing; times and pictures on'
        f" this sheet are those of the plan.</p>\n<ul>\n{items}</ul>\n</section>\n"
    )
    page = _SECTION.sub("", page)
    at = page.find(_BEFORE)
    at = at if at >= 0 else max(page.rfind("</main>"), 0)
    return page[:at] + section + page[at:]
