"""Two workshops: a job goes where it is remembered, unless that one is deep in another; one process is started at first."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from cutprep.desk.shelf import Folder, Shelf
from cutprep.desk.working import crew, workshop
from cutprep.desk.working.crew import Crew

TAG = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30">
<g id="cut" fill="none" stroke="#000"><path d="M1 1H39V29H1Z"/></g></svg>"""


class Told:
    """What was told of each job."""

    def __init__(self) -> None:
        self.events: list[tuple[str, dict[str, Any]]] = []

    def __call__(self, job: str, event: dict[str, Any]) -> None:
        self.events.append((job, event))

    def wait(self, job: str, kind: str) -> None:
        """Until an event of that kind was told of a job."""
        until = time.monotonic() + 60
        while (job, kind) not in [(name, event["is"]) for name, event in self.events]:
            assert time.monotonic() < until, self.events
            time.sleep(0.02)


@pytest.fixture
def told() -> Told:
    return Told()


@pytest.fixture
def two(told: Told) -> Iterator[Crew]:
    one = Crew(told)
    yield one
    one.close()


def _job(folder: Path, name: str) -> Folder:
    job = Shelf(folder).start(name)
    job.add_file("tag.svg", TAG.encode())
    job.write('effort = "quick"\n[[template]]\nfile = "tag.svg"\n')
    return job


def _wish(job: Folder) -> dict[str, Any]:
    return {"job": job.name, "folder": str(job.path), "version": job.version}


def _running(two: Crew) -> list[bool]:
    return [shop._process is not None for shop in two._shops]


def test_a_second_process_is_started_when_the_first_is_deep_and_rests_again(
    two: Crew, told: Told, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = _job(tmp_path, "first"), _job(tmp_path, "second")
    two.do(_wish(first))
    told.wait(first.name, "done")
    assert _running(two) == [True, False]
    with monkeypatch.context() as at_work:
        at_work.setattr(two._shops[0], "_busy", True)
        two.do(_wish(second))
    told.wait(second.name, "done")
    assert _running(two) == [True, True]
    assert two._shop(second.name) is two._shops[1]  # what it gave is remembered there
    with monkeypatch.context() as at_work:
        at_work.setattr(two._shops[0], "_busy", True)
        at_work.setattr(two._shops[0], "_wish", _wish(second))
        at_work.setattr(two._shops[0], "_heard", time.monotonic())
        assert two._shop(first.name) is two._shops[0]  # which puts the other one aside
        at_work.setattr(two._shops[0], "_heard", 0.0)
        assert two._shop(first.name) is two._shops[1]
    monkeypatch.setattr(crew, "REST", 60.0)
    two._rest()
    assert _running(two) == [True, False]
    two.do(_wish(second))
    assert two.working_on(second.name)
    two.stop(second.name)
    assert not two.working_on(second.name)


def test_what_is_at_work_and_silent_is_deep(two: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    shop = two._shops[0]
    monkeypatch.setattr(shop, "_busy", True)
    monkeypatch.setattr(shop, "_heard", time.monotonic())
    assert not shop.deep
    monkeypatch.setattr(shop, "_heard", time.monotonic() - workshop.DEEP - 0.1)
    assert shop.deep
    monkeypatch.setattr(shop, "_busy", False)
    assert not shop.deep
