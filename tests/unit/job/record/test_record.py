"""job.json: written and read again to the last digit, its digests, and what is refused with a sentence."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings

from cutprep.errors import JobError
from cutprep.job.api import make_job, prepare_job
from cutprep.job.folder.verify import verify
from cutprep.job.pipeline import run
from cutprep.job.record.form import as_text, changed_parts, digests_of
from cutprep.job.record.machine import machine_data, machine_from_data
from cutprep.job.record.plan import plan_data, plan_from
from cutprep.job.record.read import load_record
from cutprep.job.record.write import job_data
from cutprep.model.moves import Moves
from cutprep.profile import shelf
from cutprep.profile.machine import Machine
from cutprep.report.outcome import Outcome
from cutprep.stages.write.machine_file import write
from tests import kept_readings
from tests.plans import jobs

#: Digits after the point that figures of a job have at most.
MOST = {
    "cost": 4, "width_mm": 3, "height_mm": 3, "seconds": 3, "total": 3, "score_mm": 2, "travel_mm": 2, "utilisation": 4,
    "blade_error_mm": 4, "y_mm": 7,
}  # fmt: skip
SAMPLES = Path(__file__).parents[4] / "samples"


@settings(max_examples=60, deadline=None)
@given(jobs())
def test_a_plan_is_kept_to_the_last_digit(job: tuple[Machine, Moves]) -> None:
    """So the writer gives the same bytes again."""
    machine, planned = job
    text = json.dumps(plan_data(planned, [5] * 99))
    again = plan_from(json.loads(text))
    for name in ("xy", "down", "tool", "speed", "force", "stroke"):
        np.testing.assert_array_equal(getattr(again, name), getattr(planned, name), name)
    assert (again.home, again.changes) == (planned.home, planned.changes)
    for language in ("hpgl", "gcode"):
        assert write(again, machine, language) == write(planned, machine, language)


@settings(max_examples=60, deadline=None)
@given(jobs())
def test_a_machine_is_kept_whole(job: tuple[Machine, Moves]) -> None:
    data = json.loads(json.dumps(machine_data(job[0])))
    assert repr(machine_from_data(data)) == repr(job[0])  # NaN equals nothing, as text itself


@pytest.mark.parametrize("name", sorted(shelf.machines()))
def test_shipped_machines_are_kept_whole(name: str) -> None:
    machine = shelf.machine(name)
    assert repr(machine_from_data(json.loads(json.dumps(machine_data(machine))))) == repr(machine)


@pytest.fixture(scope="module")
def tags(tmp_path_factory: pytest.TempPathFactory) -> tuple[Outcome, Path]:
    out = tmp_path_factory.mktemp("tags") / "o"
    return prepare_job(make_job(SAMPLES / "swing-tag.svg", copies=60, effort="quick"), out), out


def test_equal_sheets_stand_once(tags: tuple[Outcome, Path]) -> None:
    outcome, out = tags
    data = json.loads((out / "job.json").read_text(encoding="utf-8"))
    plans = {tuple(done.planned.xy.ravel().tolist()) for done in outcome.sheets}
    assert len(data["sheets"]) == len(plans) == len(outcome.sheets) < outcome.runs == data["runs"]
    assert [sheet["number"] for sheet in data["sheets"]] == [done.sheet.number for done in outcome.sheets]
    assert sum(sheet["runs"] for sheet in data["sheets"]) == data["runs"]
    assert sum(sheet["runs"] * sheet["copies"] for sheet in data["sheets"]) == 60


def test_digests_are_those_of_the_files(tags: tuple[Outcome, Path]) -> None:
    _, out = tags
    data = json.loads((out / "job.json").read_text(encoding="utf-8"))
    assert set(data["files"]) | {"job.json"} == {path.name for path in out.iterdir()}
    for name, row in data["files"].items():
        content = (out / name).read_bytes()
        assert row == {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}
    # The canonical form, worked out here by itself.
    plain = json.dumps(data["sheets"], sort_keys=True, separators=(",", ":")).encode()
    assert data["digest"]["parts"]["sheets"] == hashlib.sha256(plain).hexdigest()


def digits(data: Any, key: str = "") -> Iterator[tuple[str, int]]:
    """Key of each figure, and how many digits it has after its point."""
    if isinstance(data, dict):
        for name, value in data.items():
            yield from digits(value, name)
    elif isinstance(data, list):
        for value in data:
            yield from digits(value, key)
    elif isinstance(data, float):
        yield key, len(repr(data).partition(".")[2])


def test_figures_are_rounded_to_what_a_maker_can_measure() -> None:
    """Of a sheet and a price with many digits: micrometres of sizes and milliseconds of times; places have all they need."""
    job = make_job(
        kept_readings.folder() / "card.svg",
        copies=3,
        sheet=(251.23456, 180.34567),
        effort="quick",
        price=0.123456,
        gap=3.3333333,
    )
    data = json.loads(json.dumps(job_data(run(job), {})))
    told = [{k: v for k, v in sheet.items() if k != "plan"} for sheet in data["sheets"]]
    most: dict[str, int] = {}
    for key, count in digits([data["templates"], told, data["seconds"], data["cost"]]):
        most[key] = max(most.get(key, 0), count)
    assert {key: most[key] for key in MOST} == MOST


def test_laid_out_anew_it_is_the_same_job(tags: tuple[Outcome, Path]) -> None:
    data = json.loads((tags[1] / "job.json").read_text(encoding="utf-8"))
    assert not changed_parts(json.loads(json.dumps(data, indent=4, sort_keys=True)))
    assert json.loads(as_text(data)) == data


@pytest.mark.parametrize("title", ["Tags", "\x000", "\x00"])
def test_points_are_encoded_once_and_stand_where_they_belong(tags: tuple[Outcome, Path], title: str) -> None:
    """Whatever a job is called: also as what stands for points while the rest is encoded."""
    data = json.loads((tags[1] / "job.json").read_text(encoding="utf-8")) | {"title": title}
    plain = {key: value for key, value in data.items() if key != "digest"} | {"digest": digests_of(data)}
    assert as_text(data) == json.dumps(plain, separators=(",", ":"), ensure_ascii=False) + "\n"


def leaves(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Paths to every value that holds no other; of long lists the first and the last."""
    if isinstance(data, dict) and data:
        return [leaf for key, value in data.items() for leaf in leaves(value, (*path, key))]
    if isinstance(data, list) and data:
        ends = {0, len(data) - 1}
        return [leaf for k in sorted(ends) for leaf in leaves(data[k], (*path, k))]
    return [path]


