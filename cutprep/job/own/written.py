"""Files in the maker's own folder: whole or not at all, the folder made where it is not there."""

from __future__ import annotations

import os
from pathlib import Path

from cutprep.errors import OutputError, Place
from cutprep.files import as_bytes


def write_own(path: Path, content: str) -> None:
    """Write a file of hers in place of the one before.

    Raises
    ------
    OutputError
        When it can't be written; the one before then stays as it was.
    """
    fresh = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh.write_bytes(as_bytes(content))
        fresh.replace(path)
    except OSError as fault:
        raise OutputError(
            f"the file can't be written ({fault.strerror})", place=Place(file=str(path))
        ) from None
    finally:
        if path.parent.is_dir():
            fresh.unlink(missing_ok=True)
