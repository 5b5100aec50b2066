"""Options in words, as they are given from Python and on the command line."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

from cutprep import units as lengths
from cutprep.errors import JobError

#: With more drawings than this a job without a title is named after their number.
_MOST_NAMED = 3


def title_of(paths: Sequence[Path]) -> str:
    """A name for a job that was given none: its drawings, or how many of them in which folder."""
    if len(paths) <= _MOST_NAMED:
        return ", ".join(path.stem for path in paths)
    folders = {path.resolve().parent for path in paths}
    where = f" from {folders.pop().name}" if len(folders) == 1 else ""
    return f"{len(paths)} templates{where}"


def in_mm(value: str | float) -> float:
    """A length as mm: a text carries its unit."""
    return lengths.length(value) if isinstance(value, str) else float(value)


def not_below_0(value: str | float, what: str) -> float:
    """A length that is 0 or more, as mm; `what` it is stands in the error.

    Raises
    ------
    JobError
        When it is below 0, or no finite number.
    """
    mm = in_mm(value)
    if not (math.isfinite(mm) and mm >= 0):
        raise JobError(f"{what} is {mm:g} mm", fix="Give 0 mm or more.")
    return mm


def size_in_mm(value: str | Sequence[float]) -> tuple[float, float]:
    """Width and height as mm: a text carries its unit, a pair is mm.

    Raises
    ------
    JobError
        When it is no size, or a side is not above 0.
    """
    text = value if isinstance(value, str) else "x".join(f"{float(side)}" for side in value) + "mm"
    return lengths.size(text)
