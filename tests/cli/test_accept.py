"""Proving a job from the command line: limits of what is followed, and files that were changed on purpose."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cutprep.cli.app import app

TAG = Path(__file__).parents[2] / "samples" / "swing-tag.svg"


def run(*words: str | Path) -> tuple[int, str]:
    """Exit code, and everything that is shown, as one line."""
    result = CliRunner().invoke(app, [str(w) for w in words])
    return result.exit_code, " ".join(result.output.split())


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("tags") / "tags"
    code, said = run("prepare", TAG, "--copies", "2", "--effort", "quick", "--language", "hpgl", "--out", out)
    assert code == 0, said
    return out


@pytest.fixture
def job(prepared: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(prepared, tmp_path / "tags"))


def test_a_machine_file_beyond_a_limit_says_how_to_go_on(job: Path) -> None:
    """Each command that follows machine files names the limit, and takes a higher one."""
    (sheet,) = job.glob("sheet-*.hpgl")
    look = ("look", sheet, "--picture", job.parent / "p.svg")
    for words in (("time", sheet), look, ("verify", job)):
        code, said = run(*words, "--limit", "instructions=3")
        assert code in (1, 2)
        assert "more than 3 instructions" in said
        assert "--limit instructions=NUMBER" in said
        assert run(*words, "--limit", "instructions=9000")[0] == 0
    code, said = run("time", sheet, "--limit", "machine-bytes=20")
    assert code == 2
    assert "--limit machine-bytes=NUMBER" in said
