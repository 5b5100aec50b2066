"""Change the code in one place at a time and see whether a test notices.

`python -m tests.mutation --room report` (with `pip install cutprep[mutation]`) prints a table and what no test
noticed. It works on a copy, with one process, and is no part of the tests. docs/MUTATION.md says what came of it.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

from tests.mutation.mutants import Changes, raising
from tests.mutation.reach import FILES, MAP
from tests.mutation.sample import ROOMS, Mutant, Room, choose, run_while_loading
from tests.mutation.trial import KILLED, NOT_RUN, SURVIVED, TOO_LONG, Trials, collect

_ROOT = Path(__file__).parents[2]
_COPIED = ("cutprep", "tests", "samples", "docs", "pyproject.toml", "README.md", "DEVELOPERS.md")
_UNREACHED = "not reached"


def main() -> None:
    """Read the arguments, copy the project, and go on inside the copy."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation")
    parser.add_argument("--each", type=int, default=30, help="mutants of each room; 0 for all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--room", choices=sorted(ROOMS), action="append", help="only this one")
    parser.add_argument(
        "--mapped", action="store_true", help="which tests reach what is known of the last run there"
    )
    parser.add_argument(
        "--readings", action="store_true", help="by the room's readings alone: sooner, others may notice more"
    )
    parser.add_argument("--work", type=Path, default=Path(tempfile.gettempdir()) / "cutprep-mutation")
    given = parser.parse_args()
    work = given.work.resolve()
    if Path.cwd().resolve() == work:
        _run(given)
        return
    copy(work)
    # Inside the copy, so that nothing of the original is imported.
    command = [sys.executable, "-m", "tests.mutation", *sys.argv[1:]]
    raise SystemExit(subprocess.run(command, cwd=work, env=_inside(work), check=False).returncode)


def _inside(work: Path, **more: str) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(work), **more}


def copy(work: Path) -> None:
    """Copy what the tests need; what was compiled there before stays where its file is the same."""
    work.mkdir(parents=True, exist_ok=True)
    for name in _COPIED:
        if (_ROOT / name).is_dir():
            ignored = shutil.ignore_patterns("__pycache__", "*.egg-info")
            shutil.rmtree(work / name, ignore_errors=True)
            shutil.copytree(_ROOT / name, work / name, ignore=ignored)
        else:
            shutil.copy2(_ROOT / name, work / name)


def _run(given: argparse.Namespace) -> None:
    work = Path.cwd()
    told: list[str] = []
    for name in given.room or list(ROOMS):
        room = ROOMS[name]
        if given.readings:
            room = replace(room, tests=(room.first,) if room.first else room.tests)
        written = work / f"reach-{name}.json"
        if not (given.mapped and written.exists()):
            reached(work, room, written)
        reach = json.loads(written.read_text(encoding="utf-8"))
        print(f"{name}: {len(reach['seconds'])} tests, {sum(reach['seconds'].values()):.0f} s", flush=True)
        for test in reach["failed"]:
            print(f"  left out, since it does not pass without a change: {test}", flush=True)
        count, mutants = drawn(work, room, given.each or None, given.seed)
        fates = tried(work, room, mutants, reach, told)
        print(_row(name, count, fates), flush=True)
    (work / "survivors.txt").write_text("\n".join(told) + "\n", encoding="utf-8")


def reached(work: Path, room: Room, written: Path) -> None:
    """Run a room's tests once, and write down which lines each reaches."""
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "-n0",
        "-p",
        "no:cacheprovider",
        "-p",
        "tests.mutation.quick",
    ]
    files = os.pathsep.join(str(work / file) for file in files_of(work, room))
    env = _inside(work, **{FILES: files, MAP: str(written)})
    written.unlink(missing_ok=True)
    subprocess.run([*command, "-p", "tests.mutation.reach", *room.tests], cwd=work, env=env, check=False)


def files_of(work: Path, room: Room) -> list[str]:
    """Names of a room's files."""
    found = {path for pattern in room.files for path in work.glob(pattern)}
    return sorted(path.relative_to(work).as_posix() for path in found)


def drawn(work: Path, room: Room, each: int | None, seed: int) -> tuple[int, list[Mutant]]:
    """How many mutants a room has, and a sample of them."""
    where = {
        name: one for one in (Changes(work, file) for file in files_of(work, room)) for name in one.names
    }
    mutants: dict[str, Mutant] = {}

    def counts(name: str) -> bool:
        mutants[name] = where[name].mutant(name)
        return not mutants[name].only_words

    chosen = choose(list(where), each, seed, counts)
    return len(where), [mutants[name] for name in mutants if name in chosen]


def tests_for(room: Room, mutant: Mutant, reach: dict[str, Any]) -> list[str]:
    """The tests that reach what is changed: the readings first, then the quickest first."""
    lines = reach["lines"].get(mutant.file, {})
    first, last = mutant.lines
    found = {test for line in range(first, last + 1) for test in lines.get(str(line), ())}
    seconds = reach["seconds"]
    return sorted(found, key=lambda test: (not (room.first and test.startswith(room.first)), seconds[test]))


def tried(
    work: Path, room: Room, mutants: list[Mutant], reach: dict[str, Any], told: list[str]
) -> Counter[str]:
    """What becomes of mutants; what was not noticed is told as well, with what is changed.

    Parameters
    ----------
    work, room
        The project's folder, and the room that is changed.
    mutants
        What is tried.
    reach
        Which tests reach which lines, and how long each takes.
    told
        Rows to which what was not noticed is added.
    """
    fates: Counter[str] = Counter()
    seconds = reach["seconds"]

    def try_all(trials: Trials) -> None:
        _try_what_is_known(work, room, reach, trials)
        for mutant in mutants:
            tests = tests_for(room, mutant, reach)
            one = replace(mutant, anew=run_while_loading(mutant, reach))
            fate = (
                trials.fate_of(work, one, tests, [seconds[test] for test in tests]) if tests else _UNREACHED
            )
            fates[fate] += 1
            print(f"{fate:12} {mutant.name}", flush=True)
            if fate not in {KILLED, TOO_LONG}:
                told.extend([f"{fate}:", *mutant.difference()])
                print("\n".join(mutant.difference()), flush=True)

    collect(room.tests, try_all)
    return fates


def _try_what_is_known(work: Path, room: Room, reach: dict[str, Any], trials: Trials) -> None:
    """Nothing changed is to be told as not noticed, and a function that raises as noticed, or the run says nothing."""
    seconds = reach["seconds"]
    for file, lines in reach["lines"].items():
        run = {int(line) for line, tests in lines.items() if 0 < len(tests) < len(seconds) / 2}
        mutant = raising(work, file, run)
        if mutant is not None and (tests := tests_for(room, mutant, reach)):
            quickest = min(tests, key=lambda test: seconds[test])
            found = tuple(
                trials.fate_of(work, one, [quickest], [seconds[quickest]]) for one in (None, mutant)
            )
            if found != (SURVIVED, KILLED):
                raise SystemExit(f"{quickest}: {found[0]} as it is, {found[1]} where {mutant.name}")
            return
    raise SystemExit("no test of the room reaches its files")


def _row(room: str, count: int, fates: Counter[str]) -> str:
    tried = fates.total() - fates[NOT_RUN]
    noticed = fates[KILLED] + fates[TOO_LONG]
    words = ", ".join(f"{fates[fate]} {fate}" for fate in (KILLED, TOO_LONG, SURVIVED, _UNREACHED, NOT_RUN))
    return f"{room:9} {count:5} mutants, {tried:4} tried: {words}; {noticed / max(tried, 1):.1%}"


if __name__ == "__main__":
    main()
