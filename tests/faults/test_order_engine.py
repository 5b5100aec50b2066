"""The search for an order breaks down: the nearest line comes next, the job says so and is finished."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from cutprep.job.api import make_job, prepare_job
from cutprep.job.verify import verify
from cutprep.model.finding import errors
from cutprep.stages.order import search, task

SAMPLES = Path(__file__).parents[2] / "samples"


class _Engine:
    """Stands in place of the engine, and does one thing in answer to everything."""

    def __init__(self, answer: Callable[..., Any]) -> None:
        self._answer = answer

    def __getattr__(self, _: str) -> Callable[..., Any]:
        return self._answer


def _crash(*_: object, **__: object) -> None:
    raise RuntimeError("not enough memory")


def _same_line_twice(*given: Any, **__: object) -> Any:
    count = len(getattr(given[0], "rank", given[0]))
    return np.zeros(count, np.int64), np.zeros(count, bool), np.zeros(count, np.int64)


def _missing() -> None:
    raise ModuleNotFoundError("No module named 'lupa.luajit21'")


MAD: dict[str, tuple[Callable[[], Any], str]] = {
    "fails": (lambda: _Engine(_crash), "not enough memory"),
    "talks nonsense": (lambda: _Engine(_same_line_twice), "Error"),
    "gives nothing": (lambda: _Engine(lambda *_, **__: None), "Error"),
    "is not there": (_missing, "No module named"),
}


@pytest.mark.parametrize("how", MAD)
@pytest.mark.parametrize("finish", ["sheet", "copy"])
def test_an_engine_that_breaks_down_stops_no_job(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: str, finish: str
) -> None:
    engine, said = MAD[how]
    for room in (search, task):
        monkeypatch.setattr(room, "engine", engine)
    job = make_job(SAMPLES / "divider.svg", copies=4, effort="quick", finish=finish)
    outcome = prepare_job(job, tmp_path / "out")
    told = [f.problem for f in outcome.findings if f.code == "plain-order"]
    assert told
    assert all(said in text and "nearest line comes next" in text for text in told)
    assert "nearest line comes next" in (tmp_path / "out" / "job-sheet.html").read_text(encoding="utf-8")
    assert not any(errors(one.differences) for one in verify(tmp_path / "out"))
    monkeypatch.undo()
    sound = prepare_job(job)
    for plain, best in zip(outcome.sheets, sound.sheets, strict=True):
        assert not best.order.failed
        assert len(plain.strokes.lines) == len(best.strokes.lines)
        assert plain.order.planned.travel >= best.order.planned.travel
        assert plain.order.planned.loose == 0


def test_the_plain_order_is_the_engines_nearest(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two ways to the same tour: ours needs no engine."""
    job = make_job(SAMPLES / "honeycomb-lace.svg", effort="quick")
    best = prepare_job(job)
    monkeypatch.setattr(search, "engine", _missing)
    plain = prepare_job(job)
    assert plain.sheets[0].order.planned.travel == pytest.approx(
        best.sheets[0].order.nearest.travel, rel=0.05
    )
