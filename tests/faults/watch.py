"""Seeing that a file is opened, by whichever library, below Python too (Linux: inotify)."""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

_OPENED = 0x20 | 0x1  # IN_OPEN, IN_ACCESS: <sys/inotify.h>
#: Whether this system can tell.
ABLE = sys.platform == "linux"


@dataclass
class Watched:
    """How many times the file was opened or read; counted when the watch ends."""

    events: int = 0
    files: list[str] = field(default_factory=list)


@contextmanager
def opened(*paths: Path) -> Iterator[Watched]:
    """Count every opening of some files, from any process."""
    libc = ctypes.CDLL(None, use_errno=True)
    handle = libc.inotify_init1(os.O_NONBLOCK | os.O_CLOEXEC)
    if handle < 0:
        raise OSError(ctypes.get_errno(), "inotify_init1")
    seen = Watched()
    try:
        names = {}
        for path in paths:
            mark = libc.inotify_add_watch(handle, os.fsencode(path), _OPENED)
            if mark < 0:
                raise OSError(ctypes.get_errno(), "inotify_add_watch")
            names[mark] = path.name
        yield seen
        try:
            data = os.read(handle, 65536)
        except BlockingIOError:
            data = b""
        while data:  # struct inotify_event: int wd; uint32 mask, cookie, len; char name[len]
            mark, length = int.from_bytes(data[:4], sys.byteorder), int.from_bytes(data[12:16], sys.byteorder)
            seen.events += 1
            seen.files.append(names[mark])
            data = data[16 + length :]
    finally:
        os.close(handle)
