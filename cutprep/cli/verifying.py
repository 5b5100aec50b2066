"""What `verify` shows: one line for a sound job, and every difference of another one."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from cutprep.cli import show
from cutprep.job.folder.accept import accept
from cutprep.job.folder.verify import Verification, verify
from cutprep.model.findings.finding import Severity, errors
from cutprep.report.data import finding_data
from cutprep.units import plural, say_time

#: So many differences are shown each by itself.
_FEW = 12


def verify_folder(folder: Path, *, accepted: Sequence[str] = (), json: bool, every: bool) -> bool:
    """Verify a job, or take changed files of it as they are; True when it is not what was prepared.

    Raises
    ------
    CutprepError
        When the job can't be read, or a file can't be taken as it is.
    """
    result = accept(folder, accepted) if accepted else verify(folder)
    if json:
        show.say_json(_data(folder, result))
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
    seconds = sum(one.duration.total for one in result.files if one.duration is not None)
    return (
        f"{folder.name}: every file is what was prepared, and {plural(len(result.files), 'machine file')} read back"
        f" {'does' if len(result.files) == 1 else 'do'} what was planned, {say_time(seconds)} of machine time"
    )


def _data(folder: Path, result: Verification) -> dict[str, Any]:
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
