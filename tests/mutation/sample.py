"""Which mutants are tried: a sample of each room that stays the same while the code does."""

from __future__ import annotations

import ast
import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from difflib import unified_diff
from typing import Any


@dataclass(frozen=True)
class Room:
    """What is changed, and the tests that are to notice: patterns of files, and what pytest is given.

    Attributes
    ----------
    first
        The test that notices most, and soonest: tried before the others in small samples.
    """

    files: tuple[str, ...]
    tests: tuple[str, ...]
    first: str = ""


_UNIT, _STAGES = "tests/unit", "tests/unit/stages"
ROOMS = {
    "overlap": Room(
        ("cutprep/geometry/closeness/overlap.py", "cutprep/geometry/closeness/segment_overlaps.py"),
        (
            *(
                f"{_UNIT}/geometry/closeness/test_{name}.py"
                for name in ("cover", "overlap", "segment_overlaps")
            ),
            f"{_STAGES}/check/faults/test_stretches.py",
            "tests/outside/test_doubled_shapely.py",
        ),
    ),
    "blade": Room(
        ("cutprep/stages/blade/*.py",),
        (f"{_STAGES}/blade", "tests/outside/test_blade_tractrix.py", "tests/property/test_blade.py"),
    ),
    "motion": Room(
        ("cutprep/stages/motion/*.py",),
        (
            f"{_STAGES}/motion",
            "tests/outside/test_motion_integration.py",
            "tests/outside/test_motion_jeon.py",
            "tests/property/test_motion.py",
        ),
    ),
    "readback": Room(
        ("cutprep/stages/readback/**/*.py",),
        (
            f"{_STAGES}/readback",
            "tests/outside/test_gcode_nist.py",
            "tests/outside/test_hpgl_manuals.py",
            "tests/property/test_roundtrip_machine_file.py",
        ),
    ),
    "check": Room(
        ("cutprep/stages/check/**/*.py",), (f"{_STAGES}/check",), f"{_STAGES}/check/test_readings.py"
    ),
    "mend": Room(("cutprep/stages/mend/*.py",), (f"{_STAGES}/mend",), f"{_STAGES}/mend/test_readings.py"),
    "report": Room(("cutprep/report/**/*.py",), (f"{_UNIT}/report",), f"{_UNIT}/report/test_readings.py"),
    "job": Room(("cutprep/job/**/*.py",), (f"{_UNIT}/job",), f"{_UNIT}/job/test_readings.py"),
    "cli": Room(
        ("cutprep/cli/**/*.py",),
        # Keys pressed at a moment need a machine that is not held up.
        ("tests/cli", "--ignore=tests/cli/test_ctrl_c.py", f"{_UNIT}/test_progress_bars.py"),
        "tests/cli/test_readings.py",
    ),
    "fold": Room(("cutprep/stages/fold/**/*.py",), (f"{_STAGES}/fold",)),
    "template": Room(("cutprep/template/**/*.py",), (f"{_UNIT}/template",)),
    "nest": Room(("cutprep/stages/nest/**/*.py",), (f"{_STAGES}/nest",)),
}


class _Essence(ast.NodeTransformer):
    """Takes out what no test should hold: the wording of sentences, a fixed `fix=`, and `strict=`.

    A message may be put better at any time. `strict=` checks an invariant of our own, as an
    assertion does: without it correct code does the same.
    """

    def visit_Constant(self, node: ast.Constant) -> ast.Constant:
        if isinstance(node.value, str) and " " in node.value.strip():
            return ast.Constant("")
        return node

    def visit_Call(self, node: ast.Call) -> ast.AST:
        node.keywords = [
            word
            for word in node.keywords
            if word.arg != "strict" and not (word.arg == "fix" and isinstance(word.value, ast.Constant))
        ]
        return self.generic_visit(node)


def same_but_for_words(before: str, after: str) -> bool:
    """Whether two functions differ in wording and `strict=` only."""
    one, two = (ast.dump(_Essence().visit(ast.parse(text))) for text in (before, after))
    return one == two


@dataclass(frozen=True)
class Mutant:
    """A changed file.

    Attributes
    ----------
    file, text
        The file, below the project's folder, and what stands in it then.
    was
        What stands in it now.
    lines
        First and last line of what is changed, as the file is without it: a statement, or the head of one.
    before, after
        The function as it is and as it is changed.
    anew
        It is run while modules are loaded, so that they have to be loaded anew.
    """

    name: str
    file: str
    text: str
    was: str
    lines: tuple[int, int]
    before: str
    after: str
    anew: bool = False

    @property
    def only_words(self) -> bool:
        """Whether nothing is changed that a test should hold."""
        return same_but_for_words(self.before, self.after)

    def within(self) -> tuple[int, int]:
        """First and last line of the body of the function that is changed, or of the method of a class."""
        found = self.lines
        for node in ast.walk(ast.parse(self.was)):
            if isinstance(node, ast.FunctionDef) and node.lineno <= self.lines[0] <= (node.end_lineno or 0):
                found = (node.body[0].lineno, node.end_lineno or node.lineno)
                break  # outer ones come first
        return found

    def difference(self) -> list[str]:
        """What is changed, as rows of a small diff."""
        rows = unified_diff(self.before.splitlines(), self.after.splitlines(), n=1, lineterm="")
        return [f"# {self.name}", *list(rows)[2:]]


def run_while_loading(mutant: Mutant, reach: dict[str, Any]) -> bool:
    """Whether all tests reach some of the changed function: then modules run it as they are loaded.

    What it made then, such as a function within it, is not changed by taking over its code.
    """
    every = len(reach["seconds"]) - len(reach["failed"])
    lines = reach["lines"].get(mutant.file, {})
    first, last = mutant.within()
    return any(len(lines.get(str(line), ())) == every for line in range(first, last + 1))


def choose(names: list[str], count: int | None, seed: int, counts: Callable[[str], bool]) -> set[str]:
    """Take so many names by the order of their hashes; all when `count` is None.

    A name holds its function and a number within it, so that a change to one function leaves the
    choice elsewhere as it was.
    """
    order = sorted(names, key=lambda name: hashlib.sha256(f"{seed} {name}".encode()).digest())
    chosen: set[str] = set()
    for name in order:
        if count is not None and len(chosen) >= count:
            break
        if counts(name):
            chosen.add(name)
    return chosen
