"""What stands in `cutprep.__all__` works from outside: however often, and whatever was imported before.

Importing a submodule puts it on its package under its own name, so a function of that name would be
there on the first call and a module on the second. Each run is a process of its own, since an import
can't be undone in this one.
"""

from __future__ import annotations

import inspect
import json
import pkgutil
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import cutprep

HOME = Path(cutprep.__file__).parent
ROOT = HOME.parent

#: Public function to a call of it; `tag` is a drawing, `out` a folder that is not there yet.
CALLS = {
    "check": "cutprep.check(tag)",
    "make_job": "cutprep.make_job(tag)",
    "make_rules": "cutprep.make_rules({'lid': 'cut'})",
    "mend": "cutprep.mend(tag)",
    "prepare": "cutprep.prepare(tag, out=out)",
    "prepare_job": "cutprep.prepare_job(cutprep.make_job(tag))",
    "read": "cutprep.read(tag)",
    "verify": "cutprep.verify('out-0')",
}
TAG = """<svg xmlns="http://www.w3.org/2000/svg" width="260mm" height="240mm" viewBox="0 0 260 240">
<g id="cut" fill="none" stroke="#000"><path d="M5 5H255V235H5Z"/></g></svg>"""  # one fills a sheet: laid out at once

IMPORT_ALL = """
import pkgutil, importlib
for one in pkgutil.walk_packages(cutprep.__path__, "cutprep."):
    if not one.name.endswith("__main__"):
        importlib.import_module(one.name)
"""


#: A script is run again; how long it searches for a sheet less is not the subject.
TWICE = """
import contextlib, io, runpy
from cutprep.stages.nest.item.problem import EFFORTS
EFFORTS["normal"] = EFFORTS["quick"]
told = []
for _ in range(2):
    with contextlib.redirect_stdout(io.StringIO()) as said:
        runpy.run_path("script.py")
    told.append(said.getvalue())
assert told[0] == told[1], told
print(told[0])
"""


def public_functions() -> list[str]:
    return [name for name in cutprep.__all__ if not inspect.isclass(getattr(cutprep, name))]


def in_a_process(folder: Path, script: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=folder, capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_no_public_name_is_a_submodule() -> None:
    taken = {one.name for one in pkgutil.iter_modules(cutprep.__path__)}
    assert not taken & set(cutprep.__all__)


def test_every_public_function_has_its_call() -> None:
    assert sorted(CALLS) == public_functions()


@pytest.mark.parametrize("imported", ["first", "between"])
def test_every_public_function_works_twice(tmp_path: Path, imported: str) -> None:
    """Both orders: everything imported before the first call, or between the first and the second."""
    (tmp_path / "tag.svg").write_text(TAG, encoding="utf-8")
    rows = ["import cutprep", "tag = 'tag.svg'"]
    rows += [IMPORT_ALL] if imported == "first" else []
    for turn, names in enumerate((public_functions(), public_functions()[::-1])):
        rows += [IMPORT_ALL] if imported == "between" and turn else []
        rows += [f"out = 'out-{turn}'", *(f"assert {CALLS[name]} is not None" for name in names)]
    rows += ["print('all of it')"]
    assert in_a_process(tmp_path, "\n".join(rows)).strip() == "all of it"


def test_every_public_exception_is_a_cutprep_error() -> None:
    classes = [getattr(cutprep, name) for name in cutprep.__all__]
    faults = [c for c in classes if inspect.isclass(c) and issubclass(c, BaseException)]
    assert cutprep.Stopped in faults
    assert not [c for c in faults if not issubclass(c, cutprep.CutprepError)]


def test_every_exception_of_ours_is_a_cutprep_error() -> None:
    """`except CutprepError` lets none through but three that their callers catch."""
    inner = {"TooInvolvedError", "ClipTooInvolvedError", "TooManyPointsError"}
    found = json.loads(
        in_a_process(
            ROOT,
            f"""
import cutprep, inspect, json, sys
{IMPORT_ALL}
print(json.dumps(sorted({{
    name for module in list(sys.modules.values()) if module.__name__.split(".")[0] == "cutprep"
    for name, c in vars(module).items() if inspect.isclass(c) and issubclass(c, Exception)
    and c.__module__.startswith("cutprep") and not issubclass(c, cutprep.CutprepError)
}})))""",
        )
    )
    assert set(found) == inner


def test_the_readme_s_python_runs_as_it_is_written_and_again(tmp_path: Path) -> None:
    code = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    assert code
    shutil.copytree(ROOT / "samples", tmp_path / "samples")
    (tmp_path / "script.py").write_text("\n".join(code), encoding="utf-8")
    told = in_a_process(tmp_path, TWICE)
    assert "cut" in told
    assert "sheet-01.hpgl" in told
    assert (tmp_path / "cartons" / "job-sheet.html").is_file()
