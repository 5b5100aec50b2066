"""Pieces of one drawing from cards of their own: a tray in kraft, its lid in honey yellow."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import cutprep
from tests.cli.test_more_commands import good, run


@pytest.fixture
def box(tmp_path: Path) -> Path:
    path = tmp_path / "box.svg"
    good("template", "tray-with-lid", "--out", path)
    return path


def made(out: Path) -> dict[tuple[str, str], int]:
    data = json.loads((out / "job.json").read_text(encoding="utf-8"))
    return {(t["name"], t["stock"]): t["copies"] for t in data["templates"]}


def test_a_drawn_template_names_its_pieces(box: Path) -> None:
    (tray, lid) = (line for line in cutprep.read(box).lines if line.closed)
    assert (tray.element.label, lid.element.label) == ("tray", "lid")


def test_a_lid_from_another_card_and_twice(box: Path, tmp_path: Path) -> None:
    out = tmp_path / "o"
    good("prepare", box, "--copies", "3", "--piece", "lid=kraft-280,2", "--effort", "quick", "--out", out)
    assert made(out) == {("box", "card-220"): 3, ("box, lid", "kraft-280"): 6}
    data = json.loads((out / "job.json").read_text(encoding="utf-8"))
    for sheet in data["sheets"]:
        names = {spot["template"] for spot in sheet["placements"]}
        assert names == ({"box, lid"} if sheet["stock"] == "kraft-280" else {"box"})
    assert [f["code"] for f in data["findings"]].count("fit") == 1  # one lid over one tray, each in its card
    page = (out / "job-sheet.html").read_text(encoding="utf-8")
    assert "<td>6 x box, lid</td>" in page
    assert "every file is what was prepared" in good("verify", out)
    again = tmp_path / "again"
    options = ["--copies", "3", "--piece", "lid=kraft-280,2", "--places", out / "job.json"]
    good("prepare", box, *options, "--effort", "quick", "--out", again)
    assert made(again) == made(out)


def test_a_job_file_says_it_by_number(box: Path, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(
        'effort = "quick"\n[[stock]]\nname = "kraft"\nlike = "kraft-280"\n[[stock]]\nname = "honey"\nlike = "card-220"\n'
        f'[[template]]\nfile = "{box.name}"\nstock = "kraft"\n[[template.piece]]\nname = "2"\nstock = "honey"\n'
        f'[[fits]]\nouter = "{box.name}#2"\ninner = "{box.name}"\nclearance = "0.2mm"\n',
        encoding="utf-8",
    )
    out = tmp_path / "o"
    good("prepare", job, "--out", out)
    assert made(out) == {("box", "kraft"): 1, ("box, 2", "honey"): 1}
    job.write_text(
        job.read_text(encoding="utf-8").replace('"honey"\n[[fits', '"hony"\n[[fits'), encoding="utf-8"
    )
    result = run("prepare", job, "--out", tmp_path / "p")
    assert result.exit_code == 2
    assert "no stock of this job is 'hony'. Did you mean honey?" in result.output


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["led=kraft-280"], "'led' is no piece of this drawing"),
        (["lid=craft-280"], "no stock is called 'craft-280'"),
        (["lid"], "does not say a piece and its card"),
        (["lid=kraft-280,many"], "does not say a piece and its card"),
        (["lid=kraft-280", "Lid=,2"], "'Lid' stands twice"),
        (["lid=kraft-280", "tray=kraft-280"], "none is left"),
    ],
)
def test_a_bad_piece_gets_one_sentence(words: list[str], told: str, box: Path, tmp_path: Path) -> None:
    options = [option for word in words for option in ("--piece", word)]
    result = run("prepare", box, *options, "--out", tmp_path / "o")
    assert result.exit_code == 2
    assert told in result.output
