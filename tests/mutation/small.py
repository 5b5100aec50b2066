"""A small sample of mutants without what the tool does before: each against all tests of its room, to the first that fails.

The tool runs every test twice before the first mutant, which a sample of thirty is not worth. Here each mutant has a process
of its own, split off from one that has loaded the libraries and nothing of cutprep, so that nothing is kept from one to the next.
"""

from __future__ import annotations

import importlib
import os
import resource
import signal
from collections.abc import Sequence
from pathlib import Path

#: Most time that a mutant's tests may take of the processor, s; what takes longer never ends.
_MOST = 900
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
#: As the tool has it: a mutant whose tests never end.
TOO_LONG = 36


def load() -> None:
    """Load the libraries."""
    for name in _LOADED:
        importlib.import_module(name)


def fate_of(mutant: str, mutants: Path, *tests: Sequence[str]) -> int:
    """Exit code of pytest with one mutant: 1 where a test notices, 0 where none does.

    Parameters
    ----------
    mutant
        Its name, as the tool gives it.
    mutants
        The tool's folder of changed copies.
    tests
        What pytest is given, one after the other as long as nothing is noticed.
    """
    for some in tests:
        child = os.fork()
        if child == 0:
            _run(mutant, mutants, some)
        _, status = os.waitpid(child, 0)
        if os.WIFSIGNALED(status):
            return TOO_LONG if os.WTERMSIG(status) in (signal.SIGXCPU, signal.SIGKILL) else 1
        if os.WEXITSTATUS(status):
            return os.WEXITSTATUS(status)
    return 0


def _run(mutant: str, mutants: Path, tests: Sequence[str]) -> None:
    """Never comes back."""
    import pytest

    resource.setrlimit(resource.RLIMIT_CPU, (_MOST, _MOST + 5))
    os.environ["MUTANT_UNDER_TEST"] = mutant
    os.chdir(mutants)
    silent = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silent, 1)
    os.dup2(silent, 2)
    code = 1
    try:
        code = int(pytest.main([*TO_THE_FIRST, "-W", _LOADED_BEFORE, *tests]))
    finally:
        os._exit(code)
