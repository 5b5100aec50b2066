"""The runs of mutants (`python -m tests.mutation`) tell what a test notices from what it does not, on a project of two files."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.mutation.sample import Mutant, run_while_loading

ROOT = Path(__file__).parents[2]
PRICE = """def price(sheets):
    return sheets * each()


def each():
    return 0.4
"""
CHECK = """import functools
from cutprep.price import price

@functools.cache
def paid():
    return price(3)

def test_one():
    assert paid() > 1

def test_other():
    assert paid() < 2

def test_none():
    pass
"""
RUN = """import sys
from pathlib import Path
from tests.mutation.sample import Mutant
from tests.mutation.trial import collect
was = Path("cutprep/price.py").read_text()
changes = [("*", "+"), ("0.4", "0.5"), ("* each", "/ each")]
mutants = [Mutant(old, "cutprep/price.py", was.replace(old, new), was, (2, 2), "", "") for old, new in changes]
mutants.append(Mutant("anew", "cutprep/price.py", was.replace("*", "+"), was, (2, 2), "", "", anew=True))
tests = [f"checks/test_price.py::test_{name}" for name in ("none", "one", "other")]
def try_all(trials):
    print([trials.fate_of(Path.cwd(), one, tests, [1.0] * 3) for one in (None, *mutants)], file=sys.stderr)
collect(["checks"], try_all)
"""


@pytest.fixture
def project(tmp_path: Path) -> Path:
    for name, text in (
        ("cutprep/__init__.py", ""),
        ("cutprep/price.py", PRICE),
        ("checks/test_price.py", CHECK),
    ):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "pytest.ini").write_text("[pytest]\n", encoding="utf-8")
    return tmp_path


def _env(project: Path, **more: str) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": f"{project}{os.pathsep}{ROOT}", **more}


def test_what_a_test_notices_is_told_as_killed_and_nothing_else(project: Path) -> None:
    """One after the other, of files of one length: nothing of one is taken for the next."""
    done = subprocess.run(
        [sys.executable, "-c", RUN],
        cwd=project,
        env=_env(project),
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr.strip() == "['survived', 'killed', 'survived', 'killed', 'killed']"
    assert (project / "cutprep" / "price.py").read_text(encoding="utf-8") == PRICE


def test_what_modules_made_as_they_were_loaded_is_loaded_anew() -> None:
    """A function within another, made once at the top of its module, stays as it was when the outer one is taken over."""
    was = "def form(least):\n    def read(text):\n        return int(text) > least\n    return read\n\n\nabove = form(3)\n"
    mutant = Mutant("form", "cutprep/form.py", was.replace(">", ">="), was, (3, 3), "", "")
    reach = {
        "seconds": {"one": 1.0, "other": 1.0},
        "failed": [],
        "lines": {"cutprep/form.py": {"3": ["one"]}},
    }
    assert mutant.within() == (2, 4)
    assert not run_while_loading(mutant, reach)
    reach["lines"]["cutprep/form.py"]["2"] = ["one", "other"]
    assert run_while_loading(mutant, reach)


def test_who_asks_for_what_is_kept_reaches_all_that_made_it(project: Path) -> None:
    pytest.importorskip("coverage")
    env = _env(
        project, CUTPREP_REACH_FILES=str(project / "cutprep" / "*"), CUTPREP_REACH_MAP=str(project / "map")
    )
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "-p",
        "no:cacheprovider",
        "-p",
        "tests.mutation.reach",
        "checks",
    ]
    subprocess.run(command, cwd=project, env=env, capture_output=True, check=True)
    found = json.loads((project / "map").read_text(encoding="utf-8"))
    lines = {
        int(line): {test.rpartition(":")[2] for test in tests}
        for line, tests in found["lines"]["cutprep/price.py"].items()
    }
    assert lines[2] == lines[6] == {"test_one", "test_other"}
    assert len(found["seconds"]) == 3
    assert not found["failed"]
