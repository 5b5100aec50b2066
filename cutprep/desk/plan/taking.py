"""Whether a job file can be taken: what is in it is looked at together, before anything is written."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from pathlib import Path

from cutprep.desk.sent import Refused
from cutprep.errors import CutprepError
from cutprep.job.file import load_job
from cutprep.tables import Table


def require_taken(path: Path, before: str, steps: Sequence[tuple[str, str]]) -> None:
    """Refuse a change after which the job could not even be begun, beside the field that is at fault.

    A job that could not be begun before is let through: she may be mending one thing of several.

    Parameters
    ----------
    path
        Of the job file; what it names is looked for beside it.
    before
        Its text as it stands.
    steps
        Each field that was changed, and the text after it, in their order.

    Raises
    ------
    Refused
        Naming the first field with which it can't be begun.
    """
    if not steps or fault_of(path, steps[-1][1]) is None or fault_of(path, before) is not None:
        return
    for field, text in steps:
        fault = fault_of(path, text)
        if fault is not None:
            raise Refused(_without_key(fault.problem, field), fault.fix, field=field)


def fault_of(path: Path, text: str) -> CutprepError | None:
    """What keeps a job from being begun; None when nothing does, as far as is known before its drawings are read.

    Parameters
    ----------
    path
        Where the text would stand.
    text
        Of the job file.
    """
    try:
        load_job(path, table=Table(tomllib.loads(text)))
    except CutprepError as fault:
        return fault
    return None


def _without_key(problem: str, field: str) -> str:
    """A problem that begins with the field's own name, which stands there already."""
    head, sign, rest = problem.partition(": ")
    return rest if sign and head.rpartition(".")[2] == field.rpartition("/")[2] else problem
