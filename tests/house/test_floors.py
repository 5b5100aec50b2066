"""A room imports rooms of a lower floor only, and each foreign library has its rooms."""

from __future__ import annotations

import ast
from collections.abc import Iterator

from tests.parsed import Source, sources

FLOOR = {
    "quiet": 0,
    "errors": 0,
    "files": 0,
    "units": 0,
    "tolerance": 0,
    "progress": 0,
    "tables": 0,
    "limits": 0,
    "model": 1,
    "geometry": 2,
    "profile": 3,
    **dict.fromkeys(
        [
            "read", "classify", "check", "mend", "divide", "nest", "order", "blade", "motion", "write",
            "readback", "fold", "report", "template",
        ],
        4,
    ),
    "stages": 4,
    "job": 5,
    "link": 6,
    "desk": 7,
    "cli": 8,
    "__init__": 9,
    "__main__": 9,
}  # fmt: skip

#: Inside floor 0 the errors come first and the limits last.
FLOOR_0 = ["quiet", "errors", "files", "progress", "tolerance", "units", "tables", "limits"]

#: Library: rooms (or files) that may import it.
FOREIGN = {
    "ezdxf": ("stages/read/dxf", "stages/write/dxf"),
    "lxml": ("stages/read/svg", "stages/write/svg"),
    "svgelements": ("stages/read/svg",),
    "tinycss2": ("stages/read/svg",),
    "cssselect2": ("stages/read/svg",),
    "typer": ("cli/",),
    "rich": ("cli/",),
    "resvg_py": ("cli/files", "stages/write/pdf/render_child"),
    "PIL": ("stages/write/pdf/render_child",),
    "networkx": ("geometry/planar/ends/chains", "stages/order/", "stages/fold/"),
    "spyrrow": ("stages/nest/",),
    "HersheyFonts": ("template/letters",),
    "fontTools": ("job/names/fonts",),
    "wasmtime": ("stages/order/tour/instance",),
    "jinja2": ("report/",),
    "starlette": ("desk/app", "desk/choosing", "desk/guard", "desk/hers/"),
    "sse_starlette": ("desk/app",),
    "uvicorn": ("desk/serve",),
    "tomlkit": ("desk/plan/", "job/settings/remembering", "job/own/figures", "job/own/kept"),
    "serial": ("link/ports", "link/wires"),
    "platformdirs": ("profile/shelf",),
    "pydyf": ("stages/write/pdf/",),
}


def modules() -> Iterator[tuple[str, str, Source]]:
    """Every module as (path below the package, room, source)."""
    for source in sources():
        yield source.name, room_of(source.name.removesuffix(".py").split("/")), source


def room_of(parts: list[str]) -> str:
    """The room of a path or a dotted name below the package; each stage is a room of its own."""
    return parts[1] if parts[0] == "stages" and len(parts) > 1 and parts[1] != "__init__" else parts[0]


def imports(source: Source) -> Iterator[tuple[int, str, int]]:
    """Every import in a module, deferred ones included: (line, dotted name, level)."""
    for node in source.nodes:
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name, 0
        elif isinstance(node, ast.ImportFrom):
            yield node.lineno, node.module or "", node.level
            for alias in node.names:
                if node.module == "cutprep":
                    yield node.lineno, f"cutprep.{alias.name}", node.level


def test_every_room_has_a_floor() -> None:
    """A new room must be given its floor in this table."""
    assert {room for _, room, _ in modules()} <= set(FLOOR)


def test_rooms_import_lower_floors_only() -> None:
    """Stages don't know each other; only the pipeline knows the sequence."""
    wrong = []
    for name, room, source in modules():
        for line, target, level in imports(source):
            if level:
                wrong.append(f"{name}:{line} imports relatively")
            parts = target.split(".")
            if parts[0] != "cutprep" or len(parts) < 2:
                continue
            other = room_of(parts[1:])
            if other == room:
                continue
            lower = FLOOR.get(other, 99) < FLOOR[room]
            beside = FLOOR.get(other) == FLOOR[room] == 0 and FLOOR_0.index(other) < FLOOR_0.index(room)
            if not (lower or beside):
                wrong.append(f"{name}:{line} (floor {FLOOR[room]}) imports {target}")
    assert not wrong, "\n".join(wrong)


def test_readback_shares_nothing_with_write() -> None:
    """A check is worth something only when it is independent."""
    for name, room, source in modules():
        if room in {"readback", "write"}:
            other = {"readback": "cutprep.stages.write", "write": "cutprep.stages.readback"}[room]
            assert not [t for _, t, _ in imports(source) if t.startswith(other)], name


def test_foreign_libraries_stay_in_their_rooms() -> None:
    """One door for each library, so that it can be replaced."""
    wrong = [
        f"{name}:{line} imports {target}"
        for name, _, source in modules()
        for line, target, _ in imports(source)
        if (rooms := FOREIGN.get(target.split(".")[0])) is not None and not name.startswith(rooms)
    ]
    assert not wrong, "\n".join(wrong)


def test_no_import_is_deferred_but_where_start_up_counts() -> None:
    """Deferred imports hide knots; only the command line, the reader's door and libraries that most jobs do without may wait."""
    allowed = (
        "cli/", "__init__.py", "stages/read/reader.py", "stages/read/dxf/library.py", "stages/write/dxf_file.py",
        "stages/order/tour/task.py", "stages/fold/export/fold_file.py",
    )  # fmt: skip
    wrong = []
    for name, _, source in modules():
        if name.startswith(allowed):
            continue
        for node in source.nodes:
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                wrong += [
                    f"{name}:{inner.lineno}"
                    for inner in ast.walk(node)
                    if isinstance(inner, ast.Import | ast.ImportFrom)
                ]
    assert not wrong, wrong
