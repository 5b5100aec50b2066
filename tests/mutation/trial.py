"""One mutant against the tests that reach it, in a process of its own, to the first that fails.

The tests of a room are collected once. For each mutant a process is split off there, in which no test has run, so that
nothing is kept from one to the next; it takes over the changed function, and runs those tests. What is changed stands in
the file as well, for processes that tests start; and no compiled file is written of it.
"""

from __future__ import annotations

import itertools
import os
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import CodeType, FunctionType, MethodType
from typing import Any

import pytest

from tests.mutation.sample import Mutant

_USUAL = ("-q", "-n0", "-p", "no:cacheprovider", "-p", "tests.mutation.quick")
#: How pytest is asked: to the first test that fails.
TO_THE_FIRST = ("-x", *_USUAL)
#: How much longer than without a change a test may take of the processor, and how long in any case, s.
_TIMES, _LEAST = 6.0, 20.0  # a test may have to make what another made for it before
#: Time by the clock after which tests wait for something that never comes, s.
_WAITED = 1800
#: What became of a mutant.
KILLED, SURVIVED, TOO_LONG, NOT_RUN = "killed", "survived", "ran too long", "not run"
_USAGE = 4


#: Seconds by which the dates of changed files differ from the first and from each other.
_DATES = itertools.count(10)


@contextmanager
def changed(path: Path, text: str) -> Iterator[None]:
    """Have another text in a file for a while, of another date, or what was compiled of the first would be taken for it.

    Its date comes back as well, so that what was compiled of it is good again.
    """
    before, stat = path.read_bytes(), path.stat()
    path.write_text(text, encoding="utf-8")
    os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns - next(_DATES) * 1_000_000_000))
    try:
        yield
    finally:
        path.write_bytes(before)
        os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))


def _bound(seconds: float) -> None:
    """Let this process end when it goes on for too long; `seconds` is how long it would without a change."""
    most = int(time.process_time() + _LEAST + _TIMES * seconds)
    resource.setrlimit(resource.RLIMIT_CPU, (most, resource.RLIM_INFINITY))
    signal.alarm(_WAITED)
    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"


def _ended_by(number: int) -> str:
    return TOO_LONG if number in {signal.SIGXCPU, signal.SIGKILL, signal.SIGALRM} else KILLED


def fate_anew(tests: Sequence[str], seconds: Sequence[float]) -> str:
    """What tests say of the files as they are, in a process that loads them anew: for what is run while modules are loaded."""
    command = [sys.executable, "-m", "pytest", *TO_THE_FIRST, *tests]
    silent = subprocess.DEVNULL
    code = subprocess.run(
        command, preexec_fn=lambda: _bound(sum(seconds)), stdout=silent, stderr=silent, check=False
    ).returncode
    if code < 0:
        return _ended_by(-code)
    return NOT_RUN if code == _USAGE else KILLED if code else SURVIVED


def take_over(mutant: Mutant) -> tuple[FunctionType, CodeType] | None:
    """The function that is loaded, and what it does when it is changed; None where its module has to be loaded anew."""
    module = sys.modules.get(mutant.file.removesuffix(".py").replace("/", "."))
    now, then = _codes(mutant.was, mutant.file), _codes(mutant.text, mutant.file)
    other = [
        name
        for name in now.keys() & then.keys()
        if now[name].co_code != then[name].co_code or not _same(now[name], then[name])
    ]
    if module is None or len(other) != 1 or now.keys() != then.keys():
        return None
    found: Any = module
    for part in other[0].split("."):
        found = vars(found).get(part)
        if found is None:
            return None
    found = getattr(found, "__func__", found)
    if isinstance(found, MethodType) or not isinstance(found, FunctionType):
        return None
    code = then[other[0]]
    return (found, code) if found.__code__.co_freevars == code.co_freevars else None


def _same(one: CodeType, other: CodeType) -> bool:
    """Whether two pieces of code do the same, by what stands in them."""
    if (one.co_code, one.co_names, one.co_varnames) != (other.co_code, other.co_names, other.co_varnames):
        return False
    return len(one.co_consts) == len(other.co_consts) and all(
        _same(a, b)
        if isinstance(a, CodeType) and isinstance(b, CodeType)
        else (type(a), repr(a)) == (type(b), repr(b))
        for a, b in zip(one.co_consts, other.co_consts, strict=True)
    )


def _codes(text: str, file: str) -> dict[str, CodeType]:
    """Every function of a file, above all others or of a class, by its name."""
    found: dict[str, CodeType] = {}

    def look(code: CodeType, within: str) -> None:
        for one in code.co_consts:
            if isinstance(one, CodeType) and "<" not in one.co_name:
                name = f"{within}{one.co_name}"
                if (
                    one.co_flags & 0x2
                ):  # a function, with names of its own (CO_NEWLOCALS): inspect's page has the numbers
                    found[name] = one
                else:
                    look(one, f"{name}.")

    look(compile(text, str(Path(file).resolve()), "exec", dont_inherit=True), "")
    return found


class Trials:
    """A plugin of pytest: what is collected is not run, but tried on one mutant after the other."""

    def __init__(self, try_all: Callable[[Trials], None]) -> None:
        self._try_all = try_all
        self._items: dict[str, pytest.Item] = {}

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Hand over to whoever has the mutants."""
        self._items = {item.nodeid: item for item in session.items}
        self._try_all(self)
        return True

    def fate_of(
        self, root: Path, mutant: Mutant | None, tests: Sequence[str], seconds: Sequence[float]
    ) -> str:
        """What becomes of a mutant; of the code as it is, where there is none.

        Parameters
        ----------
        root
            The project's folder.
        mutant
            What is changed.
        tests
            Names of those that are run, in this order; all of them must be collected.
        seconds
            How long each takes of the processor without any change.
        """
        if mutant is None:
            return self._split_off(None, tests, seconds)
        swap = take_over(mutant)
        with changed(root / mutant.file, mutant.text):
            return (
                fate_anew(tests, seconds)
                if swap is None or mutant.anew
                else self._split_off(swap, tests, seconds)
            )

    def _split_off(
        self, swap: tuple[FunctionType, CodeType] | None, tests: Sequence[str], seconds: Sequence[float]
    ) -> str:
        items = [self._items[test] for test in tests]
        child = os.fork()
        if child == 0:
            self._run(swap, items, seconds)
        _, status = os.waitpid(child, 0)
        if os.WIFSIGNALED(status):
            return _ended_by(os.WTERMSIG(status))
        return KILLED if os.WEXITSTATUS(status) else SURVIVED

    def _run(
        self,
        swap: tuple[FunctionType, CodeType] | None,
        items: Sequence[pytest.Item],
        seconds: Sequence[float],
    ) -> None:
        """Never comes back."""
        code = 1
        try:
            silent = os.open(os.devnull, os.O_RDWR)
            os.dup2(silent, 1)
            os.dup2(silent, 2)
            if swap is not None:
                swap[0].__code__ = swap[1]
            for item, following, each in zip(items, (*items[1:], None), seconds, strict=True):
                _bound(each)
                item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
                if item.session.testsfailed:
                    os._exit(1)
            code = 0
        finally:
            os._exit(code)


def collect(tests: Sequence[str], try_all: Callable[[Trials], None]) -> None:
    """Collect tests, and hand them over."""
    code = pytest.main([*_USUAL, "-s", *tests], plugins=[Trials(try_all)])
    if code != pytest.ExitCode.OK:
        raise SystemExit(f"the run ended early: pytest says {code!r}")
