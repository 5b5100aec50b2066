"""One mutant against the tests that reach it, in a process of its own, to the first that fails.

The process is split off from one that has loaded the libraries and nothing of cutprep, so that nothing is kept from one
to the next; and no compiled file is written of what is changed.
"""

from __future__ import annotations

import importlib
import os
import resource
import signal
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

#: Loaded once for all: whatever takes long to load and is changed by no mutant.
_LOADED = (
    "numpy",
    "shapely",
    "ezdxf",
    "scipy.spatial",
    "hypothesis",
    "html5lib",
    "lxml.etree",
    "matplotlib",
    "pytest",
)
#: How pytest is asked: to the first test that fails.
TO_THE_FIRST = ("-x", "-q", "-n0", "-p", "no:cacheprovider", "-p", "tests.mutation.quick")
#: Which of pytest's warnings is no fault then.
_LOADED_BEFORE = "ignore::pytest.PytestAssertRewriteWarning"
#: How much longer than without a change the tests may take of the processor, and how long in any case, s.
_TIMES, _LEAST = 6.0, 30.0
#: Time by the clock after which tests wait for something that never comes, s.
_WAITED = 1200
#: What became of a mutant.
KILLED, SURVIVED, TOO_LONG, NOT_RUN = "killed", "survived", "ran too long", "not run"
_USAGE = 4


def load() -> None:
    """Load the libraries."""
    for name in _LOADED:
        importlib.import_module(name)


@contextmanager
def changed(path: Path, text: str) -> Iterator[None]:
    """Have another text in a file for a while; its date comes back as well, so that what was compiled of it is good again."""
    before, stat = path.read_bytes(), path.stat()
    path.write_text(text, encoding="utf-8")
    try:
        yield
    finally:
        path.write_bytes(before)
        os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))


def fate_of(tests: Sequence[str], seconds: float) -> str:
    """Run tests on the code as it stands in this folder.

    Parameters
    ----------
    tests
        What pytest is given.
    seconds
        How long they take of the processor without any change.
    """
    child = os.fork()
    if child == 0:
        _run(tests, int(_LEAST + _TIMES * seconds))
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        late = {signal.SIGXCPU, signal.SIGKILL, signal.SIGALRM}
        return TOO_LONG if os.WTERMSIG(status) in late else KILLED
    code = os.WEXITSTATUS(status)
    return NOT_RUN if code == _USAGE else KILLED if code else SURVIVED


def _run(tests: Sequence[str], most: int) -> None:
    """Never comes back."""
    import sys

    import pytest

    resource.setrlimit(resource.RLIMIT_CPU, (most, most + 5))
    signal.alarm(_WAITED)
    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    silent = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silent, 1)
    os.dup2(silent, 2)
    code = 1
    try:
        code = int(pytest.main([*TO_THE_FIRST, "-W", _LOADED_BEFORE, *tests]))
    finally:
        os._exit(code)
