"""Disks that are full, folders that can't be written or vanish, and solvers that break down."""

from __future__ import annotations

import errno
import os
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from cutprep.errors import OutputError
from cutprep.job import api
from cutprep.job.api import make_job, prepare_job
from cutprep.job.folder import store
from cutprep.model.findings.finding import Findings
from cutprep.report.outcome import Outcome
from cutprep.stages.nest.item.problem import EFFORTS
from cutprep.stages.nest.pack import irregular

SAMPLES = Path(__file__).parents[2] / "samples"


def job(copies: int = 2, effort: str = "quick") -> Any:
    return make_job(SAMPLES / "swing-tag.svg", copies=copies, effort=effort)


def content(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a whole job, which is only copied."""
    out = tmp_path_factory.mktemp("written") / "out"
    prepare_job(job(), out)
    return out


@pytest.fixture
def done(written: Path, tmp_path: Path) -> Path:
    """A folder with a whole job, for one test."""
    return Path(shutil.copytree(written, tmp_path / "out"))


@pytest.fixture(scope="module")
def other() -> Outcome:
    """Another job, worked out once."""
    return prepare_job(job(copies=5))


@pytest.mark.parametrize("failing", range(6))
def test_a_disk_that_fills_up_at_any_file(
    done: Path, monkeypatch: pytest.MonkeyPatch, other: Outcome, failing: int
) -> None:
    before, real, count = content(done), os.fsync, [0]
    monkeypatch.setattr(api, "run", lambda *_: other)

    def full(handle: int) -> None:
        count[0] += 1
        if count[0] > failing:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        real(handle)

    monkeypatch.setattr(store.os, "fsync", full)
    if failing >= len(before):  # every file fits
        prepare_job(job(5), done, replace=True)
        assert content(done) != before
    else:
        with pytest.raises(OutputError, match=r"No space left on device.*nothing was changed"):
            prepare_job(job(5), done, replace=True)
        assert content(done) == before
    assert [path.name for path in done.parent.iterdir()] == ["out"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_device_that_is_full(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="No space left"):
        store._write(_Full(tmp_path / "x"), b"some bytes")


class _Full(type(Path())):  # type: ignore[misc]
    """A path whose file is the device that is always full."""

    def open(self, *_: object, **__: object) -> Any:
        return Path("/dev/full").open("wb")


@pytest.mark.skipif(not hasattr(os, "getuid") or os.getuid() == 0, reason="root may write everywhere")
def test_a_read_only_folder(done: Path, other: Outcome, monkeypatch: pytest.MonkeyPatch) -> None:
    before = content(done)
    monkeypatch.setattr(api, "run", lambda *_: other)
    done.parent.chmod(0o555)
    try:
        with pytest.raises(OutputError, match="Permission denied"):
            prepare_job(job(5), done, replace=True)
    finally:
        done.parent.chmod(0o755)
    assert content(done) == before


def test_a_folder_that_no_one_may_write_into(done: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = content(done)

    def refuse(**_: object) -> str:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(store.tempfile, "mkdtemp", refuse)
    with pytest.raises(OutputError, match="Permission denied"):
        prepare_job(job(5), done, replace=True)
    assert content(done) == before


def test_a_target_below_a_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(OutputError, match="no folder can be made in it"):
        prepare_job(job(), tmp_path / "file" / "out")
    assert (tmp_path / "file").read_text() == "x"


def test_the_folder_is_removed_while_the_job_is_worked_out(
    done: Path, monkeypatch: pytest.MonkeyPatch, other: Outcome
) -> None:
    def run(*_: object) -> Outcome:
        for path in done.iterdir():
            path.unlink()
        done.rmdir()
        return other

    monkeypatch.setattr(api, "run", run)
    prepare_job(job(5), done, replace=True)
    assert (done / "job.json").is_file()
    assert [path.name for path in done.parent.iterdir()] == ["out"]


def test_the_folder_is_removed_while_files_are_written(
    done: Path, monkeypatch: pytest.MonkeyPatch, other: Outcome
) -> None:
    real = store._write

    def write(path: Path, data: bytes) -> None:
        real(path, data)
        if done.exists():
            for own in done.iterdir():
                own.unlink()
            done.rmdir()

    monkeypatch.setattr(api, "run", lambda *_: other)
    monkeypatch.setattr(store, "_write", write)
    prepare_job(job(5), done, replace=True)
    assert (done / "job.json").is_file()


def test_somebody_else_fills_the_folder_meanwhile(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, other: Outcome
) -> None:
    out = tmp_path / "out"

    def run(*_: object) -> Outcome:
        out.mkdir()
        (out / "thesis.txt").write_text("mine")
        return other

    monkeypatch.setattr(api, "run", run)
    with pytest.raises(OutputError, match="not empty"):
        prepare_job(job(), out)
    assert content(out) == {"thesis.txt": b"mine"}


MAD = {
    "crashes": "import os\nos.abort()\n",
    "talks nonsense": 'print(\'{"reports": 1, "why": "fits", "width": 1, "placed": [[0, 0, 0, 0]]}\')\n',
    "hangs": "import time\ntime.sleep(600)\n",
}


def _said(findings: Findings) -> str:
    return "; ".join(f.problem for f in findings)


@pytest.mark.parametrize("how", MAD)
def test_a_packer_that_breaks_down_stops_no_job(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    child = tmp_path / "child.py"
    child.write_text(MAD[how])
    monkeypatch.setattr(irregular.child, "__file__", str(child))
    monkeypatch.setattr(irregular, "SILENCE", 0.7)
    # The packer is asked soon: what placing one by one finds before it is not the subject.
    monkeypatch.setitem(EFFORTS, "normal", replace(EFFORTS["normal"], search=0.02))
    sound = make_job(SAMPLES / "jar-carton.svg", copies=12, effort="normal")
    outcome = prepare_job(sound, tmp_path / "out")
    assert sum(len(done.sheet.placements) * done.sheet.runs for done in outcome.sheets) == 12
    assert "the irregular packer gave up" in _said(outcome.findings)
    assert (tmp_path / "out" / "job.json").is_file()
