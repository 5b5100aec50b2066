"""Machine files onto a stick, a card or into a folder that a machine reads."""

from __future__ import annotations

import errno
from collections.abc import Sequence
from pathlib import Path

from cutprep.errors import JobError, OutputError, Place
from cutprep.files import load_bytes, write_whole
from cutprep.limits import more
from cutprep.link.runs import files_in_order, proved
from cutprep.tolerance import Tolerance
from cutprep.units import plural

#: What is said of files between which a sheet is turned over.
TURNED_OVER = "Between its files a sheet is turned over, as the job sheet shows."


def copy_files(files: Sequence[Path], folder: Path, *, most: int, replace: bool = False) -> tuple[Path, ...]:
    """Copy files, and read each again.

    Parameters
    ----------
    files
        In the order of running.
    folder
        Where they go.
    most
        Bytes that a file may hold.
    replace
        Replace files of the same names that hold something else.

    Returns
    -------
    tuple
        The copies.

    Raises
    ------
    OutputError
        When one is there already and holds something else, or a copy is not what it should be.
    JobError
        When a file can't be read, or holds more.
    """
    copies = tuple(folder / file.name for file in files)
    data = [_content(file, most) for file in files]
    for copy, content in zip(copies, data, strict=True):
        if copy.exists() and not replace and not _holds(copy, content):
            raise OutputError(
                "a file of this name is there already and holds something else",
                fix="Add --replace to replace it, or name another folder.",
                place=Place(file=str(copy)),
            )
    for copy, content in zip(copies, data, strict=True):
        write_whole(copy, content, lasting=True)  # a stick is pulled out soon
        if not _holds(copy, content):
            raise OutputError("the copy is not what was written", place=Place(file=str(copy)))
    return copies


def copy_job(
    source: Path,
    folder: Path,
    tolerance: Tolerance,
    *,
    sheet: int | None = None,
    most: int,
    replace: bool = False,
) -> tuple[str, list[str], bool]:
    """Prove a job once more, and copy its machine files.

    Parameters
    ----------
    source
        Folder that `prepare` wrote.
    folder
        Where they go.
    tolerance
        How far a machine file may be from its plan.
    sheet
        Only what is run on this one, in the order of laying in.
    most, replace
        As of `copy_files`.

    Returns
    -------
    tuple
        How many files, in words; what is run on which sheet, with which side up, in order; and whether sheets are
        turned over between their files.

    Raises
    ------
    CutprepError
        When the job is not what was prepared, or can't be copied.
    """
    record = proved(source, tolerance)
    rows = files_in_order(record, sheet)
    names = list(dict.fromkeys(name for _, name in rows))
    copy_files([source / name for name in names], folder, most=most, replace=replace)
    up = {
        name: f", its {side} up"
        for one in record.sheets
        for name, side in zip(one.files, one.sides, strict=True)
        if side
    }
    count = sum(one.runs for one in record.sheets)
    turns = [f"{name}, on sheet {laid} of {count}{up.get(name, '')}" for laid, name in rows]
    return plural(len(names), "file"), turns, bool(up)


def _content(file: Path, most: int) -> bytes:
    try:
        return load_bytes(file, most)
    except OSError as fault:
        fix = more("Check what it is: a sheet of card takes a few megabytes.", "machine_bytes")
        raise JobError(
            f"the file can't be read ({fault.strerror})",
            fix=fix if fault.errno == errno.EFBIG else "",
            place=Place(file=str(file)),
        ) from None


def _holds(path: Path, content: bytes) -> bool:
    try:
        return load_bytes(path, len(content)) == content
    except OSError:
        return False
