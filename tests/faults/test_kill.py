"""Killed at any moment, the old job stands or the new one; the long loop is tests/faults/kill.py."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutprep.job.folder.store import clear_left_over
from tests.faults.kill import kill_commands, kill_writers, left_over


def test_a_killed_command_leaves_the_old_job_or_the_new_one(tmp_path: Path) -> None:
    assert set(kill_commands(tmp_path, 1, seed=5)) <= {"old", "new"}


def test_a_killed_writer_leaves_the_old_job_or_the_new_one(tmp_path: Path) -> None:
    assert set(kill_writers(tmp_path, 8, seed=6)) <= {"old", "new"}
    clear_left_over(tmp_path / "written")
    assert left_over(tmp_path) == []


def test_a_mixture_would_be_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.faults.kill._WRITER", _TOO_SIMPLE)
    assert any(verdict.startswith("mixed") for verdict in kill_writers(tmp_path, 1, seed=7))


#: A writer that writes file after file into the target itself.
_TOO_SIMPLE = """
import json, sys, time
from pathlib import Path
folder, files = Path(sys.argv[1]), json.loads(Path(sys.argv[2]).read_text())
(folder / "sheet-99.hpgl").write_text("x")
print("ready", flush=True)
time.sleep(60)
"""
