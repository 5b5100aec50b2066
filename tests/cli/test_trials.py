"""`cutprep trial`: a sheet of figures like any other job, the best one kept, and taken by the next job."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from cutprep.cli.app import app
from cutprep.job.record.read import load_record
from cutprep.report.cautions import CAUTIONS

TAG = Path(__file__).parents[2] / "samples" / "swing-tag.svg"


@pytest.fixture(autouse=True)
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path / "own"))


def said(*words: str | Path, code: int = 0) -> str:
    result = CliRunner().invoke(app, [str(w) for w in words])
    assert result.exit_code == code, result.output
    return result.stdout + result.stderr


def test_a_trial_goes_the_ordinary_way_with_another_force_for_each_square(tmp_path: Path) -> None:
    out = tmp_path / "try"
    told = said(
        "trial",
        "force",
        "--from",
        "60",
        "--to",
        "120",
        "--steps",
        "3",
        "--corner",
        "upper-right",
        "--out",
        out,
    )
    assert "Then: cutprep trial force --best FIGURE" in told
    assert "does what was planned" in said("verify", out)
    assert {path.name for path in out.iterdir()} >= {"job-sheet.html", "trial.svg", "sheet-01.hpgl"}
    assert all(topic in (out / "job-sheet.html").read_text() for topic, _ in CAUTIONS)
    (sheet,) = load_record(out).sheets
    moves, cut = sheet.planned, sheet.planned.tool == 1
    pressed = [
        set(moves.force[moves.down & cut & (moves.stroke == k)])
        for k in np.unique(moves.stroke[cut & moves.down])
    ]
    assert sorted(force for forces in pressed[1:] for force in forces) == [60, 90, 120]
    assert (moves.tool[moves.down] == 3).any()  # the figures are written by the pen
    low = moves.xy[moves.down].min(axis=0)
    assert (low > np.array(sheet.page) / 2).all()


def test_the_best_figure_is_kept_shown_and_taken(tmp_path: Path) -> None:
    said("settings", "--blade-offset", "0.2mm")
    said("trial", "force", "--best", "99")
    assert "cutprep settings --forget blade_offset" in said("trial", "offset", "--best", "0.3mm")
    said("trial", "pass", "--best", "2")
    assert json.loads(said("trial", "--json")) == {
        "mat-cutter-300": {"card-220": {"cut_force": 99.0, "card_offset": "0.3mm", "card_passes": 2}}
    }
    assert "mat-cutter-300\tcard-220\t99\t-\t0.3mm\t-\t2" in said("trial")
    said("prepare", TAG, "--effort", "quick", "--out", tmp_path / "job")
    assert "FS99;" in (tmp_path / "job" / "sheet-01.hpgl").read_text()
    assert "card 1: cut_force\t99.0\ttrial" in said("settings", tmp_path / "job")
    said("trial", "force", "--best", "none")
    assert "cut_force" not in said("trial", "--json")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["forse"], "there is no trial 'forse'"),
        (["force"], "--best FIGURE to keep one"),
        (["force", "--best", "300"], "240 at most"),
        (["all", "--from", "3"], "belong to one kind"),
        (["score", "--corner", "left"], "Known: lower-left"),
        (["pass", "--steps", "1"], "Give 2 to 20"),
    ],
)
def test_what_can_t_be_done_is_told(words: list[str], message: str, tmp_path: Path) -> None:
    out = [] if "--best" in words or words == ["force"] else ["--out", str(tmp_path / "o")]
    assert message in said("trial", *words, *out, code=2)
    assert not (tmp_path / "o").exists()


def test_a_card_without_room_is_told(tmp_path: Path) -> None:
    told = said("trial", "offset", "--sheet", "30x30mm", "--out", tmp_path / "o", code=2)
    assert "the card has no room for a trial" in told


def test_all_leaves_out_what_the_profile_gives_no_figure_for(tmp_path: Path) -> None:
    """The shipped belt cutter presses its scoring stylus as hard as it is set by hand."""
    words = ["all", "--machine", "belt-servo-400", "--sheet", "30x30mm", "--out", str(tmp_path / "o")]
    told = said("trial", *words, code=2)
    assert "left out: the profile of 'belt-servo-400' gives no force for its scoring stylus" in told
    assert "the card has no room for a trial" in told


KNIFE = """area = "300x200mm"
languages = ["gcode"]
[gcode]
lift = "z"
[[tool]]
name = "blade"
number = 1
does = ["cut", "partial-cut"]
force = 0.4
offset = "0.3mm"
"""
FOLDED = """<svg xmlns="http://www.w3.org/2000/svg" width="62mm" height="42mm" viewBox="0 0 62 42">
<g id="cut" fill="none" stroke="#d02020"><path d="M1 1H61V41H1Z"/></g>
<g id="score" fill="none" stroke="#2020d0"><path d="M31 1V41"/></g></svg>"""


def test_the_job_sheet_says_the_force_that_a_trial_of_scores_gave(tmp_path: Path) -> None:
    """A knife that cuts and scores keeps the force of its cuts."""
    (tmp_path / "knife.toml").write_text(KNIFE)
    (tmp_path / "card.svg").write_text(FOLDED)
    machine = ("--machine", tmp_path / "knife.toml")
    said("trial", "score", "--best", "0.15", *machine)
    said("prepare", tmp_path / "card.svg", *machine, "--sheet", "148x100mm", "--out", tmp_path / "job")
    assert "as a cut of part depth of force 0.15" in (tmp_path / "job" / "job-sheet.html").read_text()
    text = (tmp_path / "job" / "sheet-01.gcode").read_text()
    assert "Z-0.15 " in text
    assert "Z-0.4 " in text
