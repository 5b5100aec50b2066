"""Options in words, as they are given from Python and on the command line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from cutprep import units as lengths

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


def size_in_mm(value: str | Sequence[float]) -> tuple[float, float]:
    """Width and height as mm: a text carries its unit, a pair is mm.

    Raises
    ------
    JobError
        When it is no size, or a side is not above 0.
    """
    text = value if isinstance(value, str) else "x".join(f"{float(side)}" for side in value) + "mm"
    return lengths.size(text)
