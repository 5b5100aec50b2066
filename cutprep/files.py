"""Reading a file that may be anything: never a device, never a pipe, never more than was agreed; and writing one whole."""

from __future__ import annotations

import errno
import os
import secrets
import sys
from contextlib import suppress
from importlib.util import cache_from_source
from pathlib import Path

from cutprep.errors import OutputError, Place


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


def write_whole(path: Path, data: bytes, *, folders: bool = False, lasting: bool = False) -> None:
    """Write a file whole or not at all, in place of the one before.

    Parameters
    ----------
    path, data
        The file, and what goes into it.
    folders
        Make those above it where they are not there.
    lasting
        Wait until it is on the disk or stick.

    Raises
    ------
    OutputError
        When it can't be written; the one before then stays as it was.
    """
    try:
        if folders:
            path.parent.mkdir(parents=True, exist_ok=True)
        replace_file(path, data, lasting=lasting)
    except OSError as fault:
        raise OutputError(
            f"the file can't be written ({fault.strerror})", place=Place(file=str(path))
        ) from None


def replace_file(path: Path, data: bytes, *, lasting: bool = True) -> None:
    """As `write_whole`, for those who tell a full disk in words of their own.

    Raises
    ------
    OSError
        When it can't be written; the one before then stays as it was.
    """
    # Two threads may write the same file at once: each has one of its own until the last step.
    fresh = path.with_name(f".writing-{secrets.token_hex(8)}")
    try:
        with fresh.open("xb") as stream:
            stream.write(data)
            if lasting:
                stream.flush()
                os.fsync(stream.fileno())
        fresh.replace(path)
    finally:
        with suppress(OSError):  # where its folder is no folder, there is nothing to take away
            fresh.unlink(missing_ok=True)


def compiled_beside(module: Path) -> Path | None:
    """The folder in which Python keeps what it compiles of a module; what we compile may be kept there, too.

    None when Python is told to keep none. Whoever may write there can change the modules themselves as well, so what
    lies there is trusted as they are.
    """
    return None if sys.dont_write_bytecode else Path(cache_from_source(str(module))).parent


def as_bytes(content: str | bytes) -> bytes:
    r"""Content of a file as it is written: text as UTF-8 with plain line feeds.

    A name from a file system may hold bytes that are no UTF-8; `\udcff` is valid JSON for one.
    """
    return content.encode("utf-8", "backslashreplace") if isinstance(content, str) else content