def test_no_value_of_it_can_change_unseen(tags: tuple[Outcome, Path]) -> None:
    """Each value in turn is made another, and the part in which it stands is named."""
    data = json.loads((tags[1] / "job.json").read_text(encoding="utf-8"))
    paths = [path for path in leaves(data) if path[0] != "digest"]
    assert len(paths) > 150
    for path in paths:
        holder = data
        for key in path[:-1]:
            holder = holder[key]
        old = holder[path[-1]]
        holder[path[-1]] = "other" if not isinstance(old, str) else f"{old}x"
        assert changed_parts(data) == (path[0],), path
        holder[path[-1]] = old
    assert changed_parts({**data, "more": 1}) == ("more",)
    assert changed_parts({k: v for k, v in data.items() if k != "seed"}) == ("seed",)
    assert changed_parts({**data, "digest": {**digests_of(data), "whole": "0" * 64}}) == ("digest",)
    assert changed_parts({k: v for k, v in data.items() if k != "digest"}) == ("digest",)


@pytest.mark.parametrize(
    ("content", "problem"),
    [
        ("{", "this is not JSON"),
        ("[]", "no job of the form cutprep-job/2"),
        ('{"schema": "cutprep-job/9"}', "no job of the form cutprep-job/2"),
        (
            '{"schema": "cutprep-job/1", "sheets": []}',
            "of the form cutprep-job/1, which an earlier cutprep wrote",
        ),
        ('{"schema": "cutprep-job/2"}', "can't be understood"),
    ],
)
def test_what_is_no_job_is_refused_with_a_sentence(content: str, problem: str, tmp_path: Path) -> None:
    (tmp_path / "job.json").write_text(content, encoding="utf-8")
    with pytest.raises(JobError, match=problem) as caught:
        load_record(tmp_path)
    ours = "cutprep-job/2" in content or "cutprep-job/1" in content
    assert caught.value.fix.startswith(
        "Prepare the job again" if ours else "Name a job.json that cutprep wrote."
    )
    assert caught.value.place.file == str(tmp_path / "job.json")
    with pytest.raises(JobError, match=problem):
        verify(tmp_path)


def test_a_file_of_a_job_is_no_job_and_its_folder_is_named(
    tags: tuple[Outcome, Path], tmp_path: Path
) -> None:
    with pytest.raises(JobError, match="this is a file") as caught:
        load_record(tags[1] / "sheet-01.hpgl")
    assert str(tags[1]) in str(caught.value.fix)
    (tmp_path / "drawing.svg").touch()
    with pytest.raises(JobError, match="this is a file"):
        load_record(tmp_path / "drawing.svg")
    with pytest.raises(JobError, match="there is no such folder"):
        load_record(tmp_path / "nowhere")


def test_a_name_that_leads_out_of_the_folder_is_refused(tags: tuple[Outcome, Path], tmp_path: Path) -> None:
    data = json.loads((tags[1] / "job.json").read_text(encoding="utf-8"))
    data["sheets"][0]["files"][0]["name"] = "../sheet-01.hpgl"
    (tmp_path / "job.json").write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(JobError, match="not in its folder"):
        load_record(tmp_path)
