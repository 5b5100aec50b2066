"""Habits that a reader relies on: no stray randomness, no stray tolerance, typed and documented names."""

from __future__ import annotations

import ast
import re
import subprocess
from pathlib import Path

import pytest

import cutprep
from tests.parsed import sources

ROOT = Path(cutprep.__file__).parents[1]

#: A small number may stand elsewhere when its line says why: `# not a tolerance: <reason>`.
REASON = "# not a tolerance: "


def test_randomness_comes_from_a_seed() -> None:
    """Only generators made from the job's seed; the global ones repeat nothing."""
    stray = re.compile(
        r"\bnp\.random\.(?!default_rng|SeedSequence|Generator)\w+|\bimport random\b|\brandom\.(random|shuffle)"
    )
    assert not [source.name for source in sources() if stray.search(source.text)]


def test_tolerances_stand_in_one_place() -> None:
    """Literals below 0.01 belong into tolerance.py or geometry/."""
    wrong = []
    for name, text, _, nodes in sources():
        if name == "tolerance.py" or name.startswith(("geometry/", "template/")):
            continue
        rows = text.splitlines()
        for node in nodes:
            small = (
                isinstance(node, ast.Constant)
                and isinstance(node.value, float)
                and 0 < abs(node.value) < 0.01
            )
            if small and REASON not in rows[node.lineno - 1]:
                wrong.append(f"{name}:{node.lineno}")
    assert not wrong, "\n".join(wrong)


def test_tolerance_is_handed_on() -> None:
    """Only the edges make one; below them it is an argument, and its plain figures are constants beside it."""
    wrong = []
    for name, text, _, nodes in sources():
        if name.startswith(("job/", "cli/", "desk/working/")) or name == "tolerance.py":
            continue
        wrong += [
            f"{name}:{node.lineno}"
            for node in nodes
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Tolerance"
        ]
        if re.search(r"default_factory=Tolerance", text):
            wrong.append(name)
        if re.search(r"tolerance import .*\bSTANDARD\b", text) and name != "stages/nest/nesting.py":
            wrong.append(f"{name} takes the standard one; only a frozen request may name it as its default")
    assert not wrong, "\n".join(wrong)


def test_nothing_is_printed_below_the_command_line() -> None:
    """The library returns values; only the command line speaks."""
    for name, text, *_ in sources():
        if not name.startswith("cli/"):
            assert not re.search(r"^\s*print\(", text, re.MULTILINE), name


def test_public_names_are_sorted_and_there() -> None:
    """`__all__` is complete, sorted and loads."""
    assert list(cutprep.__all__) == sorted(cutprep.__all__)
    for name in cutprep.__all__:
        assert getattr(cutprep, name) is not None
    assert set(cutprep.__all__) == set(cutprep._WHERE)


def test_the_top_level_holds_what_the_design_card_allows() -> None:
    """README.md, DEVELOPERS.md, pyproject.toml, cutprep, tests, samples, docs; dotfiles."""
    try:
        tracked = subprocess.run(
            ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
        ).stdout.split()
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("this is no git checkout")
    found = {name.split("/")[0] for name in tracked if not name.startswith(".")}
    assert found <= {"README.md", "DEVELOPERS.md", "pyproject.toml", "cutprep", "tests", "samples", "docs"}


def test_a_class_name_stands_for_one_thing() -> None:
    """Whoever reads `Part` in a traceback knows which one is meant."""
    owners: dict[str, list[str]] = {}
    for name, _, tree, _ in sources():
        for node in tree.body:
            if isinstance(node, ast.ClassDef):
                owners.setdefault(node.name, []).append(name)
    assert not {name: files for name, files in owners.items() if len(files) > 1}
