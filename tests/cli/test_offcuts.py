"""What a job leaves of its card is kept, offered to the next job, and laid on by it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import shapely
from typer.testing import CliRunner

from cutprep.cli.app import app
from cutprep.job.own.left_over import worked
from cutprep.job.own.offcuts import Offcut, write_offcuts
from cutprep.job.record.read import load_record

TAG = """<svg xmlns="http://www.w3.org/2000/svg" width="62mm" height="42mm" viewBox="0 0 62 42">
<g id="cut" fill="none" stroke="#d02020"><path d="M1 1H61V41H1Z"/></g></svg>"""


@pytest.fixture
def tag(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path / "own"))
    (tmp_path / "tag.svg").write_text(TAG)
    return tmp_path / "tag.svg"


def said(*words: str | Path, code: int = 0) -> str:
    result = CliRunner().invoke(app, [str(w) for w in words])
    assert result.exit_code == code, result.output
    return result.stdout + result.stderr


def shape(folder: Path) -> shapely.Geometry:
    return worked(load_record(folder).sheets[0].planned)


def test_what_is_left_is_offered_and_used_once(tag: Path) -> None:
    first, second = tag.with_name("first"), tag.with_name("second")
    write_offcuts([Offcut("mine-1", "card-220", "card-220", (210, 297), (0, 0, 200, 200), 40_000)])
    told = said("prepare", tag, "--copies", "3", "--sheet", "A4", "--effort", "quick", "--out", first)
    assert "try --offcut mine-1" in told
    said("offcuts", "--forget", "mine-1")
    assert "card-220-1: card-220, 210.0 x 297.0 mm" in said("offcuts", "--keep", first)
    kept = said("offcuts", "--json")
    assert said("offcuts", "--keep", first)  # twice is once
    assert said("offcuts", "--json") == kept
    on = ("prepare", tag, "--copies", "4", "--offcut", "card-220-1", "--effort", "quick", "--out", second)
    assert "try --offcut" not in said(*on)
    assert not shape(first).intersects(shape(second))
    said("offcuts", "--keep", second)
    left = json.loads(said("offcuts", "--json"))["card-220-1"]
    assert left["count"] == 1
    assert left["free_mm2"] == pytest.approx(210 * 297 - shape(first).area - shape(second).area, rel=0.01)
    said("offcuts", "--forget", "card-220-1")
    assert json.loads(said("offcuts", "--json")) == {}
    assert list((tag.parent / "own" / "offcuts").glob("*.svg")) == []


def test_what_does_not_go_together_is_told(tag: Path) -> None:
    assert "no offcut is called 'a-1'" in said(
        "prepare", tag, "--offcut", "a-1", "--out", tag.with_name("o"), code=2
    )
    write_offcuts([Offcut("mine-1", "card-160", "card-160", (430, 290), (0, 0, 200, 200), 40_000)])
    for words, told in (
        (("--sheet", "A4"), "an offcut and a sheet are named"),
        (("--machine", "mat-cutter-300"), "would take such a sheet turned"),
    ):
        on = ("prepare", tag, "--offcut", "mine-1", *words, "--out", tag.with_name("o"))
        assert told in said(*on, code=2)
    assert "there is no job.json" in said("offcuts", "--keep", tag.parent, code=2)
