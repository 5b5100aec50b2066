"""Patterned card, spares that need a sheet of their own, how much of a sheet is used, and why in this order."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from cutprep.cli.app import app
from tests.recorded import every_sheet

STRIP = """<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="50mm" viewBox="0 0 120 50">
<g id="cut" fill="none" stroke="#d02020"><path d="M5 5H115V25H60V45H5Z"/></g></svg>
"""
JOB = """
sets = {sets}
[[stock]]
name = "card"
like = "card-220"
sheet = [{{ size = "150x150mm" }}]
[[template]]
file = "strip.svg"
copies = 1
stock = "card"
spare = {spare}
turns = "never"
"""


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


@pytest.fixture
def strip(tmp_path: Path) -> Path:
    path = tmp_path / "strip.svg"
    path.write_text(STRIP)
    return path


def prepared(out: Path, *words: str | Path) -> tuple[Result, dict[str, Any]]:
    result = run("prepare", *words, "--effort", "quick", "--out", out)
    assert result.exit_code == 0, result.output
    return result, json.loads((out / "job.json").read_text())


def test_a_pattern_keeps_its_up(strip: Path, tmp_path: Path) -> None:
    _, data = prepared(tmp_path / "n", strip, "--copies", "4", "--sheet", "150x150mm", "--turns", "never")
    assert {p["turn"] for sheet in data["sheets"] for p in sheet["placements"]} == {0}
    _, free = prepared(tmp_path / "q", strip, "--copies", "4", "--sheet", "150x150mm")
    assert {p["turn"] for sheet in free["sheets"] for p in sheet["placements"]} != {0}
    assert "Did you mean never" in run("prepare", strip, "--turns", "nevr", "--out", tmp_path / "x").stderr


def test_a_sheet_that_only_a_spare_needs_is_pointed_out(strip: Path, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(JOB.format(sets=6, spare=15))  # 7 copies, 3 on a sheet
    result, data = prepared(tmp_path / "o", job)
    assert [sheet["copies"] for sheet in every_sheet(data)] == [3, 3, 1]
    (found,) = [f for f in data["findings"] if f["code"] == "sheet-for-spares"]
    assert found["problem"] == "sheet 2 is needed only for 1 spare copy of 'strip'"
    assert "Note: sheet 2 is needed only for 1 spare copy of 'strip'." in result.stderr
    job.write_text(JOB.format(sets=7, spare=0))
    result, data = prepared(tmp_path / "p", job)
    assert "needed only for" not in result.output
    job.write_text(JOB.format(sets=5, spare=40))  # 7 copies of which 2 are spare: the third sheet holds one
    _, data = prepared(tmp_path / "q", job)
    assert len([f for f in data["findings"] if f["code"] == "sheet-for-spares"]) == 1


def test_equal_sheets_use_equal_shares_of_card(strip: Path, tmp_path: Path) -> None:
    """The part is 110 x 20 + 55 x 20 mm by plain arithmetic; the last sheet is no exception."""
    _, data = prepared(tmp_path / "o", strip, "--copies", "6", "--sheet", "150x150mm", "--turns", "never")
    shares = [sheet["utilisation"] for sheet in every_sheet(data)]
    assert shares == pytest.approx([3 * (110 * 20 + 55 * 20) / 150**2] * 2, abs=1e-3)


def test_reasons_that_were_asked_for_are_on_the_job_sheet(strip: Path, tmp_path: Path) -> None:
    _, data = prepared(tmp_path / "o", strip, "--explain")
    page = (tmp_path / "o" / "job-sheet.html").read_text()
    (sheet,) = data["sheets"]
    reasons = sheet["order"]["reasons"]
    assert reasons
    assert page.partition('class="why"')[2].partition("</details>")[0].count("<li>") == len(reasons)
    prepared(tmp_path / "p", strip)
    assert 'class="why"' not in (tmp_path / "p" / "job-sheet.html").read_text()
