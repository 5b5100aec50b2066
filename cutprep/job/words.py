"""Options in words, as they are given from Python and on the command line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import get_args

from cutprep import units as lengths
from cutprep.errors import JobError
from cutprep.stages.nest.item.demand import Turns
from cutprep.tables import near

#: With more drawings than this a job without a title is named after their number.
_MOST_NAMED = 3


def title_of(paths: Sequence[Path]) -> str:
    """A name for a job that was given none: its drawings, or how many of them in which folder."""
    if len(paths) <= _MOST_NAMED:
        return ", ".join(path.stem for path in paths)
    folders = {path.resolve().parent for path in paths}
    where = f" from {folders.pop().name}" if len(folders) == 1 else ""
    return f"{len(paths)} templates{where}"


def parse_turns(text: str) -> Turns:
    """Read how copies may be turned.

    Raises
    ------
    JobError
        When the word is not known.
    """
    known: tuple[Turns, ...] = get_args(Turns)
    for word in known:
        if text == word:
            return word
    raise JobError(f"the turns '{text}' are not known", fix=near(text, known))


def drawn_area(text: str) -> tuple[Path, str] | None:
    """Read "used.svg" or "used.svg:LAYER" as a drawing and a layer's name; None when it is neither."""
    match = re.fullmatch(r"(?is)(.+\.(?:svg|svgz|dxf))(?::(.+))?", text.strip())
    return (Path(match[1]), match[2] or "") if match else None


def four_lengths(text: str) -> tuple[float, float, float, float]:
    """Read four lengths with commas between, mm.

    Raises
    ------
    JobError
        When there are not four, or one is none.
    """
    parts = text.split(",")
    if len(parts) != 4:
        raise JobError(
            f"'{text}' has {len(parts)} lengths where 4 are needed", fix="Put commas between them."
        )
    left, bottom, right, top = (lengths.length(part) for part in parts)
    return left, bottom, right, top


def in_mm(value: str | float) -> float:
    """A length as mm: a text carries its unit."""
    return lengths.length(value) if isinstance(value, str) else float(value)
