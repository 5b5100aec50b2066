"""Double and halve every named number of the geometric core, and see whether a test notices.

The tool changes what stands inside functions; limits mostly stand above them. `python -m
tests.mutation.constants` works on a copy, one number at a time, and takes some ten minutes.
"""

from __future__ import annotations

import argparse
import ast
import importlib
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.mutation.sample import ROOMS
from tests.mutation.trial import TO_THE_FIRST

_ROOT = Path(__file__).parents[2]
_TESTS = {
    "overlap": (
        "tests/unit/geometry/closeness/test_segment_overlaps.py",
        "tests/unit/geometry/closeness/test_overlap.py",
        "tests/unit/stages/check/faults/test_stretches.py",
        "tests/outside/test_doubled_shapely.py",
    ),
    "blade": ("tests/unit/stages/blade", "tests/outside/test_blade_tractrix.py"),
    "motion": ("tests/unit/stages/motion", "tests/outside/test_motion_jeon.py"),
    "readback": (
        "tests/unit/stages/readback",
        "tests/outside/test_gcode_nist.py",
        "tests/outside/test_hpgl_manuals.py",
    ),
}


@dataclass(frozen=True, slots=True)
class Constant:
    """A number above all functions: in which file, called what, and where its value stands."""

    file: str
    name: str
    begin: int
    end: int
    whole: bool

    def changed(self, text: str, change: str) -> str:
        """The file's text with the value changed."""
        by = change.replace("/", "//") if self.whole else change
        return f"{text[: self.begin]}({text[self.begin : self.end]}){by}{text[self.end :]}"


def constants(file: Path) -> Iterator[Constant]:
    """All numbers of a file that have a name in capitals."""
    text = file.read_text(encoding="utf-8")
    starts = [0]
    for row in text.splitlines(keepends=True):
        starts.append(starts[-1] + len(row))
    path = file.relative_to(_ROOT)
    module = importlib.import_module(".".join(path.with_suffix("").parts))
    for node in ast.parse(text).body:
        target = node.targets[0] if isinstance(node, ast.Assign) else getattr(node, "target", None)
        value = getattr(node, "value", None)
        pairs = [(target, value)]
        if isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
            pairs = list(zip(target.elts, value.elts, strict=True))
        for name, held in pairs:
            if isinstance(name, ast.Name) and name.id.isupper() and isinstance(held, ast.expr):
                number = getattr(module, name.id)
                if isinstance(number, int | float) and not isinstance(number, bool):
                    # The files are ASCII on these rows, so that columns of bytes are those of letters.
                    begin = starts[held.lineno - 1] + held.col_offset
                    end = starts[(held.end_lineno or 0) - 1] + (held.end_col_offset or 0)
                    yield Constant(path.as_posix(), name.id, begin, end, isinstance(number, int))


def noticed(work: Path, constant: Constant, change: str, tests: tuple[str, ...]) -> bool:
    """Whether the room's tests fail, or never end, with the changed number."""
    file = work / constant.file
    text = file.read_text(encoding="utf-8")
    file.write_text(constant.changed(text, change), encoding="utf-8")
    command = [sys.executable, "-m", "pytest", *TO_THE_FIRST, *tests]
    try:
        done = subprocess.run(
            command,
            cwd=work,
            env={**os.environ, "PYTHONPATH": str(work)},
            capture_output=True,
            timeout=300,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return True
    finally:
        file.write_text(text, encoding="utf-8")
    return done.returncode != 0


def main() -> None:
    """Try every number; print a table and what no test noticed."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation.constants")
    parser.add_argument("--room", choices=sorted(_TESTS), action="append")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        for name in ("cutprep", "tests", "samples"):
            shutil.copytree(_ROOT / name, work / name, ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy2(_ROOT / "pyproject.toml", work)
        for room in given.room or _TESTS:
            files = [file for pattern in ROOMS[room].files for file in sorted(_ROOT.glob(pattern))]
            tried = [(c, change) for file in files for c in constants(file) for change in (" * 2", " / 2")]
            missed = [(c, change) for c, change in tried if not noticed(work, c, change, _TESTS[room])]
            killed = len(tried) - len(missed)
            print(
                f"{room:9} {len(tried):3} changes of numbers, {killed:3} noticed: {killed / max(len(tried), 1):.0%}"
            )
            for constant, change in missed:
                print(f"    {constant.file} {constant.name}{change}", flush=True)


if __name__ == "__main__":
    main()
