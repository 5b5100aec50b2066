"""Reading a file that may be anything: never a device, never a pipe, never more than was agreed."""

from __future__ import annotations

import errno
from pathlib import Path


def load_bytes(path: Path, most: int) -> bytes:
    """Read a whole file.

    What a file says of its size is not believed: it may grow, and some systems say 0 for what has no end.

    Parameters
    ----------
    path
        The file.
    most
        Bytes that it may hold.

    Raises
    ------
    OSError
        When it can't be opened, is no plain file, or holds more; `strerror` says which.
    """
    if path.exists() and not path.is_file():
        raise OSError(errno.EINVAL, "it is a folder, device or pipe, not a file")
    with path.open("rb") as stream:
        data = stream.read(most + 1)
    if len(data) > most:
        raise OSError(errno.EFBIG, f"it is larger than {most / 1e6:.0f} MB")
    return data


def as_bytes(content: str | bytes) -> bytes:
    r"""Content of a file as it is written: text as UTF-8 with plain line feeds.

    A name from a file system may hold bytes that are no UTF-8; `\udcff` is valid JSON for one.
    """
    return content.encode("utf-8", "backslashreplace") if isinstance(content, str) else content
