"""The starter is what each system takes, and starts the desk: written, read back by the system's own rules, and run."""

from __future__ import annotations

import configparser
import os
import re
import shlex
import subprocess
import sys
import time
from pathlib import Path

import pytest

from cutprep.desk.launcher import write_launcher
from cutprep.errors import OutputError

AWKWARD = '/home/a b/100 % "new" $x/py\\thon'


def _words_of_exec(value: str) -> list[str]:
    """Undo `Exec` as the Desktop Entry Specification has it: the string's escapes, quotes, then doubled percents."""
    plain = re.sub(r"\\(.)", lambda m: {"s": " ", "n": "\n", "\\": "\\"}.get(m[1], m[0]), value)
    return [
        re.sub(r"\\([\"`$\\])", r"\1", word).replace("%%", "%")
        for word in re.findall(r'"((?:\\.|[^"\\])*)"', plain)
    ]


@pytest.mark.parametrize("python", [sys.executable, AWKWARD])
def test_a_desktop_entry(tmp_path: Path, python: str) -> None:
    path = write_launcher(tmp_path, system="linux", python=python)
    entry = configparser.RawConfigParser()
    entry.optionxform = str  # type: ignore[assignment]
    entry.read_string(path.read_text(encoding="utf-8"))
    assert entry["Desktop Entry"]["Type"] == "Application"
    assert _words_of_exec(entry["Desktop Entry"]["Exec"]) == [python, "-m", "cutprep", "desk"]
    assert os.access(path, os.X_OK)


@pytest.mark.parametrize("python", [sys.executable, AWKWARD])
def test_a_command_file(tmp_path: Path, python: str) -> None:
    path = write_launcher(tmp_path, system="darwin", python=python)
    head, run, _ = path.read_text(encoding="utf-8").split("\n")
    assert head == "#!/bin/sh"
    assert shlex.split(run) == ["exec", python, "-m", "cutprep", "desk"]


def test_a_batch_file(tmp_path: Path) -> None:
    path = write_launcher(tmp_path, system="win32", python="C:\\Program Files\\Python\\python.exe")
    assert path.read_bytes() == b'@echo off\r\n"C:\\Program Files\\Python\\python.exe" -m cutprep desk\r\n'


def test_what_it_starts_is_a_desk(tmp_path: Path) -> None:
    if sys.platform == "win32":
        pytest.skip("a shell is needed")
    path = write_launcher(tmp_path, system="darwin")
    own = {**os.environ, "CUTPREP_FOLDER": str(tmp_path / "own"), "BROWSER": "true"}
    process = subprocess.Popen(["sh", path], stdout=subprocess.PIPE, text=True, env=own)
    try:
        assert process.stdout is not None
        assert "http://127.0.0.1:" in process.stdout.readline()
        until = time.monotonic() + 10
        while not (tmp_path / "own" / "desk").is_dir() and time.monotonic() < until:
            time.sleep(0.05)
        assert (tmp_path / "own" / "desk").is_dir()
    finally:
        process.terminate()
        process.wait(10)
        if process.stdout is not None:
            process.stdout.close()


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="can't be written"):
        write_launcher(tmp_path / "none")
