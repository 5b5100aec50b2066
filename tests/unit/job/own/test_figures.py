"""What trials gave counts for its card on its machine, and nowhere else."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutprep.cli.jobs import job_of_command
from cutprep.errors import CutprepError
from cutprep.job.api import make_job
from cutprep.job.job import Job
from cutprep.job.own.figures import all_figures, figures_file, keep_figure, stock_name
from cutprep.job.settings.resolve import Source
from cutprep.profile import shelf
from cutprep.profile.written import stock_toml

TAG = Path(__file__).parents[4] / "samples" / "swing-tag.svg"


@pytest.fixture(autouse=True)
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path))
    return tmp_path


def force(**settings: object) -> float | None:
    return job_of_command([TAG], settings).batches[0].stock.cut_force


def source(job: Job) -> Source:
    return job.batches[0].settings[0].entry("cut_force").source


def test_a_figure_counts_for_its_card_on_its_machine() -> None:
    keep_figure("mat-cutter-300", "card-220", "cut_force", 99.0)
    keep_figure("mat-cutter-300", "kraft-280", "cut_force", 150.0)
    assert (force(), force(stock="kraft-280"), force(stock="card-160")) == (99.0, 150.0, None)
    assert force(machine="mat-cutter-600") is None
    assert source(job_of_command([TAG], {})) is Source.TRIAL


def test_a_card_that_is_handed_over_from_python_has_the_figures_of_its_name(own: Path) -> None:
    """A profile's file has figures of its own: another file of that name is another card."""
    keep_figure("mat-cutter-300", "card-220", "cut_force", 99.0)
    assert make_job(TAG, stock=shelf.stock("card-220")).batches[0].stock.cut_force == 99.0
    (own / "card-220.toml").write_text(stock_toml(shelf.stock("card-220")))
    assert make_job(TAG, stock=own / "card-220.toml").batches[0].stock.cut_force is None
    assert stock_name(str(own / "card-220.toml")) == str((own / "card-220.toml").resolve())


def test_a_job_and_an_option_stand_over_it(own: Path) -> None:
    keep_figure("mat-cutter-300", "card-220", "cut_force", 99.0)
    assert force(cut_force="80") == 80.0
    (own / "tag.svg").write_bytes(TAG.read_bytes())
    path = own / "job.toml"
    path.write_text('[[stock]]\nname = "mine"\nlike = "card-220"\n[[template]]\nfile = "tag.svg"\n')
    assert job_of_command([path], {}).batches[0].stock.cut_force == 99.0
    path.write_text(path.read_text().replace("like", "cut_force = 70\nlike"))
    job = job_of_command([path], {})
    assert (job.batches[0].stock.cut_force, source(job)) == (70.0, Source.JOB)


def test_what_is_forgotten_counts_no_longer_and_a_slip_is_told() -> None:
    keep_figure("mat-cutter-300", "card-220", "card_offset", "0.3mm")
    keep_figure("mat-cutter-300", "card-220", "card_offset", None)
    assert all_figures() == {}
    figures_file().write_text('["mat-cutter-300"."card-220"]\noffzet = "0.3mm"\n')
    with pytest.raises(CutprepError, match=r"figures\.toml:2: .*offzet: .*Did you mean offset"):
        force()
