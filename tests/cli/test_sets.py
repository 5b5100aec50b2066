"""Sets of pieces that fit, as a maker asks for them."""

from __future__ import annotations

import json
from pathlib import Path

import cutprep
from tests.cli.test_more_commands import good, run


def test_a_set_is_saved_changed_and_made_into_a_job(tmp_path: Path) -> None:
    mine, folder = tmp_path / "mine.toml", tmp_path / "set"
    good("template", "boxes-in-tray", "carton.width=30mm", "play=0.6mm", "--out", mine)
    told = good("template", mine, "tray.columns=2", "--out", folder)
    assert "'4 x carton' goes into 'tray' with 0.60 mm on each side all round" in told
    assert {path.name for path in folder.iterdir()} == {"carton.svg", "tray.svg", "divider.svg", "job.toml"}
    good("prepare", folder / "job.toml", "--effort", "quick", "--out", tmp_path / "o")
    data = json.loads((tmp_path / "o" / "job.json").read_text(encoding="utf-8"))
    assert {t["name"]: t["copies"] for t in data["templates"]} == {"carton": 4, "tray": 1, "divider": 1}
    assert run("template", mine, "--out", folder).exit_code == 2  # nothing is overwritten
    good("template", mine, "--out", folder, "--replace")


def test_a_job_of_a_set_knows_what_goes_into_what(tmp_path: Path) -> None:
    folder = tmp_path / "set"
    good("template", "drawer-in-sleeve", "--out", folder)
    good("prepare", folder / "job.toml", "--effort", "quick", "--out", tmp_path / "o")
    data = json.loads((tmp_path / "o" / "job.json").read_text(encoding="utf-8"))
    (fit,) = (f for f in data["findings"] if f["code"] == "fit")
    assert fit["problem"].startswith("'drawer' goes into 'cover' with")


def test_one_drawing_of_a_set(tmp_path: Path) -> None:
    out = tmp_path / "set.svg"
    good("template", "box-in-box", "--out", out)
    assert cutprep.read(out).lines.closed.sum() == 4
    assert "inner" in good("template", "box-in-box")
    assert "boxes-in-tray" in good("template")


def test_what_does_not_fit_is_refused_before_anything_is_written(tmp_path: Path) -> None:
    result = run("template", "box-in-box", "outer.length=50mm", "--out", tmp_path / "set")
    assert result.exit_code == 2
    assert "'outer' is" in result.output
    assert "too small" in result.output
    assert not (tmp_path / "set").exists()
