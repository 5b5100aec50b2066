"""Settings of all tests: examples are the same in every run, and none is held to a time, since a loaded machine would
fail it; nothing of hers is read. `python -m tests.seeds` draws other examples.
"""

from __future__ import annotations

import gc
import os
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import typer.testing
from hypothesis import settings

from cutprep.stages.nest.item.problem import EFFORTS

settings.register_profile("same", deadline=None, derandomize=True, database=None)
settings.register_profile("random", deadline=None, derandomize=False, database=None, print_blob=True)
settings.load_profile("same")

#: A folder that is not there stands for the maker's own: what whoever runs the tests has remembered is not read.
os.environ["CUTPREP_FOLDER"] = str(Path(tempfile.gettempdir()) / "cutprep-tests" / "no-folder")


#: What shares more than a file: one desk and browser, the package parsed once, the jobs that readings are of.
DESK, HOUSE, READINGS = "tests/desk/", "tests/house/", "test_readings.py"
#: Each of them goes through every kind of template, folded once for all of a process.
KINDS = (
    "template/test_expected.py", "template/test_kinds.py", "report/test_pages.py", "assembly/test_order.py",
    "assembly/test_templates.py", "hands/test_together.py", "stages/fold/test_templates.py",
)  # fmt: skip


def pytest_collection_finish() -> None:
    """What was collected stays until the end: looking through it for garbage took a seventh of the tests' time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 50)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> object | None:
    """A file's tests stay in one process, so that what they share is made once."""
    if config.getvalue("dist") != "load":
        return None
    from xdist.scheduler import LoadScopeScheduling

    class ByFile(LoadScopeScheduling):  # type: ignore[misc,unused-ignore]
        def _split_scope(self, nodeid: str) -> str:
            file = nodeid.partition("::")[0]
            together = (
                name for name in (DESK, HOUSE, READINGS) if file.startswith(name) or file.endswith(name)
            )
            return next(together, file)

        def _assign_work_unit(self, node: Any) -> None:
            # What takes longest begins first, and no processor is left alone with it at the end.
            if DESK in self.workqueue:
                self.workqueue.move_to_end(DESK, last=False)
            super()._assign_work_unit(node)

    return ByFile(config, log)


_STEPPED_BACK: list[str] = []


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Of three processes on two processors the one that has the desk, its browser and its engine goes first: it takes longest."""
    worker = os.environ.get("PYTEST_XDIST_WORKER")
    if worker and not _STEPPED_BACK and hasattr(os, "nice"):
        _STEPPED_BACK.append(worker)
        os.nice(0 if item.nodeid.startswith(DESK) else 5)


# The commands of an app are the same for every run of it; a runner works them out anew, which takes a tenth of a test.
typer.testing._get_command = cache(typer.testing._get_command)


@pytest.fixture(scope="session")
def browser() -> Iterator[object]:
    """One browser for every page that is opened; what drives it is loaded when it is needed."""
    from tests.browsing import started

    with started() as one:
        yield one


@pytest.fixture(scope="module")
def brief_search() -> Iterator[None]:
    """`normal` and `thorough` look for no more than `quick` does: for tests of which the layout is not the subject."""
    usual = dict(EFFORTS)
    EFFORTS.update(dict.fromkeys(usual, usual["quick"]))
    yield
    EFFORTS.update(usual)
