"""A job's folder holds the job before or after a change, never something between."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutprep.desk.sections.store import Store
from cutprep.desk.shelf import MOST_VERSIONS, Folder, Shelf, clear_unused, plain_name
from cutprep.errors import DrawingError, OutputError


def _job(tmp_path: Path) -> Folder:
    job = Shelf(tmp_path).start("Honey fair")
    job.write("a = 1\n")
    return job


def test_a_job_is_found_by_its_name_and_by_no_path(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path / "desk")
    job = shelf.start("Gl\u00fchwein: caf\u00e9 / 12")
    job.write("a = 1\n")
    assert shelf.job(job.name) == job
    assert shelf.jobs() == [job]
    for name in (
        "..",
        ".",
        "",
        "../desk",
        f"{job.name}/versions",
        f"{job.name}\0",
        "x" * 99,
        job.name.upper(),
    ):
        assert shelf.job(name) is None or shelf.job(name) == job


def test_the_last_versions_stay(tmp_path: Path) -> None:
    job = _job(tmp_path)
    for n in range(2, MOST_VERSIONS + 20):
        assert job.write(f"a = {n}\n") == n
    for _ in range(MOST_VERSIONS + 5):
        job.step(-1)
    assert job.text == "a = 20\n"
    assert len(list((job.path / "versions").glob("*.toml"))) == MOST_VERSIONS


@pytest.mark.parametrize("broken", ["now", "job"])
def test_a_kill_between_two_files_leaves_a_whole_job(tmp_path: Path, broken: str) -> None:
    job = _job(tmp_path)
    job.write("a = 2\n")
    if broken == "now":  # the job file is written, the number is not
        (job.path / "versions" / "now").write_text("1")
        assert job.version == 2
    else:  # the version is written, the job file is not
        (job.path / "job.toml").write_text("a = 1\n")
        assert job.version == 1
    job.write("a = 3\n")
    job.step(-1)
    assert job.text in {"a = 1\n", "a = 2\n"}


def test_a_damaged_number_or_paper_does_no_harm(tmp_path: Path) -> None:
    job = _job(tmp_path)
    (job.path / "versions" / "now").write_text("honey")
    (job.path / "paper.json").write_text("{")
    assert job.version == 1
    assert job.paper() == {}
    (job.path / "paper.json").write_text("[]")
    assert job.paper() == {}


def test_two_drawings_of_one_name_lie_beside_each_other(tmp_path: Path) -> None:
    job = _job(tmp_path)
    assert job.add_file("tag.svg", b"1") == "tag.svg"
    assert job.add_file("tag.svg", b"1") == "tag.svg"
    assert job.add_file("tag.svg", b"2") == "tag-2.svg"
    assert job.add_file("job.toml.svg", b"3") == "job.toml.svg"


@pytest.mark.parametrize("name", ["", ".", "..", "job.toml", "x.html", "x.svg/", "con", "a.SVG.exe"])
def test_only_drawings_are_taken(name: str) -> None:
    with pytest.raises(DrawingError):
        plain_name(name)


def test_only_what_a_paper_shows_is_given_out(tmp_path: Path) -> None:
    job = _job(tmp_path)
    (job.path / "view").mkdir()
    for name in ("sheet-1a.svg", "lines-2b.bin", "old-3c.svg"):
        (job.path / "view" / name).write_text("x")
    clear_unused(job.path, ["sheet-1a.svg", "lines-2b.bin"])
    assert job.view("sheet-1a.svg") is not None
    for name in ("old-3c.svg", "../job.toml", "job.toml", "", "SHEET-1A.svg", "sheet-1a.svg\n"):
        assert job.view(name) is None
    assert job.made("job.toml") is None


def test_a_page_that_still_shows_the_paper_before_gets_its_pictures(tmp_path: Path) -> None:
    """A slow page asked for a picture that the next paper had cleared away, and showed a gap."""
    job, shown = _job(tmp_path), []
    for version in range(3):
        store = Store(job.path, version, {})
        shown.append(store.keep("sheet", f"<svg>{version}</svg>", "svg"))
        store.put("sheets", {"state": "done", "answer": "", "pictures": [shown[-1]]})
        store.finish()
    assert [job.view(name) is not None for name in shown] == [False, True, True]


def test_a_folder_that_can_not_be_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("honey")
    with pytest.raises(OutputError, match="desk's folder"):
        Shelf(tmp_path / "file")
