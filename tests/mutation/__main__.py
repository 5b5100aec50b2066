"""Change the code in one place at a time and see whether a test notices.

`python -m tests.mutation` (with `pip install cutprep[mutation]`) prints a table and writes what no
test noticed to `survivors.txt` in its work folder. It works on a copy, one process, and takes an
hour or two: no part of the tests. docs/MUTATION.md says what came of it.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.mutation.sample import LEFT_OUT, ROOMS, choose, fates, metas, same_but_for_words, set_fates
from tests.mutation.small import fate_of, load

_ROOT = Path(__file__).parents[2]
_COPIED = ("cutprep", "tests", "samples", "docs", "pyproject.toml", "README.md", "DEVELOPERS.md")
_KILLED = {1, 3}
_TOO_LONG = {36, 24, -24, 152, 255}
_UNTESTED = {5, 33}
_SURVIVED = 0


def main() -> None:
    """Read the arguments, copy the project, and go on inside the copy."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation")
    parser.add_argument("--each", type=int, default=200, help="mutants of each room; 0 for all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--room", choices=sorted(ROOMS), action="append", help="only this one")
    parser.add_argument(
        "--again", action="store_true", help="leave out what an earlier run in that folder killed"
    )
    parser.add_argument(
        "--small", action="store_true", help="for small samples: without what the tool does before"
    )
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--work", type=Path, default=Path(tempfile.gettempdir()) / "cutprep-mutation")
    given = parser.parse_args()
    work = given.work.resolve()
    if Path.cwd().resolve() != work:
        _copy(work)
        # Inside the copy, so that nothing of the original is imported.
        code = subprocess.run(
            [sys.executable, "-m", "tests.mutation", *sys.argv[1:]],
            cwd=work, env={**os.environ, "PYTHONPATH": str(work)}, check=False,
        ).returncode  # fmt: skip
        raise SystemExit(code)
    _run(work, given)


def _copy(work: Path) -> None:
    work.mkdir(parents=True, exist_ok=True)
    for name in _COPIED:
        if (_ROOT / name).is_dir():
            ignored = shutil.ignore_patterns("__pycache__", "*.egg-info")
            shutil.rmtree(work / name, ignore_errors=True)
            shutil.copytree(_ROOT / name, work / name, ignore=ignored)
        else:
            shutil.copy2(_ROOT / name, work / name)


def _run(work: Path, given: argparse.Namespace) -> None:
    import mutmut.__main__ as tool
    from mutmut.configuration import config

    rooms = given.room or list(ROOMS)
    # The tool runs every test once or twice before it begins, so it is given those of the rooms alone.
    chosen = [ROOMS[room] for room in rooms]
    # The tool's `*` crosses folders, and its `**/` asks for one.
    config().only_mutate = [pattern.replace("**/", "") for room in chosen for pattern in room.files]
    config().pytest_add_cli_args_test_selection = list(
        dict.fromkeys(t for room in chosen for t in room.tests)
    )
    sys.path[:] = [entry for entry in sys.path if entry and Path(entry).resolve() != work]
    os.environ["PYTHONPATH"] = str(work / "mutants")
    (work / "mutants").mkdir(exist_ok=True)
    tool.copy_src_dir()
    tool.copy_also_copy_files()
    tool.setup_source_paths()
    tool.create_mutants(given.processes)
    for room in rooms:
        _mark(work, room, given)
    if given.small:
        _run_small(work, rooms)
    else:
        tool._run((), given.processes)
    for room in rooms:
        print(_row(work, room))
    _write_survivors(work, rooms)


def _run_small(work: Path, rooms: list[str]) -> None:
    """Try what is marked, one after the other, and write down the fate of each at once."""
    load()
    for room in rooms:
        one = ROOMS[room]
        tests = ((one.first,), one.tests) if one.first else (one.tests,)
        if fate_of("none", work / "mutants", *tests) != 0:
            raise SystemExit(f"the tests of {room} fail without any change: run them in {work / 'mutants'}")
        for path in metas(work, room):
            for name, fate in fates(path).items():
                if fate is None:
                    code = fate_of(name, work / "mutants", *tests)
                    set_fates(path, {name: code})
                    print(f"{code:3} {name}", flush=True)


def _mark(work: Path, room: str, given: argparse.Namespace) -> None:
    """Tell the tool which mutants to try: those without a fate."""
    where = {name: path for path in metas(work, room) for name in fates(path)}
    chosen = choose(
        sorted(where), given.each or None, given.seed, lambda name: not _only_words(work, where[name], name)
    )
    for path in metas(work, room):
        new: dict[str, int | None] = {}
        for name, was in fates(path).items():
            done = given.again and was in _KILLED | _TOO_LONG
            new[name] = LEFT_OUT if name not in chosen else was if done else None
        set_fates(path, new)


def _functions(work: Path, meta: Path, name: str) -> tuple[str, str]:
    """A function as it is and as it is changed."""
    import libcst
    from mutmut.mutation.diff_apply import read_functions_from_index

    path = meta.with_suffix("").relative_to(work / "mutants")
    found = read_functions_from_index(name, path)
    assert found is not None
    before, after = (libcst.Module([function]).code for function in found)
    return before, after


def _only_words(work: Path, meta: Path, name: str) -> bool:
    return same_but_for_words(*_functions(work, meta, name))


def _row(work: Path, room: str) -> str:
    codes = [code for path in metas(work, room) for code in fates(path).values()]
    tried = [code for code in codes if code not in (LEFT_OUT, None)]
    killed = sum(code in _KILLED for code in tried)
    slow = sum(code in _TOO_LONG for code in tried)
    untested = sum(code in _UNTESTED for code in tried)
    survived = sum(code == _SURVIVED for code in tried)
    share = (killed + slow) / max(len(tried), 1)
    return (
        f"{room:9} {len(codes):5} mutants, {len(tried):4} tried: {killed} killed, {slow} ran too long, "
        f"{survived} survived, {untested} without a test; {share:.1%}"
    )


def _write_survivors(work: Path, rooms: list[str]) -> None:
    import difflib

    rows: list[str] = []
    for room in rooms:
        for meta in metas(work, room):
            for name, code in fates(meta).items():
                if code is not None and code != LEFT_OUT and code not in _KILLED | _TOO_LONG:
                    before, after = (text.splitlines() for text in _functions(work, meta, name))
                    rows += [f"# {name} ({code})", *difflib.unified_diff(before, after, n=1, lineterm="")][
                        0:1
                    ]
                    rows += list(difflib.unified_diff(before, after, n=1, lineterm=""))[2:]
    (work / "survivors.txt").write_text("\n".join(rows) + "\n", encoding="utf-8")
    print(f"what no test noticed: {work / 'survivors.txt'}")


if __name__ == "__main__":
    main()
