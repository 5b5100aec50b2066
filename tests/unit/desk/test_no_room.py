"""A full disk and a job that holds too much are said in a sentence, beside what she did, and nothing is lost."""

from __future__ import annotations

import errno
from pathlib import Path
from typing import Any

import pytest

from cutprep.desk import shelf
from cutprep.desk.changing import Changer
from cutprep.desk.sent import Refused
from cutprep.desk.shelf import Folder, Shelf
from cutprep.desk.working import work
from cutprep.desk.working.work import Worker

TAG = (Path(__file__).parents[3] / "samples" / "swing-tag.svg").read_bytes()


@pytest.fixture
def changer(tmp_path: Path) -> Changer:
    return Changer(Shelf(tmp_path), lambda *_: None)


@pytest.fixture
def job(changer: Changer) -> Folder:
    return changer.start([("swing-tag.svg", TAG)])


def _full(*_: object) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


def test_a_full_disk_is_said_and_the_job_stays_as_it_was(
    changer: Changer, job: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = job.text
    monkeypatch.setattr(shelf, "replace_file", _full)
    with pytest.raises(Refused) as told:
        changer.change(job, "set", {"job/gap": ["4mm"]}, [])
    assert told.value.problem == "Nothing can be written into the desk's folder (No space left on device)."
    assert told.value.fix == "Make room on the disk, or forget a job."
    assert job.text == before


def test_a_job_that_holds_too_much_takes_no_more(
    changer: Changer, job: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shelf, "MOST_BYTES", 1_000_000)
    with pytest.raises(Refused) as told:
        changer.change(job, "add", {}, [("divider.svg", b" " * 1_000_001)])
    assert told.value.problem == "One job holds drawings of up to 1 MB together."
    assert told.value.fix == "Begin another job with the rest."


def test_the_worker_says_that_the_disk_is_full(job: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[dict[str, Any]] = []
    worker = Worker(told.append)
    monkeypatch.setattr(work, "load_job", _full)
    worker.wishes.put({"job": job.name, "folder": str(job.path), "version": 1})
    _once(worker)
    assert [event["is"] for event in told] == ["begun", "fault"]
    assert "No space left on device" in told[-1]["told"]
    assert "Make room on the disk, then go on." in told[-1]["told"]


def _once(worker: Worker) -> None:
    """Let it do the one wish that waits, then tell it that there are no more."""
    take = worker.wishes.get

    def first() -> Any:
        worker.wishes.get = lambda: None  # type: ignore[method-assign]
        return take()

    worker.wishes.get = first  # type: ignore[method-assign]
    worker.work()
