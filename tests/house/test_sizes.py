"""Files and functions stay of a size that a reader can hold in mind."""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path
from statistics import median, quantiles

from tests.parsed import HOME, sources

LONGEST_FILE = 400
LONGEST_FUNCTION = 80
#: Modules of one folder; `__init__.py`, which is its guide, is not counted.
FULLEST_FOLDER = 12

#: File (or file:function) to the reason why it is longer.
EXCEPTIONS: dict[str, str] = {}
#: Folder to the reason why it holds more.
FULL_FOLDERS: dict[str, str] = {}


def _body_lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    first = node.body[0]
    has_doc = isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)
    doc = (first.end_lineno or 0) - first.lineno + 1 if has_doc else 0
    return (node.end_lineno or 0) - node.lineno + 1 - doc


def _functions() -> dict[str, int]:
    found = {}
    for source in sources():
        for node in source.nodes:
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                found[f"{source.name}:{node.name}"] = _body_lines(node)
    return found


def _files() -> dict[str, int]:
    return {
        source.name: len(source.text.splitlines())
        for source in sources()
        if Path(source.name).name != "__init__.py"
    }


def _folders() -> dict[str, int]:
    return dict(Counter(str(Path(name).parent) for name in _files()))


def test_folders_are_no_crowds() -> None:
    """Whoever opens a folder sees the order of its work; beyond a dozen files it gets wings."""
    assert not {k: v for k, v in _folders().items() if v > FULLEST_FOLDER and k not in FULL_FOLDERS}
    assert not [k for k in FULL_FOLDERS if _folders().get(k, 0) <= FULLEST_FOLDER]


def test_every_folder_of_several_modules_opens_with_a_guide() -> None:
    """The docstring of `__init__.py` names each module or wing, so that nobody has to open them all."""
    poor, guides = [], {source.name: source.tree for source in sources()}
    for folder in sorted({HOME / Path(name).parent for name in _files()} - {HOME}):
        guide = ast.get_docstring(guides[(folder / "__init__.py").relative_to(HOME).as_posix()]) or ""
        inside = {p.stem for p in folder.glob("*.py")} | {p.parent.name for p in folder.glob("*/__init__.py")}
        unnamed = {name for name in inside - {"__init__"} if f"`{name}`" not in guide}
        if unnamed and len(inside) > 2:
            poor.append(f"{folder.relative_to(HOME).as_posix()}: {', '.join(sorted(unnamed))}")
    assert not poor, "\n".join(poor)


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


def _c_functions() -> dict[str, int]:
    """Lines of each function of the C sources, which are laid out so that its last brace begins a line."""
    found = {}
    for path in sorted(HOME.rglob("*.[ch]")):
        begin = 0
        for number, row in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            if row.endswith(") {") and not row.startswith((" ", "}")):
                begin = number
            if row == "}" and begin:
                found[f"{path.name}:{begin}"], begin = number - begin + 1, 0
    return found


def test_c_sources_are_as_short() -> None:
    files = {path.name: path.read_text(encoding="utf-8").splitlines() for path in HOME.rglob("*.[ch]")}
    assert not {name: len(rows) for name, rows in files.items() if len(rows) > LONGEST_FILE}
    assert not {name for name, rows in files.items() if max(map(len, rows)) > 120}
    lengths = _c_functions()
    assert len(lengths) > 50
    assert not {name: count for name, count in lengths.items() if count > 40}


def test_exceptions_are_still_needed() -> None:
    """An exception that no longer stands out is taken off the list."""
    sizes = {**_files(), **_functions()}
    for name in EXCEPTIONS:
        limit = LONGEST_FUNCTION if ":" in name else LONGEST_FILE
        assert sizes.get(name, 0) > limit, name
