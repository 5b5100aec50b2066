"""Pieces of one drawing from cards of their own: a tray in kraft, its lid in honey yellow."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import cutprep
from tests.cli.test_more_commands import good, run
from tests.examples.sheets import TWO_PIECES


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


@pytest.fixture
def two(tmp_path: Path) -> Path:
    path = tmp_path / "two.svg"
    path.write_text(TWO_PIECES, encoding="utf-8")
    return path


def sheets_of(out: Path) -> list[tuple[str, int]]:
    data = json.loads((out / "job.json").read_text(encoding="utf-8"))
    return [
        (spot["template"], len(data["sheets"])) for sheet in data["sheets"] for spot in sheet["placements"]
    ]


def test_pieces_lie_by_themselves_where_that_is_asked_for(two: Path, tmp_path: Path) -> None:
    """A sheet of 12 in holds nine squares of 90 mm, and three pairs of them that are drawn 150 mm apart."""
    options = ("prepare", two, "--copies", "4", "--effort", "quick", "--out")
    told = run(*options, tmp_path / "as-drawn").stderr
    assert "with each piece of 'two' laid by itself 1 of the 2 sheets of 'card-220' will do" in told
    assert "--pieces-apart" in told
    assert "1 of the 2 sheets" in (tmp_path / "as-drawn" / "job-sheet.html").read_text(encoding="utf-8")
    assert {count for _, count in sheets_of(tmp_path / "as-drawn")} == {2}
    told = run(*options, tmp_path / "apart", "--pieces-apart").stderr
    assert "--pieces-apart" not in told
    assert sorted(sheets_of(tmp_path / "apart")) == [("two", 1)] * 4 + [("two, part 2", 1)] * 4
    # As it lay, again; and in a job file.
    good(*options, tmp_path / "again", "--pieces-apart", "--places", tmp_path / "apart" / "job.json")
    assert sheets_of(tmp_path / "again") == sheets_of(tmp_path / "apart")
    job = tmp_path / "job.toml"
    job.write_text('effort = "quick"\n[[template]]\nfile = "two.svg"\ncopies = 4\npieces_apart = true\n')
    good("prepare", job, "--out", tmp_path / "filed")
    assert sorted(sheets_of(tmp_path / "filed")) == sorted(sheets_of(tmp_path / "apart"))


def test_nothing_is_told_where_no_sheet_is_saved(two: Path, tmp_path: Path) -> None:
    for copies in ("3", "18"):  # on one sheet; and 36 squares, which take four sheets at least
        result = run("prepare", two, "--copies", copies, "--effort", "quick", "--out", tmp_path / copies)
        assert ("--pieces-apart" in result.stderr) is (copies == "18")
    assert "4 of the 6 sheets" in result.stderr


@pytest.fixture
def small(tmp_path: Path) -> Path:
    path = tmp_path / "small.svg"
    good("template", "tray-with-lid", "length=50mm", "width=40mm", "height=20mm", "--out", path)
    return path


def test_a_piece_that_was_asked_for_keeps_its_card(small: Path, tmp_path: Path) -> None:
    out = tmp_path / "o"
    good(
        "prepare",
        small,
        "--copies",
        "2",
        "--pieces-apart",
        "--piece",
        "lid=kraft-280",
        "--effort",
        "quick",
        "--out",
        out,
    )
    assert made(out) == {("small", "card-220"): 2, ("small, lid", "kraft-280"): 2}


@pytest.mark.parametrize("card", ["card-220", "kraft-280"])
def test_the_making_sheet_has_the_whole_box_together(small: Path, tmp_path: Path, card: str) -> None:
    """However its pieces are laid out, a student makes a tray and a lid, and puts one on the other."""
    plain, parted = tmp_path / "plain", tmp_path / "parted"
    good("prepare", small, "--copies", "4", "--effort", "quick", "--out", plain)
    good("prepare", small, "--copies", "4", "--effort", "quick", "--piece", f"lid={card}", "--out", parted)
    one, other = ((out / "making-sheet.txt").read_text(encoding="utf-8") for out in (plain, parted))
    assert "Fill the tray and slip the lid over it; nothing is glued." in one
    cards = "" if card == "card-220" else "; the lid: Kraft card, 280 g/m2"
    wanted = one.replace("Make 4 from Card, 220 g/m2.", f"Make 4 from Card, 220 g/m2{cards}.")
    size = "Inside when done"  # of a lid in another caliper it differs
    assert [row for row in wanted.splitlines() if size not in row] == [
        row for row in other.splitlines() if size not in row
    ]


def test_two_lids_for_each_box_are_told_so(small: Path, tmp_path: Path) -> None:
    out = tmp_path / "o"
    good("prepare", small, "--copies", "3", "--piece", "lid=,2", "--effort", "quick", "--out", out)
    page = (out / "making-sheet.html").read_text(encoding="utf-8")
    assert "<h2>small</h2>" in page
    assert "<h2>small, lid</h2>" not in page
    assert "2 of " in page[page.index("Blank of piece 2, the lid") :][:60]
