"""Every command that works for long tells how far it is."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cutprep.cli.app import app
from cutprep.cli.own import remaking, trials
from cutprep.progress import Progress

TAG = Path(__file__).parents[2] / "samples" / "swing-tag.svg"


@pytest.fixture
def stages(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[str]:
    """What is told to whoever shows bars."""
    told: list[str] = []

    @contextmanager
    def bar() -> Iterator[Progress]:
        yield lambda stage, done, total: told.append(stage)

    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path / "hers"))
    for where in ("cutprep.cli.progress", "cutprep.cli.jobs", trials.__name__, remaking.__name__):
        monkeypatch.setattr(f"{where}.progress_bar", bar)
    return told


def test_checking_preparing_trying_and_making_again_are_told(stages: list[str], tmp_path: Path) -> None:
    first, second, trial = (str(tmp_path / name) for name in ("o", "p", "q"))
    for words, begins, ends in (
        (["check", str(TAG)], "drawings", "drawings"),
        (["prepare", str(TAG), "--copies", "2", "--effort", "quick", "--out", first], "drawings", "sheets"),
        (["again", first, str(TAG), "--spoilt", "A1", "--out", second], "drawings", "sheets"),
        (["trial", "force", "--steps", "2", "--out", trial], "drawings", "sheets"),
    ):
        result = CliRunner().invoke(app, words)
        assert result.exit_code == 0, result.output
        assert (stages[0], stages[-1]) == (begins, ends), words
        stages.clear()
