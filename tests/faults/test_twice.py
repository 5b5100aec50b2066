"""Everything public, twice in one process: the same answer, and nothing that was handed in has changed.

What a first call leaves behind (a cache, a number that is counted on, a value changed in place) would show in the second.
"""

from __future__ import annotations

import dataclasses
import inspect
import re
import shutil
from collections.abc import Callable, Iterator, Mapping
from enum import Enum
from pathlib import Path

import numpy as np
import pytest
import typer.main
from typer.testing import CliRunner

import cutprep
from cutprep.cli.app import app

SAMPLES = Path(__file__).parents[2] / "samples"
TRAY = SAMPLES / "display-tray.svg"
TAG = SAMPLES / "swing-tag.svg"
SPOILT = SAMPLES / "hand-drawn" / "swing-tag.svg"


def plain(value: object) -> object:
    """A value as tuples and numbers, all the way down, so that two can be compared."""
    if isinstance(value, np.ndarray):
        return value.shape, value.dtype.str, value.tobytes()
    if isinstance(value, Enum | Path | str | bytes | int | float) or value is None:
        return repr(value)
    if dataclasses.is_dataclass(value):
        return type(value).__name__, *(plain(getattr(value, f.name)) for f in dataclasses.fields(value))
    if isinstance(value, Mapping):
        return tuple((plain(k), plain(v)) for k, v in value.items())
    if isinstance(value, frozenset | set):
        return tuple(sorted(map(repr, map(plain, value))))
    assert isinstance(value, tuple | list), type(value)
    return tuple(map(plain, value))


def _verify(folder: Path) -> object:
    if not (folder / "job.json").exists():
        cutprep.prepare(TAG, copies=2, effort="quick", out=folder)
    return cutprep.verify(folder)


#: Public function to a call of it; the folder is the same both times.
CALLS: dict[str, Callable[[Path], object]] = {
    "read": lambda _: [cutprep.read(TRAY), cutprep.read(TRAY.with_suffix(".dxf"))],
    "check": lambda _: [cutprep.check(SPOILT), cutprep.check(TRAY, expect="130x95mm", blade_offset=0.25)],
    "mend": lambda _: cutprep.mend(SPOILT, keep="cut", ask=("stubs",)),
    "make_rules": lambda _: cutprep.make_rules({"lid": "cut"}, colours=["#f00=score"], dashed="perforate"),
    "make_job": lambda _: cutprep.make_job([TRAY, TAG], copies=2, machine="belt-servo-400"),
    "prepare": lambda folder: cutprep.prepare(TAG, copies=3, effort="quick", out=folder, replace=True),
    "prepare_job": lambda _: cutprep.prepare_job(cutprep.make_job(TRAY, effort="quick", stock="kraft-280")),
    "verify": _verify,
}


def test_no_public_function_is_left_out() -> None:
    functions = {name for name in cutprep.__all__ if inspect.isfunction(getattr(cutprep, name))}
    assert set(CALLS) == functions


@pytest.mark.parametrize("name", CALLS)
def test_a_public_function_gives_the_same_twice(name: str, tmp_path: Path) -> None:
    folder = tmp_path / "o"
    first, files = plain(CALLS[name](folder)), contents(folder)
    assert plain(CALLS[name](folder)) == first
    assert contents(folder) == files


def test_values_that_are_handed_in_stay_as_they_are() -> None:
    """A drawing and a job are used again and again by a script."""
    drawing, job = cutprep.read(SPOILT), cutprep.make_job(TAG, copies=2, effort="quick")
    before = plain(drawing), plain(job)
    checked = cutprep.check(drawing)
    cutprep.mend(drawing)
    made = plain(cutprep.prepare_job(job))
    assert (plain(drawing), plain(job)) == before
    assert cutprep.check(drawing) == checked
    assert plain(cutprep.prepare_job(job)) == made


#: Command to its words; `TAG` and `OUT` stand for a drawing and for a folder of the test's own.
COMMANDS = {
    "prepare": "TAG --copies 2 --effort quick --also pictures --replace --out OUT/job",
    "check": f"{SPOILT} --json",
    "verify": "OUT/job",
    "time": "OUT/job/sheet-01.hpgl --machine mat-cutter-300",
    "look": "OUT/job/sheet-01.hpgl --replace --picture OUT/look.svg",
    "trial": "pass --steps 2 --replace --out OUT/trials",
    "settings": "--gap 4mm --layer lid=score",
    "card": "brown-kraft --stock kraft-280 --price 0.8",
    "offcuts": "--keep OUT/job",
    "again": "OUT/job TAG --spoilt A2 --effort quick --replace --out OUT/again",
    "machines": "",
    "stocks": "",
    "mend": f"{SPOILT} --keep cut --replace --out OUT/mended.dxf",
    "fold": f"{TRAY} --replace --export OUT/tray.fold --picture OUT/tray.svg",
    "template": "tray length=6in width=100mm --replace --out OUT/drawn.svg",
    "new": "OUT/fair.toml TAG",
    "send": "OUT/job --to OUT/stick --yes --replace",
    "ports": "",
}
#: What waits for a browser until it is stopped: tests/desk begins and ends it.
SERVES = {"desk"}
#: What never writes over a file: the second time is refused, and the file stays.
ONCE = {"new"}


def contents(folder: Path) -> dict[str, bytes]:
    """Every file below a folder."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_no_command_is_left_out() -> None:
    assert set(COMMANDS) | SERVES == set(typer.main.get_command(app).commands)  # type: ignore[attr-defined]


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A folder with a drawing and a prepared job in it."""
    folder = tmp_path_factory.mktemp("twice")
    shutil.copy(TAG, folder / "tag.svg")
    (folder / "stick").mkdir()
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("CUTPREP_FOLDER", str(folder / "own"))
        assert _said("prepare", folder)[0] == 0
        yield folder


def _said(command: str, out: Path) -> tuple[int, str, str]:
    words = COMMANDS[command].replace("TAG", str(out / "tag.svg")).replace("OUT", str(out)).split()
    result = CliRunner().invoke(app, [command, *words])
    return result.exit_code, result.stdout, result.stderr


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_says_and_writes_the_same_twice(command: str, out: Path) -> None:
    first, files = _said(command, out), contents(out)
    second = _said(command, out)
    assert first[0] == (1 if command == "check" else 0), first
    if command in ONCE:
        assert second[0] == 2
        assert re.search("fair.toml", second[2])
    else:
        assert second == first
    assert contents(out) == files
