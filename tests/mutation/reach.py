"""Which tests reach which lines: a plugin of pytest for one run of a room's tests without any change.

What a test asks of a cache, or of a fixture that others use as well, is made once and by whichever test comes first.
It is noted as what it is, and who asks for it reaches all that made it: or else a change there would be tried against
that first test alone.
"""

from __future__ import annotations

import functools
import json
import os
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import coverage
import pytest

_LOADING = "loading"
#: Where the files whose lines are noted stand, as a list of patterns; and where the map is written.
FILES, MAP = "CUTPREP_REACH_FILES", "CUTPREP_REACH_MAP"


class Reach:
    """What is being run, and what has asked for what."""

    def __init__(self, files: list[str]) -> None:
        self._stack = [_LOADING]
        self._asked: defaultdict[str, set[str]] = defaultdict(set)
        self.seconds: dict[str, float] = {}
        self.failed: set[str] = set()
        self._coverage = coverage.Coverage(data_file=None, config_file=False, include=files)
        self._coverage.start()
        self._coverage.switch_context(_LOADING)

    @contextmanager
    def within(self, what: str) -> Iterator[None]:
        """While this is run, lines are noted for it."""
        self._stack.append(what)
        self._coverage.switch_context(what)
        try:
            yield
        finally:
            self._stack.pop()
            self._coverage.switch_context(self._stack[-1])

    def asks(self, what: str, by: str = "") -> None:
        """Whoever is run now, or another, reaches what that reaches."""
        self._asked[by or self._stack[-1]].add(what)

    def _all_of(self, test: str) -> set[str]:
        found, left = {_LOADING}, [test]
        while left:
            one = left.pop()
            if one not in found:
                found.add(one)
                left += self._asked[one]
        return found

    def lines(self) -> dict[str, dict[int, list[str]]]:
        """Of each file and line the tests that reach it."""
        self._coverage.stop()
        data = self._coverage.get_data()
        tests: defaultdict[str, list[str]] = defaultdict(list)
        for test in self.seconds.keys() - self.failed:
            for one in self._all_of(test):
                tests[one].append(test)
        return {
            os.path.relpath(file): {
                line: sorted({test for one in by for test in tests[one]})
                for line, by in data.contexts_by_lineno(file).items()
            }
            for file in data.measured_files()
        }


def noting(make: Callable[..., Any], reach: Reach) -> Callable[..., Any]:
    """`functools.cache`, but what is kept is noted for everyone who asks for it."""
    here = f"{Path.cwd()}{os.sep}"

    def kept(function: Callable[..., Any]) -> Callable[..., Any]:
        code = getattr(function, "__code__", None)
        if code is None or not code.co_filename.startswith(here):
            return make(function)  # a library's

        def called(args: Any, words: Any) -> str:
            return f"{function.__module__}.{function.__qualname__} {hash((args, *words.items()))}"

        @functools.wraps(function)
        def made(*args: Any, **words: Any) -> Any:
            with reach.within(called(args, words)):
                return function(*args, **words)

        cached = make(made)

        @functools.wraps(function)
        def asked(*args: Any, **words: Any) -> Any:
            reach.asks(called(args, words))
            return cached(*args, **words)

        for name in ("cache_clear", "cache_info"):
            setattr(asked, name, getattr(cached, name))
        return asked

    return kept


class _Plugin:
    def __init__(self, reach: Reach, written: Path) -> None:
        self._reach, self._written = reach, written

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        for name, found in item._fixtureinfo.name2fixturedefs.items():  # type: ignore[attr-defined]
            if found[-1].scope != "function":
                self._reach.asks(f"fixture {found[-1].baseid} {name}", by=item.nodeid)
        before = time.process_time()
        with self._reach.within(item.nodeid):
            yield
        self._reach.seconds[item.nodeid] = time.process_time() - before

    @pytest.hookimpl(hookwrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any) -> Iterator[None]:
        if fixturedef.scope == "function":
            yield
        else:
            with self._reach.within(f"fixture {fixturedef.baseid} {fixturedef.argname}"):
                yield

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.outcome != "passed":
            self._reach.failed.add(report.nodeid)

    def pytest_sessionfinish(self) -> None:
        found = {
            "seconds": self._reach.seconds,
            "failed": sorted(self._reach.failed),
            "lines": self._reach.lines(),
        }
        self._written.write_text(json.dumps(found), encoding="utf-8")


def pytest_configure(config: pytest.Config) -> None:
    """Begin to note, before anything of ours is loaded."""
    reach = Reach(os.environ[FILES].split(os.pathsep))
    usual = functools.lru_cache
    functools.cache = noting(functools.cache, reach)  # type: ignore[assignment]
    functools.lru_cache = lambda maxsize=128, typed=False: (  # type: ignore[assignment,misc]
        noting(usual(), reach)(maxsize) if callable(maxsize) else noting(usual(maxsize, typed), reach)
    )
    config.pluginmanager.register(_Plugin(reach, Path(os.environ[MAP])))
