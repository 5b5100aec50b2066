"""Whoever calls a function learns from its docstring what it takes and gives.

A public function of four or more parameters has a Parameters section; one that takes or gives arrays says of what
shape.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

from tests.parsed import sources

MANY = 4
ARRAYS = {"Points", "Index", "Flags", "Sources", "Codes", "Angles", "NDArray"}
#: (n,), (n, 2), (2 m, 2), (k, d, 2), (m + 1,)
SHAPE = re.compile(r"\((?:\d+ )?\w+(?: [+*-] \w+)?,(?: (?:\d+ )?\w+,?)*\)")

#: A command's parameters are options, and each option says in its help what it is for.
COMMANDS = ("cli/",)


def _public() -> Iterator[tuple[str, ast.FunctionDef]]:
    for name, _, tree, _ in sources():
        if name.startswith(COMMANDS):
            continue
        owners = [("", tree), *((c.name + ".", c) for c in tree.body if isinstance(c, ast.ClassDef))]
        for owner, body in owners:
            for node in body.body:
                hidden = owner.startswith("_") or getattr(node, "name", "_").startswith("_")
                if isinstance(node, ast.FunctionDef) and not hidden:
                    yield f"{name}: {owner}{node.name}", node


def _arguments(node: ast.FunctionDef) -> list[ast.arg]:
    every = (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)
    return [one for one in every if one.arg not in {"self", "cls"}]


def _has_arrays(node: ast.FunctionDef) -> bool:
    said = [one.annotation for one in _arguments(node)] + [node.returns]
    return any(getattr(n, "id", "") in ARRAYS for a in said if a is not None for n in ast.walk(a))


def test_many_parameters_have_their_section() -> None:
    assert not [
        name
        for name, node in _public()
        if len(_arguments(node)) >= MANY and "Parameters\n---" not in (ast.get_docstring(node) or "")
    ]


def test_arrays_have_their_shape() -> None:
    assert not [
        name
        for name, node in _public()
        if _has_arrays(node) and not SHAPE.search(ast.get_docstring(node) or "")
    ]
