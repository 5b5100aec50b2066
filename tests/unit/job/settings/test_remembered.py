"""What is remembered stands where nobody says otherwise, and every value says where it came from."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from typer.testing import CliRunner

from cutprep.cli.app import app
from cutprep.cli.jobs import job_of_command
from cutprep.errors import CutprepError
from cutprep.job.job import Job
from cutprep.job.loading import load_all
from cutprep.job.settings.remembered import remembered, settings_file
from tests.settings_page import PAGE, written

TAG = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
<g id="cut" fill="none" stroke="#d02020"><path d="M5 5H55V35H5Z"/></g></svg>"""
HERS = 'gap = "4mm"\nmargin = "6mm"\neffort = "quick"\nunit = "in"\nsheet = "A3"\nlayers = { lid = "score", cut = "cut" }\n'


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path / "hers"))
    (tmp_path / "hers").mkdir()
    settings_file().write_text(HERS)
    (tmp_path / "tag.svg").write_text(TAG)
    return tmp_path


def sources(job: Job) -> dict[str, str]:
    assert job.settings is not None
    return {entry.setting.name: entry.source.value for entry in job.settings.entries}


def test_no_test_reads_what_whoever_runs_it_has_remembered() -> None:
    assert not Path(os.environ["CUTPREP_FOLDER"]).exists()
    assert remembered() == {}


def test_each_value_comes_from_where_it_was_said_last(folder: Path) -> None:
    path = folder / "job.toml"
    path.write_text('margin = "7mm"\ngap = "5mm"\n[[template]]\nfile = "tag.svg"\n')
    job = job_of_command([path], {"gap": "2mm"})
    assert (job.nesting.gap, job.nesting.margin, job.nesting.effort) == (2, 7, "quick")
    told = sources(job)
    names = ("gap", "margin", "effort", "seed", "language")
    assert [told[name] for name in names] == ["option", "job", "yours", "built in", "profile"]
    assert job.unit == "in"


def test_a_job_file_that_stands_alone_asks_nobody(folder: Path) -> None:
    path = folder / "job.toml"
    path.write_text('alone = true\n[[template]]\nfile = "tag.svg"\n')
    job = job_of_command([path], {})
    assert (job.nesting.gap, job.nesting.effort, job.unit) == (3, "normal", "mm")
    assert job.batches[0].sheets[0].name == "12in"


def test_remembered_rules_that_match_nothing_stay_quiet(folder: Path) -> None:
    """A rule that is given still must match."""
    run = CliRunner().invoke
    good = run(app, ["check", str(folder / "tag.svg")])
    assert good.exit_code == 0, good.output
    slip = run(app, ["check", str(folder / "tag.svg"), "--layer", "lit=score"])
    assert slip.exit_code == 2
    assert "'lit'" in slip.stderr


def test_a_remembered_size_that_a_card_does_not_come_in_stays_quiet(folder: Path) -> None:
    settings_file().write_text('sheet = "A9"\n')
    assert job_of_command([folder / "tag.svg"], {}).batches[0].sheets[0].name == "12in"
    with pytest.raises(CutprepError, match="--sheet: the sheet 'A9'"):
        job_of_command([folder / "tag.svg"], {"sheet": "A9"})


def test_a_slip_in_the_file_is_told_with_its_line(folder: Path) -> None:
    settings_file().write_text('\ngapp = "3mm"\n')
    with pytest.raises(CutprepError, match=r"settings\.toml:2: gapp: .*Did you mean gap"):
        job_of_command([folder / "tag.svg"], {})


def test_the_page_on_job_files_is_written_from_the_table() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert page == written(page), "run python -m tests.settings_page"
    assert page.count("<!-- settings:") == 4


def test_what_was_written_out_of_them_stays_hers_and_quiet(folder: Path) -> None:
    """As the desk keeps a job: alone, with a list of what came from her settings."""
    path = folder / "job.toml"
    path.write_text(
        'alone = true\nyours = ["gap", "layers.lid"]\ngap = "4mm"\nmargin = "6mm"\n'
        'layers = { lid = "score", cut = "cut" }\n[[template]]\nfile = "tag.svg"\n'
    )
    job = job_of_command([path], {})
    assert [sources(job)[name] for name in ("gap", "margin")] == ["yours", "job"]
    load_all(job)  # no layer is called lid, and that is no slip
    path.write_text(path.read_text().replace(', "layers.lid"', ""))
    with pytest.raises(CutprepError, match="called 'lid', so its rule does nothing"):
        load_all(job_of_command([path], {}))
