"""Machine files onto a stick, a card or into a folder that a machine reads."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from cutprep.errors import OutputError, Place
from cutprep.files import load_bytes


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
    """
    copies = tuple(folder / file.name for file in files)
    data = [load_bytes(file, most) for file in files]
    for copy, content in zip(copies, data, strict=True):
        if copy.exists() and not replace and not _holds(copy, content):
            raise OutputError(
                "a file of this name is there already and holds something else",
                fix="Add --replace to replace it, or name another folder.",
                place=Place(file=str(copy)),
            )
    for copy, content in zip(copies, data, strict=True):
        fresh = copy.with_name(f".{copy.name}.{os.getpid()}")
        try:
            with fresh.open("wb") as stream:
                stream.write(content)
                stream.flush()
                os.fsync(stream.fileno())  # a stick is pulled out soon
            fresh.replace(copy)
        except OSError as fault:
            raise OutputError(
                f"the file can't be written ({fault.strerror})", place=Place(file=str(copy))
            ) from None
        finally:
            fresh.unlink(missing_ok=True)
        if not _holds(copy, content):
            raise OutputError("the copy is not what was written", place=Place(file=str(copy)))
    return copies


def _holds(path: Path, content: bytes) -> bool:
    try:
        return load_bytes(path, len(content)) == content
    except OSError:
        return False
