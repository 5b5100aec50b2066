"""Files and functions stay of a size that a reader can hold in mind."""

from __future__ import annotations

import ast
from pathlib import Path
from statistics import median, quantiles

import cutprep

HOME = Path(cutprep.__file__).parent
LONGEST_FILE = 400
LONGEST_FUNCTION = 80

#: File (or file:function) to the reason why it is longer.
EXCEPTIONS: dict[str, str] = {
    "cli/app.py:prepare": "its signature is the list of options, one row each; the body is short",
}


def _body_lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    first = node.body[0]
    has_doc = isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)
    doc = (first.end_lineno or 0) - first.lineno + 1 if has_doc else 0
    return (node.end_lineno or 0) - node.lineno + 1 - doc


def _functions() -> dict[str, int]:
    found = {}
    for path in sorted(HOME.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                found[f"{path.relative_to(HOME).as_posix()}:{node.name}"] = _body_lines(node)
    return found


def _files() -> dict[str, int]:
    return {
        path.relative_to(HOME).as_posix(): len(path.read_text(encoding="utf-8").splitlines())
        for path in sorted(HOME.rglob("*.py"))
        if path.name != "__init__.py"
    }


def test_files_are_short() -> None:
    """No file beyond the limit without a named reason."""
    assert not {k: v for k, v in _files().items() if v > LONGEST_FILE and k not in EXCEPTIONS}


def test_functions_are_short() -> None:
    """No function beyond the limit, and nine in ten below 35 lines."""
    functions = _functions()
    assert not {k: v for k, v in functions.items() if v > LONGEST_FUNCTION and k not in EXCEPTIONS}
    lengths = list(functions.values())
    assert median(lengths) <= 12
    assert quantiles(lengths, n=10)[-1] <= 35


def test_exceptions_are_still_needed() -> None:
    """An exception that no longer stands out is taken off the list."""
    sizes = {**_files(), **_functions()}
    for name in EXCEPTIONS:
        limit = LONGEST_FUNCTION if ":" in name else LONGEST_FILE
        assert sizes.get(name, 0) > limit, name
