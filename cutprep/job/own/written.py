"""Files in the maker's own folder: whole or not at all, the folder made where it is not there."""

from __future__ import annotations

from pathlib import Path

from cutprep.files import as_bytes, write_whole


def write_own(path: Path, content: str) -> None:
    """Write a file of hers in place of the one before.

    Raises
    ------
    OutputError
        When it can't be written; the one before then stays as it was.
    """
    write_whole(path, as_bytes(content), folders=True)
