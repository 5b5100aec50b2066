"""Spoilt copies by the marks of the job sheet become a small job: same drawing, settings and text, nothing else."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cutprep.cli.app import app
from cutprep.job.own.again import spoilt_copies
from cutprep.job.record.read import load_record

TAG = """<svg xmlns="http://www.w3.org/2000/svg" width="62mm" height="42mm" viewBox="0 0 62 42">
<g id="lid" fill="none" stroke="#d02020"><path d="M1 1H61V41H1Z"/></g></svg>"""
JOB = """effort = "quick"
[[stock]]
name = "yellow"
like = "card-220"
[[stock]]
name = "white"
like = "card-160"
[[template]]
file = "tag.svg"
stock = "yellow"
copies = 30
layers = { lid = "cut" }
[[template]]
file = "tag.svg"
stock = "white"
copies = 2
layers = { lid = "cut" }
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path / "own"))
    (tmp_path / "tag.svg").write_text(TAG)
    (tmp_path / "job.toml").write_text(JOB)
    return tmp_path


def said(*words: str | Path, code: int = 0) -> str:
    result = CliRunner().invoke(app, [str(w) for w in words])
    assert result.exit_code == code, result.output
    return result.stdout + result.stderr


def test_copies_of_drawings_are_made_again_with_their_settings(folder: Path) -> None:
    tag, first, again = folder / "tag.svg", folder / "first", folder / "again"
    asked = (
        "--layer",
        "lid=cut",
        "--gap",
        "4mm",
        "--machine",
        "mat-cutter-600",
        "--effort",
        "quick",
        "--sheet",
        "A4",
    )
    said("prepare", tag, "--copies", "5", *asked, "--out", first)
    assert "2 copies" in said("again", first, "--spoilt", "A2, a4", "--out", again)
    data = json.loads((again / "job.json").read_text())
    assert (data["copies"], data["machine"]) == (2, "mat-cutter-600")
    assert data["settings"]["gap"] == {"value": "4mm", "from": "job"}
    said("offcuts", "--keep", first)
    said("again", first, "--spoilt", "A2", "--offcut", "card-220-1", "--out", folder / "left")
    data = json.loads((folder / "left" / "job.json").read_text())
    assert data["settings"]["stock"][0]["offcut"] == {"value": "card-220-1", "from": "option"}
    for marks, told in (("A6", "Of A it has 1 to 5"), ("7", "is no mark"), ("", "Add --spoilt C4,C7")):
        assert told in said("again", first, "--spoilt", marks, "--out", folder / "no", code=2)
    tag.unlink()
    assert "tag.svg is not here" in said("again", first, "--spoilt", "A1", "--out", folder / "no", code=2)


def test_a_job_file_is_named_and_equal_sheets_count_on(folder: Path) -> None:
    said("prepare", folder / "job.toml", "--out", folder / "first")
    record = load_record(folder / "first")
    assert spoilt_copies(record, ["A30", "B1", "B1"]) == {("tag", "yellow", ""): 1, ("tag", "white", ""): 2}
    assert "Name the job file" in said(
        "again", folder / "first", "--spoilt", "A1", "--out", folder / "a", code=2
    )
    said("again", folder / "first", folder / "job.toml", "--spoilt", "B1,B1", "--out", folder / "a")
    data = json.loads((folder / "a" / "job.json").read_text())
    assert [(row["stock"], row["copies"]) for row in data["templates"]] == [("white", 2)]


def test_a_name_is_written_again(folder: Path) -> None:
    drawn = TAG.replace("</svg>", '<g id="draw"><text x="10" y="20" font-size="6">{name}</text></g></svg>')
    (folder / "tag.svg").write_text(drawn)
    (folder / "names.txt").write_text("Ana\nZoe\nMax\n")
    asked = ("--names", folder / "names.txt", "--layer", "lid=cut", "--effort", "quick")
    said("prepare", folder / "tag.svg", *asked, "--out", folder / "first")
    placed = json.loads((folder / "first" / "job.json").read_text())["sheets"][0]["placements"]
    mark = next(f"A{spot['copy']}" for spot in placed if spot["text"] == "Zoe")
    said("again", folder / "first", "--spoilt", mark, "--out", folder / "a")
    again = json.loads((folder / "a" / "job.json").read_text())["sheets"][0]["placements"]
    assert [spot["text"] for spot in again] == ["Zoe"]
