"""A process of ours beside the server: it takes lines of JSON and answers with lines of JSON."""

from __future__ import annotations

import os
import subprocess
import sys
from contextlib import suppress


def begin(module: str) -> subprocess.Popen[bytes]:
    """Start a module of ours as a process."""
    return subprocess.Popen(  # noqa: S603 - our own interpreter and a module that we name
        [sys.executable, "-m", module],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        # Ctrl-C in the terminal is for the server, which ends this process by itself.
        start_new_session=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )


def end(process: subprocess.Popen[bytes]) -> None:
    """End a process at once, whatever it is at."""
    process.kill()
    process.wait()
    if process.stdin is not None:
        with suppress(OSError):
            process.stdin.close()
