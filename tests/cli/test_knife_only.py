"""Machines with one knife and nothing else, and machines that never stop for a change of tool."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from cutprep.cli.app import app

CARD = """<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80">
<g id="cut" fill="none" stroke="#000"><rect x="5" y="5" width="110" height="70"/></g>
<g id="score" fill="none" stroke="#00f"><path d="M60 5V75M5 40H115"/></g></svg>
"""
KNIFE = """
[[tool]]
name = "only knife"
number = 1
does = ["cut"{more}]
force = 100
offset = "0.25mm"
"""
STYLUS = """
[[tool]]
name = "Stylus, blunt"
kind = "stylus"
number = 2
does = ["score"]
force = 160
"""


def machine(folder: Path, *tools: str, head: str = "", motion: str = "") -> Path:
    (folder / "card.svg").write_text(CARD)
    path = folder / "kitchen.toml"
    path.write_text(f'area = "305x610mm"\n{head}\n[gcode]\nup_s = 0\n[motion]\n{motion}\n{"".join(tools)}')
    return path


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


def prepared(profile: Path, language: str, out: Path) -> dict[str, object]:
    result = run(
        "prepare", profile.with_name("card.svg"), "--machine", profile, "--language", language, "--out", out
    )
    assert result.exit_code == 0, result.output
    assert run("verify", out).exit_code == 0
    data: dict[str, object] = json.loads((out / "job.json").read_text())
    return data


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_a_knife_alone_scores_by_perforation(language: str, tmp_path: Path) -> None:
    data = prepared(machine(tmp_path, KNIFE.format(more="")), language, tmp_path / "o")
    (sheet,) = data["sheets"]
    strokes = sheet["plan"]["strokes"]
    scored = sum(s["operation"] == "score" for s in strokes)
    # 2 mm cut and 2 mm left: about one lowering for every 4 mm of score.
    assert scored == pytest.approx(sheet["score_mm"] / 4, rel=0.1)
    assert {s["tool"] for s in strokes} == {1}
    assert sheet["blade_error_mm"] < 0.1
    page = (tmp_path / "o" / "job-sheet.html").read_text()
    assert "by the only knife, as a perforation: 2 mm cut, 2 mm left between" in page


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
def test_a_knife_alone_scores_by_a_light_cut(language: str, tmp_path: Path) -> None:
    profile = machine(tmp_path, KNIFE.format(more=', "partial-cut"'), head='score_by = "partial-cut"')
    data = prepared(profile, language, tmp_path / "o")
    (sheet,) = data["sheets"]
    force = {s["operation"]: s["force"] for s in sheet["plan"]["strokes"] if s["operation"]}
    assert force == {"score": 50, "cut": 100}
    assert "as a cut of part depth of force 50" in (tmp_path / "o" / "job-sheet.html").read_text()


def test_a_machine_that_can_not_score_hears_what_its_profile_lacks(tmp_path: Path) -> None:
    pen = '[[tool]]\nname = "pen"\nkind = "pen"\nnumber = 1\ndoes = ["draw"]\n'
    card = tmp_path / "card.svg"
    result = run("prepare", card, "--machine", machine(tmp_path, pen), "--out", tmp_path / "o")
    assert result.exit_code == 2
    assert "no tool that does 'score'" in result.output
    assert "score_by" in result.output
    profile = machine(tmp_path, KNIFE.format(more=""), head='score_by = "partial-cut"')
    result = run("prepare", card, "--machine", profile, "--out", tmp_path / "o")
    assert '"partial-cut" to what its knife `does`' in result.output


@pytest.mark.parametrize("language", ["hpgl", "gcode"])
@pytest.mark.parametrize("change", ["pause", "none"])
def test_one_file_for_each_tool(language: str, change: str, tmp_path: Path) -> None:
    profile = machine(
        tmp_path,
        STYLUS,
        KNIFE.format(more=""),
        head='one_file_for = "tool"',
        motion=f'change_how = "{change}"',
    )
    out = tmp_path / "o"
    data = prepared(profile, language, out)
    (sheet,) = data["sheets"]
    names = [file["name"] for file in sheet["files"]]
    assert names == [f"sheet-01-1-stylus-blunt.{language}", f"sheet-01-2-only-knife.{language}"]
    assert set(names) <= set(data["files"])
    chosen = "SP{}" if language == "hpgl" else "tool {}:"
    for name, own, other in ((names[0], 2, 1), (names[1], 1, 2)):
        text = (out / name).read_text()
        assert chosen.format(own) in text
        assert chosen.format(other) not in text
        assert "M0" not in text
    page = (out / "job-sheet.html").read_text()
    assert page.index(f"run {names[0]}") < page.index(f"run {names[1]}")
    rows = json.loads(run("verify", out, "--json").stdout)["files"]
    assert [(row["file"], row["same"]) for row in rows] == [(name, True) for name in names]
    # Each file is proved by itself: the knife's file in place of the stylus' is seen.
    (out / names[0]).write_text((out / names[1]).read_text())
    assert run("verify", out).exit_code == 1


def test_a_file_that_trusts_the_machine_to_stop_says_so(tmp_path: Path) -> None:
    profile = machine(tmp_path, STYLUS, KNIFE.format(more=""))
    prepared(profile, "hpgl", tmp_path / "h")
    assert "your machine must stop there by itself" in (tmp_path / "h" / "job-sheet.html").read_text()
    prepared(profile, "gcode", tmp_path / "g")  # M0 stops it
    assert "must stop there by itself" not in (tmp_path / "g" / "job-sheet.html").read_text()


def test_a_machine_without_a_pen_is_timed_too(tmp_path: Path) -> None:
    profile = machine(tmp_path, KNIFE.format(more=""))
    result = run("trial", "times", "--machine", profile, "--out", tmp_path / "trials")
    assert result.exit_code == 0, result.output
    assert "Put a pen in place of the only knife and paper into the machine" in result.stdout
    assert len(list((tmp_path / "trials").iterdir())) == 5
