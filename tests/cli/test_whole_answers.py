"""What commands say, read from the first word to the last, and held to the data that they write."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.test_more_commands import SAMPLES, good, run

#: Two blanks of 60 x 40 mm and 30 x 40 mm, the first with a score.
TWO = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="60mm" viewBox="0 0 120 60">'
    '<g id="cut" fill="none" stroke="#d02020"><path d="M10 10H70V50H10Z"/><path d="M80 10H110V50H80Z"/></g>'
    '<g id="score" fill="none" stroke="#2020d0"><path d="M40 10V50"/></g></svg>'
)


def test_prepare_and_time_say_what_job_json_holds(tmp_path: Path) -> None:
    (tmp_path / "blanks.svg").write_text(TWO, encoding="utf-8")
    out = tmp_path / "o"
    drawing, head, row, total, page = good(
        "prepare", tmp_path / "blanks.svg", "--copies", "2", "--sheet", "210x100mm", "--out", out, "--effort", "quick"
    ).splitlines()  # fmt: skip
    (sheet,) = json.loads((out / "job.json").read_text(encoding="utf-8"))["sheets"]
    assert drawing == "blanks.svg: 100.0 x 40.0 mm, 2 parts, 2 copies"
    assert head.split("\t") == ["file", "copies", "time", "cut", "score", "travel", "card used"]
    name, copies, time, cut, score, _, used = row.split("\t")
    assert (name, copies) == ("sheet-01.hpgl", "2")
    assert (cut, score) == ("0.68 m", "0.08 m")  # 2 x (200 + 140) mm round the blanks, 2 x 40 mm
    assert used == f"{100 * 2 * (60 + 30) * 40 / (210 * 100):.0f} %" == f"{100 * sheet['utilisation']:.0f} %"
    assert total.startswith(f"1 sheet of Card, 220 g/m2, {time} of machine time.")
    assert page == f"Open {out / 'job-sheet.html'}"
    first, head, *rows = good("time", out / "sheet-01.hpgl", "--machine", "mat-cutter-300").splitlines()
    assert first == f"sheet-01.hpgl: {time} on mat-cutter-300"
    assert head == "what\ttime"
    parts = dict(row.split("\t") for row in rows)
    assert list(parts)[2:] == ["travel", "lifting and lowering", "tool changes", "waiting"]
    assert set(list(parts)[:2]) == {"drag knife", "scoring stylus"}
    assert sum(int(said.removesuffix(" s")) for said in parts.values()) == pytest.approx(
        int(time.removesuffix(" s")), abs=3
    )  # each is rounded by itself


def test_fold_says_a_tray_in_inches() -> None:
    """132 x 78 x 30 mm between creases, in card of 0.27 mm."""
    said = good("fold", SAMPLES / "display-tray.svg", "--inches").splitlines()
    assert said[1:10] == [
        "display-tray: open box, flat rim (inferred)",
        "what\tfigure",
        "panels, scores\t9, 8",
        "flaps, seams\t4, 4",
        "largest seam error\t0 in",
        "inside\t5 3/16 x 3 1/16 x 1 3/16 in (5.198 x 3.072 x 1.182 in)",
        "volume\t19.1 cu in",
        "score between\tlength\tfold angle",
        "A-B\t5 3/16 in (5.209 in)\t90.00 degrees",
    ]


def test_fold_takes_the_angle_that_she_declares(tmp_path: Path) -> None:
    (tmp_path / "blanks.svg").write_text(TWO, encoding="utf-8")
    (tmp_path / "angles.toml").write_text("[[angle]]\nat = [40, 30]\ndeg = 35\n", encoding="utf-8")
    said = good("fold", tmp_path / "blanks.svg", "--angles", tmp_path / "angles.toml")
    assert "A-B\t40.0 mm\t35.00 degrees" in said.splitlines()


def test_a_card_of_her_own_is_listed_with_what_its_sheets_cost(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path))
    good("card", "honey", "--sheet", "A4", "--price", "0.45")
    told = json.loads(good("stocks", "--json"))
    assert told["honey"]["prices"] == {"A4": 0.45}
    assert told["card-220"]["prices"] == {}
    assert told["card-220"]["sheets"]["A4"] == [210.0, 297.0]


def test_mend_writes_its_picture_where_she_says(tmp_path: Path) -> None:
    """Before and after, side by side, with a ring at each change."""
    drawing = SAMPLES / "hand-drawn" / "swing-tag.svg"
    good("mend", drawing, "--keep", "cut", "--out", tmp_path / "tag.svg", "--picture", tmp_path / "seen.svg")
    seen = (tmp_path / "seen.svg").read_text(encoding="utf-8")
    assert {path.name for path in tmp_path.iterdir()} == {"tag.svg", "seen.svg"}
    for word in (">before<", ">mended<"):
        assert word in seen


def test_what_can_not_be_looked_at_is_named(tmp_path: Path) -> None:
    """Nothing in it moves, or it asks for more than is allowed."""
    file = tmp_path / "strange.hpgl"
    for text, limit in (("IN;SP1;XX9,9;", "9"), ("IN;SP1;PU0,0;PD40,40;PU0,0;", "2")):
        file.write_text(text, encoding="ascii")
        slip = run("look", file, "--picture", tmp_path / "seen.svg", "--limit", f"instructions={limit}")
        assert slip.exit_code == 2
        assert "strange.hpgl" in slip.stderr
        assert not (tmp_path / "seen.svg").exists()
