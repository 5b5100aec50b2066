"""Names on tags and place cards, as a maker asks for them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.test_more_commands import good, run

NAMES = ["Ana", "Béla", "Chloë Lind", "Łucja", "Åse"]


@pytest.fixture
def place_card(tmp_path: Path) -> Path:
    path = tmp_path / "card.svg"
    good("template", "place-card", "text={name}, table {table}", "text-height=8mm", "--out", path)
    return path


def test_place_cards_from_a_table(place_card: Path, tmp_path: Path) -> None:
    table = tmp_path / "guests.csv"
    table.write_text("Table;Name\n" + "".join(f"{k};{n}\n" for k, n in enumerate(NAMES, 1)), encoding="utf-8")
    out = tmp_path / "o"
    good("prepare", place_card, "--names", table, "--out", out, "--effort", "quick")
    data = json.loads((out / "job.json").read_text(encoding="utf-8"))
    texts = [p["text"] for sheet in data["sheets"] for p in sheet["placements"]]
    assert sorted(texts) == sorted(f"{n}, table {k}" for k, n in enumerate(NAMES, 1))
    assert "every file is what was prepared" in good("verify", out)


def test_a_job_file_lists_names_itself(place_card: Path, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    rows = 'names = ["Ana", "Zoë"]\nleast_height = "2 mm"\n'
    place_card.write_text(
        place_card.read_text(encoding="utf-8").replace(", table {table}", ""), encoding="utf-8"
    )
    job.write_text(f'effort = "quick"\n[[template]]\nfile = "card.svg"\n{rows}', encoding="utf-8")
    good("prepare", job, "--out", tmp_path / "o")
    page = (tmp_path / "o" / "job-sheet.html").read_text(encoding="utf-8")
    assert "<li>Zoë <small>sheet 1, A2</small></li>" in page
    job.write_text('[[template]]\nfile = "card.svg"\nnames = "../n.txt"\n', encoding="utf-8")
    result = run("prepare", job, "--out", tmp_path / "p")
    assert result.exit_code == 2
    assert "lies outside the folder of the job file" in result.output


def test_letters_that_are_lacking_are_named_and_nothing_is_written(place_card: Path, tmp_path: Path) -> None:
    table = tmp_path / "guests.csv"
    table.write_text("name,table\nAna,1\nМария,2\n", encoding="utf-8")
    result = run("prepare", place_card, "--names", table, "--out", tmp_path / "o")
    assert result.exit_code == 2
    assert "'М' in 'Мария, table 2'" in result.output
    assert not (tmp_path / "o").exists()
