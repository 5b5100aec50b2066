"""Every public function has a caller in the product; what only tests call lives in tests/.

Names are compared, not bindings: a function that shares its name with a used one is not found out, but none is
blamed wrongly.
"""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterable, Iterator

from tests.parsed import HOME, sources

#: Function to the caller that is not ours.
CALLED_FROM_OUTSIDE = {
    "cli/options.py:GroupedCommand.format_options": "the option parser, for --help",
    "quiet.py:_Quietly.exec_module": "Python's import machinery",
    "report/page.py:_Compiled.load_bytecode": "jinja",
    "report/page.py:_Compiled.dump_bytecode": "jinja",
}


def _functions(tree: ast.Module) -> Iterator[tuple[str, ast.FunctionDef]]:
    """Public functions of a module and methods of its classes, by their qualified names."""
    for node in tree.body:
        members = node.body if isinstance(node, ast.ClassDef) else [node]
        for one in members:
            if isinstance(one, ast.FunctionDef) and not one.name.startswith("_"):
                yield (f"{node.name}.{one.name}" if isinstance(node, ast.ClassDef) else one.name), one


def _names(nodes: Iterable[ast.AST]) -> Counter[str]:
    """How often each name is used in some code, as a name, an attribute or a string (`getattr`, lazy imports)."""
    found: Counter[str] = Counter()
    for node in nodes:
        if isinstance(node, ast.Name):
            found[node.id] += 1
        elif isinstance(node, ast.Attribute):
            found[node.attr] += 1
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.isidentifier():
            found[node.value] += 1
    return found


def _is_registered(function: ast.FunctionDef) -> bool:
    """Whether a decorator hands the function to someone: `@app.command`, `@filter`."""
    return any(isinstance(d, ast.Call) and isinstance(d.func, ast.Attribute) for d in function.decorator_list)


def test_every_public_function_is_called_by_the_product() -> None:
    used: Counter[str] = Counter()
    for source in sources():
        used.update(_names(source.nodes))
    for page in HOME.rglob("*.html"):
        used.update(re.findall(r"\w+", page.read_text(encoding="utf-8")))
    idle = [
        f"{source.name}:{name}"
        for source in sources()
        for name, function in _functions(source.tree)
        if used[function.name] <= _names(ast.walk(function))[function.name] and not _is_registered(function)
    ]
    assert set(idle) <= set(CALLED_FROM_OUTSIDE)
