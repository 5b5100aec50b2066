"""Proving a job from the command line: limits of what is followed, and files that were changed on purpose."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
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


def test_what_she_changed_on_purpose_is_taken_and_stands_on_the_job_sheet(job: Path) -> None:
    (sheet,) = job.glob("sheet-*.hpgl")
    text = sheet.read_text(encoding="ascii")
    sheet.write_text(text.replace("VS", "VS1", 1), encoding="ascii")
    assert run("verify", job)[0] == 1
    code, said = run("verify", job, "--accept", sheet.name)
    assert code == 0, said
    assert "changed on purpose" in said
    page = (job / "job-sheet.html").read_text(encoding="utf-8")
    assert "Changed on purpose after preparing" in page
    assert sheet.name in page
    assert run("verify", job)[0] == 0
    sheet.write_text(text.replace("VS", "VS2", 1), encoding="ascii")  # once more, and not accepted
    assert run("verify", job)[0] == 1


@pytest.mark.parametrize(
    ("spoil", "name", "said"),
    [
        (lambda text: text, "sheet-01.hpgl", "is what was prepared"),
        (lambda text: text, "honey.hpgl", "is none of the job's files"),
        (lambda text: text, "../tags/sheet-01.hpgl", "is none of the job's files"),
        (lambda text: text.replace("PD", "PD30000,30000,", 1), "sheet-01.hpgl", "can't be accepted"),
        (lambda text: text[: text.rindex("PU")], "sheet-01.hpgl", "can't be accepted"),
        (lambda _: None, "sheet-01.hpgl", "can't be read"),
    ],
    ids=["unchanged", "unknown", "elsewhere", "outside the area", "left down", "lost"],
)
def test_what_is_never_taken_is_refused_and_nothing_is_written(
    job: Path, spoil: Callable[[str], str | None], name: str, said: str
) -> None:
    sheet = job / "sheet-01.hpgl"
    spoilt = spoil(sheet.read_text(encoding="ascii"))
    if spoilt is None:
        sheet.unlink()
    else:
        sheet.write_text(spoilt, encoding="ascii")
    before = {path.name: path.read_bytes() for path in job.iterdir()}
    code, told = run("verify", job, "--accept", name)
    assert code == 2
    assert said in told
    assert {path.name: path.read_bytes() for path in job.iterdir()} == before


def test_a_changed_index_or_job_sheet_stops_accepting(job: Path) -> None:
    (sheet,) = job.glob("sheet-*.hpgl")
    sheet.write_text(sheet.read_text(encoding="ascii").replace("VS", "VS1", 1), encoding="ascii")
    page = job / "job-sheet.html"
    right = page.read_text(encoding="utf-8")
    page.write_text(right.replace("</main>", "<p>hers</p></main>"), encoding="utf-8")
    code, said = run("verify", job, "--accept", sheet.name)
    assert code == 2
    assert "--accept job-sheet.html" in said
    assert run("verify", job, "--accept", sheet.name, "--accept", "job-sheet.html")[0] == 0
    assert "<p>hers</p>" in page.read_text(encoding="utf-8")
    index = job / "job.json"
    data = json.loads(index.read_text(encoding="utf-8"))
    index.write_text(json.dumps({**data, "copies": 3}), encoding="utf-8")
    code, said = run("verify", job, "--accept", sheet.name)
    assert code == 2
    assert "Prepare the job again" in said
