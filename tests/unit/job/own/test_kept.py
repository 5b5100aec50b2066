"""A kept job holds everything: it makes the same files where nothing of hers is known."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from cutprep.cli.jobs import job_of_command
from cutprep.job.file import load_job
from cutprep.job.job import Job
from cutprep.job.own.figures import keep_figure
from cutprep.job.own.kept import JOB_FILE, kept_job
from cutprep.job.settings.remembered import settings_file

SAMPLES = Path(__file__).parents[4] / "samples"
TAG = SAMPLES / "swing-tag.svg"
HERS = 'gap = "4mm"\nstock = "kraft-280"\nbridges_width = "0.7mm"\n[layers]\nlid = "cut"\n'


@pytest.fixture
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to keep a job in; her settings are at hand until the job is read from there."""
    monkeypatch.setenv("CUTPREP_FOLDER", str(tmp_path / "own"))
    (tmp_path / "own").mkdir()
    settings_file().write_text(HERS)
    keep_figure("mat-cutter-300", "kraft-280", "cut_force", 99.0)
    return tmp_path / "kept"


def read_elsewhere(job: Job, folder: Path, source: Path | None = None) -> Job:
    folder.mkdir()
    for name, content in kept_job(job, source).items():
        (folder / name).write_bytes(content)
    settings_file().write_text('gap = "9mm"\neffort = "quick"\n')
    keep_figure("mat-cutter-300", "kraft-280", "cut_force", 11.0)
    keep_figure("mat-cutter-300", "kraft-280", "card_overcut", "1mm")
    return load_job(folder / JOB_FILE)


def test_what_is_hers_goes_along_and_what_is_there_does_not_count(elsewhere: Path) -> None:
    job = job_of_command([TAG], {"copies": 3, "sheet": "A4"})
    again = read_elsewhere(job, elsewhere)
    assert (again.nesting, again.cutting, again.machine) == (job.nesting, job.cutting, job.machine)
    (card, copy) = (one.batches[0].stock for one in (job, again))
    assert (copy.cut_force, copy.overcut, copy.caliper, copy.title) == (99.0, None, card.caliper, card.title)
    assert again.batches[0].sheets[0].width == 210
    (item,) = again.items
    assert (item.copies, item.rules.quiet) == (3, {"lid"})
    assert again.settings is not None
    assert again.settings.entry("gap").source.value == "yours"


def test_a_job_file_keeps_its_cards_and_what_is_no_setting(elsewhere: Path, tmp_path: Path) -> None:
    (tmp_path / "tag.svg").write_bytes(TAG.read_bytes())
    path = tmp_path / "fair.toml"
    path.write_text(
        '[passes]\ncount = 2\n[[stock]]\nname = "honey"\nlike = "card-220"\n[[stock.sheet]]\nsize = "A4"\nat_hand = 4\n'
        '[[template]]\nfile = "tag.svg"\nnames = ["Ana"]\n[[template.place]]\nx = "20mm"\ny = "30mm"\n'
        '[[template.fold.angle]]\nat = [10, 20]\ndeg = 90\n[[template]]\nfile = "tag.svg"\ncopies = 5\n'
    )
    job = job_of_command([path], {})
    again = read_elsewhere(job, elsewhere, path)
    told = tomllib.loads((elsewhere / JOB_FILE).read_text())
    assert {path.name for path in elsewhere.iterdir()} == {
        JOB_FILE, "tag.svg", "honey.toml", "mat-cutter-300.toml"
    }  # fmt: skip
    assert told["template"][0]["place"] == [{"x": "20mm", "y": "30mm"}]
    for one, other in zip(job.batches, again.batches, strict=True):
        assert (one.spots, one.sheets, one.stock.name) == (other.spots, other.sheets, other.stock.name)
    for i, j in zip(job.items, again.items, strict=True):
        assert (i.copies, i.names, i.path.name) == (j.copies, j.names, j.path.name)
    folding = again.items[0].folding
    assert folding is not None
    assert [(point.xy, degrees) for point, degrees in folding.angles] == [((10.0, 20.0), 90.0)]
    assert again.cutting.passes == job.cutting.passes


def test_two_files_of_one_name_are_both_there(elsewhere: Path, tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "swing-tag.svg").write_bytes(TAG.read_bytes())
    job = job_of_command([TAG, tmp_path / "a" / "swing-tag.svg"], {})
    told = tomllib.loads(kept_job(job)[JOB_FILE].decode())
    assert [row["file"] for row in told["template"]] == ["swing-tag.svg", "swing-tag-2.svg"]
