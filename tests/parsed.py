"""The package as its source says it, read and parsed once for all rules that are held to it."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path
from typing import NamedTuple

import cutprep

HOME = Path(cutprep.__file__).parent


class Source(NamedTuple):
    """A module: its path below the package, its text, its tree, and every node of the tree."""

    name: str
    text: str
    tree: ast.Module
    nodes: tuple[ast.AST, ...]


@cache
def sources() -> tuple[Source, ...]:
    """Every module of the package, by name."""
    found = []
    for path in sorted(HOME.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        tree = ast.parse(text)
        found.append(Source(path.relative_to(HOME).as_posix(), text, tree, tuple(ast.walk(tree))))
    return tuple(found)
