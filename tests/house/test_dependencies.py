"""What is imported is declared, what is declared is imported, and docs/DEPENDENCIES.md says why."""

from __future__ import annotations

import ast
import re
import sys
import tomllib

from tests.parsed import HOME, sources

ROOT = HOME.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def names(requirements: list[str]) -> set[str]:
    """Names without versions; references to our own extras left out."""
    found = {re.split(r"[<>=!\[;]", row)[0].strip().lower() for row in requirements}
    return found - {"cutprep"}


def imported() -> set[str]:
    """Top names of everything foreign that the package imports, by name or by `importlib`."""
    found = set()
    for source in sources():
        for node in source.nodes:
            if isinstance(node, ast.Import):
                found |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and not node.level:
                found.add((node.module or "").split(".")[0])
        found |= set(re.findall(r'import_module\("(\w+)[."]', source.text))
    return found - set(sys.stdlib_module_names) - {"cutprep", "__future__"}


#: Library to the one that loads it when it is there: nothing of ours imports it.
LOADED_BY_ANOTHER = {"python-multipart": "starlette"}

#: Library to its module, where that has another name.
NAMED_OTHERWISE = {"pyserial": "serial"}


def test_imports_and_declarations_agree() -> None:
    # A module is named as its package, but for capitals and hyphens.
    declared = {name.replace("-", "") for name in names(PROJECT["dependencies"]) - set(LOADED_BY_ANOTHER)}
    declared = {NAMED_OTHERWISE.get(name, name) for name in declared}
    assert {name.lower().replace("_", "") for name in imported()} == declared | {
        "resvgpy", "pil", "fonttools",
    }  # fmt: skip
    assert set(LOADED_BY_ANOTHER.values()) <= names(PROJECT["dependencies"])
    assert names(PROJECT["optional-dependencies"]["png"]) == {"resvg_py"}
    assert names(PROJECT["optional-dependencies"]["print"]) == {"resvg_py", "pillow"}
    assert names(PROJECT["optional-dependencies"]["fonts"]) == {"fonttools"}


def test_every_dependency_has_its_reason() -> None:
    page = (ROOT / "docs" / "DEPENDENCIES.md").read_text(encoding="utf-8").lower()
    every = names(PROJECT["dependencies"]).union(*map(names, PROJECT["optional-dependencies"].values()))
    assert not [name for name in sorted(every) if not re.search(rf"\b{re.escape(name)}\b", page)]


def test_no_row_is_about_what_is_not_used() -> None:
    page = (ROOT / "docs" / "DEPENDENCIES.md").read_text(encoding="utf-8")
    every = names(PROJECT["dependencies"]).union(*map(names, PROJECT["optional-dependencies"].values()))
    rows = re.findall(r"^\| ([a-z][\w, -]*) \|", page, re.MULTILINE)
    listed = {name.strip().lower() for row in rows for name in row.split(",")} - {"library"}
    assert listed <= every


def test_what_runs_has_the_version_that_it_was_tested_with() -> None:
    """Whoever runs into trouble learns with which versions there was none."""
    page = (ROOT / "docs" / "DEPENDENCIES.md").read_text(encoding="utf-8")
    listed = page.partition("## Versions tested")[2].partition("\n## ")[0].lower()
    every = names(PROJECT["dependencies"]).union(
        *(names(PROJECT["optional-dependencies"][extra]) for extra in ("png", "print", "fonts", "test"))
    )
    assert not [name for name in sorted(every) if not re.search(rf"\b{re.escape(name)}\s\d", listed)]
